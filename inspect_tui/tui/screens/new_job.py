"""What is asked before a session begins, and what was answered. Frozen; knows no terminal."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal

from inspect_tui.core.text.formatting import duration, pluralize

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine, SectionLine

Question = Literal["checklist", "machine", "name", "cylinders", "scope", "by"]

ASKS: Final[dict[Question, str]] = {
    "checklist": "Which checklist?",
    "machine": "Which machine?",
    "name": "What is the machine called?",
    "cylinders": "Its cylinders' names?",
    "scope": "What does today's job take in?",
    "by": "Who does the inspection?",
}
HINTS: Final[dict[Question, str]] = {
    "name": "what you call it",
    "cylinders": "PTO, MAG; or 1; empty: it has none",
    "by": "your name",
}
"""In the field, where the answer is typed."""


@dataclass(frozen=True, slots=True)
class NewJob:
    """The answers so far, and which question is open."""

    machine_first: bool = False
    """It begins with a machine that has no sheet yet."""
    at: int = 0
    """Which of the questions is open."""
    checklist: str = ""
    sections: tuple[SectionLine, ...] = ()
    """Of the chosen checklist."""
    is_new_machine: bool = False
    """The machine has no sheet yet: its name and cylinders are asked."""
    machine: str = ""
    name: str = ""
    only: tuple[str, ...] = ()
    """The sections that the job takes in; without one, all."""

    @classmethod
    def begun(cls, *, machine_first: bool) -> NewJob:
        """Nothing is answered."""
        return cls(machine_first, is_new_machine=machine_first)

    @property
    def questions(self) -> tuple[Question, ...]:
        """What is asked, in its order; of a list of one section there is nothing to choose."""
        asked: list[Question] = ["name", "cylinders"] if self.is_new_machine else []
        if not self.machine_first:
            asked[:0] = ["checklist", "machine"]
        else:
            asked.append("checklist")
        if len(self.sections) > 1 or not self.checklist:
            asked.append("scope")
        return (*asked, "by")

    @property
    def question(self) -> Question:
        """The open one."""
        return self.questions[self.at]

    def with_checklist(self, line: DefinitionLine) -> NewJob:
        """This list; another one than before takes in all of it."""
        only = self.only if line.id == self.checklist else ()
        return replace(self, checklist=line.id, sections=line.sections, only=only, at=self.at + 1)

    def with_machine(self, machine: str) -> NewJob:
        """A machine that has its sheet."""
        return replace(self, machine=machine, is_new_machine=False, at=self.at + 1)

    def with_new_machine(self) -> NewJob:
        """One that has none."""
        return replace(self, machine="", is_new_machine=True, at=self.at + 1)

    def named(self, name: str) -> NewJob:
        """What the new machine is called."""
        return replace(self, name=name, at=self.at + 1)

    def made(self, machine: str) -> NewJob:
        """The new machine's sheet is written: it is one like the others from now on."""
        return replace(self, machine=machine, is_new_machine=False, at=self.at - 1)

    def toggled(self, section: str) -> NewJob:
        """A section in or out; in the list's order."""
        wanted = set(self.only) ^ {section}
        only = tuple(each.id for each in self.sections if each.id in wanted)
        return replace(self, only=() if len(only) == len(self.sections) else only)

    def scoped(self) -> NewJob:
        """The job takes in what is chosen."""
        return replace(self, at=self.at + 1)

    def back(self) -> NewJob | None:
        """The question before; None before the first one."""
        return replace(self, at=self.at - 1) if self.at else None

    def takes_in(self, section: str) -> bool:
        """Whether a section belongs to the job."""
        return not self.only or section in self.only

    @property
    def scope_words(self) -> str:
        """What the job comes to: `2 of 9 sections, 14 steps, about 35 min`."""
        taken = [each for each in self.sections if self.takes_in(each.id)]
        parts = ["The whole list"]
        if self.only:
            parts = [f"{len(taken)} of {len(self.sections)} sections"]
        parts.append(pluralize(sum(each.steps for each in taken), "step"))
        minutes = sum(each.minutes for each in taken)
        if minutes:
            parts.append(f"about {duration(minutes)}")
        left = sum(each.safety for each in self.sections if not self.takes_in(each.id))
        if left:
            parts.append(f"without {pluralize(left, 'safety step')}")
        return ", ".join(parts)


def section_words(section: SectionLine) -> str:
    """What a section comes to: `12 steps, 25 min, 3 for safety`."""
    parts = [pluralize(section.steps, "step")]
    if section.minutes:
        parts.append(duration(section.minutes))
    if section.safety:
        parts.append(f"{section.safety} for safety")
    return ", ".join(parts)
