"""The checklist: sections, steps, readings, limits, derived values, inferences.

Frozen models of the TOML file. `core/definitions/load.py` makes them from text and says every
problem; here is only what a sound checklist is. Each field declares a key of the file (see
`declaration`).
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from inspect_tui.core.model.declaration import (
    AMOUNT,
    EXPRESSION,
    ID,
    LIMIT,
    STEP_IDS,
    UNCERTAINTY,
    key,
)
from inspect_tui.core.model.figures import Glossary

Kind = Literal["number", "count", "choice", "check", "text", "date", "photo", "timer"]
KINDS: tuple[Kind, ...] = ("number", "count", "choice", "check", "text", "date", "photo", "timer")
Amount = int | float | str
"""A number in the reading's own unit, a quantity `"12 mm"`, or an expression, as in the file."""
Meter = Literal["", "odometer", "hours"]
OnSetupCard = Annotated[
    bool | None,
    key(
        "It stands on the set-up card of the report: found, left, sheet. Left out: it does where "
        "it is to be equal to a figure of the sheet or has one as its target, and where a setting "
        "of its step brings it in.",
        True,
        wanted="true or false",
    ),
]


class Limit(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a value is held against: a zone, a target with a tolerance, or an equal."""

    min: Annotated[Amount | None, key("Not below this.", "spec.belt_min", 1.5, wanted=AMOUNT)] = (
        None
    )
    max: Annotated[Amount | None, key("Not above this.", "12 mm", 30, wanted=AMOUNT)] = None
    target: Annotated[
        Amount | None, key("What it should be, give or take `tolerance`.", 45, wanted=AMOUNT)
    ] = None
    tolerance: Annotated[
        Amount | None, key("How far from the target it may be.", "5 %", 3, wanted=AMOUNT)
    ] = None
    equal: Annotated[
        Amount | bool | tuple[str, ...] | None,
        key(
            "The good answer, or a list of good ones.",
            True, "spec.needle", ["none", "surface"],
            wanted="a number, an answer, a text, or a list of texts",
        ),
    ] = None  # fmt: skip


class Reading(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One value that is entered."""

    id: Annotated[str, key("What expressions, commands and the log call it.", "width", pattern=ID)]
    label: Annotated[str, key("What the screen asks for.", "Width at the crown")]
    kind: Annotated[
        Kind,
        key(
            "What is entered: `number`, `count` (whole), `choice`, `check` (yes or no), `text`, "
            "`date`, `photo`, `timer`.",
            "number",
        ),
    ]
    unit: Annotated[
        str, key("The unit that is stored and judged; others are converted as typed.", "mm")
    ] = ""
    options: Annotated[
        tuple[str, ...],
        key(
            "What a choice can be.", ["good", "worn"],
            wanted='a list of texts, such as ["good", "worn"]',
        ),
    ] = ()  # fmt: skip
    optional: Annotated[bool, key("It may be left out.", True)] = False
    uncertainty: Annotated[
        Amount | None,
        key(
            "Expanded uncertainty (k = 2) of the usual gauge; a number is in the reading's unit.",
            "0.5 mm", "5 %", 2,
            wanted=UNCERTAINTY,
        ),
    ] = None  # fmt: skip
    uncertainty_between: Annotated[
        Amount | None,
        key(
            "The same between readings of one gauge: cylinder to cylinder, left to right.",
            "0.2 mm",
            wanted=UNCERTAINTY,
        ),
    ] = None
    limit: Annotated[Limit | None, key("What it is held against.", {"min": 1}, wanted=LIMIT)] = None
    source: Annotated[str, key("Where the limit comes from.", "machine's manual")] = ""
    condition: Annotated[
        Literal["", "temperature", "qnh", "altitude", "relative_humidity"],
        key("The air it will run in that this also says: `conditions.NAME`.", "temperature"),
    ] = ""
    unknown: Annotated[
        Literal["", "fail"],
        key("Answered `unknown` it fails; else it gets no verdict.", "fail"),
    ] = ""
    by_hand: Annotated[
        bool,
        key(
            "It is set by hand (pumped to, hung on), so that cylinders are not compared by it.",
            True,
        ),
    ] = False
    stays: Annotated[
        bool,
        key(
            "It stays as it was set (a jet, a clip): what the last session left can be taken over "
            "by one key, said as such.",
            True,
        ),
    ] = False
    known_will_do: Annotated[
        bool,
        key("Where an earlier session left it, it need not be taken again: Enter goes past.", True),
    ] = False
    nothing_open: Annotated[
        bool,
        key(
            "A yes says that nothing put off can hurt: asked about while an earlier session's "
            "safety step is open.",
            True,
        ),
    ] = False
    meter: Annotated[Meter, key("It reads the machine's odometer, or its hours.", "odometer")] = ""
    same_as: Annotated[
        str,
        key(
            "The reading of another list that it carries on: `LIST:STEP.READING`.",
            "pre-season:belt-width.narrowest",
            filled=True,
            pattern=rf"{ID}:{ID}\.{ID}",
        ),
    ] = ""
    setup: OnSetupCard = None

    @property
    def carries_on(self) -> tuple[str, str] | None:
        """Step and reading of another list that it is the same as."""
        step, _, reading = self.same_as.partition(":")[2].partition(".")
        return (step, reading) if self.same_as else None


class Derived(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A value that follows from readings."""

    id: Annotated[
        str, key("What expressions, commands and the log call it.", "tension", pattern=ID)
    ]
    label: Annotated[str, key("What the screen calls it.", "Track tension")]
    value: Annotated[
        str, key("How it is worked out.", "force / deflection * '1 mm'", wanted=EXPRESSION)
    ]
    unit: Annotated[str, key("The unit in which it is shown and judged.", "N")] = ""
    across: Annotated[bool, key("In a step per cylinder: one value, which sees lists.", True)] = (
        False
    )
    limit: Annotated[Limit | None, key("What it is held against.", {"max": 3}, wanted=LIMIT)] = None
    source: Annotated[str, key("Where the limit or the formula comes from.", "manual")] = ""
    setup: OnSetupCard = None


class Adjustment(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a step's value is brought to where it should be: the next move, then measure again."""

    id: Annotated[str, key("What commands and the log call it.", "rods", pattern=ID)]
    reading: Annotated[str, key("The reading that is taken again as left.", "front")]
    move: Annotated[
        str,
        key(
            "How far to move, plus or minus, from the value as it stands.",
            "(spec.toe - toe) * '1 turn' / '3 mm'",
            wanted=EXPRESSION,
        ),
    ]
    unit: Annotated[str, key("The unit of the move.", "turn")] = ""
    least: Annotated[
        Amount | None,
        key("The smallest move worth making.", 0.25, wanted=UNCERTAINTY),
    ] = None
    more: Annotated[
        str, key("What a move above nought is, in words.", "Longer", required=True, filled=True)
    ] = ""
    less: Annotated[
        str, key("What a move below nought is.", "Shorter", required=True, filled=True)
    ] = ""
    limit: Annotated[
        Limit | None, key("Moves beyond it are not suggested.", {"max": 4}, wanted=LIMIT)
    ] = None
    source: Annotated[str, key("Where it comes from.", "common practice")] = ""
    moves: Annotated[
        tuple[str, ...],
        key(
            "The readings of this step that one move changes; those that `move` rests on where it "
            "is left out.",
            ["front", "rear"],
            wanted='a list of readings of this step, such as ["front", "rear"]',
        ),
    ] = ()

    @property
    def as_derived(self) -> Derived:
        """The move as the derived value that it is, for parsing and checking."""
        return Derived(self.id, self.id, self.move, self.unit, limit=self.limit)


class Step(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One thing to do and look at."""

    id: Annotated[
        str, key("What expressions, commands and the log call it.", "belt-width", pattern=ID)
    ]
    title: Annotated[str, key("What the screen calls it.", "Belt width")]
    how: Annotated[str, key("How it is done.", "Belt off and clean. Caliper across the top.")] = ""
    why: Annotated[str, key("Why it matters.", "A narrow belt slips and burns.")] = ""
    caution: Annotated[
        str, key("What can hurt; confirmed before the step's first reading.", "Key out.")
    ] = ""
    tools: Annotated[
        tuple[str, ...],
        key(
            "What to fetch.", ["calipers", "lamp"],
            wanted='a list of texts, such as ["calipers", "lamp"]',
        ),
    ] = ()  # fmt: skip
    only_if: Annotated[
        str,
        key(
            "The step is hidden where this is false.",
            "machine.cooling == 'liquid'",
            wanted=EXPRESSION,
            filled=True,
        ),
    ] = ""
    per: Annotated[
        Literal["", "cylinder"], key("Every reading is taken for each cylinder.", "cylinder")
    ] = ""
    minutes: Annotated[
        int | float | None,
        key("What it takes, for the plan.", 5, wanted="a number of minutes above 0"),
    ] = None
    safety: Annotated[bool, key("The sign-off wants it passed.", True)] = False
    gate: Annotated[
        Literal["", "start", "move"],
        key(
            "It must pass before the engine runs (`start`) or the machine moves (`move`).", "start"
        ),
    ] = ""
    begins: Annotated[
        Literal["", "start", "move"],
        key("With it the engine runs, or the machine moves.", "move"),
    ] = ""
    after: Annotated[
        tuple[str, ...], key("Steps that should come first.", ["plugs"], wanted=STEP_IDS)
    ] = ()
    disturbed_by: Annotated[
        tuple[str, ...],
        key(
            "Steps whose work upsets what this one records: it is recorded as found before them, "
            "and measured again after them.",
            ["carb-clean"],
            wanted=STEP_IDS,
        ),
    ] = ()
    every: Annotated[
        tuple[str, ...],
        key(
            "When it is due again, by the meter or by the calendar.", ["500 km", "24 months"],
            wanted='a list of intervals, such as ["500 km", "24 months"]',
        ),
    ] = ()  # fmt: skip
    reading: Annotated[
        tuple[Reading, ...], key("A value that is entered; without one the step is a check.")
    ] = ()
    """As written; `readings` is what is asked."""
    derived: Annotated[tuple[Derived, ...], key("A value that follows from readings.")] = ()
    setting: Annotated[tuple[Adjustment, ...], key("The next move towards the limit.")] = ()
    use: Annotated[
        str,
        key(
            "Takes a step of another list, in place of one: `LIST:STEP`. It stands alone.",
            "pre-season:belt-width",
            filled=True,
            pattern=f"{ID}:{ID}",
        ),
    ] = ""

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

    id: Annotated[str, key("What commands call it.", "drive", pattern=ID)]
    title: Annotated[str, key("What the screen calls it.", "Belt and clutches")]
    step: Annotated[tuple[Step, ...], key("A step of it.")] = ()
    use: Annotated[
        str,
        key(
            "Takes a section of another list, in place of one: `LIST:SECTION`. It stands alone.",
            "pre-season:brake",
            filled=True,
            pattern=f"{ID}:{ID}",
        ),
    ] = ""


class Inference(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a veteran concludes from two or more independent readings."""

    id: Annotated[str, key("What its finding is called: `I.ID`.", "intake-leak", pattern=ID)]
    when: Annotated[
        str,
        key(
            "When it speaks.",
            "boots.crack == 'through' and plugs.colour == 'light'",
            wanted=EXPRESSION,
        ),
    ]
    says: Annotated[str, key("What it says.", "Air leak at this cylinder's boot: mend and test.")]
    per: Annotated[Literal["", "cylinder"], key("It is asked for each cylinder.", "cylinder")] = ""
    sure: Annotated[Literal["high", "medium", "low"], key("How sure it is.", "medium")] = "medium"
    look_at: Annotated[
        tuple[str, ...],
        key(
            "Steps that would settle it, in the order to try them.", ["pressure-test"],
            wanted=STEP_IDS,
        ),
    ] = ()  # fmt: skip
    source: Annotated[str, key("Where it comes from.", "common practice")] = ""
    explains: Annotated[
        tuple[str, ...],
        key(
            "Findings that stand under it: `STEP.READING`; those of the readings that `when` names "
            "where it is left out.",
            ["plugs.colour"],
            wanted='a list of readings, such as ["plugs.colour"]',
        ),
    ] = ()


class Checklist(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A whole checklist."""

    id: Annotated[str, key("What commands and sessions call the list.", "pre-season", pattern=ID)]
    title: Annotated[str, key("What the screen calls it.", "Pre-season inspection")]
    revision: Annotated[
        int, key("Counted up when the list changes.", 1, wanted="a whole number, 1 or more")
    ] = 1
    cautions: Annotated[
        tuple[str, ...],
        key(
            "Shown and confirmed before the first step.",
            ["Key out before hands go near anything that turns."],
        ),
    ] = ()
    section: Annotated[tuple[Section, ...], key("A group of steps.", required=True)] = ()
    inference: Annotated[
        tuple[Inference, ...], key("What follows from several readings together.")
    ] = ()
    drawing: Annotated[
        str, key("The drawing of the machine, by its file's name.", "sled", filled=True)
    ] = ""
    until: Annotated[
        str,
        key(
            "What one says who puts something off until this list; offered where one decides.",
            "before the first ride",
            filled=True,
        ),
    ] = ""
    figure: Annotated[
        Glossary, key("What manuals call a figure that this list asks for: `[figure.NAME]`.")
    ] = {}

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps in order."""
        return tuple(step for section in self.section for step in section.step)
