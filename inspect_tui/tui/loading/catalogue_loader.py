"""What lies in the store, read beside the screen and handed to it as one frozen thing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from textual.message import Message

from inspect_tui.errors import InspectError
from inspect_tui.files.store import Store
from inspect_tui.tui.base.view_model import Catalogue

Line = TypeVar("Line")


class Stocktaken(Message):
    """The store was looked at."""

    def __init__(self, stock: Catalogue) -> None:
        super().__init__()
        self.stock = stock


def load_catalogue(places: Store) -> Catalogue:
    """Sessions, checklists and machine sheets; what can't be read says why, the rest is there."""
    # Late: it brings the whole thinking, which the first picture should not wait for.
    from inspect_tui.workflow.catalogue import checklists, machines, sessions

    trouble: list[str] = []

    def listed(what: Callable[[Store], list[Line]]) -> tuple[Line, ...]:
        try:
            return tuple(what(places))
        except FileNotFoundError:
            return ()  # a store that isn't there yet, or a folder that was taken away
        except (InspectError, OSError) as error:
            trouble.append(str(error))
            return ()

    left, lists, sheets = listed(sessions), listed(checklists), listed(machines)
    return Catalogue(left, lists, sheets, " ".join(dict.fromkeys(trouble)), str(places.store))
