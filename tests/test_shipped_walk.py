"""A sound machine walked through each shipped list, and then with each fault planted.

Sound: nothing is found, nothing stays open. It shows that each limit can be passed with the
uncertainty that the list states, and that the invented figures of a sheet fit each other. Planted:
the fault is found where it sits, and nothing is found elsewhere.
"""

from __future__ import annotations

import pytest

from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND
from inspect_tui.core.model.results import Finding, Results
from tests.shipped import LISTS, OF_OUTBOARDS, PAIRS, text_of
from tests.sound_machine import Walk, walked

OWN_STEPS = [stem for stem in LISTS if "how = " in text_of(stem)]
"""Those that are not merely taken from another list."""


@pytest.mark.parametrize("optional", [False, True])
@pytest.mark.parametrize(("stem", "sheet"), PAIRS)
def test_a_sound_machine_walks_through_without_a_finding(stem: str, sheet: str, optional: bool):
    results = walked(stem, sheet, optional).results
    assert [(found.id, found.text) for found in results.findings] == []
    # A safety step whose limit needs a figure that the sheet lacks is not passed, and says so.
    lacking = "has no verdict (the sheet has no figure for it)"
    assert [text for text in results.signoff_blockers if lacking not in text] == []
    assert {step.state for step in results.steps} <= {"done", "not-needed"}


@pytest.mark.parametrize("optional", [False, True])
@pytest.mark.parametrize(("stem", "sheet"), PAIRS)
def test_every_derived_value_of_a_sound_machine_is_worked_out(
    stem: str, sheet: str, optional: bool
):
    walk = walked(stem, sheet, optional)
    worked_out = {(row.step, row.id) for row in walk.results.derived if row.value is not None}
    for step in walk.results.steps:
        for derived in step.step.derived:
            expression = walk.evaluation.compiled.value[step.step.id, derived.id]
            leaves = walk.evaluation.definitions.input_readings(expression, None)
            asked = optional or not any(
                walk.evaluation.readings[leaf[:2]].optional for leaf in leaves
            )
            if step.state == "done" and asked:
                assert (step.step.id, derived.id) in worked_out
    assert [row.reason for row in walk.results.derived if row.reason] == []


# --- planted --------------------------------------------------------------------------------


def wrong(walk: Walk, step: Step, reading: Reading) -> str | None:
    """What this reading must not be, as typed; None where nothing is wrong."""
    cylinder = walk.evaluation.machine.cylinders[0] if step.per_cylinder else None
    zone = walk.evaluation.zone(step, reading.id, cylinder, AS_FOUND)
    if zone is None or zone.reason:
        return None
    if zone.equal:
        if reading.kind == "choice":
            return next(option for option in reversed(reading.options) if option not in zone.equal)
        if reading.kind == "check":
            return "yes" if zone.equal == (False,) else "no"
        return "another"
    reach = max(abs(float(side)) for side in (zone.low, zone.high) if side is not None)
    if zone.high is not None:
        over = float(zone.high) + reach / 2 + 1
        return f"{over:.0f}" if reading.kind == "count" else f"{over:g} {reading.unit}"
    under = float(zone.low or 0) - reach / 2 - (0 if reading.kind in ("count", "timer") else 1)
    if reading.kind in ("count", "timer"):
        return f"{max(under, 0):.0f}"
    return f"{under:g} {reading.unit}"


def rests_on(walk: Walk, found: Finding, step: Step) -> bool:
    """Whether a finding is of this step, or rests on a reading of it."""
    if found.step == step.id:
        return True
    compiled = walk.evaluation.compiled
    if found.id.startswith("I."):
        expression = compiled.inference[found.id[2:].split("@")[0]]
    else:
        expression = compiled.value[found.step, found.reading or ""]
    leaves = walk.evaluation.definitions.input_readings(expression, None)
    return step.id in {leaf[0] for leaf in leaves}


def new_findings(walk: Walk, results: Results) -> dict[str, Finding]:
    assert not walk.results.findings
    return {found.id: found for found in results.findings if found.open}


@pytest.mark.parametrize(("stem", "sheet"), [pair for pair in PAIRS if pair[0] in OWN_STEPS])
def test_each_fault_is_found_where_it_sits_and_nowhere_else(stem: str, sheet: str):
    walk = walked(stem, sheet, optional=True)
    looked_at = 0
    for result in walk.results.steps:
        step = result.step
        planted = {
            f"{step.id}.{reading.id}": text
            for reading in step.readings
            if result.state == "done" and (text := wrong(walk, step, reading)) is not None
        }
        if not planted:
            continue
        looked_at += len(planted)
        at = f"@{walk.evaluation.machine.cylinders[0]}" if step.per_cylinder else ""
        found = new_findings(walk, walk.planted(planted))
        for place in planted:
            assert place + at in found, (planted, sorted(found))
        for each in found.values():
            assert rests_on(walk, each, step), (planted, each.id, each.text)
    assert looked_at > (10 if len(walk.results.steps) > 10 else 0)


# --- few cylinders --------------------------------------------------------------------------


@pytest.mark.parametrize("cylinders", [1, 0])
@pytest.mark.parametrize("stem", LISTS)
def test_a_machine_with_one_cylinder_or_none_is_walked_through_too(stem: str, cylinders: int):
    sheet = "ormvessa-6" if stem in OF_OUTBOARDS else "tindrak-600"
    results = walked(stem, sheet, False, cylinders).results
    assert [(found.id, found.text) for found in results.findings] == []
    assert list(results.signoff_blockers) == []
    assert {step.state for step in results.steps} <= {"done", "not-needed"}
