"""Steps to measure again, left out, answered unknown; what they do to the count and the plan."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries
from inspect_tui.core.evaluation.job.plan import plan_of
from inspect_tui.core.evaluation.job.plan_fits import fits
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.errors import BadInput, Refused
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import checklist, derived, reading, section, setting, sheet, step
from tests.small_session import evaluated
from tests.small_session import given as said_at

MARK = reading("mark", kind="check", limit="{ equal = true }")
LIST = checklist(
    section("carburettors", "Carburettors"),
    step("pump", MARK, reading("note", kind="text"), disturbed_by='["slides", "idle"]',
         gate='"start"', minutes="4", tools='["mirror"]'),
    step("slides", reading("height", limit="{ min = 30 }"), per="cylinder", minutes="20",
         tools='["rule", "mirror"]'),
    step("idle", reading("speed", unit="rpm", limit="{ max = 1800 }"), minutes="5"),
    section("front", "Front"),
    step("toe", reading("front"), reading("rear"),
         derived("toe", "front - rear", limit="{ min = 1, max = 5 }"),
         setting("rods", "front", "toe - '3 mm'"),
         disturbed_by='["steering"]', safety="true"),
    step("steering", reading("play", limit="{ max = 3 }"), gate='"move"'),
    step("ride", begins='"move"'),
)  # fmt: skip


@pytest.fixture
def begin(places, clock):
    (places.checklists / "list.toml").write_text(LIST, encoding="utf-8")
    (places.machines / "bed.toml").write_text(sheet(), encoding="utf-8")
    begun = []

    def new(**how):
        begun.append(Inspection.new(places, "list", "bed", "R. Tester", clock, **how))
        return begun[-1]

    yield new
    for inspection in begun:
        inspection.close()


@pytest.fixture
def inspection(begin):
    return begin()


def put(inspection, phase=AS_FOUND, **values):
    lot = []
    for place, text in values.items():
        step, reading, *cylinder = place.split("__")
        lot.append((Target(step, reading, *cylinder), text))
    return inspection.record(lot, phase)


def state(inspection, step):
    return inspection.results.step(step).state


# --- to measure again ---------------------------------------------------------------------------


@pytest.fixture
def marked(inspection):
    put(inspection, pump__mark="yes", pump__note="dry", slides__height__PTO="31",
        slides__height__MAG="31", idle__speed="1700")  # fmt: skip
    return inspection


def test_work_as_left_upsets_what_was_recorded_before_it(marked):
    assert state(marked, "pump") == "done"
    put(marked, AS_LEFT, slides__height__PTO="32")
    pump = marked.results.step("pump")
    assert (pump.state, pump.upset_by, pump.stale) == ("again", "slides", (("mark", None),))
    assert "'slides' upset what was recorded here" in pump.advice[0]
    assert marked.results.readings[0].upset_by == "slides"
    assert marked.results.readings[0].judged.verdict == "pass"  # what was said stays readable


def test_what_is_worked_out_of_an_upset_reading_is_upset_with_it(inspection):
    put(inspection, toe__front="30", toe__rear="20", steering__play="1")
    results = inspection.results
    assert results.step("toe").failed
    assert results.derived_row("toe", "toe", None, AS_FOUND).upset_by == ""
    put(inspection, AS_LEFT, steering__play="2")
    row = inspection.results.derived_row("toe", "toe", None, AS_FOUND)
    assert row.upset_by == "steering"
    step = inspection.results.step("toe")
    assert step.state == "again" and not step.failed  # a verdict that was upset counts no more


def test_whoever_works_is_told_what_it_upset_once(marked):
    said = put(marked, AS_LEFT, slides__height__PTO="32")
    assert said == (
        "'slides' upset 'pump' (pump): measure it again as left; the same value will do.",
    )
    assert put(marked, AS_LEFT, slides__height__MAG="32") == ()


def test_the_same_value_as_left_will_do(marked):
    put(marked, AS_LEFT, slides__height__PTO="32")
    put(marked, AS_LEFT, pump__mark="yes")
    assert state(marked, "pump") == "done"
    assert marked.results.step("pump").upset_by == ""


def test_only_a_reading_as_left_does(marked):
    put(marked, AS_LEFT, slides__height__PTO="32")
    put(marked, pump__mark="yes", idle__speed="1600")
    assert state(marked, "pump") == "done"  # as found, and later than the work
    put(marked, AS_LEFT, pump__mark="yes")
    put(marked, AS_LEFT, idle__speed="1650")
    put(marked, pump__mark="yes")
    assert state(marked, "pump") == "again"  # as left stands, and is older


def test_the_latest_work_is_named(marked):
    put(marked, AS_LEFT, slides__height__PTO="32")
    put(marked, AS_LEFT, idle__speed="1650")
    assert marked.results.step("pump").upset_by == "idle"


def test_work_that_was_taken_back_upsets_nothing(marked):
    put(marked, AS_LEFT, slides__height__PTO="32")
    marked.take_back()
    assert state(marked, "pump") == "done"


def test_readings_as_found_upset_nothing(marked):
    put(marked, slides__height__PTO="31.5")
    assert state(marked, "pump") == "done"


def test_what_is_recorded_after_the_work_is_not_stale(inspection):
    put(inspection, AS_LEFT, idle__speed="1650")
    put(inspection, pump__mark="yes", pump__note="dry")
    assert state(inspection, "pump") == "done"


def test_a_reading_that_a_derived_value_is_judged_by_goes_stale_too(inspection):
    put(inspection, toe__front="1003", toe__rear="1000")
    put(inspection, AS_LEFT, steering__play="1")
    toe = inspection.results.step("toe")
    assert (toe.state, toe.stale) == ("again", (("front", None), ("rear", None)))
    put(inspection, AS_LEFT, toe__front="1003")
    assert inspection.results.step("toe").stale == (("rear", None),)
    put(inspection, AS_LEFT, toe__rear="1000")
    assert state(inspection, "toe") == "done"


def test_a_stale_failure_counts_as_not_made_and_the_step_as_not_passed(inspection):
    put(inspection, pump__mark="no", pump__note="x")
    assert inspection.results.step("pump").failed
    put(inspection, AS_LEFT, idle__speed="1650")
    assert not inspection.results.step("pump").failed
    assert inspection.job.plan.stops_start == ("pump",)
    (blocker,) = (each for each in inspection.results.blockers if each.id == "pump")
    assert blocker.kind == "safety" and "'idle' upset it: mark." in blocker.text


STEPS = st.sampled_from(["pump__mark", "slides__height__PTO", "idle__speed"])
ACTS = st.lists(st.tuples(STEPS, st.sampled_from([AS_FOUND, AS_LEFT])), max_size=12)


@given(ACTS)
def test_stale_is_what_stands_from_before_the_last_work_as_left(acts):
    entries = [*_opened()]
    for place, phase in acts:
        entries.append(_reading(len(entries), place, phase))
    results = evaluate_entries(entries).results
    pump = [at for at, act in enumerate(acts) if act == ("pump__mark", AS_LEFT)] or [
        at for at, act in enumerate(acts) if act == ("pump__mark", AS_FOUND)
    ]
    work = [at for at, act in enumerate(acts) if act[1] == AS_LEFT and act[0] != "pump__mark"]
    stale = bool(pump) and bool(work) and pump[-1] < work[-1]
    assert (results.step("pump").state == "again") == stale


def _opened():
    from datetime import UTC, datetime

    from inspect_tui.core.model.log_entry import Entry

    at = datetime(2026, 11, 2, tzinfo=UTC)
    keys = {"session": "s", "checklist": LIST, "machine": sheet(), "program": "t", "format": 1}
    return [Entry(0, "opened", at, "R", keys)]


def _reading(n, place, phase):
    from dataclasses import replace

    step, reading, *cylinder = place.split("__")
    value = True if reading == "mark" else 31
    keys = {
        "step": step, "reading": reading, "phase": phase, "entered": "yes" if value is True
        else "31", "value": value, "verdict": "pass", **({"cylinder": cylinder[0]} if cylinder
        else {}),
    }  # fmt: skip
    return replace(_opened()[0], n=n, kind="reading", keys=keys)


# --- left out -----------------------------------------------------------------------------------


def test_what_the_job_does_not_take_in_is_left_out(begin):
    inspection = begin(only=["carburettors", "ride"])
    states = {each.step.id: each.state for each in inspection.results.steps}
    assert states == {
        "pump": "open", "slides": "open", "idle": "open", "toe": "left-out",
        "steering": "left-out", "ride": "open",
    }  # fmt: skip
    assert inspection.results.left_out == (
        "Left out of this job: the safety steps 'toe' and 'steering'."
    )
    plan = inspection.job.plan
    assert (plan.done, plan.of, plan.stops_move) == (0, 4, ())
    assert not any(each.id in ("toe", "steering") for each in inspection.results.blockers)
    assert inspection.results.step("ride").advice == (
        "Before the engine runs: 'pump' was not done.",
        "Before the machine moves: 'steering' is left out of this job.",
    )


def test_a_job_is_widened_by_sections_and_steps(begin):
    inspection = begin(only=["idle"])
    assert inspection.job.widen(["toe", "carburettors", "idle"]) == ("toe", "carburettors")
    left_out = [each.step.id for each in inspection.results.steps if each.state == "left-out"]
    assert left_out == ["steering", "ride"]
    assert inspection.job.widen(["toe"]) == ()
    with pytest.raises(BadInput, match="no section or step 'toes'"):
        inspection.job.widen(["toes"])


def test_a_session_takes_all_in_unless_it_says_otherwise(begin):
    assert begin().results.left_out == ""
    with pytest.raises(BadInput, match="no section or step 'brakes'"):
        begin(only=["brakes"])


def test_a_step_that_was_added_is_of_the_job(begin):
    inspection = begin(only=["idle"])
    step = inspection.add_step("front", "Noise")
    assert state(inspection, step) == "open"


def test_items_of_ones_own_are_of_every_job(begin):
    inspection = begin(only=["idle"], items=["Look under the seat"])
    assert state(inspection, "own-1") == "open"


def test_the_sign_off_names_what_is_left_out(begin):
    inspection = begin(only=["idle"])
    put(inspection, idle__speed="1700")
    inspection.sign("R. Tester")
    assert inspection.session.signed.left_out == (inspection.results.left_out,)
    assert "'pump', 'toe' and 'steering', and 2 other steps." in inspection.results.left_out


# --- unknown ------------------------------------------------------------------------------------


def test_unknown_is_an_answer_without_a_value(inspection):
    put(inspection, pump__mark="?", pump__note="Unknown")
    entries = [each for each in inspection.entries if each.kind == "reading"]
    assert ["value" in each.keys for each in entries] == [False, False]
    assert [each.get("entered") for each in entries] == ["?", "Unknown"]
    row = inspection.results.readings[0]
    assert (row.unknown, row.value, row.judged.verdict) == (True, "unknown", "none")
    assert state(inspection, "pump") == "done"


def test_unknown_is_never_a_pass_of_a_safety_step(inspection):
    put(inspection, pump__mark="yes", pump__note="?")
    assert inspection.job.plan.stops_start == ("pump",)
    put(inspection, pump__note="dry")
    assert inspection.job.plan.stops_start == ()
    put(inspection, AS_LEFT, pump__mark="unknown")
    (blocker,) = (each for each in inspection.results.blockers if each.id == "pump")
    assert "'mark' is not known" in blocker.text and not blocker.is_open


def test_what_rests_on_an_unknown_reading_has_no_verdict_and_says_why(inspection):
    put(inspection, toe__front="?", toe__rear="1000")
    (row,) = inspection.results.derived
    assert (row.value, row.judged.verdict) == (None, "none")
    assert row.reason == "'front' is not known"


def test_unknown_fails_where_the_list_says_so(places, clock):
    text = checklist(step("fluid", reading("age", unit="month", limit="{ max = 24 }",
                                           unknown='"fail"')))  # fmt: skip
    (places.checklists / "list.toml").write_text(text, encoding="utf-8")
    (places.machines / "bed.toml").write_text(sheet(), encoding="utf-8")
    with Inspection.new(places, "list", "bed", "R. Tester", clock) as inspection:
        put(inspection, fluid__age="unknown")
        assert inspection.results.readings[0].judged.verdict == "fail"
        assert [each.id for each in inspection.results.findings] == ["fluid.age"]


# --- as left, where one move changes several ----------------------------------------------------


def test_old_beside_new_is_no_measurement(inspection):
    put(inspection, toe__front="1000", toe__rear="1000")
    assert [row.judged.verdict for row in inspection.results.derived] == ["fail"]
    (said,) = put(inspection, AS_LEFT, toe__front="1003")
    assert said == (
        "'rear' moved with it: measure 'rear' again as left too. Till then what is worked out "
        "from it stands as found."
    )
    (row,) = inspection.results.settings
    assert (row.move, row.waits_for, row.rests_on) == (None, ("rear",), ("front", "rear"))
    assert [row.phase for row in inspection.results.derived] == [AS_FOUND]
    assert inspection.results.step("toe").failed
    put(inspection, AS_LEFT, toe__rear="1000")
    assert [row.judged.verdict for row in inspection.results.derived] == ["fail", "pass"]
    assert not inspection.results.step("toe").failed


# --- the plan -----------------------------------------------------------------------------------


def test_the_plan_of_a_session_that_was_left(marked):
    put(marked, AS_LEFT, slides__height__PTO="29")
    marked.skip("ride", "snow is gone")
    plan = plan_of(marked.session, marked.results)
    assert plan == marked.job.plan
    assert plan.stops_start == ("pump",)
    assert plan.stops_move == ("steering",)
    assert plan.again == ("pump",)
    assert plan.to_decide == ("slides.height@PTO",)
    assert [(each.section, each.steps, each.minutes, each.tools) for each in plan.to_do] == [
        ("carburettors", ("pump",), 4, ("mirror",)), ("front", ("toe", "steering"), 0, ()),
    ]  # fmt: skip
    assert (plan.minutes_left, plan.done, plan.of, plan.next) == (4, 3, 6, "pump")


def test_gates_come_first_and_a_failed_step_is_not_gone_back_to(inspection):
    assert inspection.job.plan.next == "pump"
    put(inspection, pump__mark="no", pump__note="x")
    assert inspection.job.plan.next == "steering"
    put(inspection, steering__play="1")
    assert inspection.job.plan.next == "slides"


def test_nothing_is_next_when_all_is_done(begin):
    inspection = begin(only=["idle"])
    put(inspection, idle__speed="1700")
    plan = inspection.job.plan
    assert (plan.next, plan.to_do, plan.minutes_left, plan.done, plan.of) == (None, (), 0, 1, 1)


# --- what can't be changed ----------------------------------------------------------------------


def test_a_session_set_aside_takes_nothing_more(inspection):
    put(inspection, idle__speed="1700")
    inspection.job.set_aside("the wrong machine")
    assert inspection.read_only
    for act in (
        inspection.take_back,
        lambda: put(inspection, idle__speed="1600"),
        lambda: inspection.job.widen(["toe"]),
        lambda: inspection.job.set_aside("twice"),
        lambda: inspection.sign("R. Tester", "all of it"),
    ):
        with pytest.raises(Refused, match="was set aside"):
            act()


def test_the_last_reading_is_taken_back_and_before_it_the_one_before(inspection):
    put(inspection, idle__speed="1700")
    put(inspection, idle__speed="2500")
    assert inspection.take_back() == "Taken back: idle.speed as found, 2500."
    assert inspection.results.readings[0].entered == "1700"
    inspection.take_back()
    assert not inspection.results.readings
    with pytest.raises(Refused, match="no reading to take back"):
        inspection.take_back()


OPTIONAL = checklist(
    step("needed", MARK),
    step("extra", reading("note", kind="text", optional="true")),
    step("both", MARK, reading("note", kind="text", optional="true")),
)


@pytest.mark.parametrize(
    ("said", "done"),
    [
        ((), 0),
        ((said_at("extra.note", "rust"),), 1),
        ((said_at("needed.mark", "yes"),), 1),
        ((said_at("needed.mark", "yes"), said_at("extra.note", "rust")), 2),
        ((said_at("both.note", "rust"),), 0),
    ],
)
def test_a_step_of_optional_readings_counts_from_the_first_thing_said_at_it(said, done):
    """It is done, as the plan of the program says, but a count may not begin with it."""
    stands = evaluated(OPTIONAL, *said)
    assert stands.results.step("extra").state == "done"
    count = plan_of(stands.session, stands.results)
    assert (count.done, count.of) == (done, 3)


def test_a_step_of_optional_readings_counts_once_it_was_skipped(places, clock):
    (places.checklists / "list.toml").write_text(OPTIONAL, encoding="utf-8")
    (places.machines / "bed.toml").write_text(sheet(), encoding="utf-8")
    with Inspection.new(places, "list", "bed", "R. Tester", clock) as held:
        held.skip("extra", "no time")
        count = plan_of(held.session, held.results)
        assert (held.results.step("extra").state, count.done, count.of) == ("skipped", 1, 3)


def advised(lot, *readings):
    return {one.step.id: one.advice for one in evaluated(lot, *readings).results.steps}


def test_what_should_come_first_is_said_until_it_is_done():
    lot = checklist(
        step("guard", reading("x")),
        step("fan", reading("x"), after='["guard"]'),
        step("shroud", reading("x"), after='["guard"]', disturbed_by='["guard"]'),
    )
    said = "'guard' should come before this step and is open."
    before = advised(lot)
    assert before["fan"] == (said,)
    # Recorded as found before that one's work, and measured again after it: neither comes first.
    assert said not in before["shroud"] and before["guard"] != ()
    after = advised(lot, said_at("guard.x", "1"))
    assert after["fan"] == ()


def test_as_many_steps_as_the_time_takes_to_the_minute():
    lot = checklist(
        step("one", reading("x"), minutes="10"), step("two", reading("x"), minutes="5"),
        step("three", reading("x"), minutes="6", tools='["rule"]'),
    )  # fmt: skip
    results = evaluated(lot).results
    for minutes, tool, ids, taken in (
        (15, "", ["one", "two"], 15), (14, "", ["one"], 10), (16, "", ["one", "two"], 15),
        (None, "", ["one", "two", "three"], 21), (6, "rule", ["three"], 6), (5, "rule", [], 0),
    ):  # fmt: skip
        found = fits(results, minutes, tool)
        assert ([one.step.id for one in found.steps], found.minutes) == (ids, taken)
