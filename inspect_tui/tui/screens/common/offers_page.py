"""What pages share on which steps of other lists are offered while one types."""

from __future__ import annotations

from rich.text import Text

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, whole_words
from inspect_tui.tui.screens.common.field_page import FieldPage
from inspect_tui.tui.screens.list_state import ListState, Offer


class OffersPage(FieldPage[ListState]):
    """One of the offered steps is marked; the arrow keys mark another."""

    def action_down(self) -> None:
        """The next offered step."""
        self.state = self.state.beside(1)
        self._picture()

    def action_up(self) -> None:
        """The offered step before."""
        self.state = self.state.beside(-1)
        self._picture()


def offer_line(offer: Offer, width: int, *, marked: bool, key: str = "") -> Text:
    """An offered step on one line.

    Args:
        offer: The step.
        width: Columns.
        marked: Whether it is the one that is taken.
        key: What takes it, said where it is marked.
    """
    sign = f"▶ {key}"
    text = Text.assemble((sign if marked else " " * len(sign), ASKED))
    text.append(whole_words(one_line(offer.title), width * 2 // 3), style="bold")
    text.append(f"  {one_line(offer.about)}", style=DIM)
    text.truncate(width, overflow="ellipsis")
    return text
