"""The jet chart's band held against what the sheet says and what was found, per cylinder.

What was found is taken from the readings that are held against `spec.SETTING` or `chart.SETTING`.
A main jet leaner than its band is said in plain words: lean is the dangerous side.
"""

from __future__ import annotations

from inspect_tui.core.evaluation.air.jet_chart import Band
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions.values import Missing, Value
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.model.results import ChartLine, JetChartAdvice
from inspect_tui.core.presentation import wording
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.stamps import same_stamp
from inspect_tui.errors import InspectError


def charted(evaluation: Evaluator) -> JetChartAdvice | None:
    """What the chart says for the session's air, by as left where there is one."""
    if not evaluation.definitions.has_chart:
        return None
    looked = evaluation.charted(AS_LEFT)
    if isinstance(looked, Missing):
        reason = looked.reason
        if not looked.measured:
            reason = "the temperature and altitude it will run in are not entered yet"
        return JetChartAdvice("", (), (), reason)
    lines = []
    for setting, value in looked.band.settings.items():
        held = _held_against(evaluation, setting)
        for index, cylinder in enumerate(evaluation.machine.cylinders):
            lines.append(
                _line(evaluation, setting, value, looked.neighbours, index, cylinder, held)
            )
    return JetChartAdvice(
        looked.band.text, tuple(band.text for band in looked.neighbours), tuple(lines)
    )


def _held_against(evaluation: Evaluator, setting: str) -> tuple[str, str] | None:
    """The per-cylinder reading that is held against this figure."""
    for (step_id, value_id), sides in evaluation.compiled.limits.items():
        step = evaluation.compiled.steps.get(step_id)
        if step is None or not step.per_cylinder or (step_id, value_id) not in evaluation.readings:
            continue
        for expression in sides.values():
            if any(n.where in ("spec", "chart") and n.id == setting for n in expression.names):
                return step_id, value_id
    return None


def _line(
    evaluation: Evaluator,
    setting: str,
    value: Value,
    neighbours: tuple[Band, ...],
    index: int,
    cylinder: str,
    held: tuple[str, str] | None,
) -> ChartLine:
    unit = None if held is None else evaluation.units[held]
    wanted = _at(value, index)
    near = [
        _show(_at(band.settings[setting], index), unit)
        for band in neighbours
        if setting in band.settings and _at(band.settings[setting], index) != wanted
    ]
    sheet = evaluation.definitions.figures.get(setting)
    found = None
    if held is not None:
        key = evaluation.key((*held, cylinder), AS_LEFT)
        if key is not None:
            found = evaluation.measured(key).value
    return ChartLine(
        setting, cylinder, _show(wanted, unit), " or ".join(dict.fromkeys(near)),
        "" if sheet is None else _show(_at(sheet, index), unit),
        "" if found is None else _show(found, unit), _stands(wanted, found, setting, unit),
    )  # fmt: skip


def _at(value: object, index: int) -> object:
    if isinstance(value, tuple):
        return value[index] if index < len(value) else None
    return value


def _show(value: object, unit: Unit | None) -> str:
    """A figure in its reading's unit where that fits, else in coherent SI."""
    if not isinstance(value, Quantity):
        return "" if value is None else str(value)
    if unit is None:
        return format_value(value.si, units.si_unit_name(value.dimension))
    try:
        return format_value(units.number_in(value, unit), unit.text)
    except InspectError:
        return _show(value, None)


def _stands(wanted: object, found: object, setting: str, unit: Unit | None) -> str:
    if found is None or wanted is None:
        return "not recorded yet" if found is None else ""
    if isinstance(wanted, str) and isinstance(found, str):
        return "as the chart" if same_stamp(wanted, found) else "not as the chart"
    if not (isinstance(wanted, Quantity) and isinstance(found, Quantity)):
        return "not as the chart"  # words against a figure
    if wanted.dimension != found.dimension:
        return "not to be compared"
    off = found.si - wanted.si
    if off == 0:
        return "as the chart"
    own = units.PLAIN if unit is None else unit
    size = format_value((-off if off < 0 else off) / own.factor, wording.difference_unit(own.text))
    if "jet" not in setting or "air" in setting:
        return f"{size} {'above' if off > 0 else 'below'} the chart"
    if off > 0:
        return f"{size} richer than the chart"
    return f"{size} leaner than the chart: lean is the dangerous side"
