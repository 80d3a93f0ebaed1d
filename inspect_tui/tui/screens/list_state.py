"""A list of one's own while it is typed: its lines, and the steps that are offered. No terminal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from inspect_tui.core.definitions.own_items import words_of
from inspect_tui.core.text.formatting import duration
from inspect_tui.errors import BadInput
from inspect_tui.tui.base.tones import Tone

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine

MAX_OFFERS: Final = 5


@dataclass(frozen=True, slots=True)
class Offer:
    """A step of another list."""

    place: str
    """`LIST:STEP`."""
    step: str
    """The step's id: a list has each once."""
    title: str
    about: str
    """From which list, how long, whether for safety."""
    words: str = ""
    """By which it is found too."""


@dataclass(frozen=True, slots=True)
class OwnLine:
    """A line of the list."""

    text: str
    """As typed, or the step's title."""
    about: str
    """What it makes."""
    offer: Offer | None = None


@dataclass(frozen=True, slots=True)
class ListState:
    """The list so far."""

    title: str = ""
    lines: tuple[OwnLine, ...] = ()
    offers: tuple[Offer, ...] = ()
    """Steps that fit what is typed."""
    at: int = 0
    """Which of them is taken by one key."""
    is_saved: bool = False
    most: int = MAX_OFFERS
    """Steps that are offered at once."""
    said: str = ""
    tone: Tone = ""

    def typed(self, text: str, known: Iterable[Offer]) -> ListState:
        """The steps that fit what is typed by now, those that begin with it first."""
        words = text.partition("|")[0].casefold().split()
        if not self.title or not words or len("".join(words)) < 2:
            return replace(self, offers=(), at=0)
        taken = {line.offer.step for line in self.lines if line.offer is not None}
        found = [(_rank(each, words), each) for each in known if each.step not in taken]
        fits = [each for rank, each in sorted(found, key=lambda one: one[0]) if rank < NO_FIT]
        return replace(self, offers=tuple(fits[: self.most]), at=0)

    def beside(self, by: int) -> ListState:
        """Another of the offered steps."""
        return replace(self, at=max(0, min(self.at + by, len(self.offers) - 1)))

    def taking(self) -> ListState:
        """The offered step becomes a line, with its how, limits and cautions."""
        if not self.offers:
            return self.saying("No step of another list has these words.", "doubt")
        offer = self.offers[self.at]
        state = self._with(OwnLine(offer.title, offer.about, offer))
        return state.saying(f"✓ {offer.title}: with its how, limits and cautions.", "good")

    def entered(self, text: str) -> ListState:
        """A line as typed. Raises BadInput where nothing can be made of it."""
        about = words_of(text)
        return self._with(OwnLine(text, about)).saying(f"✓ {text}: {about}.", "good")

    def _with(self, line: OwnLine) -> ListState:
        if any(line.text == each.text for each in self.lines):
            raise BadInput(f"'{line.text}' is in the list already.")
        return replace(self, lines=(*self.lines, line), offers=(), at=0)

    def taken_back(self) -> ListState:
        """Without the last line."""
        if not self.lines:
            return self.saying("There is no line to take back.", "doubt")
        gone = self.lines[-1].text
        return replace(self, lines=self.lines[:-1]).saying(f"Taken back: {gone}.", "doubt")

    def titled(self, title: str) -> ListState:
        """With its title."""
        return replace(self, title=title, said="")

    def saved(self) -> ListState:
        """It is on the disk."""
        return replace(self, is_saved=True, offers=())

    def saying(self, said: str, tone: Tone = "") -> ListState:
        """With a line to the person."""
        return replace(self, said=said, tone=tone)

    @property
    def to_write(self) -> tuple[tuple[str, str], ...]:
        """The lines as the file takes them."""
        return tuple((each.text, each.offer.place if each.offer else "") for each in self.lines)


NO_FIT: Final = 9


def _rank(offer: Offer, words: list[str]) -> int:
    """How far down an offer stands: with the words in its title first, then elsewhere."""
    title = offer.title.casefold()
    if all(word in title for word in words):
        return 0 if title.startswith(words[0]) else 1
    rest = f"{title} {offer.words}".casefold()
    if not all(word in rest for word in words):
        return NO_FIT
    return 2 if any(word in title for word in words) else 3


def offers_of(lists: Iterable[DefinitionLine]) -> tuple[Offer, ...]:
    """The steps of all lists; of a step that several have, the longest list's."""
    found: dict[tuple[str, str], Offer] = {}
    for each in sorted(lists, key=lambda one: -one.steps):
        for section in each.sections:
            for step in section.lines:
                about = [each.title]
                about += [duration(step.minutes)] if step.minutes else []
                about += ["for safety"] if step.is_safety else []
                words = f"{section.title} {step.also}"
                offer = Offer(
                    f"{each.id}:{step.id}", step.id, step.title, ", ".join(about), words
                )  # fmt: skip
                found.setdefault((step.id, step.title), offer)
    return tuple(found.values())
