"""A recorded reading with what is known of its error: by the list, its gauge, its repeats."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc.distributions import t_quantile
from inspect_tui.core.evaluation.uncertainty import gauges
from inspect_tui.core.evaluation.uncertainty.error_sources import ReadingError
from inspect_tui.core.evaluation.uncertainty.repeats import (
    ErrorOfMean,
    StatedError,
    error_of_mean,
    error_of_one,
)
from inspect_tui.core.expressions.expression import Value
from inspect_tui.core.model import checklist
from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import ReadingKey, Recorded
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import InspectError

_NO_ERROR = ErrorOfMean()
_NOTHING_STATED = StatedError()
_TAIL = 0.025
"""One side of a two-sided 95 % interval."""


@dataclass(frozen=True, slots=True)
class StatedUncertainty:
    """The uncertainties that the checklist states for a reading, expanded (k = 2)."""

    expanded: gauges.Amount | None = None
    between_readings: gauges.Amount | None = None


def stated(reading: Reading, unit: Unit) -> StatedUncertainty:
    """What the checklist states for this reading."""
    return StatedUncertainty(
        _amount(reading.uncertainty, unit), _amount(reading.uncertainty_between, unit)
    )


def _amount(given: checklist.Amount | None, unit: Unit) -> gauges.Amount | None:
    if given is None:
        return None
    if not isinstance(given, str):
        return False, abs(Fraction(str(given)))
    try:
        return gauges.difference(given, unit)
    except InspectError:
        return None  # `check` says what is wrong with it


def expanded_uncertainty(standard: float, degrees_of_freedom: float = math.inf) -> float:
    """Half the width of the 95 % interval: k = 2, Student's t where it rests on few repeats."""
    if math.isfinite(degrees_of_freedom):
        return t_quantile(_TAIL, degrees_of_freedom) * standard
    return 2 * standard


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading with what is known of its error."""

    value: Value
    """As expressions see it."""
    number: Number | bool | str
    """In its own unit; an answer or a text as it is."""
    unit: Unit
    error: ErrorOfMean = _NO_ERROR
    """Standard uncertainties, own unit."""
    stated: StatedError = _NOTHING_STATED
    """What is stated of one reading of its gauge, own unit."""
    gauge: str = ""
    count: int = 1
    """Of how many repeats it is the mean."""
    inexact: bool = False
    """Whether it is a measured number, which has an error even where nobody states one."""
    trouble: str = ""
    """What the gauge's name says and isn't used, and why."""

    @classmethod
    def of(
        cls, recorded: Recorded, reading: Reading | None, unit: Unit, told: StatedUncertainty
    ) -> Measured:
        """A recorded reading; what was typed is read again, which is exact."""
        parsed = None
        if reading is not None and not recorded.photo:  # a photo's value is its hash
            parsed = _again(recorded.entered, reading)
        if reading is not None and parsed is not None and parsed.value is not None:
            return cls.typed(parsed, reading, unit, told, recorded.gauge)
        logged = recorded.value
        if isinstance(logged, bool | str):
            return cls(logged, logged, unit, gauge=recorded.gauge)
        number = Fraction(str(logged))
        if reading is None or reading.kind not in gauges.NUMBERS:
            return cls(units.of(number, unit), number, unit, gauge=recorded.gauge)
        return _number(reading, number, unit, told, None, (), recorded.gauge)

    @classmethod
    def typed(
        cls,
        parsed: readings.ParsedReading,
        reading: Reading,
        unit: Unit,
        told: StatedUncertainty,
        gauge: str = "",
    ) -> Measured:
        """Something typed, recorded or not."""
        value = parsed.value
        if value is None:
            raise ValueError("an unknown answer is no measured value")
        if isinstance(value, bool | str):
            return cls(value, value, unit, gauge=gauge)
        if reading.kind not in gauges.NUMBERS:
            return cls(units.of(value, unit), value, unit, gauge=gauge)
        return _number(reading, value, unit, told, parsed.uncertainty, parsed.repeats, gauge)

    @property
    def expanded(self) -> float | None:
        """Half the width of the 95 % interval, own unit; None where nothing is known of it."""
        if not self.error.known:
            return None
        return expanded_uncertainty(self.error.standard, self.error.effective_degrees_of_freedom)

    @property
    def coverage(self) -> str:
        """How `expanded` is meant."""
        few = math.isfinite(self.error.effective_degrees_of_freedom)
        return f"95 %, {self.count} repeats" if few else "k = 2"

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is to be said of its uncertainty."""
        said = []
        if self.trouble:
            said.append(self.trouble.rstrip("."))
        if self.error.exceeded:
            said.append("the repeats scatter more than the stated uncertainty explains")
        if self.error.outlier is not None:
            odd = format_value(self.error.outlier, self.unit.text, 6)
            said.append(f"one of the repeats, {odd}, lies far from the others: measure it again")
        return tuple(said)

    @property
    def uncorrelated(self) -> float:
        """Standard uncertainty of what differs from reading to reading of one gauge, own unit."""
        return math.hypot(self.error.own, self.error.half_resolution / math.sqrt(3))

    def reading_error(self, key: ReadingKey) -> ReadingError:
        """Its error in coherent SI.

        The gauge's own part is shared with the other readings of a gauge that was named, of a kind
        of quantity; where none was named, with those of its step, which one takes with one gauge.
        """
        scale = abs(float(self.unit.factor))
        gauge = " ".join(self.gauge.split()).casefold()
        group = (self.unit.dimension, gauge, "" if gauge else key[0])
        error = self.error
        return ReadingError(
            error.own * scale, error.half_resolution * scale, error.common * scale, group,
            error.degrees_of_freedom,
        )  # fmt: skip


def _number(
    reading: Reading,
    number: Number,
    unit: Unit,
    told: StatedUncertainty,
    entered: Number | None,
    repeats: tuple[Number, ...],
    gauge: str,
) -> Measured:
    statement = gauges.gauge_statement(gauge, unit)
    whole, between = _size(told.expanded, number), _size(told.between_readings, number)
    if statement.expanded is not None:
        # This gauge's own word goes before what the list says of such gauges.
        whole = _size(statement.expanded, number)
        assert whole is not None
        between = None if between is None else min(between, whole)
    if entered is not None and not repeats:
        whole, between = float(entered), None
    if whole is None and between is not None:
        whole = between
    known = StatedError(
        None if whole is None else whole / 2,
        None if between is None or whole is None else min(between, whole) / 2,
        float(statement.division or 0),
    )
    listed = [float(value) for value in repeats]
    error = error_of_mean(listed, known) if len(listed) > 1 else error_of_one(known)
    return Measured(
        units.of(number, unit), number, unit, error, known, gauge, max(1, len(listed)),
        inexact=not _is_stamp(reading), trouble=statement.trouble,
    )  # fmt: skip


def _is_stamp(reading: Reading) -> bool:
    """Whether a number is read off a part rather than measured: a jet's size, a part's number."""
    return not reading.unit and reading.limit is not None and reading.limit.equal is not None


def _again(entered: str, reading: Reading) -> readings.ParsedReading | None:
    """What was typed, read again; None where a log holds what can't be typed any more."""
    try:
        return readings.read(entered, reading)
    except InspectError:
        return None


def _size(amount: gauges.Amount | None, number: Number) -> float | None:
    if amount is None:
        return None
    relative, size = amount
    return abs(float(number)) * float(size) if relative else float(size)
