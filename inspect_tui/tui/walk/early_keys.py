"""What is typed while the session is opened: kept, shown, and handed over in its order.

Imports little: it takes keys before anything that a session needs is loaded.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from rich.text import Text

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.entry_line import EntryLine, EntryOutcome
from inspect_tui.tui.base.look import FAIL, UNCERTAIN
from inspect_tui.tui.walk.type_ahead import named, shown


class EarlyPage(Protocol):
    """Shows what waits."""

    def early_changed(self) -> None:
        """Another text waits, or something else has to be said."""
        ...

    def leave(self) -> None:
        """Back to the list of sessions."""
        ...

    def quit(self) -> None:
        """End the program."""
        ...


class EarlyKeys:
    """The owner of the line of entry until the session is there."""

    def __init__(self, page: EarlyPage, now: Callable[[], float]) -> None:
        """Nothing typed yet.

        Args:
            page: Shows what waits.
            now: The clock of the keys [s].
        """
        self._page = page
        self.line = EntryLine(self, now)
        self.line.wait_for_session()
        self.said = Text()
        """What came of the last thing done."""
        self._warned = False

    @property
    def not_entered(self) -> list[str]:
        """Whatever was typed and is in no log."""
        early = (*self.line.early_texts, one_line(self.line.text), self.line.early_rest)
        return [each for each in early if each]

    @property
    def waiting(self) -> Text:
        """What waits, in words."""
        held = [(text, True) for text in self.line.early_texts]
        held += [(self.line.early_rest, False)] if self.line.early_rest else []
        return shown(held, (), ())

    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Nothing is entered yet: the line keeps the key."""
        return "held"

    def answers(self, character: str, seen: bool) -> bool:
        """Nothing is answered yet: the line keeps the key."""
        return False

    def typed(self, text: str) -> None:
        """The field's text changed."""
        self._warned = False
        self._page.early_changed()

    def command(self, key: str) -> bool:
        """Clear, leave, quit; the palette has its own; every other key is kept by the line."""
        if key == "escape":
            gone = self.line.drop_early()
            if gone:
                said = "Dropped, not recorded: " + " · ".join(gone)
                self.said = Text(one_line(said), style=UNCERTAIN)
                self._page.early_changed()
        elif key == "f10":
            self.leave()
        elif key == "ctrl+q":
            self.quit()
        return key != "ctrl+p"

    def leave(self) -> None:
        """Back to the sessions; what is typed is said once before."""
        if self._may_go("saved"):
            self._page.leave()

    def quit(self) -> None:
        """End the program; what is typed is said once before."""
        if self._may_go("entered"):
            self._page.quit()

    def _may_go(self, what: str) -> bool:
        if not self.not_entered or self._warned:
            return True
        self._warned = True
        typed = named(self.not_entered)
        self.said = Text(f"Typed and not {what}: {typed}. Once more leaves without it.", FAIL)
        self._page.early_changed()
        return False

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Nothing waits behind a refusal yet: the line keeps the key."""

    def say(self, text: str) -> None:
        """One line to the person."""
        self.said = Text(one_line(text), style=FAIL)
        self._page.early_changed()

    def enter_not_needed(self) -> None:
        """Nothing is answered yet: the line keeps the key."""
