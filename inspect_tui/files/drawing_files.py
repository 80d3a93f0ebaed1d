"""Line drawings of machines on disk, found by name, and the block letters that ship with them.

A person's own drawings lie in the store's `checklists/drawings/` and hide a shipped one of the same
name. A drawing's name is its file's.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput
from inspect_tui.files.store import Store, shipped, toml_files

FOLDER: Final = "drawings"
_FACES: Final = (
    Path(__file__).resolve().parent.parent / "core/presentation/pictures/block_faces.toml"
)


def find_drawing(name: str, places: Store) -> Path:
    """The file of a drawing.

    Args:
        name: As a list gives it: `sled`.
        places: The person's store, looked into before what ships.

    Raises:
        BadInput: there is none; the nearest known name is said.
    """
    found = drawings(places)
    if name in found:
        return found[name]
    known = ", ".join(sorted(found))
    hint = suggest(name, found) or (f"Known: {known}." if known else "")
    raise BadInput(f"There is no drawing called '{ellipsize(name)}'.", hint[:1].upper() + hint[1:])


def drawings(places: Store) -> dict[str, Path]:
    """Every drawing there is, by its name; of one name the one that is used."""
    found: dict[str, Path] = {}
    for folder in (shipped() / FOLDER, places.checklists / FOLDER):
        found |= {path.stem: path for path in toml_files(folder)}
    return found


def block_faces_text() -> str:
    """The text of the block letters' file."""
    return _FACES.read_text(encoding="utf-8")
