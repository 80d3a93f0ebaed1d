"""How a log stands, from its bytes alone: nothing is replayed, no definition is compiled.

For choosing one log among many (`last`). A log's lines each hold one key, and texts stand on one
line with their line ends escaped, so a line that is `kind = "signed"` can be nothing else.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from inspect_tui.errors import InspectError
from inspect_tui.files.disk import bytes_of

_SEAL = re.compile(rb'^seal = "[0-9a-f]{64}"\n', re.MULTILINE)
_AT = re.compile(rb"^at = (\S+)\n", re.MULTILINE)
_NEVER = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class LogState:
    """What one log's bytes say of it."""

    state: Literal["open", "signed", "set-aside", "unreadable"]
    last: datetime
    """The newest entry's time; the beginning of time where none can be read."""


def peek(path: Path) -> LogState:
    """How the log stands, up to its last complete seal line; never raises for what is in it."""
    try:
        data = bytes_of(path, "session log")
    except InspectError:
        return LogState("unreadable", _NEVER)
    ends = [found.end() for found in _SEAL.finditer(data)]
    if not ends:
        return LogState("unreadable", _NEVER)
    whole = data[: ends[-1]]
    state: Literal["open", "signed", "set-aside"] = "open"
    if b'\nkind = "set-aside"\n' in whole:
        state = "set-aside"
    elif b'\nkind = "signed"\n' in whole:
        state = "signed"
    return LogState(state, _last_time(whole))


def _last_time(whole: bytes) -> datetime:
    found = _NEVER
    for match in _AT.finditer(whole):
        try:
            at = datetime.fromisoformat(match[1].decode("ascii"))
        except ValueError:
            continue
        if at.tzinfo is not None:
            found = at
    return found
