"""A line -> a step: the lists that people write themselves, on the command line or while walking.

    Look under the seat                         a check
    Belt width | mm                             a number
    Pressure, cold | kPa | min 33               judged; also max 12, target 5 +- 1
    Coolant | one of clear, dark, milky         a choice; the first is the wanted one

The steps stand in a section of their own, `own`, and are called own-1, own-2 ...
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from inspect_tui.core.definitions import toml
from inspect_tui.core.definitions.decode import tables
from inspect_tui.core.definitions.sheets.write_toml import document
from inspect_tui.core.definitions.sheets.write_toml import tables as as_text
from inspect_tui.core.model.declaration import SECTION_OF_OWN
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.units import Unit, difference_unit
from inspect_tui.core.readings.parse import as_a_file_writes_it, quantity
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput

Table = dict[str, Any]
LONGEST_LABEL = 200
MAX_OPTIONS = 100
TITLE = "My own"
HOW = "write 'LABEL', 'LABEL | UNIT', 'LABEL | UNIT | min 33' or 'LABEL | one of a, b, c'."
_OWN_ID = re.compile(r"own-([0-9]{1,9})")
_ONE_OF = re.compile(r"one\s+of\b\s*(.*)", re.IGNORECASE)
_LIMIT = re.compile(r"(min|max|target)\s+(\S.*)", re.IGNORECASE)
_TOLERANCE = re.compile(r"\+\s*/?\s*-|±")


def step_of(line: str, step_id: str) -> Table:
    """The step of a line, as a list's file would have it.

    Args:
        line: As a person typed it.
        step_id: `own-1` ...

    Raises:
        BadInput: nothing can be made of it, in words.
    """
    parts = [sanitize(part) for part in line.split("|")]
    label, rest = parts[0], parts[1:]
    if not label:
        raise BadInput(f"The item '{ellipsize(line)}' has no label;", HOW)
    if len(label) > LONGEST_LABEL:
        raise BadInput(f"The item '{ellipsize(label)}' is too long; at most {LONGEST_LABEL} signs.")
    step: Table = {"id": step_id, "title": label}
    if not rest:
        return step
    said = f"The item '{ellipsize(label)}'"
    choice = _ONE_OF.fullmatch(rest[0])
    try:
        if choice is not None:
            if len(rest) > 1:
                raise BadInput("there is more behind its options;", HOW)
            step["reading"] = [_choice(label, choice[1])]
        else:
            if len(rest) > 2:
                raise BadInput("there are too many parts;", HOW)
            step["reading"] = [_number(label, *rest)]
    except BadInput as error:
        raise BadInput(f"{said}: {error.message}", error.hint) from None
    return step


def section_of(lines: Sequence[str], start: int = 1) -> Table:
    """The section `own` with a step for each line; ids are counted from `start`."""
    steps = [step_of(line, f"own-{number}") for number, line in enumerate(lines, start)]
    return {"id": SECTION_OF_OWN, "title": TITLE, "step": steps}


def list_of(list_id: str, title: str, lines: Sequence[str]) -> str:
    """The text of a checklist made of lines. Raises BadInput."""
    if not lines:
        raise BadInput("A list wants a line;", HOW)
    return document({"id": list_id, "title": title, "revision": 1, "section": [section_of(lines)]})


def list_of_steps(list_id: str, title: str, lines: Sequence[tuple[str, str]]) -> str:
    """The text of a checklist made of lines and of steps of other lists.

    Args:
        list_id: Its id.
        title: Its title.
        lines: Each (what was typed, ""), or (anything, `LIST:STEP`) for a step that is taken in.

    Raises:
        BadInput: nothing can be made of a line.
    """
    steps: list[Table] = []
    for line, taken in lines:
        steps.append({"use": taken} if taken else step_of(line, f"own-{len(steps) + 1}"))
    section = {"id": SECTION_OF_OWN, "title": title, "step": steps}
    return document({"id": list_id, "title": title, "revision": 1, "section": [section]})


def list_of_one(line: str, step_id: str) -> str:
    """The text of a checklist with the one step that a line makes. Raises BadInput."""
    section = {"id": SECTION_OF_OWN, "title": TITLE, "step": [step_of(line, step_id)]}
    return document({"id": "one", "title": TITLE, "revision": 1, "section": [section]})


def words_of(line: str) -> str:
    """What a line makes, for who types it: `a number in mm, at least 33`. Raises BadInput."""
    step = step_of(line, "own-1")
    (reading,) = step.get("reading", [{"kind": "check"}])
    if reading["kind"] == "check":
        return "a tick"
    limit = reading.get("limit", {})
    if reading["kind"] == "choice":
        return f"a choice, {limit['equal']} is right"
    said = f"a number in {reading['unit']}" if reading.get("unit") else "a number"
    if "target" in limit:
        return f"{said}, {limit['target']} ± {limit['tolerance']}"
    sides = {"min": "at least", "max": "at most"}
    return ", ".join([said, *(f"{sides[side]} {amount}" for side, amount in limit.items())])


def with_items(text: str, lines: Sequence[str]) -> str:
    """A checklist's text with the lines as further steps in its section `own`.

    Args:
        text: Of a sound list, as composed.
        lines: As a person typed them.

    Raises:
        BadInput: nothing can be made of a line.
    """
    if not lines:
        return text
    data = toml.read(text, "The list")
    assert isinstance(data, dict)
    added = section_of(lines, next_number(_step_ids(data)))
    sections = data["section"]
    own = next((one for one in tables(data, "section") if one.get("id") == SECTION_OF_OWN), None)
    ended = text if text.endswith("\n") else f"{text}\n"
    if own is None:
        sections.append(added)
        made = f"{ended}\n{as_text('section', added)}"
    else:
        own["step"] = [*tables(own, "step"), *added["step"]]  # type: ignore[index]
        # As text this is right only where `own` is the last section; else it reads back otherwise.
        made = ended + "".join(f"\n{as_text('section.step', step)}" for step in added["step"])
    return made if toml.read(made, "") == data else document(data)


def next_number(ids: Iterable[str]) -> int:
    """The first free number of `own-N` behind those that are taken."""
    numbers = [int(found[1]) for one in ids if (found := _OWN_ID.fullmatch(one))]
    return max(numbers, default=0) + 1


def _step_ids(data: Mapping[str, Any]) -> list[str]:
    return [
        str(step.get("id"))
        for section in tables(data, "section")
        for step in tables(section, "step")
    ]


def _choice(label: str, words: str) -> Table:
    options = [" ".join(word.split()) for word in words.split(",")]
    if len(options) < 2 or not all(options):
        raise BadInput("a choice wants two options or more, with commas between them;",
                       "write 'one of clear, dark, milky', the wanted one first.")  # fmt: skip
    if len(options) > MAX_OPTIONS:
        raise BadInput(f"{len(options)} options are too many;", f"at most {MAX_OPTIONS}.")
    if len({option.casefold() for option in options}) < len(options):
        raise BadInput("an option is given twice;", "write each once.")
    return {
        "id": "value", "label": label, "kind": "choice", "options": options,
        "limit": {"equal": options[0]},
    }  # fmt: skip


def _number(label: str, unit_text: str, limit_text: str = "") -> Table:
    if not unit_text and not limit_text:
        raise BadInput("nothing stands behind the bar;", HOW)
    if _LIMIT.fullmatch(unit_text):
        raise BadInput(f"'{ellipsize(unit_text)}' stands where its unit should;", HOW)
    unit = units.unit(unit_text)
    reading: Table = {"id": "value", "label": label, "kind": "number"}
    if unit_text:
        reading["unit"] = unit_text
    if limit_text:
        reading["limit"] = _limit(limit_text, unit)
    return reading


def _limit(text: str, unit: Unit) -> Table:
    found = _LIMIT.fullmatch(text)
    if found is None:
        raise BadInput(
            f"'{ellipsize(text)}' is no limit;", "write 'min 33', 'max 12' or 'target 5 +- 1'."
        )
    side, amount = found[1].casefold(), found[2]
    if side != "target":
        return {side: _amount(amount, unit)}
    parts = _TOLERANCE.split(amount)
    if len(parts) != 2:
        raise BadInput("a target wants its tolerance;", "write 'target 5 +- 1'.")
    tolerance = _amount(parts[1], difference_unit(unit), share=unit.quantity_kind != "temperature")
    if quantity(str(tolerance), difference_unit(unit)).si < 0:
        raise BadInput(f"the tolerance {tolerance} is negative;", "write 'target 5 +- 1'.")
    return {"target": _amount(parts[0], unit), "tolerance": tolerance}


def _amount(text: str, unit: Unit, *, share: bool = False) -> int | float | str:
    """A limit's amount as a list would have it: a bare number as one, a quantity as text.

    Args:
        text: As typed.
        unit: The reading's own.
        share: Whether a percentage will do too, which a tolerance can be.
    """
    text = text.strip()
    if share and text.endswith("%"):
        quantity(text, unit)
        return text
    text = as_a_file_writes_it(text, unit)
    found = parse_number.amount(text)
    if found.unit or found.ratio:
        return text
    number = found.number
    if number.denominator == 1 and abs(number) < 10**15:
        return int(number)
    # A number that a list's file has not exactly stays as it was typed.
    return float(number) if Fraction(repr(float(number))) == number else text
