"""What the commands share: the store, the clock, opening a session, telling a person."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.suggestions import nearest
from inspect_tui.errors import BadInput
from inspect_tui.files.disk import is_folder
from inspect_tui.files.store import Store, store

if TYPE_CHECKING:
    from inspect_tui.workflow.inspection import Inspection

_CLOCK: Final = range(-8_500_000_000, 9_200_000_000)
"""Seconds since 1970 that can be counted in nanoseconds, with room: 1700-08 to 2261-07."""
MANY: Final = 200
"""Logs from which on a person is told how far they are read."""


def now() -> datetime:
    """The time here, with its offset; UTC where this computer names a zone that none can be."""
    try:
        return datetime.now().astimezone()
    except ValueError:
        return datetime.now(UTC)


def refuse_impossible_clock() -> None:
    """Before anything is done by it: neither Python nor an index can count beyond.

    Raises:
        BadInput: the clock is there.
    """
    try:
        possible = int(time.time()) in _CLOCK
    except OverflowError:
        possible = False
    if not possible:
        raise BadInput(
            "This computer's clock is before the year 1701 or past 2260, and nothing can be done "
            "by it.",
            "Set the clock.",
        )


def places(given: argparse.Namespace) -> Store:
    """The store that the command line, the environment or the platform says."""
    return store(getattr(given, "store", None))


def readable(given: argparse.Namespace) -> Store:
    """The store, of a command that only reads it.

    Raises:
        BadInput: the folder that `--store` names is not there; the environment's or the platform's
            that isn't there yet is an empty store.
    """
    found = places(given)
    if getattr(given, "store", None) is not None and not is_folder(found.store):
        near = nearest(found.store.name, _folders(found.store.parent))
        raise BadInput(
            f"There is no store {found.store}.",
            f"Did you mean {found.store.parent / near}?"
            if near
            else "Name a folder that is there.",
        )
    return found


def _folders(parent: Path) -> list[str]:
    try:
        return [each.name for each in parent.iterdir() if each.is_dir()]
    except OSError:
        return []


def session_of(given: argparse.Namespace) -> str:
    """The id of the session that the command names: an id, a beginning of one, or `last`."""
    from inspect_tui.workflow.resolve import session_id

    return session_id(readable(given), given.session)


def tell(text: str) -> None:
    """Something to be known beside the result, on stderr."""
    for line in text.splitlines():
        print(sanitize(line), file=sys.stderr)


def show(text: str) -> None:
    """A result, on stdout; nothing in it reaches the terminal as a code."""
    for line in text.splitlines() or [""]:
        print(" " * (len(line) - len(line.lstrip(" "))) + sanitize(line) if line.strip() else "")


def show_json(data: Any) -> None:
    """A result as JSON, on stdout; beyond ASCII everything is escaped."""
    print(json.dumps(data, indent=2, allow_nan=False))


def reading_on(done: int, of: int) -> None:
    """Says on a terminal how far the logs are read, where they are many."""
    if of > MANY and sys.stderr.isatty():
        sys.stderr.write(f"\rReading {pluralize(of, 'log')}: {100 * done // of} %")
        if done >= of:
            sys.stderr.write("\n")
        sys.stderr.flush()


def look_again(store: Store) -> None:
    """Once the answer is out, look at every log if that was a while ago."""
    from inspect_tui.workflow import store_index

    sys.stdout.flush()
    store_index.look_again(store)


@contextmanager
def opened(given: argparse.Namespace, *, write: bool = True) -> Iterator[Inspection]:
    """The session that the command names; what has to be said about its log goes to stderr."""
    # Late: the commands that open the screens share this module and draw before they open a log.
    from inspect_tui.workflow.inspection import Inspection

    inspection = Inspection.open(
        places(given), session_of(given), now, write=write, by=sanitize(getattr(given, "by", "")),
        despite_broken=getattr(given, "despite_broken", False),
    )  # fmt: skip
    with inspection:
        for text in inspection.said:
            tell(text)
        yield inspection
        if inspection.log.clock_note:
            tell(inspection.log.clock_note)
    if inspection.log.close_note:
        tell(inspection.log.close_note)
