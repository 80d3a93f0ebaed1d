"""Typed text -> value, or a reason in one sentence; and a value -> the text that shows it.

Pure. `read` never raises anything but BadInput, whatever is typed; it takes bounded time.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.checklist import Reading
from inspect_tui.core.units import Number, Quantity, Unit

Value = Fraction | float | int | bool | str
"""number, count, timer: a number in the reading's own unit; check: bool; choice, text, date,
photo: str."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What was understood of a typed entry."""

    entered: str
    """What was typed, stripped of surrounding space and control characters."""
    value: Value
    """In the reading's own unit."""
    unit: str
    """The reading's own unit as written in the checklist; "" where there is none."""
    uncertainty: Number | None = None
    """Expanded (k = 2), in the reading's own unit; from repeats `a; b; c` (Student) or a typed
    `31.7 ± 0.2`; None where the entry itself states none."""
    repeats: tuple[Number, ...] = ()


def read(text: str, reading: Reading) -> Typed:
    """What a person typed for this reading.

    Raises:
        BadInput: one sentence that says what is wrong and what would be right.
    """
    raise NotImplementedError


def quantity(text: str, wanted: Unit | None = None, *, bare: bool = True) -> Quantity:
    """A quantity written by a person or in a file: `12 mm`, `1-1/4 in`, `6000 ft`, `-20 C`.

    A unit's short name is read in the light of `wanted`'s dimension. A bare number counts in
    `wanted` when `bare`, else it is a plain number. Raises BadInput.
    """
    raise NotImplementedError


def show(value: Value, unit: str = "", digits: int | None = None) -> str:
    """A value as people read it: `31.75 mm`, `1.25 turn`, `yes`, `2026-11-02`; no float noise."""
    raise NotImplementedError


def probable_slip(
    typed: Typed, reading: Reading, low: Number | None, high: Number | None
) -> str | None:
    """A question, if the value is probably a slip of the unit or of the decimal point.

    `low` and `high` are the limits (own unit); the expected zone is around them. Asked when the
    value lies well outside and 25.4, 10 (or a power of ten) or 6.895 times more or less would
    lie inside. None where nothing is odd.
    """
    raise NotImplementedError
