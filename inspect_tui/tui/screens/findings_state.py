"""Deciding about findings, one or several at once: marks, the questions in turn, the answer. Pure.

The screen draws it, hands keys and answers in, and hands `Decided` on to the inspection.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final, Literal

from inspect_tui.core.evaluation.conclusions.decisions import MAX_QUANTITY, Decided, WantedPart
from inspect_tui.core.presentation import wording
from inspect_tui.core.seasons.carried import Carried
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.key_names import key_name
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.findings_lines import UNDECIDED, Line, lines_of

KEYS: Final = {"put-right": "p", "run-as-found": "r", "later": "l", "get-part": "g"}
WEEKS: Final = ((1, "in a week"), (4, "in four weeks"))
"""Dates that are offered."""
MAX_LISTS: Final = 4
OTHER_DATE: Final = "date"
NO_DATE: Final = ""
Asked = Literal["until", "date", "part", "quantity", "number", "why"]
_NEEDS: Final[dict[str, tuple[Asked, ...]]] = {
    "put-right": (), "run-as-found": ("why",), "later": ("until", "why"),
    "get-part": ("part", "quantity", "number"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked before a decision is written."""

    about: Asked
    title: str
    words: str
    needed: bool = False
    filled: str = ""
    """What the field holds already; Enter takes it."""
    offers: tuple[tuple[str, str], ...] = ()
    """(value, words) to choose from, instead of typing."""
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class _Pending:
    decision: str
    targets: tuple[Line, ...]
    left: tuple[Asked, ...]
    until: str = ""
    why: str = ""
    part: str = ""
    quantity: int = 1
    number: str = ""


class FindingsState:
    """The list, the place in it, what is marked, what is being asked."""

    def __init__(self) -> None:
        self.today = date.min
        """The day of the session's last entry: opening it writes one."""
        self.lines: tuple[Line, ...] = ()
        self.at = ""
        self.marked: set[str] = set()
        self.read_only = False
        self.said = ""
        """One sentence for the person; "" for none."""
        self.asks_twice: tuple[str, tuple[str, ...]] | None = None
        """The decision that would change what stands, and on which lines; wants its key again."""
        self._pending: _Pending | None = None
        self._offers: tuple[tuple[str, str], ...] = ()

    def show(self, view: View, carried: Sequence[Carried]) -> None:
        """Take the inspection as it now stands; the place and the marks are kept."""
        before = [line.id for line in self.lines]
        self.today = view.session.last.date()
        self.lines = lines_of(view, carried)
        ids = [line.id for line in self.lines]
        self.marked.intersection_update(ids)
        self.read_only = view.signed or view.read_only
        own = view.results.checklist.id
        self._offers = tuple(each for each in view.put_off.items() if each[0] != own)
        if self.at not in ids:
            place = before.index(self.at) if self.at in before else 0
            self.at = ids[min(place, len(ids) - 1)] if ids else ""

    # The place and the marks

    @property
    def line(self) -> Line | None:
        """The one under the sign."""
        return next((line for line in self.lines if line.id == self.at), None)

    @property
    def undecided(self) -> list[Line]:
        """Those that want a decision; what stands under another waits for that one."""
        return [line for line in self.lines if line.part in UNDECIDED and not line.under]

    def go(self, line: str) -> None:
        """Be at a line."""
        if line != self.at:
            self.asks_twice = None
            self.said = ""
        self.at = line

    def mark(self, line: str = "") -> None:
        """Mark a line or take its mark away; the one under the sign where none is named.

        Args:
            line: Its id.
        """
        at = line or self.at
        found = next((each for each in self.lines if each.id == at), None)
        if found is None:
            return
        if found.part == "remarks":
            self.said = "This is only said; there is nothing to decide about it."
        else:
            self.said, self.asks_twice = "", None
            self.marked ^= {at}

    def mark_all(self) -> None:
        """Mark all that want a decision; with some marked, take every mark away."""
        self.asks_twice = None
        self.marked = set() if self.marked else {line.id for line in self.undecided}

    @property
    def targets(self) -> tuple[Line, ...]:
        """What a decision would be about: the marked ones, else the one under the sign.

        One under another that is marked too goes with it, unless it got a decision of its own.
        """
        if not self.marked:
            return () if self.line is None else (self.line,)
        return tuple(
            line
            for line in self.lines
            if line.id in self.marked and (line.under not in self.marked or line.stands)
        )

    def with_it(self, line: Line) -> list[Line]:
        """What stands under a line."""
        return [each for each in self.lines if each.under == line.id]

    # Deciding

    def decide(self, decision: str) -> Question | tuple[Decided, ...] | None:
        """Begin a decision about the targets.

        Returns:
            What is asked first, or what is to be written where nothing is; None where it can't be
            (`said` tells why) or wants the key again.
        """
        self._pending, self.said = None, ""
        targets = tuple(line for line in self.targets if line.part != "remarks")
        if self.read_only:
            self.said = "This session can only be read; nothing was decided."
            return None
        if not targets:
            self.said = "There is no finding to decide about."
            return None
        standing = [line for line in targets if line.stands]
        asked = (decision, tuple(line.id for line in targets))
        if standing and self.asks_twice != asked:
            self.asks_twice = asked
            key = key_name(KEYS[decision])
            what = f"{len(standing)} of {len(targets)} are decided"
            if len(targets) == 1:
                what = f"Decided: {standing[0].decided}"
            self.said = f"{what}; {key} again to change, Esc keeps"
            return None
        self.asks_twice = None
        needs = _NEEDS[decision]
        self._pending = _Pending(decision, targets, needs)
        return self._next()

    def answer(self, text: str) -> Question | tuple[Decided, ...]:
        """Take the answer to what was asked; what is asked next, or what is to be written."""
        pending = self._pending
        assert pending is not None, "nothing is asked"
        text = text.strip()
        asked, *left = pending.left
        now = replace(pending, left=tuple(left))
        match asked:
            case "until" if text == OTHER_DATE:
                now = replace(now, left=("date", *left))
            case "until":
                now = replace(now, until=text)
            case "date":
                try:
                    day = date.fromisoformat(text)
                except ValueError:
                    return self._question(asked, "Write it as year-month-day: 2026-12-20.")
                if day < self.today:
                    return self._question(asked, f"{day} has gone by: write a day that comes.")
                now = replace(now, until=day.isoformat())
            case "part":
                now = replace(now, part=text)
            case "quantity":
                if not (text.isdecimal() and 0 < int(text[:6]) <= MAX_QUANTITY):
                    return self._question(asked, "Write a number such as 2.")
                now = replace(now, quantity=int(text))
            case "number":
                now = replace(now, number=text)
            case "why":
                now = replace(now, why=text)
        self._pending = now
        return self._next()

    def leave(self) -> None:
        """Nothing is decided; what was asked is forgotten, the marks stay."""
        self._pending, self.asks_twice, self.said = None, None, ""

    def done(self) -> None:
        """It is written: the marks go, and the sign goes on to what wants a decision next."""
        pending, self._pending = self._pending, None
        self.marked.clear()
        if pending is None:
            return
        how_many = pluralize(len(pending.targets), "finding")
        words = wording.DECISIONS[pending.decision]
        left = len(self.undecided)
        self.said = f"{how_many}: {words}. {left or 'None'} left to decide."

    def place_after(self, lines: Sequence[str]) -> None:
        """Go to the first line behind these that wants a decision, else to the first that does.

        Args:
            lines: The ids in their order before the decision.
        """
        wanting = {line.id for line in self.undecided}
        start = lines.index(self.at) if self.at in lines else 0
        ordered = [*lines[start:], *lines[:start]]
        self.at = next((each for each in ordered if each in wanting), self.at)

    def _next(self) -> Question | tuple[Decided, ...]:
        pending = self._pending
        assert pending is not None
        if pending.left:
            return self._question(pending.left[0])
        return tuple(
            Decided(line.id, pending.decision, pending.why, pending.until, self._part(place))
            for place, line in enumerate(pending.targets)
        )

    def _part(self, place: int) -> WantedPart | None:
        """What is to be got: for several findings one part, counted with the first of them."""
        pending = self._pending
        if pending is None or pending.decision != "get-part":
            return None
        return WantedPart(pending.part, pending.quantity, pending.number, shared=place > 0)

    def _question(self, asked: Asked, trouble: str = "") -> Question:
        pending = self._pending
        assert pending is not None
        targets = pending.targets
        what = targets[0].title if len(targets) == 1 else f"{len(targets)} findings"
        title = f"{what}: {wording.DECISIONS[pending.decision]}"
        in_all = "" if len(targets) == 1 else " in all"
        match asked:
            case "until":
                return Question(asked, title, "Until when?", True, offers=self.offers)
            case "date":
                words = "Until which date? Year-month-day"
                return Question(asked, title, words, True, trouble=trouble)
            case "part":
                filled = suggested_part(targets[0]) if len(targets) == 1 else ""
                return Question(asked, title, "Which part?", True, filled)
            case "quantity":
                return Question(asked, title, f"How many{in_all}?", True, "1", trouble=trouble)
            case "number":
                return Question(asked, title, "Its number, if you have it")
            case "why":
                return Question(asked, title, "Why?")

    @property
    def offers(self) -> tuple[tuple[str, str], ...]:
        """Until when something may be put off: the lists, near dates, another, not said."""
        lists = self._offers[:MAX_LISTS]
        days = [
            (day.isoformat(), f"{words}, {day.isoformat()}")
            for weeks, words in WEEKS
            for day in (self.today + timedelta(weeks=weeks),)
        ]
        return (*lists, *days, (OTHER_DATE, "another date ..."), (NO_DATE, "not said"))


def suggested_part(line: Line) -> str:
    """What would be got for a finding: what was looked at, by its label, or its step."""
    finding = line.finding
    if finding is None:
        return line.carried.part if line.carried is not None else ""
    if finding.part:
        return finding.part
    if finding.kind != "value":
        return line.title.partition(",")[0]
    label = one_line(finding.text).partition(":")[0]
    step = line.title
    if finding.cylinder is not None:
        label = label.removesuffix(f", {finding.cylinder}")
        step = step.removesuffix(f", {finding.cylinder}")
    return f"{step}: {label[:1].lower()}{label[1:]}" if label else step
