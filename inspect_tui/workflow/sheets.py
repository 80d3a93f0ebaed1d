"""Machine sheets that grow: a new one, its figures as they are found in the manual."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks.check_glossary import asked_in
from inspect_tui.core.definitions.checks.check_ids import ID
from inspect_tui.core.definitions.checks.figures_used import compared_with, steps_asking
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.own_items import list_of
from inspect_tui.core.definitions.sheets import edit_sheet
from inspect_tui.core.definitions.sheets.sheet_rows import FigureRow, lacking, sheet_rows
from inspect_tui.core.definitions.sheets.typed_fact import fact_of
from inspect_tui.core.definitions.sheets.write_toml import document
from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.model.figures import FigureDescription
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.text.sanitize import ellipsize, required_text, sanitize
from inspect_tui.errors import BadInput, InspectError, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.own_definitions import create
from inspect_tui.files.store import Store
from inspect_tui.workflow.missing_figures import glossary_of

LONGEST_NAME = 40
"""Letters of a machine's name that its id takes."""
MOST_COUNTED = 12
"""Cylinders that a bare number names; a larger one is a name."""


@dataclass
class Lists:
    """What the lists that there are say of figures."""

    compiled: list[Compiled] = field(default_factory=list)
    glossary: dict[str, FigureDescription] = field(default_factory=dict)
    """By the figure's name as expressions write it."""

    asked: set[str] = field(default_factory=set)
    """Every figure that some list asks for."""

    @property
    def asking(self) -> dict[str, list[str]]:
        """By figure: the steps that ask for it."""
        found: dict[str, list[str]] = {}
        for compiled in self.compiled:
            for name, steps in steps_asking(compiled).items():
                known = found.setdefault(name, [])
                known += [step for step in steps if step not in known]
        return found

    def held_against(self, name: str) -> Reading | Derived | None:
        """What a figure is held against in one of the lists."""
        found = (compared_with(compiled, name) for compiled in self.compiled)
        return next((one for one in found if one is not None), None)


# --- new ones -------------------------------------------------------------------------------


def new_list(places: Store, list_id: str, title: str, lines: Sequence[str]) -> Path:
    """A checklist made of lines, in the person's store.

    Raises:
        BadInput: the id is there or can't be one, or nothing can be made of a line.
        NotSaved: the disk did not take it.
    """
    text = list_of(list_id, required_text("the title", title), lines)
    return create("checklist", list_id, text, places)


def new_sheet(
    places: Store, machine_id: str, name: str, cylinders: str = "", facts: Sequence[str] = ()
) -> Path:
    """A machine sheet that holds the machine's name, its cylinders and facts, and grows.

    Args:
        places: The person's store.
        machine_id: Its id.
        name: What people call it.
        cylinders: Their names, with commas between them; none for a machine without.
        facts: Each as `NAME=VALUE`.

    Raises:
        BadInput: the id is there or can't be one, or something of it is nonsense.
        NotSaved: the disk did not take it.
    """
    name = required_text("the machine's name", name)
    names = [sanitize(one) for one in cylinders.split(",")] if cylinders.strip() else []
    if not all(names):
        raise BadInput("A cylinder's name is empty.", "Write such as PTO,centre,MAG.")
    text = document({"id": machine_id, "name": name, "cylinders": names})
    for fact in facts:
        key, value = _fact(fact)
        text = edit_sheet.set_fact(text, key, value)
    sound_sheet(text)
    return create("machine", machine_id, text, places)


def new_machine(places: Store, name: str, cylinders: str = "") -> str:
    """A new sheet whose id is made of the machine's name; returns the id.

    Args:
        places: The store.
        name: What the machine is called.
        cylinders: Their names with commas between them, or how many there are (1 to 12), which
            are then called 1, 2, and so on; "" for none.

    Raises:
        BadInput: no name, or something of it is nonsense.
        NotSaved: the disk did not take it.
    """
    wanted = free_id("machine", required_text("the machine's name", name), places)
    new_sheet(places, wanted, name, _cylinder_names(cylinders))
    return wanted


def _cylinder_names(said: str) -> str:
    """`2` is two cylinders, called 1 and 2; anything else is their names."""
    number = said.strip()
    if number.isascii() and number.isdecimal() and 1 <= int(number[:4]) <= MOST_COUNTED:
        return ",".join(str(each) for each in range(1, int(number) + 1))
    return said


def free_id(kind: definition_files.Kind, name: str, places: Store) -> str:
    """An id that is made of a name and is not taken yet: `my-sled`, `my-sled-2`."""
    plain = unicodedata.normalize("NFKD", name)
    made = re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode().casefold())
    made = made.strip("-")[:LONGEST_NAME].strip("-")
    if not made[:1].isalpha():
        made = f"{'machine' if kind == 'machine' else 'list'}-{made}".strip("-")
    wanted, number = made, 1
    while definition_files.is_there(kind, wanted, places):
        number += 1
        wanted = f"{made}-{number}"
    return wanted


def _fact(text: str) -> tuple[str, str | int | float | bool]:
    name, equals, value = text.partition("=")
    name, value = name.strip(), sanitize(value)
    if not equals or not value or not ID.fullmatch(name):
        raise BadInput(f"'{ellipsize(text)}' is no fact.", "Write such as cooling=liquid.")
    return name, fact_of(value)


def sound_sheet(text: str) -> Machine:
    """The machine of a sheet's text. Raises BadInput with the first problem."""
    loaded = definitions.load_machine(text, "The sheet")
    if loaded.machine is None:
        problem = next(one for one in loaded.problems if not one.note)
        raise BadInput(f"{problem.path}: {problem.message}" if problem.path else problem.message)
    return loaded.machine


# --- what lists say -------------------------------------------------------------------------


def lists_of(places: Store, only: str = "", asking: Collection[str] | None = None) -> Lists:
    """The lists that there are, or one of them, with what is said of figures anywhere.

    Args:
        places: The person's store, whose lists come before those that ship.
        only: The id or path of one list; "" for all. Of several, one with problems is left out.
        asking: Only lists that ask for one of these figures are compiled; None for all.

    Raises:
        BadInput: there is no such list.
        Refused: it has problems.
    """
    found = Lists()
    if only:
        paths = [definition_files.find("checklist", only, places)]
    else:
        paths = definition_files.list_all("checklist", places)
    for path in paths:
        try:
            text = definition_files.read_text(path)
            asked = asked_in(text)
            found.asked |= asked
            if asking is not None and not asked & set(asking):
                continue
            library = definition_files.Lists(places, path.parent)
            loaded = definitions.load_checklist(text, str(path), library)
        except InspectError:
            if only:
                raise
            continue
        if loaded.compiled is not None:
            found.compiled.append(loaded.compiled)
        elif only:
            raise Refused("\n".join(str(one) for one in loaded.problems if not one.note))
    found.glossary = glossary_of(places, found.compiled)
    return found


@dataclass(frozen=True, slots=True)
class SheetView:
    """A machine's sheet as it is shown."""

    machine: Machine
    figures: tuple[FigureRow, ...]
    missing: tuple[str, ...]
    """Asked for by the list that was named, and not in the sheet."""
    glossary: Mapping[str, FigureDescription]


def sheet_view(places: Store, machine: str, checklist: str = "") -> SheetView:
    """A machine's sheet, and what it lacks for a list.

    Raises:
        BadInput: there is no such machine or list.
        Refused: one of them has problems.
    """
    path = definition_files.find("machine", machine, places)
    loaded = definitions.load_machine(definition_files.read_text(path), str(path))
    if loaded.machine is None:
        raise Refused("\n".join(str(one) for one in loaded.problems if not one.note))
    lists = lists_of(places, checklist)
    asking = lists.asking
    missing = lacking(loaded.machine, asking) if checklist else ()
    rows = sheet_rows(loaded.machine, lists.glossary, asking)
    return SheetView(loaded.machine, rows, missing, lists.glossary)
