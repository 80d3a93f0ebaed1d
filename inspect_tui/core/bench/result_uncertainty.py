"""How the uncertainties of a calculation's inputs go through to its results.

By the same engine as the readings of a session: first order where the result follows its inputs in
a straight line, else the fixed draws of `evaluation.draws` pushed through it (JCGM 101:2008). The
inputs count as independent of each other, each normal with half of its stated uncertainty.
"""

from __future__ import annotations

import operator
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import repeat

from inspect_tui.calc.registry import Calculation
from inspect_tui.core.bench.inputs import ParsedInput
from inspect_tui.core.evaluation.uncertainty.error_sources import (
    ReadingError,
    Source,
    error_sources,
)
from inspect_tui.core.evaluation.uncertainty.probability import (
    Outcome,
    Propagated,
    Sampled,
    propagate,
)
from inspect_tui.core.expressions import calculation_rows, columns
from inspect_tui.core.expressions.columns import Rows, Samples
from inspect_tui.core.expressions.values import Missing
from inspect_tui.core.quantities.units import Number
from inspect_tui.errors import BadInput

_FAIR = 0.1
"""Share of the uncertainty by which the 95 % interval may lie off the value with ± of it."""


@dataclass(frozen=True, slots=True)
class ResultUncertainty:
    """What the inputs' uncertainties make of one result, in coherent SI."""

    expanded: float | None = None
    """k = 2; None where `±` would be misleading, and the interval says it."""
    interval: tuple[float, float] | None = None
    """Where 95 % of the draws lie, where the result bends or steps within the uncertainty."""


class InputErrors:
    """The inputs of a calculation with what is stated of their errors."""

    def __init__(self, found: Calculation, known: Mapping[str, ParsedInput]) -> None:
        self._found = found
        self._known = known
        self._places: list[tuple[str, int]] = []
        errors: list[ReadingError] = []
        self.stated = False
        for key, parsed in known.items():
            for place, spread in enumerate(parsed.spreads):
                self.stated = self.stated or spread is not None
                if spread:
                    self._places.append((key, place))
                    errors.append(ReadingError(float(spread) / 2))
        self._sources: tuple[Source, ...] = error_sources(errors)

    def of_result(self, key: str, value: Number) -> ResultUncertainty:
        """The uncertainty of a result that is a number.

        Args:
            key: The result.
            value: As it stands, coherent SI.
        """
        if not self._sources:
            return ResultUncertainty(0.0 if self.stated else None)

        def model(deviations: Sequence[Sampled]) -> Outcome:
            count = max(len(one) for one in deviations if not isinstance(one, float))
            rows = Rows(count, lambda _: Missing("a calculation sees no names"))
            found = calculation_rows.call(rows, self._found, key, self._arguments(deviations))
            if not isinstance(found, Samples):
                raise BadInput("this is no number")
            return Outcome(found.si, None, None, frozenset(rows.bad), rows.slow)

        try:
            found = propagate(model, self._sources, len(self._places), interval=True)
        except BadInput:
            return ResultUncertainty()
        return _fair(found, float(value))

    def _arguments(self, deviations: Sequence[Sampled]) -> dict[str, columns.Sampled]:
        """Every argument, moved by its deviations."""
        moved = dict(zip(self._places, deviations, strict=True))
        found: dict[str, columns.Sampled] = {}
        for key, parsed in self._known.items():
            base = columns.lifted(parsed.argument) if parsed.argument is not None else None
            if base is None or isinstance(base, Missing):
                continue
            if isinstance(base, tuple):
                found[key] = tuple(
                    _moved(part, moved.get((key, place))) for place, part in enumerate(base)
                )
            else:
                found[key] = _moved(base, moved.get((key, 0)))
        return found


def _moved(base: columns.Sampled, deviation: Sampled | None) -> columns.Sampled:
    if deviation is None or isinstance(deviation, float) or not isinstance(base, Samples):
        return base
    assert isinstance(base.si, float)
    values = list(map(operator.add, deviation, repeat(base.si)))
    return Samples(values, base.dimension, base.quantity_kind)


def _fair(found: Propagated, value: float) -> ResultUncertainty:
    """`±` where it says the same as the interval, else the interval."""
    expanded = 2 * found.standard_uncertainty
    if found.interval is None:
        return ResultUncertainty(expanded)
    low, high = found.interval
    slack = _FAIR * expanded
    if abs(value - expanded - low) <= slack and abs(value + expanded - high) <= slack:
        return ResultUncertainty(expanded)
    return ResultUncertainty(None, found.interval)
