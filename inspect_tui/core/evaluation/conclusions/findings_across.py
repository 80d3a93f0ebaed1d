"""Findings that compare the cylinders: parts exchanged (`X.`), one out of family (`O.`)."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping

from inspect_tui.core.evaluation.conclusions.candidate import PHASES, CandidateFinding, identity
from inspect_tui.core.evaluation.conclusions.cylinder_comparison import (
    CrossCylinderObservation,
    has_left,
    out_of_family,
)
from inspect_tui.core.evaluation.conclusions.exchanged_parts import ExchangedParts, exchanged_parts
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ReadingRow
from inspect_tui.core.session.replay import ReadingKey

_SILENT = "No reading points to this any more."


def of_exchanged_parts(
    evaluation: Evaluator, needed: Container[str]
) -> tuple[CandidateFinding, ...]:
    """What looks exchanged, each with the first step that tells of it.

    Args:
        evaluation: Of the session as it stands.
        needed: The steps that this machine needs.
    """
    found, left = (
        {one.step: one for one in exchanged_parts(evaluation, phase, needed)} for phase in PHASES
    )
    steps = [step.id for step in evaluation.compiled.checklist.steps]
    return tuple(
        candidate
        for step in steps
        if (candidate := _exchanged(evaluation, step, found.get(step), left.get(step))) is not None
    )


def _exchanged(
    evaluation: Evaluator, step: str, found: ExchangedParts | None, left: ExchangedParts | None
) -> CandidateFinding | None:
    name = f"X.{step}"
    shown = left or found
    if shown is None:
        if name not in evaluation.session.decisions:
            return None
        return CandidateFinding(name, step, None, None, _SILENT, (), False, (), "exchanged")
    air = evaluation.definitions.all_air_readings if shown.by_chart else ()
    places = tuple(dict.fromkeys((*(key[:3] for key in shown.keys), *air)))
    # Where nothing was changed, as left is what was found; so what stands as left decides.
    return CandidateFinding(
        name, step, None, None, shown.text, shown.evidence, left is not None, places, "exchanged",
        air=shown.by_chart, figures=_figures(evaluation, shown),
        explains=frozenset(key[:3] for key in shown.keys if key[2] in shown.moved),
    )  # fmt: skip


def _figures(evaluation: Evaluator, shown: ExchangedParts) -> frozenset[str]:
    limits = evaluation.compiled.limits
    sides = (side for key in shown.keys for side in limits.get(key[:2], {}).values())
    return evaluation.definitions.figures_of(sides)


def out_of_family_of(
    evaluation: Evaluator, step: Step, rows: Mapping[ReadingKey, ReadingRow]
) -> Iterator[CandidateFinding]:
    """The cylinders of a step that stand apart, each reading by itself.

    Args:
        evaluation: Of the session as it stands.
        step: One that is taken per cylinder; others have none.
        rows: Its readings: a cylinder inside its limits is a remark.
    """
    if not step.per_cylinder:
        return
    for reading in step.readings:
        found, left = (out_of_family(evaluation, step, reading, phase) for phase in PHASES)
        by_left = has_left(evaluation, step, reading)
        for cylinder in evaluation.machine.cylinders:
            candidate = _apart(
                evaluation, step, reading, cylinder, _of(found, cylinder),
                _of(left, cylinder) if by_left else None, by_left, rows,
            )  # fmt: skip
            if candidate is not None:
                yield candidate


def _of(claim: CrossCylinderObservation | None, cylinder: str) -> CrossCylinderObservation | None:
    return claim if claim is not None and claim.cylinder == cylinder else None


def _apart(
    evaluation: Evaluator,
    step: Step,
    reading: Reading,
    cylinder: str,
    found: CrossCylinderObservation | None,
    left: CrossCylinderObservation | None,
    by_left: bool,
    rows: Mapping[ReadingKey, ReadingRow],
) -> CandidateFinding | None:
    name = f"O.{identity(step.id, reading.id, cylinder)}"
    shown = left or found
    place = (step.id, reading.id, cylinder)
    if shown is None:
        if name not in evaluation.session.decisions:
            return None
        return CandidateFinding(
            name, step.id, reading.id, cylinder, _SILENT, (), False, (), "out-of-family"
        )
    definitions = evaluation.definitions
    air = definitions.air_places(definitions.expressions(step.id, reading.id))
    places = tuple(dict.fromkeys((*(key[:3] for key in shown.keys), *(air or ()))))
    phase: Phase = PHASES[left is not None]
    row = rows.get((*place, phase)) or rows.get((*place, PHASES[0]))
    return CandidateFinding(
        name, step.id, reading.id, cylinder, shown.text, shown.evidence,
        (left if by_left else found) is not None, places, "out-of-family", air=air is not None,
        remark=row is not None and row.judged.verdict == "pass",
        figures=definitions.figures_of(definitions.expressions(step.id, reading.id)),
    )  # fmt: skip
