"""What the jet chart's band for the session's air sets, held against what was found."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.uncertainty import conformity
from inspect_tui.core.expressions.values import Missing, Name, Value
from inspect_tui.core.model.checklist import Step
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ReadingRow


def settings_of_chart(evaluator: Evaluator, phase: Phase) -> Mapping[str, Value]:
    """What the jet chart's band for the session's air sets; nothing where there is none."""
    looked = evaluator.charted(phase)
    return {} if isinstance(looked, Missing) else looked.band.settings


def lookup_by_chart(
    evaluator: Evaluator, cylinder: str | None, phase: Phase
) -> Callable[[Name], Value | Missing]:
    """The evaluator's lookup, with the chart's setting in place of the sheet's base figure."""
    plain, settings = evaluator.lookup(cylinder, phase), settings_of_chart(evaluator, phase)

    def find(name: Name) -> Value | Missing:
        if name.where == "spec" and name.id in settings:
            return evaluator.definitions.of_cylinder(name.id, settings[name.id], cylinder)
        return plain(name)

    return find


def is_charts_setting(evaluator: Evaluator, step: Step, reading_id: str, row: ReadingRow) -> bool:
    """Whether a value is not what the sheet's base figure asks for, but what the chart does."""
    settings = settings_of_chart(evaluator, row.phase)
    sides = evaluator.compiled.limits.get((step.id, reading_id), {})
    names = {name.id for side in sides.values() for name in side.names if name.where == "spec"}
    if not names & settings.keys():
        return False
    look = lookup_by_chart(evaluator, row.cylinder, row.phase)
    zone = conformity.zone(
        {side: expression.evaluate(look) for side, expression in sides.items()},
        evaluator.units[step.id, reading_id],
    )
    judged = conformity.assess_conformity(row.value, zone, row.unit, row.judged.uncertainty)
    return judged.verdict == "pass"
