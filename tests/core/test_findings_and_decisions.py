"""Findings under what explains them, and how long a decision holds."""

from __future__ import annotations

import pytest

from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.errors import Refused
from inspect_tui.tui.base.desk import Desk
from inspect_tui.workflow.inspection import Inspection, Target, WantedPart
from inspect_tui.workflow.job import TypedFigure
from tests.builders import checklist, derived, inference, reading, section, sheet, step

LIST = checklist(
    section("drive", "Drive"),
    step("belt", reading("width", limit='{ min = "spec.belt_min" }'), reading("new"),
         reading("worn", limit='{ min = "new - \'1 mm\'" }')),
    step("boots", reading("crack", kind="choice", options='["none", "through"]',
                          limit='{ equal = "none" }'),
         reading("bolts", kind="count", limit="{ min = 4 }", optional="true"), per="cylinder"),
    step("plugs", reading("colour", kind="choice", options='["tan", "light", "dark"]',
                          limit='{ equal = "tan" }'),
         reading("gap", limit="{ min = 0.5, max = 0.8 }"),
         reading("old", optional="true"),
         derived("wide", "gap - '0.7 mm'", limit="{ max = 0.05 }"),
         derived("grown", "gap - old", limit="{ max = 0.1 }"), per="cylinder"),
    step("jets", reading("main", unit="", limit='{ equal = "spec.main_jet" }'), per="cylinder"),
    step("brake", reading("lever", limit="{ max = 20 }"), safety="true",
         disturbed_by='["belt"]'),
    inference("leak", "boots.crack == 'through' and plugs.colour == 'light'", per='"cylinder"',
              sure='"medium"', explains='["plugs.colour", "boots.crack", "boots.bolts"]'),
    inference("rich", "plugs.colour == 'light' and plugs.gap > '0.9 mm'", per='"cylinder"',
              sure='"high"'),
)  # fmt: skip
SHEET = sheet(spec={"belt_min": '"31 mm"', "main_jet": "[240, 230]"})


@pytest.fixture
def inspection(places, clock):
    (places.checklists / "list.toml").write_text(LIST, encoding="utf-8")
    (places.machines / "bed.toml").write_text(SHEET, encoding="utf-8")
    with Inspection.new(places, "list", "bed", "R. Tester", clock) as begun:
        yield begun


def put(inspection, phase=AS_FOUND, /, **values):
    inspection.record([(Target(*place.split("__")), text) for place, text in values.items()], phase)


def finding(inspection, name):
    return next((each for each in inspection.results.findings if each.id == name), None)


def under(inspection):
    return {each.id: each.under for each in inspection.results.findings}


# --- what explains what -------------------------------------------------------------------------


def test_findings_stand_under_the_inference_that_explains_them_by_cylinder(inspection):
    put(inspection, boots__crack__PTO="through", plugs__colour__PTO="light",
        plugs__colour__MAG="dark")  # fmt: skip
    assert under(inspection) == {
        "I.leak@PTO": None, "boots.crack@PTO": "I.leak@PTO", "plugs.colour@PTO": "I.leak@PTO",
        "plugs.colour@MAG": None,
    }  # fmt: skip


def test_of_two_that_explain_a_finding_the_surer_one_counts(inspection):
    put(inspection, boots__crack__PTO="through", plugs__colour__PTO="light",
        plugs__gap__PTO="1.0")  # fmt: skip
    found = under(inspection)
    assert found["plugs.colour@PTO"] == "I.rich@PTO"
    assert found["boots.crack@PTO"] == "I.leak@PTO"
    # By default what `when` names, and what rests on nothing else.
    assert found["plugs.gap@PTO"] == found["plugs.wide@PTO"] == "I.rich@PTO"


def test_exchanged_jets_explain_their_own_failures(inspection):
    put(inspection, jets__main__PTO="230", jets__main__MAG="240")
    assert under(inspection) == {
        "X.jets": None, "jets.main@PTO": "X.jets", "jets.main@MAG": "X.jets",
    }  # fmt: skip


def test_an_inference_that_no_longer_speaks_explains_nothing(inspection):
    put(inspection, boots__crack__PTO="through", plugs__colour__PTO="light")
    inspection.decide("I.leak@PTO", "put-right")
    put(inspection, AS_LEFT, boots__crack__PTO="none")
    assert not finding(inspection, "I.leak@PTO").open
    assert under(inspection)["plugs.colour@PTO"] is None
    assert not finding(inspection, "plugs.colour@PTO").counts


def test_safety_comes_first_and_each_group_stays_together(inspection):
    put(inspection, belt__width="30", boots__crack__PTO="through", plugs__colour__PTO="light",
        brake__lever="30")  # fmt: skip
    assert [each.id for each in inspection.results.findings] == [
        "brake.lever", "belt.width", "I.leak@PTO", "boots.crack@PTO", "plugs.colour@PTO",
    ]  # fmt: skip


# --- one decision for a group -------------------------------------------------------------------


@pytest.fixture
def leaking(inspection):
    put(inspection, boots__crack__PTO="through", plugs__colour__PTO="light")
    return inspection


def test_a_group_wants_one_decision(leaking):
    assert leaking.job.plan.to_decide == ("I.leak@PTO",)
    part = WantedPart("Intake boot", 1, "420-1")
    leaking.decide("I.leak@PTO", "get-part", "cracked through", part=part)
    for name in ("I.leak@PTO", "boots.crack@PTO", "plugs.colour@PTO"):
        one = finding(leaking, name)
        assert (one.decision, one.counts, one.open) == ("get-part", True, True)
        assert (one.part, one.number, one.why) == ("Intake boot", "420-1", "cracked through")
    assert leaking.job.plan.to_decide == ()
    assert [each.findings for each in leaking.job.parts] == [("I.leak@PTO",)]


def test_a_finding_keeps_the_decision_that_it_got_itself(leaking):
    leaking.decide("plugs.colour@PTO", "later", until="2030-01-01")
    leaking.decide("I.leak@PTO", "run-as-found")
    assert finding(leaking, "plugs.colour@PTO").decision == "later"
    assert finding(leaking, "boots.crack@PTO").decision == "run-as-found"


def test_a_groups_decision_holds_for_the_values_it_was_made_on(leaking):
    leaking.decide("I.leak@PTO", "run-as-found")
    put(leaking, plugs__colour__PTO="dark")
    assert finding(leaking, "I.leak@PTO").open is False  # it no longer speaks
    assert finding(leaking, "plugs.colour@PTO").decision is None
    assert finding(leaking, "boots.crack@PTO").decision is None
    assert leaking.job.plan.to_decide == ("boots.crack@PTO", "plugs.colour@PTO")


def test_a_groups_decision_holds_for_each_finding_by_its_own_value(leaking):
    """The bolts are not what the leak is concluded from, and stand under it all the same."""
    put(leaking, boots__bolts__PTO="3")
    assert under(leaking)["boots.bolts@PTO"] == "I.leak@PTO"
    leaking.decide("I.leak@PTO", "run-as-found")
    assert finding(leaking, "boots.bolts@PTO").counts
    put(leaking, boots__bolts__PTO="2")
    assert finding(leaking, "I.leak@PTO").counts
    assert finding(leaking, "boots.bolts@PTO").decision is None


def test_an_own_decision_that_ran_out_does_not_bring_an_earlier_one_back(leaking):
    put(leaking, boots__bolts__PTO="3")
    leaking.decide("I.leak@PTO", "run-as-found")
    put(leaking, boots__bolts__PTO="2")
    leaking.decide("boots.bolts@PTO", "later", until="2030-01-01")
    put(leaking, boots__bolts__PTO="3")
    assert finding(leaking, "boots.bolts@PTO").superseded_by == "value"
    leaking.decide("I.leak@PTO", "get-part", part=WantedPart("Boot"))
    assert finding(leaking, "boots.bolts@PTO").decision == "get-part"


def test_what_rests_on_more_than_is_explained_stands_alone(inspection):
    put(inspection, plugs__colour__PTO="light", plugs__gap__PTO="1.0", plugs__old__PTO="0.5")
    found = under(inspection)
    assert found["plugs.wide@PTO"] == "I.rich@PTO"
    assert found["plugs.grown@PTO"] is None


# --- how long a decision holds ------------------------------------------------------------------


def test_a_new_failing_value_opens_a_finding_again_and_the_old_value_does_not(inspection):
    put(inspection, belt__width="30")
    inspection.decide("belt.width", "run-as-found")
    put(inspection, belt__width="29")
    assert finding(inspection, "belt.width").superseded_by == "value"
    put(inspection, belt__width="30")
    assert finding(inspection, "belt.width").counts


def test_the_same_value_as_left_is_the_value_that_was_decided_on(inspection):
    put(inspection, belt__width="30")
    inspection.decide("belt.width", "run-as-found")
    put(inspection, AS_LEFT, belt__width="30.0 mm")
    assert finding(inspection, "belt.width").counts
    put(inspection, AS_LEFT, belt__width="30.2")
    assert not finding(inspection, "belt.width").counts


def test_a_decision_does_not_outlive_the_limit_that_it_was_made_by(inspection):
    """The limit is another reading; the value itself stayed the same."""
    put(inspection, belt__new="35", belt__worn="33.5")
    inspection.decide("belt.worn", "run-as-found")
    put(inspection, belt__new="36")
    assert finding(inspection, "belt.worn").superseded_by == "value"


def test_a_decision_does_not_outlive_the_sheets_figure_that_it_was_made_by(inspection):
    put(inspection, belt__width="30")
    inspection.decide("belt.width", "run-as-found")
    inspection.job.figures([TypedFigure("belt_min", None, "33 mm")], "manual, page 3")
    assert finding(inspection, "belt.width").superseded_by == "sheet"
    with pytest.raises(Refused, match="by another figure of the sheet"):
        inspection.sign("R. Tester")
    inspection.decide("belt.width", "run-as-found")
    inspection.job.figures([TypedFigure("belt_min", None, "33 mm")], "manual, page 4")
    assert finding(inspection, "belt.width").counts  # the same figure again


def test_another_figure_is_nothing_to_it(inspection):
    put(inspection, belt__width="30")
    inspection.decide("belt.width", "run-as-found")
    inspection.job.figures([TypedFigure("main_jet", "PTO", "250")], "plate")
    assert finding(inspection, "belt.width").counts


def test_an_unknown_answer_is_another_value(inspection):
    put(inspection, belt__width="30")
    inspection.decide("belt.width", "run-as-found")
    put(inspection, AS_LEFT, belt__width="?")
    assert finding(inspection, "belt.width").superseded_by == "value"
    assert not finding(inspection, "belt.width").open  # nobody can tell whether it fails


def test_a_slip_corrected_before_it_was_decided_is_no_finding(inspection):
    put(inspection, belt__width="3.1")
    put(inspection, belt__width="31.5")
    assert inspection.results.findings == ()
    put(inspection, belt__width="3.1")
    inspection.take_back()
    assert inspection.results.findings == ()


def test_put_right_counts_only_once_the_value_passes_as_left(inspection):
    put(inspection, belt__width="30")
    inspection.decide("belt.width", "put-right")
    assert not finding(inspection, "belt.width").counts
    put(inspection, AS_LEFT, belt__width="30.5")
    assert not finding(inspection, "belt.width").counts
    put(inspection, AS_LEFT, belt__width="32")
    assert finding(inspection, "belt.width").counts and not finding(inspection, "belt.width").open


# --- the sign-off -------------------------------------------------------------------------------


def done_but_brake(inspection, lever):
    put(inspection, belt__width="32", belt__new="35", belt__worn="34.5", jets__main__PTO="240",
        jets__main__MAG="230", brake__lever=lever)  # fmt: skip
    for cylinder in ("PTO", "MAG"):
        inspection.record(
            [(Target("boots", "crack", cylinder), "none"), (Target("plugs", "gap", cylinder),
             "0.7"), (Target("plugs", "colour", cylinder), "tan")]
        )  # fmt: skip


def test_a_failed_safety_step_wants_its_own_words_beside_the_decision(inspection):
    done_but_brake(inspection, "30")
    inspection.decide("brake.lever", "run-as-found")
    with pytest.raises(Refused, match="--accept STEP=TEXT"):
        inspection.sign("R. Tester", "all of it")
    inspection.sign("R. Tester", accept={"brake": "yard only"})
    signed = inspection.session.signed
    assert signed.accepted_steps == {"brake": "yard only"} and signed.accepted == ""
    assert signed.open == ("Safety step 'brake' (brake) failed.",)


def test_an_undone_safety_step_is_an_open_step_too(inspection):
    done_but_brake(inspection, "10")
    inspection.take_back()
    assert {each.id for each in inspection.results.blockers} == {"plugs"}
    inspection.record([(Target("plugs", "colour", "MAG"), "tan")])
    inspection.sign("R. Tester")


def test_a_safety_step_to_measure_again_wants_both_kinds_of_words(inspection):
    done_but_brake(inspection, "10")
    put(inspection, AS_LEFT, belt__width="32")
    with pytest.raises(Refused, match="to be measured again as left, since 'belt' upset it"):
        inspection.sign("R. Tester", accept={"brake": "yard only"})
    inspection.sign("R. Tester", "all of it", accept={"brake": "yard only"})


def test_a_safety_step_that_failed_and_was_upset_since_is_both(inspection):
    done_but_brake(inspection, "30")
    put(inspection, AS_LEFT, belt__width="32")
    result = inspection.results.step("brake")
    assert (result.state, result.failed, result.failed_before) == ("again", False, True)
    assert safety_trouble(result) == "failed, and is to be measured again"
    with pytest.raises(Refused, match="failed, and is to be measured again as left, since 'belt'"):
        inspection.sign("R. Tester", accept={"brake": "yard only"})
    assert Desk(inspection).view().progress.failed == 1
    put(inspection, AS_LEFT, brake__lever="10")
    result = inspection.results.step("brake")
    assert not result.failed_before and safety_trouble(result) == ""


def test_open_safety_steps_want_both_kinds_of_words(inspection):
    put(inspection, belt__width="32")
    with pytest.raises(Refused, match="Safety step 'brake'"):
        inspection.sign("R. Tester", "all of it")
    with pytest.raises(Refused, match="Safety step 'brake'"):
        inspection.sign("R. Tester", accept={"brake": "yard only"})
    inspection.sign("R. Tester", "all of it", accept={"brake": "yard only"})


def test_what_is_worked_out_in_a_step_stands_under_its_failing_reading(inspection):
    put(inspection, plugs__gap__PTO="1.0", plugs__old__PTO="0.5")
    found = under(inspection)
    assert found["plugs.gap@PTO"] is None
    assert found["plugs.grown@PTO"] == "plugs.gap@PTO"
