"""A person's own checklists and machine sheets: new ones, and changes to those that are there.

Each is put in place whole. Who changes a file holds its folder meanwhile, so that of two changes
at once none is lost.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path

from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files import definition_files
from inspect_tui.files.definition_files import Kind
from inspect_tui.files.disk import bytes_of, reason_in_words
from inspect_tui.files.new_file import sweep, write_new
from inspect_tui.files.store import Store

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

_BOM = b"\xef\xbb\xbf"
_WORDS = {"checklist": "checklist", "machine": "machine", "figures": "file of figures"}


def create(kind: Kind, name: str, text: str, places: Store) -> Path:
    """A new file in the person's store.

    Args:
        kind: What it is.
        name: Its id; the file is called so.
        text: What stands in it.
        places: The person's store; made where it is not there yet.

    Raises:
        BadInput: the id has not the form of one, or is there already, the person's own or shipped.
        NotSaved: the disk did not take it.
    """
    if not definition_files.can_be_id(name) or len(name) > definition_files.LONGEST_ID:
        raise BadInput(
            f"'{_short(name)}' can't be an id.",
            "Write a letter, then letters, digits, - or _.",
        )
    sweep(_folder(kind, places))
    if definition_files.is_there(kind, name, places):
        raise BadInput(f"There is a {_WORDS[kind]} called '{name}' already.", "Choose another id.")
    places.make()
    path = _folder(kind, places) / f"{name}.toml"
    try:
        path.parent.mkdir(mode=0o700, exist_ok=True)
        write_new(path, text.encode("utf-8"), replace=False)
    except FileExistsError:
        raise BadInput(f"'{path}' is there already.", "Choose another id.") from None
    except OSError as error:
        raise NotSaved(f"'{path}' was not written: {reason_in_words(error)}.") from error
    return path


def change_sheet(
    name_or_path: str, places: Store, edit: Callable[[str], str], *, else_text: str = ""
) -> tuple[Path, str]:
    """A machine's sheet changed; one that ships is copied to the person's own first.

    Args:
        name_or_path: The machine's id, or its sheet's path.
        places: The person's store.
        edit: What becomes of the sheet's text; may raise, and then nothing is changed.
        else_text: The sheet of a machine that has none here; "" where that is an error.

    Returns:
        The file, and its text now.

    Raises:
        BadInput: there is no such machine.
        Refused: the sheet is no text.
        NotSaved: the disk did not take it.
    """
    if else_text and not definition_files.is_there("machine", name_or_path, places):
        with contextlib.suppress(BadInput):  # made by another in between
            create("machine", name_or_path, else_text, places)
    found = definition_files.find("machine", name_or_path, places)
    own = name_or_path.endswith(".toml") or found.parent == places.machines
    if not own:
        places.make()
    path = found if own else places.machines / found.name
    if os.path.lexists(path) and not path.exists():
        raise BadInput(f"{path} is a link to nothing.", "Bring back what it leads to, or move it.")
    with _held(path.parent):
        # Another may have copied it meanwhile.
        source = path if path.exists() else found
        text = definition_files.read_text(source)
        bom = bytes_of(source, "file", len(_BOM)).startswith(_BOM)
        made = edit(text)
        if made != text or source != path:
            _replace(path, (_BOM if bom else b"") + made.encode("utf-8"))
    return path, made


def _replace(path: Path, data: bytes) -> None:
    place = Path(os.path.realpath(path))
    try:
        sweep(place.parent, place)
        write_new(place, data, replace=True)
    except OSError as error:
        raise NotSaved(f"'{path}' was not written: {reason_in_words(error)}.") from error


@contextlib.contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Nobody else changes a file of this folder meanwhile, where the disk has locks."""
    if fcntl is None:
        yield
        return
    try:
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    except OSError as error:
        raise NotSaved(f"{folder} can't be opened: {reason_in_words(error)}.") from error
    try:
        with contextlib.suppress(OSError):
            fcntl.flock(descriptor, fcntl.LOCK_EX)
        yield
    finally:
        with contextlib.suppress(OSError):  # nothing was written through it
            os.close(descriptor)


def _folder(kind: Kind, places: Store) -> Path:
    folders = {
        "checklist": places.checklists, "machine": places.machines, "figures": places.figures,
    }  # fmt: skip
    return folders[kind]


def _short(text: str) -> str:
    return ascii(text if len(text) <= 60 else text[:60] + "...")[1:-1]
