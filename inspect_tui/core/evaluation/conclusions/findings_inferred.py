"""Findings that a veteran would conclude from several readings (`I.`), by their probability."""

from __future__ import annotations

from inspect_tui.core.evaluation.conclusions.candidate import CandidateFinding
from inspect_tui.core.evaluation.conclusions.inference_strength import NONE, Strength, strength_of
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Inference
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.session.replay import Key, ReadingKey
from inspect_tui.core.text.formatting import format_value


def of_inference(evaluation: Evaluator, inference: Inference) -> tuple[CandidateFinding, ...]:
    """What one inference says, for each cylinder where it is per cylinder."""
    cylinders: tuple[str | None, ...] = (None,)
    if inference.per == "cylinder":
        cylinders = evaluation.machine.cylinders
    cases = (_inferred(evaluation, inference, cylinder) for cylinder in cylinders)
    return tuple(case for case in cases if case is not None)


def _inferred(
    evaluation: Evaluator, inference: Inference, cylinder: str | None
) -> CandidateFinding | None:
    expression = evaluation.compiled.inference[inference.id]
    session = evaluation.session
    name = f"I.{inference.id}" + ("" if cylinder is None else f"@{cylinder}")
    needs_one = name not in session.decisions and evaluation.definitions.needs_one(expression)
    if needs_one and not session.readings:
        return None
    leaves = evaluation.definitions.input_readings(expression, cylinder)
    if needs_one and all(evaluation.answered(leaf, AS_LEFT) is None for leaf in leaves):
        return None
    any_left = evaluation.exists_as_left(leaves)
    found = strength_of(evaluation, expression, cylinder, AS_FOUND)
    left = strength_of(evaluation, expression, cylinder, AS_LEFT) if any_left else NONE
    now = left if any_left else found
    if not (found.speaks or left.speaks) and name not in session.decisions:
        return None
    where = "" if cylinder is None else f"{cylinder}: "
    phase: Phase = AS_LEFT if now.speaks and any_left else AS_FOUND
    shown = now if now.speaks else found
    evidence = [_rests_on(evaluation, leaf, phase) for leaf in leaves]
    evidence.append(_unsure(shown, inference))
    order = [step.id for step in evaluation.compiled.checklist.steps]
    steps = sorted({leaf[0] for leaf in leaves}, key=order.index)
    return CandidateFinding(
        name, steps[0] if steps else "", None, cylinder,
        f"{where}{inference.says}{_settled_by(evaluation, shown, inference)}",
        tuple(line for line in evidence if line), now.speaks, leaves, "inference",
        shown.surety(inference.sure), inference.look_at,
        evaluation.definitions.air_places([expression]) is not None,
        figures=evaluation.definitions.figures_of([expression]),
        explains=_explained(evaluation, inference, cylinder),
    )  # fmt: skip


def _explained(evaluation: Evaluator, inference: Inference, cylinder: str | None) -> frozenset[Key]:
    """The values whose findings stand under it: of its cylinder, or of all where it has none."""
    found: set[Key] = set()
    for step, value in evaluation.compiled.explains.get(inference.id, ()):
        of = evaluation.compiled.steps.get(step)
        for each in () if of is None else evaluation.definitions.cylinders(of, value):
            if cylinder is None or each is None or each == cylinder:
                found.add((step, value, each))
    return frozenset(found)


def _settled_by(evaluation: Evaluator, strength: Strength, inference: Inference) -> str:
    """What would settle an inference that is not certain, as a sentence behind its own."""
    if strength.is_as_stated(inference.sure) or strength.settles is None:
        return ""
    label = _label(evaluation, strength.settles)
    return f" Not certain: {label}, measured again or with a better gauge, would settle it."


def _unsure(strength: Strength, inference: Inference) -> str:
    if strength.is_as_stated(inference.sure) or not strength.speaks:
        return ""
    return f"{100 * strength.probability:.0f} % likely by these readings and their uncertainties"


def _label(evaluation: Evaluator, key: ReadingKey) -> str:
    label = evaluation.readings[key[0], key[1]].label
    return label if key[2] is None else f"{label}, {key[2]}"


def _rests_on(evaluation: Evaluator, leaf: Key, phase: Phase) -> str:
    key = evaluation.key(leaf, phase)
    if key is None:
        return ""
    measured = evaluation.measured(key)
    return f"{_label(evaluation, key)}: {format_value(measured.number, measured.unit.text)}"
