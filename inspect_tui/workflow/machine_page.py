"""What is known of one machine over its sessions: what it needs, how its readings went."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from inspect_tui.core.seasons.carried import Carried, carried_into
from inspect_tui.core.seasons.due import Due, due_of
from inspect_tui.core.seasons.due_words import most_pressing
from inspect_tui.core.seasons.history import ReadingHistory, history_of
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.core.seasons.summary import SessionSummary
from inspect_tui.core.seasons.trend_picture import plotted
from inspect_tui.files.store import Store
from inspect_tui.workflow import store_index
from inspect_tui.workflow.machine_parts import PartRow, parts
from inspect_tui.workflow.put_off import PutOffUntil


@dataclass(frozen=True, slots=True)
class MachinePage:
    """One machine, for its page."""

    machine: str
    name: str
    today: date
    due: tuple[Due, ...]
    """The late ones first."""
    parts: tuple[PartRow, ...]
    """Those that are not fitted yet."""
    carried: tuple[Carried, ...]
    """What is put off by now, whatever list comes next."""
    sessions: tuple[SessionSummary, ...]
    """The newest first."""
    trends: tuple[ReadingHistory, ...]
    """Readings that a plot says something about."""
    put_off: Mapping[str, str]
    """By a list's id: what one says who puts something off until it."""


def machine_page(store: Store, machine: str, name: str, today: date) -> MachinePage:
    """The page of a machine.

    Args:
        store: Whose sessions.
        machine: Its id.
        name: As its sheet calls it.
        today: The day that it is.
    """
    sessions = store_index.summaries(store, machine)
    state = state_after(sessions)
    waiting = dict.fromkeys(
        each for list_id in ("", *{put.finding.until for put in state.put_off})
        for each in carried_into(list_id, state)
    )  # fmt: skip
    return MachinePage(
        machine, name, today, tuple(most_pressing(due_of(machine, state, today))),
        tuple(row for row in parts(store, ("machine", machine)) if row.part.state != "fitted"),
        tuple(waiting), tuple(reversed(sessions)),
        tuple(plotted(history_of(sessions, worked_out=True))),
        PutOffUntil(store),
    )  # fmt: skip
