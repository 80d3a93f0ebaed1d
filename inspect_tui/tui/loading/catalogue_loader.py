"""What lies in the store, read beside the screen and handed to it as one frozen thing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from textual.message import Message

from inspect_tui.errors import BrokenOff, InspectError
from inspect_tui.files.store import Store
from inspect_tui.tui.base.view_model import Catalogue

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine

Part = TypeVar("Part")


class Stocktaken(Message):
    """The store was looked at, as far as that has come."""

    def __init__(self, stock: Catalogue) -> None:
        super().__init__()
        self.stock = stock


def load_catalogue(
    places: Store, today: date, post: Callable[[Stocktaken], object], wanted: Callable[[], bool]
) -> None:
    """Sessions and what is due, then checklists and sheets; what can't be read says why.

    Args:
        places: The store.
        today: The day that it is.
        post: Handed what is known so far, several times.
        wanted: Whether anyone still waits: else it stops, and what was read is kept.
    """
    # Late: it brings the whole thinking, which the first picture should not wait for.
    from inspect_tui.workflow.at_start import AtStart, at_start
    from inspect_tui.workflow.catalogue import checklists, machines
    from inspect_tui.workflow.store_index import MANY, look_again

    trouble: list[str] = []
    stock = Catalogue()
    lists: tuple[DefinitionLine, ...] = ()
    sheets: tuple[DefinitionLine, ...] = ()

    def listed(what: Callable[[], Part], nothing: Part) -> Part:
        try:
            return what()
        except FileNotFoundError:
            return nothing  # a store that isn't there yet, or a folder that was taken away
        except (InspectError, OSError) as error:
            trouble.append(str(error))
            return nothing

    def look_at_files() -> None:
        nonlocal lists, sheets
        lists = lists or listed(lambda: tuple(checklists(places)), lists)
        sheets = sheets or listed(lambda: tuple(machines(places)), sheets)

    def show(reading: str = "") -> None:
        said, where = " ".join(dict.fromkeys(trouble)), str(places.store)
        post(
            Stocktaken(
                replace(
                    stock, checklists=lists, machines=sheets, trouble=said, where=where,
                    reading=reading,
                )
            )
        )  # fmt: skip

    def reading(done: int, of: int) -> None:
        if not wanted():
            raise BrokenOff
        if of > MANY and done < of:
            look_at_files()  # a new session needs no log
            show(f"Reading {done:,} of {of:,} logs …")

    def look_at_sessions() -> None:
        nonlocal stock
        page = listed(lambda: at_start(places, today, reading), AtStart())
        stock = Catalogue(page.sessions, more_sessions=page.more, due=page.due)

    try:
        look_at_sessions()
        if stock.sessions:
            post(Stocktaken(stock))  # at once; looking at hundreds of sheets takes longer
        look_at_files()
        show()
        if look_again(places):
            look_at_sessions()
            show()
    except BrokenOff:
        return
