"""What screens and reports draw with: the machine's side view that a list names, block letters."""

from __future__ import annotations

from functools import lru_cache

from inspect_tui.core.definitions.load_drawing import LoadedDrawing, load_drawing
from inspect_tui.core.presentation.pictures.block_figures import Faces, read_faces
from inspect_tui.files.definition_files import read_text
from inspect_tui.files.drawing_files import block_faces_text, find_drawing
from inspect_tui.files.store import Store


def machine_drawing(name: str, places: Store) -> LoadedDrawing:
    """The drawing that a list names.

    Args:
        name: As the list gives it: `sled`.
        places: The person's store, looked into before what ships.

    Returns:
        The drawing, None in it where the file has faults, and every one of those.

    Raises:
        BadInput: there is none of that name; the nearest one is said.
        Refused: its file is no text.
    """
    path = find_drawing(name, places)
    return _loaded(read_text(path), str(path))


# Asked for on every visit of the plan; kept by the text itself, so never stale.
@lru_cache(maxsize=8)
def _loaded(text: str, file: str) -> LoadedDrawing:
    return load_drawing(text, file)


@lru_cache(maxsize=1)
def block_faces() -> Faces:
    """The block letters and figures of the view for two metres."""
    return read_faces(block_faces_text())
