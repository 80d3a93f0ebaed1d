"""What manuals call figures, and the figures that a session's sheet lacks, step by step."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspect_tui.core.definitions.checks.figures_used import items_resting
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.sheets.sheet_rows import missing_at
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.model.figures import FactDescription, FigureDescription, MissingFigure
from inspect_tui.core.model.machine import Machine
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store


def glossary_of(places: Store, compiled: Iterable[Compiled]) -> dict[str, FigureDescription]:
    """What manuals call each figure, by its name as expressions write it.

    What was said first stands: a list's own words before the files', a person's own files first.

    Args:
        places: The person's store.
        compiled: The lists whose own words count.
    """
    # Late: a sheet that lacks nothing asks no glossary.
    from inspect_tui.core.definitions import load as definitions

    found: dict[str, FigureDescription] = {}

    def describe(more: Mapping[str, FigureDescription]) -> None:
        for name, about in more.items():
            found.setdefault(written(name), about)

    for each in compiled:
        describe(each.checklist.figure)
    for path in definition_files.list_all("figures", places):
        try:
            figures = definitions.load_figures(definition_files.read_text(path), str(path)).figures
        except InspectError:
            continue  # Its own problem, which `check` says.
        if figures is not None:
            describe(figures.figure)
    return found


def facts_of(places: Store) -> dict[str, FactDescription]:
    """What people are asked of each fact, by its name as expressions write it.

    A person's own files come first.
    """
    # Late: a whole sheet needs no glossary.
    from inspect_tui.core.definitions import load as definitions

    found: dict[str, FactDescription] = {}
    for path in definition_files.list_all("figures", places):
        try:
            figures = definitions.load_figures(definition_files.read_text(path), str(path)).figures
        except InspectError:
            continue  # Its own problem, which `check` says.
        for name, about in (figures.fact if figures is not None else {}).items():
            found.setdefault(written(name), about)
    return found


def list_ids(places: Store) -> tuple[str, ...]:
    """The ids of all checklists, the person's own and those that ship."""
    return tuple(
        dict.fromkeys(
            definition_files.id_of(path) for path in definition_files.list_all("checklist", places)
        )
    )


class MissingFigures:
    """The figures that a session's steps ask for and its sheet lacks."""

    def __init__(self, places: Store) -> None:
        self._places = places
        self._glossary: dict[str, FigureDescription] | None = None
        self._of: tuple[Compiled, Machine] | None = None
        self._found: dict[str, tuple[MissingFigure, ...]] = {}

    def at_steps(
        self, compiled: Compiled, machine: Machine
    ) -> dict[str, tuple[MissingFigure, ...]]:
        """By step, in the list's order; a step that misses none is not among them.

        Args:
            compiled: The session's list.
            machine: Its sheet as it stands by now.
        """
        known = self._of
        if known is not None and known[0] is compiled and known[1] == machine:
            return self._found
        resting = items_resting(compiled)
        found = missing_at(machine, self._glossary or {}, resting)
        if found and self._glossary is None:  # a whole sheet needs no glossary
            self._glossary = glossary_of(self._places, (compiled,))
            found = missing_at(machine, self._glossary, resting)
        self._of, self._found = (compiled, machine), found
        return found
