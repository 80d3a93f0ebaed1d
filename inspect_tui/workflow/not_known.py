"""Figures that nobody knows: said once, kept in the machine's sheet as where they come from."""

from __future__ import annotations

import tomllib

from inspect_tui.core.definitions.sheets import edit_sheet
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.model.machine import NOT_KNOWN
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.own_definitions import change_sheet
from inspect_tui.files.store import Store


def mark(places: Store, machine: str, name: str) -> None:
    """Nobody knows this figure; a shipped sheet is copied. A figure that is entered ends it.

    Args:
        places: The person's store.
        machine: Its id.
        name: The figure's, as the sheet would write it.

    Raises:
        BadInput: there is no such machine.
        Refused: the sheet can't be changed here.
        NotSaved: the disk did not take it.
    """
    change_sheet(machine, places, lambda text: edit_sheet.set_source(text, name, NOT_KNOWN))


class NotKnown:
    """What a machine's sheet says of figures that nobody knows; read again when it has changed."""

    def __init__(self, places: Store) -> None:
        self._places = places
        self._read: tuple[object, ...] = ()
        self._names: frozenset[str] = frozenset()

    def of(self, machine: str) -> frozenset[str]:
        """The names, as expressions write them; none where the sheet can't be read."""
        try:
            path = definition_files.find("machine", machine, self._places)
            about = path.stat()
            read = (path, about.st_mtime_ns, about.st_size)
            if read != self._read:
                sources = tomllib.loads(definition_files.read_text(path)).get("source", {})
                self._names = frozenset(
                    written(name)
                    for name, source in sources.items()
                    if isinstance(source, str) and source.strip().casefold() == NOT_KNOWN
                )
                self._read = read
        except (InspectError, OSError, ValueError, AttributeError, RecursionError):
            return frozenset()  # its own problem, which is said where the sheet is opened
        return self._names
