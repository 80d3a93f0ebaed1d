"""What manuals call figures, and the figures that a session's sheet lacks, step by step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import partial

from inspect_tui.core.definitions import kept
from inspect_tui.core.definitions.checks.figures_used import items_resting
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.sheets.sheet_rows import missing_at
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.model.figures import (
    FactDescription,
    FigureDescription,
    Figures,
    MissingFigure,
)
from inspect_tui.core.model.machine import Machine
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.kept_definitions import KeptDefinitions
from inspect_tui.files.store import Store


def glossary_of(places: Store, compiled: Iterable[Compiled]) -> dict[str, FigureDescription]:
    """What manuals call each figure, by its name as expressions write it.

    What was said first stands: a list's own words before the files', a person's own files first.

    Args:
        places: The person's store.
        compiled: The lists whose own words count.
    """
    found: dict[str, FigureDescription] = {}

    def describe(more: Mapping[str, FigureDescription]) -> None:
        for name, about in more.items():
            found.setdefault(written(name), about)

    for each in compiled:
        describe(each.checklist.figure)
    for figures in _files_of_figures(places):
        describe(figures.figure)
    return found


def facts_of(places: Store) -> dict[str, FactDescription]:
    """What people are asked of each fact, by its name as expressions write it.

    A person's own files come first.
    """
    found: dict[str, FactDescription] = {}
    for figures in _files_of_figures(places):
        for name, about in figures.fact.items():
            found.setdefault(written(name), about)
    return found


def _files_of_figures(places: Store) -> Iterator[Figures]:
    """Those that are sound; of the others `check` says what is wrong."""
    keeper = KeptDefinitions.of_this_computer()
    for path in definition_files.list_all("figures", places):
        try:
            text = definition_files.read_text(path)
        except InspectError:
            continue
        figures = kept.figures_of(text, keeper, partial(_read, text, str(path)))
        if figures is not None:
            yield figures


def _read(text: str, file: str) -> Figures | None:
    # Late: it brings all checks, and most files are kept as they were read.
    from inspect_tui.core.definitions import load as definitions

    return definitions.load_figures(text, file).figures


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
