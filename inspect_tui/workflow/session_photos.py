"""The photos of one session: taken into the store, named in the log, shown and copied out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.core.evaluation.validate import Target
from inspect_tui.core.model import photo as pictures
from inspect_tui.core.model.photo import Thumbnail
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, InspectError
from inspect_tui.files.store import typed_path
from inspect_tui.workflow.session_log import SessionLog

if TYPE_CHECKING:
    from inspect_tui.files.photos import Picture


class PhotographedLog(SessionLog):
    """A held log whose photos lie beside it in the store.

    A picture is whole on the disk before an entry names it.
    """

    def photo(self, step: str, path: Path, cylinder: str | None = None) -> tuple[str, ...]:
        """Put a photo at a step; returns what has to be said about it.

        Raises:
            BadInput: no such step, cylinder or file; or the file is no picture that can be taken.
            Refused: signed, or open for reading only.
            NotSaved: the disk did not take it.
        """
        from inspect_tui.files import photos

        self._writable()
        self.asking.step(step)
        if cylinder is not None:
            self.asking.cylinder(cylinder)
        picture = photos.look_at(path)
        photos.keep(self.places.photos, picture)
        keys = {
            "step": step, "cylinder": cylinder, "photo": picture.file_name,
            "name": _name(path), "size": len(picture.data),
        }  # fmt: skip
        self._write(("photo", keys))
        return _about([picture])

    def picture(self, photo: str, width: int, height: int) -> Thumbnail:
        """A photo of this session, small enough for so many pixels.

        Raises:
            BadInput: it is missing, was changed, or can't be shown.
        """
        from inspect_tui.files import photos

        return photos.thumbnail(self.places.photos, photo, width, height)

    def photo_copies(self, with_metadata: bool = False) -> dict[str, bytes]:
        """A small JPEG of each photo of this session for an export; of a missing one none.

        Args:
            with_metadata: Keep in them what the camera wrote (place, camera, time, owner).
        """
        named = pictures.named(self.entries)
        if not named:
            return {}
        from inspect_tui.files import photos

        copies = {}
        for photo in named:
            try:
                copies[photo] = photos.copy_for_export(self.places.photos, photo, with_metadata)
            except InspectError:
                continue  # the report names it by its hash all the same
        return copies

    def _looked_at(
        self, values: Sequence[tuple[Target, str]]
    ) -> tuple[list[tuple[Target, str]], dict[Target, Picture]]:
        """What was typed, a file's name in place of `file:PATH`; and the pictures of those."""
        typed: list[tuple[Target, str]] = []
        found: dict[Target, Picture] = {}
        for target, text in values:
            path = pictures.typed_file(text)
            if path is None or self.asking.place(target).kind != "photo":
                typed.append((target, text))
                continue
            from inspect_tui.files import photos

            file = _file(path)
            try:
                found[target] = photos.look_at(file)
            except BadInput as error:
                raise BadInput(f"{target}: {error.message}", error.hint) from None
            typed.append((target, _name(file)))
        return typed, found

    def _keep(self, found: Iterable[Picture]) -> tuple[str, ...]:
        """Put pictures into the store; returns what has to be said about them."""
        found = tuple(found)
        if not found:
            return ()
        from inspect_tui.files import photos

        for picture in found:
            photos.keep(self.places.photos, picture)
        return _about(found)


def _file(path: str) -> Path:
    if not path or "\0" in path:
        raise BadInput("There is no picture's path behind 'file:'.")
    return typed_path(path)


def _name(path: Path) -> str:
    """What the file is called, never where it lies: folders tell about their owner."""
    return sanitize(path.name)[:200] or "picture"


def _about(found: Sequence[Picture]) -> tuple[str, ...]:
    if not any(picture.tells_place for picture in found):
        return ()
    return (
        "The picture holds the place where it was taken; exports leave that out, a packed file "
        "keeps the picture as it is.",
    )
