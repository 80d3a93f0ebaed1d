"""The sign-off's three lists and its questions in turn. Pure; the screen draws it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.evaluation.job.sign_off import still_wanted
from inspect_tui.core.seasons.carried import Carried, carried_text, in_the_way
from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.findings_lines import UNDECIDED, lines_of

CONFIRMS: Final = "sign"


@dataclass(frozen=True, slots=True)
class OpenLists:
    """What stands in the way, a short line each."""

    safety: tuple[tuple[str, str], ...]
    """(step id, its line): safety steps that have not passed, each with its findings."""
    findings: tuple[str, ...]
    """Undecided, with what earlier sessions put off; those of these safety steps stand there."""
    steps: tuple[str, ...]
    """Not done, beside those."""
    stays: tuple[str, ...] = ()
    """Put off earlier, and the sign-off doesn't wait for it: it stays put off."""

    @property
    def count(self) -> int:
        """How many lines there are."""
        return len(self.safety) + len(self.findings) + len(self.steps)


def open_lists(view: View, carried: Sequence[Carried]) -> OpenLists:
    """The three lists of a session as it stands.

    Args:
        view: The inspection.
        carried: What earlier sessions put off and this one has not settled.
    """
    results = view.results
    left_out = [each.step.id for each in results.steps if each.state == "left-out"]
    waiting = in_the_way(carried, view.session.last.date(), left_out)
    lines = [
        line
        for line in lines_of(view, waiting)
        if not line.under and line.part in (*UNDECIDED, "put-right")
    ]
    members: dict[str, int] = {}
    for finding in results.findings:
        if finding.under is not None and not finding.counts:
            members[finding.under] = members.get(finding.under, 0) + 1
    unpassed = {each.id for each in results.blockers if each.kind == "safety"}
    said: dict[str, list[str]] = {}
    findings: list[str] = []
    for line in lines:
        more = members.get(line.id, 0)
        text = line.said + (f" (with {more} more)" if more else "")
        text += " (put right, not measured again)" if line.part == "put-right" else ""
        if line.finding is not None and line.step in unpassed:
            cylinder = line.finding.cylinder
            said.setdefault(line.step, []).append(f"{cylinder}: {text}" if cylinder else text)
        else:
            safety_too = "SAFETY, " if line.carried is not None and line.part == "safety" else ""
            step = line.title.partition(",")[0]  # not said twice
            findings.append(f"{safety_too}{line.title}: {text.removeprefix(f'{step}: ')}")
    safety = []
    steps = []
    for blocker in results.blockers:
        if blocker.kind == "finding":
            continue
        result = results.step(blocker.id)
        wants = join_words(still_wanted(result), most=3)
        title = one_line(result.step.title)
        if blocker.kind == "safety":
            behind = said.get(blocker.id) or ([wants] if wants else [])
            text = f"{title}: {safety_trouble(result)}"
            safety.append((blocker.id, "; ".join((text, *map(one_line, behind)))))
        else:
            again = "measure again " if result.state == "again" else ""
            steps.append(one_line(f"{title}: {again}{wants}"))
    ids = {each.id for each in waiting}
    titles = {each.step.id: each.step.title for each in results.steps}
    stays = [
        one_line(carried_text(each, titles.get(each.step, "")))
        for each in carried
        if each.id not in ids
    ]
    return OpenLists(tuple(safety), tuple(findings), tuple(steps), tuple(stays))


def shared_out(lengths: Sequence[int], room: int) -> list[int]:
    """How many lines of each list are shown, so that all are seen and the room is used.

    A list that is cut gives a line to how many more there are; the caller counts that in.

    Args:
        lengths: Of the lists.
        room: Lines for all of them.
    """
    shown = [0 for _ in lengths]
    while sum(shown) < room and any(a < b for a, b in zip(shown, lengths, strict=True)):
        for place, length in enumerate(lengths):
            if shown[place] < length and sum(shown) < room:
                shown[place] += 1
    return shown


class SignState:
    """Who signs, each safety step's words, the words for the rest, the last word."""

    def __init__(self) -> None:
        self.by = ""
        self.accepted = ""
        self.words: dict[str, str] = {}
        """By safety step that has not passed: the words that accept it."""
        self.lists = OpenLists((), (), ())
        self._rest = False

    def show(self, view: View, carried: Sequence[Carried]) -> None:
        """Take the inspection as it now stands; words for a step that passes by now are dropped."""
        self.lists = open_lists(view, carried)
        ids = [step for step, _ in self.lists.safety]
        self.words = {step: words for step, words in self.words.items() if step in ids}
        is_open = any(blocker.is_open for blocker in view.results.blockers)
        self._rest = is_open or bool(self.lists.findings)

    @property
    def step(self) -> str:
        """The safety step that is to be accepted now; "" for none."""
        if not self.by:
            return ""
        return next((step for step, _ in self.lists.safety if step not in self.words), "")

    @property
    def wants_rest(self) -> bool:
        """Whether the words for what else is open are asked now."""
        return bool(self.by) and not self.step and self._rest and not self.accepted

    @property
    def ready(self) -> bool:
        """Whether only the last word is missing."""
        return bool(self.by) and not self.step and not self.wants_rest

    def asks(self, usual: str) -> tuple[str, str]:
        """The question and the hint of the empty field.

        Args:
            usual: A name to sign with, as a hint.
        """
        if not self.by:
            return "Who signs?", f"a name, such as {usual}"
        if self.step:
            place = 1 + len(self.words)
            line = next(line for step, line in self.lists.safety if step == self.step)
            of = len(self.lists.safety)
            hint = "in your words: why it is accepted as it is"
            if of - len(self.words) > 1:
                hint = f"in your words: why; F6: the same for all {of - len(self.words)} left"
            return f"Safety {place} of {of}: {line}", hint
        if self.wants_rest:
            what = "What else stays open" if self.lists.safety else "What stays open"
            return (
                f"{what}, and that you accept it: in your own words",
                "the log keeps these words beside each open thing",
            )
        return (
            f"{one_line(self.by)} signs; nothing can be changed afterwards. Type  {CONFIRMS}",
            CONFIRMS,
        )

    def take(self, said: str) -> bool:
        """An answer to what is asked; False for a last word that is another one."""
        if not self.by:
            self.by = said
        elif self.step:
            self.words[self.step] = said
        elif self.wants_rest:
            self.accepted = said
        else:
            return said.casefold() == CONFIRMS
        return True

    @property
    def wanted(self) -> str:
        """What an empty answer is told."""
        if not self.by:
            return "A name is wanted: who signs."
        if self.ready:
            return f"Type '{CONFIRMS}' to sign, or Esc to go back."
        return "Words are wanted: why it is accepted as it is. The log keeps them."

    def take_for_all(self, said: str) -> bool:
        """The same words for every safety step that is left, each still under its own name.

        Args:
            said: The words; "" for those of the step before.

        Returns:
            False where no safety step is asked about, or there are no words.
        """
        words = said or next(reversed(self.words.values()), "")
        if not self.step or not words:
            return False
        for step, _ in self.lists.safety:
            self.words.setdefault(step, words)
        return True

    def back(self) -> str | None:
        """One question back: what was said there; None where it is the first one."""
        if self.accepted:
            said, self.accepted = self.accepted, ""
        elif self.words:
            said = self.words.pop(next(reversed(self.words)))
        elif self.by:
            said, self.by = self.by, ""
        else:
            return None
        return said
