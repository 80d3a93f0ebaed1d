"""A screen that shows what lies in the store."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import Catalogue


class StockScreen:
    """Is handed what lies in the store, as far as it was looked at; several times."""

    @abstractmethod
    def show_stock(self, stock: Catalogue) -> None:
        """Show it."""
