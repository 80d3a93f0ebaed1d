"""How strongly the readings speak for an inference: by probability, not by raw values.

A condition is expanded into alternatives, each a set of comparisons that all have to hold. Its
strength is the largest joint probability of one alternative: what is joined by `and` has to hold
together (correlation counts), and of what is joined by `or` one side has to convince alone. The
probability of the whole `or` would speak more than twice as often in a sound machine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.uncertainty.error_sources import Source
from inspect_tui.core.evaluation.uncertainty.linearity import trial_points
from inspect_tui.core.evaluation.uncertainty.probability import (
    MORE_ROWS,
    Sampled,
    deviations_of,
    drawn_deviations,
)
from inspect_tui.core.evaluation.uncertainty.value_uncertainty import (
    SampledValues,
    UncertainReadings,
)
from inspect_tui.core.expressions import columns
from inspect_tui.core.expressions.answer_columns import as_answer
from inspect_tui.core.expressions.columns import Samples
from inspect_tui.core.expressions.expression import Expression, Missing, answer_of, in_rows
from inspect_tui.core.expressions.nodes import Node
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.session.replay import ReadingKey

AS_STATED = 0.95
"""Strength from which an inference is as sure as the list says."""
ALONE = 0.99
"""The same for a high surety that one uncertain comparison alone decides: on its limit it would
speak in every twentieth sound machine."""
SILENT = 0.5
"""Strength below which it says nothing."""
MAX_ALTERNATIVES = 16
FEW_ROWS = 1024
_PLAIN = 0.35
"""A strength below this with few draws needs no more of them."""

Surety = Literal["high", "medium", "low"]
Atom = tuple[Node, bool]
"""A comparison, and whether it has to hold or not to hold."""
_LOWER: dict[Surety, Surety] = {"high": "medium", "medium": "low", "low": "low"}


@dataclass(frozen=True, slots=True)
class Strength:
    """How strongly the readings speak for a condition."""

    probability: float
    """Of the likeliest alternative, 0 to 1."""
    uncertain: int = 0
    """How many of its comparisons rest on uncertain readings."""
    settles: ReadingKey | None = None
    """The reading with the largest share of the uncertainty of its weakest comparison."""

    @property
    def speaks(self) -> bool:
        """Whether the inference says anything."""
        return self.probability >= SILENT

    def is_as_stated(self, stated: Surety) -> bool:
        """Whether it is strong enough for the surety that the list states."""
        wanted = ALONE if stated == "high" and self.uncertain == 1 else AS_STATED
        return self.probability >= wanted

    def surety(self, stated: Surety) -> Surety:
        """How sure the inference is, stated as this by the list."""
        return stated if self.is_as_stated(stated) else _LOWER[stated]


NONE = Strength(0.0)
CERTAIN = Strength(1.0)


def alternatives(node: Node) -> list[list[Atom]]:
    """The sets of comparisons that decide a condition; the whole of it where they are too many."""
    found = _expanded(node, True)
    return [[(node, True)]] if found is None else found


def _expanded(node: Node, wanted: bool) -> list[list[Atom]] | None:
    if node.answers is None:
        return [[(node, wanted)]]
    kind, parts = node.answers
    if kind == "not":
        return _expanded(parts[0], not wanted)
    together = (kind == "and") == wanted
    found: list[list[Atom]] = [[]] if together else []
    for part in parts:
        inner = _expanded(part, wanted)
        if inner is None:
            return None
        if together:
            found = [[*one, *other] for one in found for other in inner]
        else:
            found += inner
        if len(found) > MAX_ALTERNATIVES:
            return None
    return found


def strength_of(
    evaluator: Evaluator, expression: Expression, cylinder: str | None, phase: Phase
) -> Strength:
    """How strongly the readings speak for a condition.

    Args:
        evaluator: Of the session as it stands.
        expression: The condition.
        cylinder: For which; None: lists of all.
        phase: As found or as left.
    """
    places = evaluator.definitions.input_readings(expression, cylinder)
    readings = UncertainReadings.of(evaluator, places, phase)
    if not readings.sources:
        exact = expression.evaluate(evaluator.lookup(cylinder, phase))
        return CERTAIN if exact is True else NONE
    known = _Known(evaluator, expression, cylinder, phase, readings)
    found = known.strength(FEW_ROWS)
    return found if found.probability < _PLAIN else known.strength(MORE_ROWS)


class _Known:
    """One condition in one session."""

    def __init__(
        self,
        evaluator: Evaluator,
        expression: Expression,
        cylinder: str | None,
        phase: Phase,
        readings: UncertainReadings,
    ) -> None:
        self._evaluator = evaluator
        self._cylinder = cylinder
        self._phase = phase
        self._readings = readings
        self._alternatives = alternatives(expression.node)

    def _sampled(self, deviations: Sequence[Sampled]) -> SampledValues:
        return SampledValues(self._evaluator, self._phase, self._readings, deviations)

    def strength(self, count: int) -> Strength:
        """By so many draws."""
        sources, readings = self._readings.sources, self._readings.keys
        draws = self._sampled(drawn_deviations(sources, count, len(readings)))
        seen: dict[Atom, Sequence[float] | bool] = {}
        best, most = NONE, -1.0
        weakest: Atom | None = None
        for alternative in self._alternatives:
            varying: list[tuple[Atom, Sequence[float]]] = []
            for atom in alternative:
                if atom not in seen:
                    seen[atom] = self._column(atom, draws, count)
                column = seen[atom]
                if column is False:
                    break
                if not isinstance(column, bool):
                    varying.append((atom, column))
            else:
                probability = _joint([column for _, column in varying])
                if probability > most:
                    most = probability
                    best = Strength(probability, len(varying))
                    weakest = min(varying, key=lambda one: sum(one[1]))[0] if varying else None
        if weakest is None or not best.speaks:
            return best
        return Strength(best.probability, best.uncertain, self._settling(weakest))

    def _column(self, atom: Atom, draws: SampledValues, count: int) -> Sequence[float] | bool:
        """Whether an atom holds in every row; one answer where it is the same in all of them."""
        node, wanted = atom
        found = in_rows(node, draws.rows(self._cylinder))
        if draws.bad:
            # Rows that can't be worked out count for this atom alone, so it is looked at by itself.
            sources, readings = self._readings.sources, self._readings.keys
            draws = self._sampled(drawn_deviations(sources, count, len(readings)))
            found = in_rows(node, draws.rows(self._cylinder))
        answer = None if isinstance(found, Missing) else as_answer(found)
        if answer is None:
            return False
        if isinstance(answer.si, float):
            # Nothing uncertain in it: the exact tree decides.
            lookup = self._evaluator.lookup(self._cylinder, self._phase)
            return answer_of(node, lookup) is wanted
        kept = list(answer.si) if wanted else [1.0 - each for each in answer.si]
        for row in draws.bad:
            kept[row] = 0.0
        return kept

    def _settling(self, atom: Atom) -> ReadingKey | None:
        """The reading whose error has the largest share in a comparison's difference."""
        sources, keys = self._readings.sources, self._readings.keys
        points = trial_points(sources)
        draws = self._sampled(deviations_of(sources, points.columns, len(keys)))
        rows = draws.rows(self._cylinder)
        sides = [] if atom[0].sides is None else atom[0].sides(rows)
        shares: dict[int, float] = {}
        for left, _, right in sides:
            if not (isinstance(left, Samples) and isinstance(right, Samples)):
                continue
            apart = rows.column(columns.mapped2(rows, lambda a, b: a - b, left.si, right.si))
            for number, source in enumerate(sources):
                moved = (apart[1 + 2 * number] - apart[2 + 2 * number]) * source.deviation
                reading = _largest(source)
                shares[reading] = shares.get(reading, 0.0) + moved**2
        if not shares:
            return keys[0] if keys else None
        return keys[max(shares, key=lambda reading: shares[reading])]


def _largest(source: Source) -> int:
    return max(source.sizes, key=lambda one: abs(one[1]))[0]


def _joint(varying: Sequence[Sequence[float]]) -> float:
    """In which share of the rows all hold; 1 where none is uncertain."""
    if not varying:
        return 1.0
    together = list(map(min, *varying)) if len(varying) > 1 else varying[0]
    return math.fsum(together) / len(together)
