"""The checklist: sections, steps, readings, limits, derived values, inferences.

Frozen models of the TOML file. `core/definitions/load.py` makes them from text and says every
problem; here is only what a sound checklist is.
"""

from __future__ import annotations

from typing import Literal

import msgspec

Kind = Literal["number", "count", "choice", "check", "text", "date", "photo", "timer"]
KINDS: tuple[Kind, ...] = ("number", "count", "choice", "check", "text", "date", "photo", "timer")
Amount = int | float | str
"""A number in the reading's own unit, a quantity `"12 mm"`, or an expression, as in the file."""


class Limit(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a value is held against: a zone, a target with a tolerance, or an equal."""

    min: Amount | None = None
    max: Amount | None = None
    target: Amount | None = None
    tolerance: Amount | None = None
    equal: Amount | bool | tuple[str, ...] | None = None


class Reading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One value that is entered."""

    id: str
    label: str
    kind: Kind
    unit: str = ""
    options: tuple[str, ...] = ()
    optional: bool = False
    uncertainty: Amount | None = None
    """Expanded, k = 2: `"1 mm"`, `"5 %"` (of the value), a bare number in the reading's unit."""
    uncertainty_between: Amount | None = None
    limit: Limit | None = None
    source: str = ""
    condition: Literal["", "temperature", "qnh", "altitude", "relative_humidity"] = ""
    """The session's air that this reading also says: `conditions.NAME` in expressions."""


class Derived(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A value that follows from readings."""

    id: str
    label: str
    value: str
    unit: str = ""
    across: bool = False
    limit: Limit | None = None
    source: str = ""


class Adjustment(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a step's value is brought to where it should be: the next move, then measure again."""

    id: str
    reading: str
    """The reading that is taken again as left."""
    move: str
    """Expression: how far to move, plus or minus, from the value as it stands."""
    unit: str = ""
    least: Amount | None = None
    """The smallest move worth making; less counts as in place."""
    more: str = ""
    """What a move above zero is, in words: `Turn the adjuster out`."""
    less: str = ""
    """What a move below zero is."""
    limit: Limit | None = None
    """Moves that may be made; one beyond it is not suggested."""
    source: str = ""

    @property
    def as_derived(self) -> Derived:
        """The move as the derived value that it is, for parsing and checking."""
        return Derived(self.id, self.id, self.move, self.unit, limit=self.limit)


class Step(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One thing to do and look at."""

    id: str
    title: str
    how: str = ""
    why: str = ""
    caution: str = ""
    tools: tuple[str, ...] = ()
    only_if: str = ""
    """Expression: the step is hidden where it is false."""
    per: Literal["", "cylinder"] = ""
    safety: bool = False
    gate: Literal["", "start", "move"] = ""
    begins: Literal["", "start", "move"] = ""
    after: tuple[str, ...] = ()
    """Steps that should come first."""
    disturbed_by: tuple[str, ...] = ()
    """Steps whose work upsets what this one records: it is recorded as found before them."""
    reading: tuple[Reading, ...] = ()
    """As written; `readings` is what is asked."""
    derived: tuple[Derived, ...] = ()
    setting: tuple[Adjustment, ...] = ()

    @property
    def readings(self) -> tuple[Reading, ...]:
        """What is asked: a step without readings is one check, `done`."""
        return self.reading or (DONE,)

    @property
    def per_cylinder(self) -> bool:
        """Whether each reading is taken for every cylinder."""
        return self.per == "cylinder"

    @property
    def is_safety(self) -> bool:
        """Whether the sign-off needs it passed: marked `safety`, or a gate."""
        return self.safety or bool(self.gate)


DONE = Reading(id="done", label="Done", kind="check")


class Section(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A group of steps."""

    id: str
    title: str
    step: tuple[Step, ...] = ()


class Inference(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a veteran concludes from two or more independent readings."""

    id: str
    when: str
    says: str
    per: Literal["", "cylinder"] = ""
    sure: Literal["high", "medium", "low"] = "medium"
    look_at: tuple[str, ...] = ()
    source: str = ""


class Checklist(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A whole checklist."""

    id: str
    title: str
    revision: int = 1
    cautions: tuple[str, ...] = ()
    section: tuple[Section, ...] = ()
    inference: tuple[Inference, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps in order."""
        return tuple(step for section in self.section for step in section.step)
