"""Where things lie: the store of this person, and the checklists that ship. Getters write nothing.

A store holds `sessions/ID.toml`, `checklists/ID.toml`, `machines/ID.toml`, `photos/HASH.jpg`.
"""

from __future__ import annotations

import os
import platform
import re
from collections.abc import Container
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import platformdirs

from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files.disk import is_file, make_folder, reason_in_words

HOME_VARIABLE = "INSPECT_TUI_HOME"
LONGEST_SESSION_ID = 120
_SESSION_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
_PACKAGE = Path(__file__).resolve().parent.parent


@dataclass(frozen=True, slots=True)
class Store:
    """The folders of one store."""

    store: Path

    @property
    def sessions(self) -> Path:
        """The session logs."""
        return self.store / "sessions"

    @property
    def checklists(self) -> Path:
        """The person's own checklists; they come before the shipped ones."""
        return self.store / "checklists"

    @property
    def machines(self) -> Path:
        """The person's own machine sheets."""
        return self.store / "machines"

    @property
    def figures(self) -> Path:
        """The person's own files of figures, beside their checklists."""
        return self.store / "checklists" / "figures"

    @property
    def photos(self) -> Path:
        """The photos of all sessions, each under the hash of its content."""
        return self.store / "photos"

    @property
    def settings(self) -> Path:
        """What the person chose for themselves: name, units, theme."""
        return self.store / "settings.toml"

    def log(self, session: str) -> Path:
        """The log file of a session id; BadInput if the id can't be one."""
        if not can_be_session_id(session):
            raise BadInput(
                f"{_shown(session)} can't be a session's id.",
                "An id is made of letters, digits, '-', '_' and single dots, and begins with a "
                f"letter or digit; at most {LONGEST_SESSION_ID} of them.",
            )
        return self.sessions / f"{session}.toml"

    def make(self) -> None:
        """Make the folders, private to their owner (0700).

        Raises:
            NotSaved: the disk refuses, or a file stands where a folder should.
        """
        for folder in (self.store, self.sessions, self.checklists, self.machines):
            try:
                make_folder(folder)
            except FileExistsError:
                raise NotSaved(
                    f"{folder} is a file, and the store needs a folder there.",
                    f"Name another store with --store or {HOME_VARIABLE}.",
                ) from None
            except OSError as error:
                raise NotSaved(
                    f"The folder {folder} can't be made: {reason_in_words(error)}."
                ) from error


def store(given: str | None = None) -> Store:
    """The store: what was given, else INSPECT_TUI_HOME, else the platform's data folder.

    Raises:
        BadInput: what was given can't be a folder's name.
    """
    # An empty variable counts as not set, as everywhere in a shell; an empty argument is a slip.
    named = given if given is not None else (os.environ.get(HOME_VARIABLE) or None)
    if named is None:
        return Store(platformdirs.user_data_path("inspect-tui", appauthor=False))
    if not named.strip() or "\0" in named:
        raise BadInput(f"{_shown(named)} can't be a store.", "Name a folder.")
    return Store(typed_path(named).absolute())


def typed_path(text: str) -> Path:
    """A path as it was typed, `~` being the home folder.

    Raises:
        BadInput: it begins with `~`, and there is no such home folder.
    """
    try:
        return Path(text).expanduser()
    except RuntimeError:
        raise BadInput(f"There is no home folder for {_shown(text)}.", "Name a folder.") from None


def shipped() -> Path:
    """The folder of the checklists that ship: in the wheel, or beside the package in a checkout."""
    inside = _PACKAGE / "checklists"
    return inside if inside.is_dir() else _PACKAGE.parent / "checklists"


def list_sessions(places: Store) -> list[Path]:
    """The logs of a store, sorted by name, which begins with the day; none where no folder is."""
    return sorted(path for path in toml_files(places.sessions) if can_be_session_id(path.stem))


def toml_files(folder: Path) -> list[Path]:
    """The TOML files of a folder, sorted by name; none where no folder is.

    Raises:
        BadInput: the folder can't be looked into.
    """
    try:
        return sorted(path for path in folder.glob("*.toml") if is_file(path))
    except OSError as error:
        raise BadInput(f"{folder} can't be looked into: {reason_in_words(error)}.") from error


def new_session_id(
    places: Store, day: date, machine_id: str, checklist_id: str, passed: Container[str] = ()
) -> str:
    """`YYYY-MM-DD-MACHINE-CHECKLIST`, with `-2`, `-3` ... behind it when that one is taken.

    Args:
        places: The store.
        day: When the session begins.
        machine_id: The machine sheet's.
        checklist_id: The checklist's.
        passed: Ids that others are taking at this moment.

    Raises:
        BadInput: the two ids don't make a session's id.
    """
    return free_session_id(places, f"{day.isoformat()}-{machine_id}-{checklist_id}", passed)


def free_session_id(places: Store, name: str, passed: Container[str] = ()) -> str:
    """This id, or the first of `ID-2`, `ID-3` ... that no file has."""
    name = name[: LONGEST_SESSION_ID - 6]  # room for the number
    candidate, number = name, 1
    while candidate in passed or os.path.lexists(places.log(candidate)):
        number += 1
        candidate = f"{name}-{number}"
    return candidate


def computer_name() -> str:
    """This computer's name as a part of a file's name."""
    return re.sub(r"[^A-Za-z0-9-]", "-", platform.node())[:40] or "here"


def can_be_session_id(text: str) -> bool:
    """Whether a session can have this id."""
    return (
        len(text) <= LONGEST_SESSION_ID
        and ".." not in text
        and _SESSION_ID.fullmatch(text) is not None
    )


def _shown(text: str) -> str:
    return ascii(text if len(text) <= 60 else text[:60] + "...")
