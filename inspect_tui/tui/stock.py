"""What lies in the store, read beside the screen and handed to it as one frozen thing."""

from __future__ import annotations

from textual.message import Message

from inspect_tui.errors import InspectError
from inspect_tui.files.places import Places
from inspect_tui.tui.view import Stock


class Stocktaken(Message):
    """The store was looked at."""

    def __init__(self, stock: Stock) -> None:
        super().__init__()
        self.stock = stock


def take_stock(places: Places) -> Stock:
    """Sessions, checklists and machine sheets; a store that can't be read says why."""
    # Late: it brings the whole thinking, which the first picture should not wait for.
    from inspect_tui.listing import checklists, machines, sessions

    where = str(places.store)
    try:
        return Stock(
            tuple(sessions(places)), tuple(checklists(places)), tuple(machines(places)), where=where
        )
    except (InspectError, OSError) as error:
        return Stock(trouble=str(error), where=where)
