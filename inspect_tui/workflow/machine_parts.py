"""Parts over the sessions of a store: to get, got, fitted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.definitions import of_log
from inspect_tui.core.evaluation.job.parts import Part, parts_of
from inspect_tui.core.session.replay import replay
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest_or_list
from inspect_tui.errors import BadInput, InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store, list_sessions

Meant = tuple[Literal["machine", "session"], str]
_DECIDED = b'\ndecision = "get-part"\n'
"""What a log holds that wants a part at all: one value stands on one line."""
_RANKS = {"to get": 0, "got": 1, "fitted": 2}


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part that a session of a machine wants."""

    part: Part
    machine: str
    session: str


def parts(store: Store, of: Meant | None = None) -> list[PartRow]:
    """The parts of a machine's sessions, of one session, or of the whole store.

    Sessions that were set aside, and logs that can't be read, have none.
    """
    return [
        row
        for row in _all(store)
        if of is None or of[1] == (row.machine if of[0] == "machine" else row.session)
    ]


def _all(store: Store) -> Iterator[PartRow]:
    for path in list_sessions(store):
        try:
            if _DECIDED not in bytes_of(path, "session log"):
                continue
            session = replay(log.read(path).entries)
            machine = of_log.trusted_machine(session.machine_text).id
        except InspectError:
            continue  # `sessions` and `verify` say what is wrong with it
        if session.set_aside is None:
            yield from (PartRow(part, machine, path.stem) for part in parts_of(session))


def sessions_wanting(store: Store, machine: str, part: str, state: str) -> list[tuple[str, str]]:
    """The sessions of a machine in which a part is not that far yet, each with its name there.

    Args:
        store: Where to look.
        machine: Its id.
        part: As it was decided; case does not count.
        state: `got` or `fitted`.

    Raises:
        BadInput: there is no such machine, or it wants no such part.
    """
    rows = parts(store, ("machine", machine))
    if not rows and machine not in (known := _machines(store)):
        raise BadInput(
            f"There is no machine '{ellipsize(machine)}'.", suggest_or_list(machine, known)
        )
    meant = [row for row in rows if row.part.part == part]
    meant = meant or [row for row in rows if row.part.part.casefold() == part.casefold().strip()]
    if not meant:
        names = list(dict.fromkeys(row.part.part for row in rows))
        hint = suggest_or_list(part, names) if names else "No finding was decided as get-part."
        raise BadInput(f"No part '{ellipsize(part)}' is to get for {machine}.", hint)
    behind = (row for row in meant if _RANKS[row.part.state] < _RANKS[state])
    return list(dict.fromkeys((row.session, row.part.part) for row in behind))


def _machines(store: Store) -> list[str]:
    return [definition_files.id_of(path) for path in definition_files.list_all("machine", store)]
