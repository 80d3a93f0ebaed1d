"""The register of calculations: what each wants, gives, rests on, and the function that does it.

Expressions of the TOML files, the `calc` command and the bench of the app all read this register,
so that a calculation is written once. Nothing of the package's other parts is imported here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

Number = Fraction | float | int
"""A plain number. Functions keep fractions exact where their formula is rational."""

Outcome = Number | str | bool | None | tuple[object, ...]
"""One result: a number in the result's unit, a word, a list, or None for "none"."""


@dataclass(frozen=True, slots=True)
class Input:
    """One named input of a calculation.

    The function gets a plain number in `unit`, or a tuple of them where `many` is true.
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
    many: bool = False
    optional: bool = False
    default: Number | str | None = None
    """What an optional input counts as when it is not given; in `unit`."""
    choices: tuple[str, ...] = ()
    """For a word: the words that are taken."""
    difference: bool = False
    """A difference of temperatures rather than a temperature."""


@dataclass(frozen=True, slots=True)
class Result:
    """One named result of a calculation."""

    key: str
    unit: str | None
    """As for an input, with "percent" for percents; None for words and lists."""
    meaning: str
    handy: str = ""
    """A unit that people read easily, if not `unit`: `mm`, `kPa`, `degree`, `degC`."""
    difference: bool = False


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


SUBJECTS = ("air and jets", "drive", "engine", "fasteners", "measurement")
