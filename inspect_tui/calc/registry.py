"""The register of calculations: what each wants, gives, rests on, and the function that does it.

A calculation is declared once, by `declare` over its function. Expressions of the TOML files, the
`calc` command, the bench of the app, the tests of ranges, refusals and uncertainty, and the
function's own docstring follow from that row. Nothing of the package's other parts is imported.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType
from typing import ParamSpec

from inspect_tui.calc import input_checks
from inspect_tui.calc.input_checks import OutOfRange, Range

Number = Fraction | float | int
"""A plain number. Functions keep fractions exact where their formula is rational."""

Outcome = Number | str | bool | None | tuple[object, ...]
"""One result: a number in the result's unit, a word, a list, or None for "none"."""

P = ParamSpec("P")
Function = Callable[P, dict[str, Outcome]]

SUBJECTS = ("air and jets", "drive", "engine", "fluids and electrics", "fasteners", "measurement")
"""In the order in which people read them."""


@dataclass(frozen=True, slots=True)
class Input:
    """One named input of a calculation.

    The function gets a plain number in `unit`, or a tuple of them where `many` is true, already
    checked against `takes`.
    """

    name: str
    unit: str | None
    """Unit name of the number that the function gets, coherent SI (`m`, `Pa`, `N`, `K`, `rad`,
    `kg`, `rad/s`, `m**3` ...); "" for a plain number; "fraction" for a plain number that may also
    be written in percent; "like:GROUP" for any dimension shared by all of that group, given in
    coherent SI; None for a word (or, with `many`, a list of words or numbers)."""
    meaning: str
    """What it is, in a few words of the trade."""
    example: str
    """How a person would write it: `120 mm`, `9`, `240; 230; 240`."""
    takes: Range | None = None
    """The figures that make sense, in `unit`; what is outside is refused by the input's name."""
    at: object = None
    """The working point: an ordinary value in `unit`, as the function takes it."""
    u: float | None = None
    """Standard uncertainty (k = 1) that a careful owner's reading of it has there, in `unit`; None
    for what is exact, such as a count."""
    many: bool = False
    fewest: int = 1
    """With `many`: how many values it takes at least."""
    optional: bool = False
    default: Number | str | None = None
    """What an optional input counts as when it is not given; in `unit`."""
    choices: tuple[str, ...] = ()
    """For a word: the words that are taken."""
    difference: bool = False
    """A difference of temperatures rather than a temperature."""
    label: str = ""
    """What a screen calls it, where its name says too little; else its name without its signs."""

    @property
    def words(self) -> str:
        """What a screen calls it: `first jet`, `mean diameter`."""
        return self.label or self.name.replace("_", " ")

    def checked(self, value: object) -> object:
        """The value as the function takes it. Raises ValueError with the input's name."""
        if self.unit is None:
            return input_checks.word(self.name, value, self.choices) if self.choices else value
        if value is None and self.optional and self.default is None:
            return None
        if self.many:
            return input_checks.several(self.name, value, self.fewest, self.takes)
        return (self.takes.take if self.takes else input_checks.number)(self.name, value)


@dataclass(frozen=True, slots=True)
class Result:
    """One named result of a calculation."""

    key: str
    unit: str | None
    """As for an input, with "percent" for percents and "like:A/like:B" for a slope; None for words
    and lists."""
    meaning: str
    handy: str = ""
    """A unit that people read easily, if not `unit`: `mm`, `kPa`, `degree`, `degC`."""
    larger: str = ""
    """The unit from one of which on it is said in that: `L` beside a `handy` of `mL`."""
    sane: Range | None = None
    """What it can be on any machine, in `unit`: figures that together give something else are
    refused, each of them being possible by itself."""
    difference: bool = False
    propagates: bool = True
    """An uncertainty goes through to it to first order; not to what goes in steps or is itself a
    probability or an uncertainty."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A figure that is not taken: the working point with a change, and words of the answer."""

    changes: Mapping[str, object]
    words: str


@dataclass(frozen=True, slots=True)
class Calculation:
    """A calculation: its name, its two sides, its function and what it rests on."""

    name: str
    subject: str
    """One of SUBJECTS."""
    title: str
    """One line, without a full stop."""
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    function: Callable[..., Mapping[str, Outcome]] = field(repr=False)
    """Takes keywords named as the inputs; returns every result's key; raises ValueError with one
    sentence that names the input and its range."""
    formula: str
    source: str
    """The published source, or "common practice" / "from memory"."""
    valid: str
    """Range of validity and assumptions, in one or two sentences."""
    harm: str = ""
    """Which way an error would hurt."""
    refuses: tuple[Refusal, ...] = ()
    """What its own conditions refuse, beyond the range of each input."""
    thin: str = ""
    """Why fewer than two values from outside are known to check it against; "" where there are."""

    @property
    def working_point(self) -> dict[str, object]:
        """Every input that has an ordinary value, with that value."""
        return {entry.name: entry.at for entry in self.inputs if entry.at is not None}


_DECLARED: dict[str, Calculation] = {}


def declared() -> Mapping[str, Calculation]:
    """What has been declared so far, by name, in the order of the declarations."""
    return MappingProxyType(_DECLARED)


def declare(
    *,
    subject: str,
    title: str,
    inputs: tuple[Input, ...],
    results: tuple[Result, ...],
    formula: str,
    source: str,
    valid: str,
    harm: str,
    refuses: tuple[Refusal, ...] = (),
    thin: str = "",
) -> Callable[[Function[P]], Function[P]]:
    """Puts the function below it into the register, under its own name.

    The function gets its inputs checked; what goes out is finite and sane, or ValueError is raised
    in words. Its docstring is completed from the row.

    Raises:
        ValueError: a calculation of that name is declared already.
    """

    def register(function: Function[P]) -> Function[P]:
        name = function.__name__
        if name in _DECLARED:
            raise ValueError(f"the calculation {name} is declared twice")
        checked = _checked(function, inputs, results)
        entry = Calculation(
            name, subject, title, inputs, results, checked, formula, source, valid, harm, refuses,
            thin,
        )  # fmt: skip
        checked.__doc__ = _document(function.__doc__ or "", entry)
        _DECLARED[name] = entry
        return checked

    return register


def _checked(
    function: Function[P], inputs: tuple[Input, ...], results: tuple[Result, ...]
) -> Function[P]:
    """The function behind its row's ranges: no overflow, nan, inf or nonsense goes out."""
    takes = {entry.name: entry for entry in inputs}
    units = {part.name: _unit_words(part.unit) for part in inputs}
    units |= {part.key: _unit_words(part.unit) for part in results}

    @functools.wraps(function)
    def checked(*args: P.args, **kwargs: P.kwargs) -> dict[str, Outcome]:
        try:
            given = {
                name: takes[name].checked(value) if name in takes else value
                for name, value in kwargs.items()
            }
            found = function(*args, **given)  # type: ignore[arg-type]
            for result in results:
                _finite_and_sane(result, found[result.key], list(given))
        except (OverflowError, ZeroDivisionError):
            raise ValueError(_beyond(list(kwargs))) from None
        except OutOfRange as refusal:
            refusal.units = {**units, **refusal.units}
            raise
        return found

    return checked


def _finite_and_sane(result: Result, value: Outcome, names: list[str]) -> None:
    if isinstance(value, bool) or not isinstance(value, (int, float, Fraction)):
        return
    if not math.isfinite(value):
        raise ValueError(_beyond(names))
    if result.sane is not None and not result.sane.holds(value):
        end = result.sane.low if value < result.sane.low else result.sane.high
        side = "below" if value < result.sane.low else "above"
        raise OutOfRange(
            f"{' and '.join([', '.join(names[:-1]), names[-1]]) if names[1:] else names[0]} "
            f"give {{}} as the {result.key.replace('_', ' ')}, {side} the {{}} that any machine "
            "has; check them and their units",
            (result.key, value), (result.key, end),
        )  # fmt: skip


def _beyond(names: list[str]) -> str:
    listed = ", ".join(names) or "the inputs"
    return f"{listed}: so large or so small together that no result can be worked out"


def _unit_words(unit: str | None) -> str:
    """The unit of a number in a sentence; "" where it has none of its own."""
    if unit is None or unit == "fraction" or unit.startswith("like:"):
        return ""
    return "%" if unit == "percent" else unit


def _document(own: str, entry: Calculation) -> str:
    """The function's docstring with what its row says."""
    lines = [own.rstrip(), ""]
    lines += [f"    Formula: {entry.formula}.", ""]
    lines += ["    Inputs:", *(f"        {_input_line(one)}" for one in entry.inputs), ""]
    lines += ["    Results:"]
    lines += [f"        {one.key}: {one.meaning}{_in_unit(one.unit)}." for one in entry.results]
    lines += ["", f"    Valid: {entry.valid}", f"    Source: {entry.source}."]
    lines += [f"    Harm: {entry.harm}", "", "    Raises:"]
    lines += ["        ValueError: an input, or what they give together, is outside its range."]
    return "\n".join(lines) + "\n"


def _input_line(one: Input) -> str:
    taken = range_words(one.takes) if one.takes else " or ".join(one.choices)
    default = "" if one.default is None else f"; {one.default} unless given"
    return f"{one.name}: {one.meaning}{_in_unit(one.unit)}{', ' * bool(taken)}{taken}{default}."


def _in_unit(unit: str | None) -> str:
    words = _unit_words(unit)
    return f", in {words}" if words else ""


def range_words(takes: Range, show: Callable[[Number], str] = input_checks.said) -> str:
    """A range as it is said: `from 0 to 10`, `above 0, at most 5`."""
    kind = "a whole number " if takes.whole else ""
    if takes.low_included:
        return f"{kind}from {show(takes.low)} to {show(takes.high)}"
    return f"{kind}above {show(takes.low)}, at most {show(takes.high)}"
