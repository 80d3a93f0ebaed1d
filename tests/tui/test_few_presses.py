"""Cold hands and a numeric pad: one press where one is enough, and never one too few."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.model.targets import Target
from inspect_tui.tui.walk import one_press, question_text
from inspect_tui.tui.walk.actions import ACTIONS
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, reading, section, step
from tests.tui.plain_walk import PlainWalk

CRACKS, PICTURE = Target("belt", "cracks"), Target("belt", "picture")
CHECKLIST = checklist(
    section("work"),
    step(
        "compression",
        reading("cold", unit="kPa", label="Cold"),
        reading("warm", unit="kPa", label="Warm"),
        title="Compression",
        per="cylinder",
    ),
    step(
        "pulleys",
        reading("turns", "choice", label="Turns", options='["1 turn", "2 turns"]'),
        reading(
            "faces",
            "choice",
            label="Faces",
            options='["smooth", "scored", "blue"]',
            limit='{ equal = ["smooth", "scored"] }',
        ),
        title="Pulleys",
    ),
    step(
        "tight",
        reading("start", unit="kPa", label="Pressure at the start"),
        reading("held", "timer", label="Held", limit='{ min = "5 min" }'),
        reading("end", unit="kPa", label="Pressure at the end"),
        title="Tightness",
    ),
    step(
        "last",
        reading("clear", "check", label="Clear", limit="{ equal = false }"),
        reading("said", "text", label="Said"),
        title="Last",
        caution='"Stand clear."',
    ),
    id_="few",
    revision=1,
)


@pytest.fixture
def few(places, clock):
    """A session of the list above."""
    (places.checklists / "few.toml").write_text(CHECKLIST, encoding="utf-8")
    with Inspection.new(places, "few", "test-bed", "R. Tester", clock) as inspection:
        return inspection.session.id


def test_a_digit_answers_a_choice_at_once_and_its_enter_does_nothing(walk, session):
    at = walk(session)
    at.type("32", "enter")
    at.press("3")
    assert at.entered[-1] == ("cracks", None, "through") and at.target == PICTURE
    at.press("enter")
    assert at.target == PICTURE  # an optional reading is not left out by it
    at.press("enter")
    assert at.state.step == "guard" and "Left out: Picture" in at.text


@pytest.mark.parametrize(("key", "entered"), [("1", "yes"), ("0", "no"), ("+", "yes")])
def test_one_key_answers_a_check(walk, session, key, entered):
    at = walk(session, at="look")
    at.press(key)
    assert at.entered == [("done", None, entered)]


def test_plus_is_the_wanted_answer_of_a_choice_and_of_a_check(walk, session, few):
    at = walk(session)
    at.type("32", "enter", "+")
    assert at.entered[-1] == ("cracks", None, "none")
    other = walk(few, at="last")
    other.press("enter", "+")
    assert other.entered == [("clear", None, "no")]


def test_a_digit_that_stands_for_nothing_is_text(walk, session, few):
    at = walk(session)
    at.type("32", "enter")
    at.press("4")
    assert at.field == "4" and len(at.entered) == 1
    other = walk(few, at="pulleys")
    other.press("2")
    assert other.field == "2" and other.entered == []  # the options begin with digits
    other.type(" turns", "enter")
    other.press("+")
    assert other.field == "+"  # two answers are wanted
    other.press("enter")
    assert "✗" in other.text and len(other.entered) == 1


def test_answers_in_one_burst_land_one_by_one(walk, session):
    at = walk(session)
    at.burst("32\r2\r\r")  # the second Enter leaves out the picture
    assert at.entered == [("width", None, "32"), ("cracks", None, "surface")]
    assert at.state.step == "guard"


def test_an_answer_at_a_caution_waits_and_its_enter_confirms_nothing(walk, session):
    at = walk(session, at="guard")
    at.press("1", "enter")
    assert at.held == [("yes", True)] and "waits, in this order: yes → Guard is on" in at.text
    assert not at.state.known.caution_confirmed("guard")
    at.press("enter")
    assert at.entered == [("on", None, "yes")]


def test_space_confirms_a_caution_that_was_seen(walk, session):
    at = walk(session, at="guard")
    at.press(" ")
    assert at.state.known.caution_confirmed("guard")
    at.press("1", "/", "n")
    assert at.entered == [("on", None, "yes")]
    at.controller.go_to_target(Target("first-start", "ran"))
    at.type(" 1", "enter")  # before the caution was drawn it confirms nothing
    assert at.state.gate is not None and at.held == [("yes", True)]


def test_an_answer_that_the_disk_refuses_stays_in_the_field(walk, session, monkeypatch):
    at = walk(session, at="look")
    with monkeypatch.context() as broken:
        broken.setattr(Inspection, "record", lambda *given, **named: 1 / 0)
        at.press("1")
        assert at.field == "yes" and "ZeroDivisionError" in at.text
    at.press("enter")
    assert at.entered == [("done", None, "yes")]


def test_a_question_mark_is_not_known_for_every_kind(walk, few):
    at = walk(few)
    for _ in range(11):
        at.type("?", "enter")
    at.press("enter")  # the caution of the last step
    for _ in range(2):
        at.type("?", "enter")
    assert {row.reading for row in at.results.readings} == {
        "cold", "warm", "turns", "faces", "start", "held", "end", "clear", "said",
    }  # fmt: skip
    assert all(row.unknown and row.judged.verdict == "none" for row in at.results.readings)


def test_an_optional_reading_is_asked_once(walk, session):
    at = walk(session)
    at.type("32", "enter", "1")
    assert at.target == PICTURE and "Enter: none" in at.text
    at.press("enter", "enter")  # the first one belongs to the answer before
    assert at.state.step == "guard"
    at.go("belt")
    assert at.state.step == "belt"
    at.press("f3")
    assert at.state.step == "guard"
    assert at.entries("reading") == 2


def test_a_reading_that_is_open_keeps_f3_where_it_is(walk, session):
    at = walk(session)
    at.press("f3")
    assert at.target == Target("belt", "width") and "Down goes past it" in at.text
    at.press("down", "down")
    at.press("f3")
    assert at.state.step == "guard"


@pytest.mark.parametrize("key", ["tab", "down", "pagedown", "f4"])
def test_keys_that_lead_elsewhere_record_nothing(walk, session, key):
    at = walk(session)
    if key == "f4":
        at.desk.inspection.add_finding("jets", "bent")
        at.controller.show(at.desk.view())
    at.type("31.5")
    at.press(key)
    assert at.target != Target("belt", "width") and at.entered == []
    assert "waits for Width (Belt x[/]y): 31.5" in at.text


def test_a_refused_text_does_not_trap(walk, session):
    at = walk(session)
    at.type("abc", "enter")
    at.press("down")
    assert at.target == CRACKS and at.field == ""
    at.press("up", "escape")
    assert at.field == "" and at.state.not_entered == []
    at.type("abc", "enter")
    at.press("escape")
    assert at.field == "" and "Cleared: abc" in at.text


def test_the_unit_typed_last_stays_in_its_row_and_is_seen(walk, few):
    at = walk(few)
    at.type("95 psi", "enter")
    assert at.state.unit == "psi"
    at.type("94")
    assert at.state.entry == "94 psi" and "not entered yet: 648" in at.text
    at.press("enter")
    at.type("93;92", "enter")
    assert [entered for _, _, entered in at.entered] == ["95 psi", "94 psi", "93;92 psi"]
    assert at.target == Target("compression", "warm", "PTO") and at.state.unit == ""
    at.type("700", "enter")
    assert at.entered[-1] == ("warm", "PTO", "700")
    at.press("up")
    assert at.state.unit == ""  # it ended with its row


def test_a_typed_unit_takes_the_place_of_the_one_that_stays(walk, few):
    at = walk(few)
    at.burst("95 psi\r655 kPa\r650\r")
    assert [entered for _, _, entered in at.entered] == ["95 psi", "655 kPa", "650 kPa"]


def test_backspace_on_the_empty_field_takes_the_unit_away(walk, few):
    at = walk(few)
    at.type("95 psi", "enter")
    at.press("backspace")
    assert at.state.unit == "kPa" and "no longer in psi" in at.text
    at.press("backspace")
    assert at.state.unit == "kPa"
    at.type("650", "enter")
    assert at.entered[-1] == ("cold", "centre", "650 kPa")


def test_a_persons_own_unit_comes_from_their_settings(walk, few):
    at = walk(few, units={"kPa": "psi"})
    assert at.state.unit == "psi" and "a number" in at.text
    at.type("95", "enter")
    assert at.entered == [("cold", "PTO", "95 psi")]
    at.press("backspace")
    at.type("650", "enter")
    assert at.entered[-1] == ("cold", "centre", "650 kPa")


def test_a_probable_slip_is_asked_about_before_it_is_saved(walk, session):
    at = walk(session)
    at.burst("310\rnone\r")
    assert at.entered == [] and at.field == "310" and at.held == [("none", True)]
    assert "was it 31" in at.text and "Enter again saves it as it is" in at.text
    at.press("enter")
    assert at.entered == [("width", None, "310"), ("cracks", None, "none")]
    at.go("belt")
    at.type("315", "enter")
    at.type("31.5", "enter")  # another text is another value
    assert at.entered[-1] == ("width", None, "31.5")


def test_what_is_said_names_no_ids(walk, session):
    at = walk(session)
    at.type("abc", "enter")
    assert "belt.width" not in at.text and "✗ Width: " in at.text


def test_a_timer_starts_and_stops_with_enter_and_rings_once(walk, few):
    at = walk(few, at="tight")
    at.type("50", "enter")
    assert "Enter starts it" in at.text
    at.press("enter")
    assert "the bell rings at 5:00" in at.text and "Enter stops it" in at.text
    at.time += 299 - (at.time - at.state.timer.started)
    assert not at.tick()
    at.time += 1
    assert at.tick() and not at.tick()
    at.time += 61 - (at.time - at.state.timer.started) + 300
    at.press("enter")
    assert at.entered[-1] == ("held", None, "6:01") and at.state.timer is None
    assert at.target == Target("tight", "end")


def test_one_press_too_many_neither_starts_nor_stops_a_timer(walk, few):
    at = walk(few, at="tight")
    at.burst("50\r\r")
    assert at.state.timer is None
    at.press("enter")
    at.time -= 1.5
    at._key("enter")
    assert at.state.timer is not None and len(at.entered) == 1
    at.time += 3
    at.press("enter")
    assert len(at.entered) == 2


def test_a_timer_runs_on_elsewhere_and_is_let_go_by_escape(walk, few):
    at = walk(few, at="tight")
    at.type("50", "enter")
    at.press("enter", "up", "escape")
    assert at.state.timer is not None
    at.press("down", "escape")
    assert at.state.timer is None and "not recorded" in at.text
    assert [reading for reading, _, _ in at.entered] == ["start"]


def test_a_time_can_still_be_typed_while_it_runs(walk, few):
    at = walk(few, at="tight")
    at.type("50", "enter")
    at.press("enter")
    at.type("5:10", "enter")
    assert at.entered[-1] == ("held", None, "5:10") and at.state.timer is None


def test_a_slash_on_the_empty_field_opens_the_short_menu(walk, session):
    at = walk(session)
    at.press("/")
    for action in ACTIONS:
        if action.letter:
            assert action.label in at.text
    at.press("g")
    at.type("jets", "enter")
    assert at.state.step == "jets"
    at.press("/", "escape", "/", "/")
    assert not at.state.is_menu_open and at.field == "" and at.entered == []
    at.type("1/2")
    assert at.field == "1/2"
    at.press("escape", "/", "?")
    assert "no letter of the menu" in at.text


def test_each_letter_of_the_menu_stands_for_one_action():
    letters = [action.letter for action in ACTIONS if action.letter]
    assert len(letters) == len(set(letters)) and all(len(letter) == 1 for letter in letters)
    second = {action.key for action in ACTIONS if action.letter}
    assert {"ctrl+q", "ctrl+s", "f1", "f10", "f11"} <= second


def test_the_last_reading_is_taken_back_and_asked_again(walk, session):
    at = walk(session)
    at.type("30", "enter")
    at.press("ctrl+z")
    assert at.entered == [] and at.target == Target("belt", "width")
    assert "Taken back: Width 30" in at.text and 'kind = "withdrawn"' in at.log
    at.type("32", "enter")
    at.press("up")
    at.type("33", "enter", "ctrl+z")
    assert at.entered == [("width", None, "32")] and "32 mm stands again" in at.text


def test_the_last_ten_saved_can_be_seen(walk, session):
    at = walk(session)
    at.press("/", "l")
    assert "Nothing is saved yet" in at.text
    at.press("escape")
    at.type("32", "enter", "1")
    at.press("/", "l")
    assert "LAST SAVED" in at.text and at.text.index("Cracks (Belt") < at.text.index("Width (Belt")


def test_the_wanted_answer_is_the_one_that_the_limit_names():
    check = Reading("x", "X", "check")
    choice = Reading("x", "X", "choice", options=("a", "b"))
    assert one_press.wanted_answer(check, None) == "yes"
    assert one_press.wanted_answer(check, ToleranceInterval(equal=(False,))) == "no"
    assert one_press.wanted_answer(choice, None) == ""
    assert one_press.wanted_answer(choice, ToleranceInterval(equal=("b",))) == "b"
    assert one_press.wanted_answer(choice, ToleranceInterval(equal=("a", "b"))) == ""


GUARDED = checklist(
    section("work"),
    step("one", reading("a", "check"), reading("b", "check"), title="One", caution='"Hot."'),
    step("two", reading("c", "check"), title="Two"),
    id_="guarded",
    revision=1,
)


@pytest.fixture
def guarded(places, clock):
    """A session of the list above, not begun."""
    (places.checklists / "guarded.toml").write_text(GUARDED, encoding="utf-8")
    with Inspection.new(places, "guarded", "test-bed", "R. Tester", clock) as inspection:
        yield inspection


def at_the_caution(inspection):
    walk = PlainWalk(inspection)
    walk.open()
    assert walk.state.gate is not None and walk.state.gate.step == "one"
    return walk


def test_single_presses_at_a_caution_answer_no_step_that_is_not_in_sight(guarded):
    at = at_the_caution(guarded)
    at.press("1", "1", "1")
    assert "not in sight" in at.text
    at.press(" ")
    assert at.entered == [("a", None, "yes"), ("b", None, "yes")]
    assert at.target == Target("two", "c")


def test_unchanged_waits_for_the_caution_too(guarded):
    guarded.record([(Target("one", "a"), "yes")], "as-found")
    at = at_the_caution(guarded)
    at.do("left_as_found")
    assert at.entries("reading") == 1 and "Confirm the caution first" in at.text
    at.press(" ")
    at.do("left_as_found")
    assert at.entries("reading") == 2


def test_a_space_too_many_hides_no_answer(guarded):
    at = at_the_caution(guarded)
    at.press(" ", " ", "1")
    assert at.entered == [("a", None, "yes")]


def test_the_unit_stays_where_a_reading_is_taken_back(walk, few):
    at = walk(few, at="compression")
    at.type("95 psi", "enter")
    at.press("ctrl+z")
    assert at.state.unit == "psi"
    at.type("96", "enter")
    assert at.entered[-1] == ("cold", "PTO", "96 psi")


def test_an_enter_that_was_not_needed_is_said_behind_what_was_saved(walk, session):
    at = walk(session)
    at.type("32", "enter", "3")
    assert "did nothing" not in at.text
    at.press("enter")
    assert "saved: Cracks through" in at.text and "that Enter did nothing" in at.text
    at.press("/", "enter", "escape")
    assert at.text.count("did nothing") == 1


@pytest.mark.parametrize(
    ("text", "stands"),
    [("", True), ("95", True), ("1-", True), ("1-1/4", True), ("95 k", False), ("655 kPa", False),
     ("one and a half", True)],
)  # fmt: skip
def test_the_unit_of_the_row_goes_once_another_one_is_typed(text, stands):
    assert one_press.takes_unit(text, Reading("x", "X", "number", unit="kPa")) == stands


def test_a_step_of_another_list_is_asked_for_from_the_prompt_and_the_menu(walk, session):
    at = walk(session)
    at.press("/", "j")
    at.type("pressure", "tab")
    assert at.opened == ["take_step"] and at.field == "pressure"
    inspection = at.desk.inspection
    step = inspection.job.add_line("drive", "Pressure | kPa")
    at.controller.show(at.desk.view())
    at.controller.step_taken(step)
    at.look()
    assert at.state.step == step and at.state.prompt is None and "Taken in: Pressure" in at.text
    at.press("/", "*")
    assert at.opened == ["take_step"] * 2


AIR = checklist(
    section("s"),
    step(
        "air",
        reading("report", unit="hPa", label="Sea-level pressure", condition='"qnh"'),
        reading("gauge", unit="kPa", label="Gauge"),
        title="Air",
    ),
    id_="airy",
)


def test_the_weather_stays_in_the_lists_unit_whatever_a_gauge_is_read_in(walk, places, clock):
    (places.checklists / "airy.toml").write_text(AIR, encoding="utf-8")
    with Inspection.new(places, "airy", "test-bed", "R. Tester", clock) as inspection:
        session = inspection.session.id
    at = walk(session, units={"kPa": "psi", "hPa": "psi"})
    assert at.state.unit == ""
    at.type("1013 psi", "enter")
    assert at.entered == [] and "1013 psi can't be" in at.text
    at.press("escape")
    at.type("29.92 inHg", "enter")
    assert at.entered == [("report", None, "29.92 inHg")] and at.state.unit == "psi"
    at.press("ctrl+z")
    assert at.state.unit == ""
    at.type("1013", "enter")
    assert at.entered == [("report", None, "1013")]


@pytest.mark.parametrize(("key", "answer"), [("3", "through"), ("+", "none")])
def test_one_press_offers_to_change_an_answer_that_stands(walk, session, key, answer):
    at = walk(session)
    at.type("32", "enter", "2")
    at.go("belt")
    at.press("down")
    while at.target != CRACKS:
        at.press("up")
    at.press(key)
    stood = [("width", None, "32"), ("cracks", None, "surface")]
    assert at.entered == stood and at.target == CRACKS and at.field == answer
    assert f"It is 'surface'. Enter changes it to '{answer}', Esc leaves it." in at.text
    at.press("escape")
    assert at.entered == stood and at.field == "" and at.target == CRACKS
    at.press("2")
    assert at.entered == stood and "It is 'surface' already" in at.text and at.field == ""
    at.press(key, "enter")
    assert at.entered == [("width", None, "32"), ("cracks", None, answer)]


def test_another_press_offers_another_answer_and_a_burst_changes_none(walk, session):
    at = walk(session)
    at.type("32", "enter", "2")
    at.controller.go_to_target(CRACKS)
    at.press("1", "3")
    assert at.field == "through" and at.entered[-1] == ("cracks", None, "surface")
    at.press("escape")
    at.burst("1\r")  # the Enter came before the question was seen
    assert at.entered[-1] == ("cracks", None, "surface") and at.field == "none"
    at.press("enter")
    assert at.entered[-1] == ("cracks", None, "none")


def test_what_is_typed_and_not_saved_goes_before_a_reading_is_taken_back(walk, session):
    at = walk(session)
    at.type("32", "enter", "2")
    at.controller.go_to_target(Target("belt", "width"))
    at.type("310", "enter")
    assert "was it 31" in at.text
    at.press("ctrl+z")
    assert "Cleared, not saved: 310. Ctrl+Z takes a saved one back." in at.text
    assert len(at.entered) == 2 and at.field == "" and at.target == Target("belt", "width")
    at.press("ctrl+z")
    assert at.entered == [("width", None, "32")] and at.target == CRACKS


@pytest.mark.parametrize("kind", ["number", "count", "text", "photo", "date", "check"])
@pytest.mark.parametrize("known", [True, False])
def test_the_hint_of_an_optional_reading_has_room_in_the_field(kind, known, monkeypatch):
    """The field has 28 cells at 80 columns."""
    reading = Reading("r", "Reading", kind, unit="kg/cm**2" if kind == "number" else "")
    state = SimpleNamespace(unit="", is_asked_once=True, timer=None, target=None)
    monkeypatch.setattr(question_text.last_time, "is_known", lambda _: known)
    hint = question_text.hint_of(state, reading)
    assert hint.endswith("Enter: known" if known else "Enter: none") and len(hint) <= 28


def test_at_a_caution_a_press_offers_the_change_once_it_is_confirmed(walk, session, places, clock):
    with Inspection.open(places, session, clock) as inspection:
        inspection.record([(Target("guard", "on"), "yes")], "as-found")
    at = walk(session, at="guard")
    at.press("0")
    assert at.held == [("no", False)]
    at.press("ctrl+z")
    assert "Cleared, not saved: no." in at.text and at.held == []
    assert at.entered == [("on", None, "yes")]
    at.press("0", "enter", " ")
    assert at.entered == [("on", None, "yes")] and at.field == "no"
    at.press("enter")
    assert at.entered == [("on", None, "no")]
