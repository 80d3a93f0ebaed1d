"""The photos of a store, which lie beside its logs: taken in, shown small, copied for exports."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.core.model import photo as pictures
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.photo import Thumbnail
from inspect_tui.core.model.targets import Target
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, InspectError
from inspect_tui.files.store import typed_path

if TYPE_CHECKING:
    from inspect_tui.files.photos import Picture


class PhotoStore:
    """The folder of a store's photos. A picture is whole on the disk before an entry names it.

    The module that reads pictures is imported when the first one is met: most sessions have none.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def read(self, path: Path) -> Picture:
        """A picture's file, looked at and not kept yet. Raises BadInput if it can't be taken."""
        from inspect_tui.files import photos

        return photos.look_at(path)

    def typed(
        self, values: Sequence[tuple[Target, str]], takes_photo: Callable[[Target], bool]
    ) -> tuple[list[tuple[Target, str]], dict[Target, Picture]]:
        """What was typed, a file's name in place of `file:PATH`; and the pictures of those.

        Args:
            values: Which reading, and what was typed.
            takes_photo: Whether a reading is a photo.

        Raises:
            BadInput: a file is missing, or no picture that can be taken.
        """
        named: list[tuple[Target, str]] = []
        found: dict[Target, Picture] = {}
        for target, text in values:
            path = pictures.typed_file(text)
            if path is None or not takes_photo(target):
                named.append((target, text))
                continue
            file = _typed_picture(path)
            try:
                found[target] = self.read(file)
            except BadInput as error:
                raise BadInput(f"{target}: {error.message}", error.hint) from None
            named.append((target, file_name(file)))
        return named, found

    def keep(self, found: Iterable[Picture]) -> tuple[str, ...]:
        """Put pictures into the store; returns what has to be said about them.

        Raises:
            NotSaved: the disk did not take one.
        """
        found = tuple(found)
        if not found:
            return ()
        from inspect_tui.files import photos

        for picture in found:
            photos.keep(self.folder, picture)
        return _about(found)

    def thumbnail(self, photo: str, width: int, height: int) -> Thumbnail:
        """A photo, small enough for so many pixels.

        Raises:
            BadInput: it is missing, was changed, or can't be shown.
        """
        from inspect_tui.files import photos

        return photos.thumbnail(self.folder, photo, width, height)

    def copies(self, entries: Sequence[Entry], with_metadata: bool = False) -> dict[str, bytes]:
        """A small JPEG of each photo that a log names, for an export; of a missing one none.

        Args:
            entries: The log's.
            with_metadata: Keep in them what the camera wrote (place, camera, time, owner).
        """
        named = pictures.named(entries)
        if not named:
            return {}
        from inspect_tui.files import photos

        copies = {}
        for photo in named:
            try:
                copies[photo] = photos.copy_for_export(self.folder, photo, with_metadata)
            except InspectError:
                continue  # the report names it by its hash all the same
        return copies


def file_name(path: Path) -> str:
    """What the file is called, never where it lies: folders tell about their owner."""
    return sanitize(path.name)[:200] or "picture"


def _typed_picture(path: str) -> Path:
    """The file behind `file:`. Raises BadInput where nothing stands there."""
    if not path or "\0" in path:
        raise BadInput("There is no picture's path behind 'file:'.")
    return typed_path(path)


def _about(found: Sequence[Picture]) -> tuple[str, ...]:
    if not any(picture.tells_place for picture in found):
        return ()
    return (
        "The picture holds the place where it was taken; exports leave that out, a packed file "
        "keeps the picture as it is.",
    )
