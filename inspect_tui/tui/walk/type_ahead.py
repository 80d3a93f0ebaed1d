"""What was typed ahead and waits: in order, each for the place where it was typed. Pure.

`held` waits here, at the reading that is asked; `kept` waits at other places, which the person
left by a key of theirs. Nothing that is kept is recorded before they are back at its place.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.targets import Target
from inspect_tui.tui.base.styling import DIM, UNCERTAIN, one_line

Typed = tuple[str, bool]
"""A text, and whether Enter followed it."""
Place = tuple[str, Target | None, Phase]
"""A step, a reading of it, and the phase that is recorded."""

BETWEEN = "  ·  "
LONGEST = 32
"""Letters of one text that are shown while it waits."""


class TypeAheadQueue:
    """The texts that wait, here and elsewhere."""

    def __init__(self) -> None:
        self.held: list[Typed] = []
        self._kept: dict[Place, list[Typed]] = {}

    def __bool__(self) -> bool:
        """Whether anything waits anywhere."""
        return bool(self.held or self._kept)

    @property
    def texts(self) -> list[str]:
        """Every text that waits, those of this place first."""
        lots = (self.held, *self._kept.values())
        return [one_line(text) for lot in lots for text, _ in lot]

    @property
    def elsewhere(self) -> list[tuple[Place, list[str]]]:
        """The other places that something waits for."""
        return [(place, [one_line(text) for text, _ in lot]) for place, lot in self._kept.items()]

    def set_aside(self, place: Place) -> None:
        """The person leaves this place: what waits here stays with it."""
        if self.held:
            self._kept.setdefault(place, []).extend(self.held)
            self.held = []

    def take_up(self, place: Place) -> bool:
        """Be at a place; True where something waits for it, which then is what waits here."""
        if self.held or place not in self._kept:
            return False
        self.held = self._kept.pop(place)
        return True

    def drop(self) -> list[str]:
        """Let go of what waits here, else of all that waits elsewhere; the texts, to be said."""
        if self.held:
            gone = [one_line(text) for text, _ in self.held]
            self.held = []
            return gone
        gone = self.texts
        self._kept.clear()
        return gone


def shown(
    held: Sequence[Typed], goes: Sequence[str], elsewhere: Sequence[tuple[str, Sequence[str]]]
) -> Text:
    """What waits in words.

    Args:
        held: What waits here.
        goes: The names of the readings that will take it, as far as that is known.
        elsewhere: The names of other places, with what waits for each.
    """
    parts = []
    if held:
        text = Text("waits, in this order: ", style=UNCERTAIN)
        for place, (typed, _) in enumerate(held):
            text.append(BETWEEN if place else "", style=DIM)
            text.append(_brief(typed), style="bold")
            if place < len(goes):
                text.append(f" → {one_line(goes[place])}", style=UNCERTAIN)
        after = "recorded so once this is confirmed; " if goes else ""
        text.append(f"   ({after}Esc drops it)", style=DIM)
        parts.append(text)
    for name, texts in elsewhere:
        text = Text(f"waits for {one_line(name)}: ", style=UNCERTAIN)
        text.append(BETWEEN.join(_brief(each) for each in texts), style="bold")
        parts.append(text)
    if elsewhere and not held:
        parts[-1].append("   (go there to enter it; Esc drops it)", style=DIM)
    return Text("\n").join(parts)


def _brief(text: str) -> str:
    text = one_line(text)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
