"""Whether a log lies under its own name: the session's id that its first entry gives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput
from inspect_tui.files.disk import is_file
from inspect_tui.files.log.reader import first_entry
from inspect_tui.files.store import can_be_session_id


@dataclass(frozen=True, slots=True)
class NameCheck:
    """What is wrong with a log's name, if anything."""

    exchanged: str = ""
    """One sentence: another log lies where this one should, so nothing may be written."""
    doubled: str = ""
    """One sentence: the same log lies under its own name too, and is another file."""


def check_name(path: Path, entries: Sequence[Entry]) -> NameCheck:
    """Hold a log's name against its id, and against the log that has that id for its name.

    A log that was renamed, and one that was received beside another of the same id (`ID-2`), are
    as they should be.

    Args:
        path: The log's file.
        entries: What it holds.
    """
    own = str(entries[0].get("session", ""))
    if own == path.stem or not can_be_session_id(own):
        return NameCheck()
    there = path.with_name(f"{own}.toml")
    if not is_file(there) or there.resolve() == path.resolve():
        return NameCheck()
    try:
        first = first_entry(there)
    except BadInput:
        return NameCheck()
    theirs = str(first.get("session", ""))
    if theirs != own:
        return NameCheck(
            exchanged=f"{path.name} holds the session {ellipsize(own)}, and {there.name} holds the "
            f"session {ellipsize(theirs)}: the names of the two files were exchanged."
        )
    if first.seal == entries[0].seal:
        return NameCheck(
            doubled=f"{path.name} is a copy of the session {own}, which lies here in {there.name} "
            "too: what is recorded in one is not in the other."
        )
    return NameCheck()
