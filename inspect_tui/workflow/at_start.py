"""What a person is told first: sessions left open, the newest others, what is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import islice

from inspect_tui.core.seasons.due import Due, due_of
from inspect_tui.core.seasons.due_words import line_of, most_pressing
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.files.store import Store
from inspect_tui.workflow import catalogue, store_index
from inspect_tui.workflow.session_line import SessionLine

LEFT_OPEN, OTHERS, DUE = 50, 20, 3
"""How many of each are shown; a workshop has hundreds."""
_LOOKED_AT = 40
"""Rows that may come first, from which the most pressing are taken: some are not late yet."""


@dataclass(frozen=True, slots=True)
class DueLine:
    """One thing that is due."""

    machine: str
    """Its name."""
    words: str
    late: bool


@dataclass(frozen=True, slots=True)
class AtStart:
    """The first page, in the order in which it is shown."""

    sessions: tuple[SessionLine, ...] = ()
    """Those left open, then the others."""
    more: int = 0
    """Sessions that are not among them."""
    due: tuple[DueLine, ...] = ()


def at_start(store: Store, today: date, progress: store_index.Progress | None = None) -> AtStart:
    """What the store has for the first page.

    Args:
        store: Whose.
        today: The day that it is.
        progress: Told how far the reading of changed logs is.
    """

    def by_index(index: store_index.StoreIndex) -> AtStart:
        left = tuple(index.lines(LEFT_OPEN, open_ones=True))
        others = tuple(index.lines(OTHERS, open_ones=False))
        due = most_pressing(index.due(today, most=_LOOKED_AT))[:DUE]
        return AtStart(
            left + others,
            index.count() - len(left) - len(others),
            tuple(_line(index.name_of(row.machine), row, today) for row in due),
        )

    return store_index.asked(store, by_index, lambda: _by_logs(store, today), progress)


def _by_logs(store: Store, today: date) -> AtStart:
    lines = catalogue.sessions(store)
    left = tuple(islice((each for each in lines if each.state == "open"), LEFT_OPEN))
    others = tuple(islice((each for each in lines if each.state != "open"), OTHERS))
    rows = store_index.all_summaries(store)
    due = [
        row
        for machine in sorted({each.machine for each in rows})
        for row in due_of(machine, state_after(r for r in rows if r.machine == machine), today)
    ]
    return AtStart(
        left + others,
        len(lines) - len(left) - len(others),
        tuple(_line(row.machine, row, today) for row in most_pressing(due)[:DUE]),
    )


def _line(name: str, row: Due, today: date) -> DueLine:
    return DueLine(name, line_of(row, today), row.late)
