"""The job as a whole: figures of the sheet that are entered on the way, parts to get."""

from __future__ import annotations

import pytest

from inspect_tui.core.evaluation.conclusions.decisions import wanted_part
from inspect_tui.core.evaluation.job.parts import Part
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.errors import BadInput
from inspect_tui.workflow.inspection import Inspection, Target, WantedPart
from inspect_tui.workflow.job import TypedFigure
from tests.builders import checklist, reading, sheet, step

LIST = checklist(
    step("belt", reading("width", limit='{ min = "spec.belt_min" }')),
    step("jets", reading("main", unit="", limit='{ equal = "spec.main_jet" }'),
         reading("needle", kind="text", limit='{ equal = "spec.needle" }'), per="cylinder"),
    step("boots", reading("crack", kind="choice", options='["none", "through"]',
                          limit='{ equal = "none" }'), per="cylinder"),
)  # fmt: skip


@pytest.fixture
def inspection(places, clock):
    (places.checklists / "list.toml").write_text(LIST, encoding="utf-8")
    (places.machines / "bed.toml").write_text(sheet(), encoding="utf-8")
    with Inspection.new(places, "list", "bed", "R. Tester", clock) as begun:
        yield begun


def put(inspection, phase="as-found", /, **values):
    lot = [(Target(*place.split("__")), text) for place, text in values.items()]
    return inspection.record(lot, phase)


def verdicts(inspection):
    return {
        f"{row.reading}{'' if row.cylinder is None else '@' + row.cylinder}": row.judged.verdict
        for row in inspection.results.readings
    }


def enter(inspection, *texts, source="manual, page 12"):
    figures = []
    for text in texts:
        place, _, value = text.partition("=")
        name, _, cylinder = place.partition("@")
        figures.append(TypedFigure(name, cylinder or None, value))
    return inspection.job.figures(figures, source)


# --- figures of the sheet -----------------------------------------------------------------------


def test_a_figure_is_judged_by_from_then_on_and_what_changed_is_said(inspection):
    put(inspection, belt__width="31")
    assert verdicts(inspection) == {"width": "none"}
    assert enter(inspection, "belt_min=31,5 mm") == (
        "belt.width as found: none, now fail: 0.5 mm under.",
    )
    assert verdicts(inspection) == {"width": "fail"}
    entry = inspection.entries[-1]
    assert (entry.kind, entry.keys["name"], entry.keys["source"]) == (
        "sheet", "belt_min", "manual, page 12",
    )  # fmt: skip
    assert inspection.machine.spec["belt_min"] == entry.keys["value"]
    assert enter(inspection, "belt_min=30 mm") == ("belt.width as found: fail, now pass.",)


def test_a_cylinders_figure_counts_before_the_others_are_known(inspection):
    put(inspection, jets__main__PTO="240", jets__main__MAG="240")
    enter(inspection, "main_jet@PTO=240")
    assert verdicts(inspection) == {"main@PTO": "pass", "main@MAG": "none"}
    enter(inspection, "main_jet@MAG=230")
    assert verdicts(inspection) == {"main@PTO": "pass", "main@MAG": "fail"}
    enter(inspection, "main_jet=240; 240", "needle=6K")
    assert verdicts(inspection) == {"main@PTO": "pass", "main@MAG": "pass"}
    put(inspection, jets__needle__PTO="6K")
    assert verdicts(inspection)["needle@PTO"] == "pass"


@pytest.mark.parametrize(
    ("figure", "source", "words"),
    [
        ("belt_min=31 kPa", "manual", "is a pressure"),
        ("belt_min=", "manual", "no value"),
        ("belt_min=31 mm", " ", "source is missing"),
        ("4belt=31 mm", "manual", "no name of a figure"),
        ("main_jet@centre=240", "manual", "no cylinder 'centre'"),
        ("main_jet=240; 230; 240", "manual", "3 values"),
    ],
)
def test_a_figure_that_can_not_be_one_is_refused_and_nothing_written(
    inspection, figure, source, words
):
    with pytest.raises(BadInput, match=words):
        enter(inspection, "needle=6K", figure, source=source)
    assert inspection.session.figures == ()


def test_the_figures_of_a_log_are_there_when_it_is_opened_again(inspection, places, clock):
    put(inspection, belt__width="31")
    enter(inspection, "belt_min=31.5 mm")
    inspection.close()
    with Inspection.open(places, inspection.id, clock, write=False) as again:
        assert verdicts(again) == {"width": "fail"}


# --- parts --------------------------------------------------------------------------------------


@pytest.fixture
def cracked(inspection):
    put(inspection, boots__crack__PTO="through", boots__crack__MAG="through")
    return inspection


def test_a_part_is_got_for_each_finding_that_wants_it_and_they_add_up(cracked):
    for cylinder in ("PTO", "MAG"):
        part = WantedPart("Intake boot", 1, "420-1")
        cracked.decide(f"boots.crack@{cylinder}", "get-part", part=part)
    assert cracked.job.parts == (
        Part("Intake boot", 2, "420-1", ("boots.crack@PTO", "boots.crack@MAG"), "to get"),
    )
    assert cracked.job.plan.to_get == ("Intake boot",)
    assert cracked.job.plan.to_decide == ()
    cracked.job.part("Intake boot", "got")
    assert cracked.job.parts[0].state == "got" and cracked.job.plan.to_get == ()
    cracked.job.part("Intake boot", "fitted")
    assert cracked.job.parts[0].state == "fitted"


@pytest.mark.parametrize(
    ("said", "quantity", "number"),
    [("", 1, ""), ("2", 2, ""), ("2, 420-1", 2, "420-1"), ("420-1", 1, "420-1"),
     ("417300531", 1, "417300531")],
)  # fmt: skip
def test_how_many_and_which_number_as_they_are_typed(said, quantity, number):
    assert wanted_part("boot", said) == WantedPart("boot", quantity, number)


def test_another_decision_takes_the_part_off_the_list(cracked):
    cracked.decide("boots.crack@PTO", "get-part", part=WantedPart("Intake boot"))
    cracked.decide("boots.crack@PTO", "run-as-found")
    assert cracked.job.parts == ()


def test_a_part_can_be_fitted_after_the_sign_off(cracked):
    cracked.decide("boots.crack@PTO", "get-part", part=WantedPart("Intake boot"))
    cracked.sign("R. Tester", "short test ride")
    cracked.job.part("Intake boot", "fitted")
    assert cracked.job.parts[0].state == "fitted" and cracked.session.state == "signed"


@pytest.mark.parametrize(
    ("decision", "part", "words"),
    [
        ("get-part", None, "wants --part"),
        ("get-part", WantedPart("  "), "wants --part"),
        ("get-part", WantedPart("boot", 0), "no number of parts"),
        ("put-right", WantedPart("boot"), "takes no part"),
    ],
)
def test_a_decision_with_the_wrong_part_is_refused(cracked, decision, part, words):
    with pytest.raises(BadInput, match=words):
        cracked.decide("boots.crack@PTO", decision, part=part)


def test_a_part_that_nobody_wants_can_not_be_got(cracked):
    cracked.decide("boots.crack@PTO", "get-part", part=WantedPart("Intake boot"))
    with pytest.raises(BadInput, match="Did you mean Intake boot"):
        cracked.job.part("Intake boots", "got")


def test_put_right_counts_once_it_passes_as_left(cracked):
    cracked.decide("boots.crack@PTO", "put-right")
    assert "boots.crack@PTO" in cracked.job.plan.to_decide
    put(cracked, AS_LEFT, boots__crack__PTO="none")
    assert "boots.crack@PTO" not in cracked.job.plan.to_decide
