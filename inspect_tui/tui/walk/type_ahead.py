"""What was typed ahead and waits: in order, each for the place where it was typed. Pure.

`here` waits at the reading that is asked; `elsewhere` waits at places that the person left by a
key of theirs. Nothing that waits elsewhere is recorded before they are back at its place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from rich.text import Text

from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, UNCERTAIN

if TYPE_CHECKING:
    from inspect_tui.core.model.log_entry import Phase
    from inspect_tui.core.model.targets import Target

Typed = tuple[str, bool]
"""A text, and whether Enter followed it."""
Place: TypeAlias = "tuple[str, Target | None, Phase]"
"""A step, a reading of it, and the phase that is recorded."""

BETWEEN = "  ·  "
MAX_SHOWN = 32
"""Letters of one text that are shown while it waits."""
MAX_NAMED = 3
"""Texts that are named where they would be lost."""


@dataclass(frozen=True, slots=True)
class TypeAheadQueue:
    """The texts that wait, here and elsewhere."""

    here: tuple[Typed, ...] = ()
    elsewhere: tuple[tuple[Place, tuple[Typed, ...]], ...] = ()

    def __bool__(self) -> bool:
        """Whether anything waits anywhere."""
        return bool(self.here or self.elsewhere)

    @property
    def texts(self) -> list[str]:
        """Every text that waits, those of this place first."""
        lots = (self.here, *(lot for _, lot in self.elsewhere))
        return [one_line(text) for lot in lots for text, _ in lot]

    def waits_at(self, place: Place) -> tuple[Typed, ...]:
        """What waits for a place that the person is not at."""
        return next((lot for each, lot in self.elsewhere if each == place), ())

    def add(self, text: str, *, complete: bool) -> TypeAheadQueue:
        """One more behind what waits here."""
        return replace(self, here=(*self.here, (text, complete)))

    def add_first(self, text: str) -> TypeAheadQueue:
        """A text without an Enter, before what waits here."""
        return replace(self, here=((text, False), *self.here))

    def without_first(self) -> TypeAheadQueue:
        """The rest, once the first one here was taken."""
        return replace(self, here=self.here[1:])

    def set_aside(self, place: Place) -> TypeAheadQueue:
        """The person leaves this place: what waits here stays with it."""
        if not self.here:
            return self
        lots = dict(self.elsewhere)
        lots[place] = (*lots.get(place, ()), *self.here)
        return TypeAheadQueue((), tuple(lots.items()))

    def take_up(self, place: Place) -> TypeAheadQueue:
        """Be at a place: what waits for it waits here, unless something does already."""
        waiting = self.waits_at(place)
        if self.here or not waiting:
            return self
        rest = tuple(each for each in self.elsewhere if each[0] != place)
        return TypeAheadQueue(waiting, rest)

    def dropped(self) -> TypeAheadQueue:
        """Without what waits here; where nothing does, without all that waits elsewhere."""
        return replace(self, here=()) if self.here else TypeAheadQueue()


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
    if elsewhere:  # one line, however many: it must not push out what is said of the last reading
        name, texts = elsewhere[0]
        text = Text(f"not saved, waits for {one_line(name)}: ", style=UNCERTAIN)
        text.append(named(list(map(one_line, texts))), style="bold")
        more = len(elsewhere) - 1
        text.append(f"; at {pluralize(more, 'more place')}" if more else "", style=UNCERTAIN)
        parts.append(text)
        parts[-1].append("" if held else "   (go there; Esc drops it)", style=DIM)
    return Text("   ").join(parts)


def _brief(text: str) -> str:
    text = one_line(text)
    return text if len(text) <= MAX_SHOWN else f"{text[: MAX_SHOWN - 1]}…"


def named(texts: Sequence[str]) -> str:
    """The first texts that leaving would lose, and how many more there are."""
    short = [each if len(each) <= MAX_SHOWN else f"{each[: MAX_SHOWN - 1]}…" for each in texts]
    more = f" and {len(short) - MAX_NAMED} more" if len(short) > MAX_NAMED else ""
    return " · ".join(short[:MAX_NAMED]) + more
