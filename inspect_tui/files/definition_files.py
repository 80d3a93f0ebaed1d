"""Checklists and machine sheets on disk: found by id or path, and read as text.

A person's own come first and hide a shipped one of the same name.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Literal

from inspect_tui.core.text.suggestions import nearest
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.disk import bytes_of, is_file
from inspect_tui.files.store import Store, shipped, toml_files

Kind = Literal["checklist", "machine", "figures"]
KINDS: tuple[Kind, ...] = ("checklist", "machine", "figures")

LONGEST_ID = 80
LARGEST = 5_000_000
"""Bytes; a checklist of a thousand steps has a tenth of it."""
_ID_LINE = re.compile(rb"""\n[ \t]*id[ \t]*=[ \t]*["']([A-Za-z][A-Za-z0-9_-]*)["']""")
_ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_WORDS: dict[Kind, str] = {
    "checklist": "checklist", "machine": "machine sheet", "figures": "file of figures",
}  # fmt: skip


def find(kind: Kind, id_or_path: str, places: Store) -> Path:
    """The file of a checklist or machine sheet.

    Args:
        kind: Which of the two.
        id_or_path: An id, or a path that ends in `.toml`.
        places: The person's store, looked into before what ships.

    Raises:
        BadInput: there is none; the nearest known id is named.
    """
    if id_or_path.endswith(".toml"):
        path = Path(id_or_path)
        if is_file(path):
            return path
        raise BadInput(
            f"There is no {_WORDS[kind]} {_shown(id_or_path)}.", _nearest(kind, path.stem, places)
        )
    if can_be_id(id_or_path):
        found = _by_id(id_or_path, _folders(kind, places))
        if found is not None:
            return found
    raise BadInput(
        f"There is no {_WORDS[kind]} called {_shown(id_or_path)}.",
        _nearest(kind, id_or_path, places),
    )


def is_there(kind: Kind, name: str, places: Store) -> bool:
    """Whether there is a file of this id, the person's own or shipped."""
    return _by_id(name, _folders(kind, places)) is not None


def can_be_id(text: str) -> bool:
    """Whether a text has the form of an id."""
    return _ID.fullmatch(text) is not None


class Lists:
    """The checklists that a list may take steps from; see `core/definitions/compose.py`.

    Args:
        places: The person's store, looked into before what ships.
        beside: A folder that is looked into last: that of the list which takes.
        given: Lists by their ids that come first: those named on the command line.
    """

    def __init__(
        self, places: Store, beside: Path | None = None, given: Mapping[str, str] | None = None
    ) -> None:
        self._places = places
        self._beside = beside
        self._given = given or {}

    def text(self, list_id: str) -> str | None:
        """The text of a list; None where there is none. Raises Refused if it is no text."""
        if list_id in self._given:
            return self._given[list_id]
        path = _by_id(list_id, [*_folders("checklist", self._places), *self._last()])
        return None if path is None else read_text(path)

    def ids(self) -> list[str]:
        """The lists that there are."""
        last = [id_of(path) for folder in self._last() for path in toml_files(folder)]
        there = [id_of(path) for path in list_all("checklist", self._places)]
        return [*self._given, *there, *last]

    def _last(self) -> list[Path]:
        return [] if self._beside is None else [self._beside]


def _by_id(name: str, folders: Iterable[Path]) -> Path | None:
    """The file of an id in the first folder that has it; by its name before its content."""
    for folder in folders:
        files = toml_files(folder)
        for path in files:
            if path.stem == name:
                return path
        for path in files:
            if id_of(path) == name:
                return path
    return None


def list_all(kind: Kind, places: Store) -> list[Path]:
    """Every checklist or machine sheet there is, sorted by id; of one id the one that `find` finds.

    A file with an odd name, or without an id that is seen at a glance, is listed too.
    """
    found: dict[str, Path] = {}
    for folder in _folders(kind, places):
        files = toml_files(folder)
        for path in sorted(files, key=lambda path: path.stem != id_of(path)):
            found.setdefault(id_of(path), path)
    return [found[name] for name in sorted(found)]


def id_of(path: Path) -> str:
    """The id that a definition file gives itself, where that is seen at a glance; else its name."""
    try:
        with path.open("rb") as file:
            start = b"\n" + file.read(65_536).removeprefix(b"\xef\xbb\xbf")
    except OSError:
        return path.stem
    found = _ID_LINE.search(start.split(b"\n[", 1)[0])
    return path.stem if found is None else found[1].decode()


def read_text(path: Path) -> str:
    """The text of a definition file, its line ends as they are, without a byte-order mark.

    Raises:
        BadInput: there is no such file.
        Refused: it is no text (the first wrong byte and its line named), or far too large.
    """
    data = bytes_of(path, "file", LARGEST + 1)
    if len(data) > LARGEST:
        raise Refused(
            f"{path} is larger than {LARGEST // 1_000_000} MB, so it is hardly a checklist or "
            "machine sheet."
        )
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refused(
            f"{path}:{_line(data, error.start)}: byte {error.start + 1} is "
            f"0x{data[error.start]:02X}, which is no UTF-8 text.",
            "Save the file as UTF-8.",
        ) from None
    if (nul := data.find(b"\0")) >= 0:
        raise Refused(
            f"{path}:{_line(data, nul)}: byte {nul + 1} is 0x00, so this is no text.",
            "Save the file as UTF-8.",
        )
    return text.removeprefix("\ufeff")


def _folders(kind: Kind, places: Store) -> tuple[Path, Path]:
    if kind == "machine":
        return places.machines, shipped() / "machines"
    if kind == "figures":
        return places.figures, shipped() / "figures"
    return places.checklists, shipped()


def _nearest(kind: Kind, name: str, places: Store) -> str:
    known = [id_of(path) for path in list_all(kind, places)]
    if near := nearest(name, known, alike=0.5):
        return f"Did you mean {near}?"
    if not known:
        return ""
    listed = ", ".join(known[:8]) + (" ..." if len(known) > 8 else "")
    return f"Known: {listed}."


def _line(data: bytes, offset: int) -> int:
    return data.count(b"\n", 0, offset) + 1


def _shown(text: str) -> str:
    return ascii(text if len(text) <= 80 else text[:80] + "...")
