"""A photo that came from the camera of the tablet which shows the app."""

from __future__ import annotations

from textual.message import Message


class PhotoTaken(Message):
    """A photo lies in a file of the server's, to be put at the step that is shown."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.path = path
