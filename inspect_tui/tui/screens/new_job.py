"""What is asked before a session begins, and what was answered. Frozen; knows no terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, Literal

from inspect_tui.core.text.formatting import duration, pluralize

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine, SectionLine, StepLine
    from inspect_tui.workflow.session_line import SessionLine

Question = Literal["checklist", "machine", "name", "cylinders", "scope", "item", "without", "by"]

ASKS: Final[dict[Question, str]] = {
    "checklist": "Which checklist?",
    "machine": "Which machine?",
    "name": "What is the machine called?",
    "cylinders": "Its cylinders: how many, or their names?",
    "scope": "What does today's job take in?",
    "item": "A line of your own?",
    "without": "Begin without these safety steps?",
    "by": "Who does the inspection?",
}
HINTS: Final[dict[Question, str]] = {
    "name": "what you call it",
    "cylinders": "such as  2  or  PTO, MAG",
    "item": "such as  Tyre pressure | kPa | min 33",
    "by": "your name",
}
"""In the field, where the answer is typed."""
ITEMS: Final = (
    "A line is a tick. Behind a bar its unit (Gap | mm), behind another its limit (min 33, max 12, "
    "target 5 +- 1), or its answers, the right one first (Oil | one of clear, milky)."
)
"""How a line of one's own is typed."""


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
    """The sections, and single steps of others, that the job takes in; without one, all."""
    unfolded: frozenset[str] = field(default_factory=frozenset)
    """Sections whose steps are shown."""
    items: tuple[str, ...] = ()
    """Lines of one's own."""
    is_typing_item: bool = False
    """A line is being typed."""

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
        if sum(len(each.lines) or 1 for each in self.sections) > 1 or not self.checklist:
            asked.append("scope")
            if self.safety_left:
                asked.append("without")
        return (*asked, "by")

    @property
    def question(self) -> Question:
        """The open one."""
        return "item" if self.is_typing_item else self.questions[self.at]

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

    def with_known(self, machine: str) -> NewJob:
        """The machine that was named has its sheet already: nothing more is asked about it."""
        return replace(self, machine=machine, name="", is_new_machine=False)

    def made(self, machine: str) -> NewJob:
        """The new machine's sheet is written: it is one like the others from now on."""
        return replace(self, machine=machine, is_new_machine=False, at=self.at - 1)

    def toggled(self, name: str) -> NewJob:
        """A section or a step in or out; in the list's order.

        Of the whole list the first one that is chosen stands alone.
        """
        chosen = {unit for each in self.only for unit in self._units(each)}
        units = self._units(name)
        chosen = chosen - units if units <= chosen else chosen | units
        only: list[str] = []
        for section in self.sections:
            own = self._units(section.id)
            if own <= chosen:
                only.append(section.id)
            else:
                only += [step.id for step in section.lines if step.id in chosen]
        is_whole = only == [section.id for section in self.sections]
        return replace(self, only=() if is_whole else tuple(only))

    def _units(self, name: str) -> frozenset[str]:
        """The steps of a section, or the step itself."""
        for section in self.sections:
            if section.id == name:
                return frozenset(step.id for step in section.lines) or frozenset((name,))
        return frozenset((name,))

    def turned(self, section: str) -> NewJob:
        """A section's steps shown, or shown no more."""
        return replace(self, unfolded=self.unfolded ^ {section})

    def scoped(self) -> NewJob:
        """The job takes in what is chosen."""
        return replace(self, at=self.at + 1)

    def typing_item(self, *, typing: bool) -> NewJob:
        """A line of one's own is typed, or no more."""
        return replace(self, is_typing_item=typing)

    def with_item(self, line: str) -> NewJob:
        """One more line of one's own."""
        return replace(self, items=(*self.items, line))

    def without_item(self, number: int) -> NewJob:
        """One of them taken out again."""
        return replace(self, items=self.items[:number] + self.items[number + 1 :])

    def back(self) -> NewJob | None:
        """The question before; None before the first one."""
        if self.is_typing_item:
            return self.typing_item(typing=False)
        return replace(self, at=self.at - 1) if self.at else None

    def takes_in(self, name: str) -> bool:
        """Whether a section, all of it, or a step belongs to the job."""
        if not self.only or name in self.only:
            return True
        return any(
            section.id in self.only and any(step.id == name for step in section.lines)
            for section in self.sections
        )

    def share(self, section: SectionLine) -> Literal["all", "some", "none"]:
        """How much of a section belongs to the job."""
        if self.takes_in(section.id):
            return "all"
        return "some" if any(self.takes_in(step.id) for step in section.lines) else "none"

    def _taken(self) -> tuple[int, float]:
        """How many steps the job has, and their minutes."""
        steps, minutes = 0, 0.0
        for section in self.sections:
            if self.takes_in(section.id):
                steps, minutes = steps + section.steps, minutes + section.minutes
            else:
                own = [step for step in section.lines if self.takes_in(step.id)]
                steps, minutes = steps + len(own), minutes + sum(step.minutes for step in own)
        return steps, minutes

    @property
    def safety_left(self) -> tuple[tuple[SectionLine, StepLine], ...]:
        """The safety steps that the job leaves out, with their sections."""
        return tuple(
            (section, step)
            for section in self.sections
            for step in section.lines
            if step.is_safety and not self.takes_in(step.id) and not self.takes_in(section.id)
        )

    @property
    def scope_words(self) -> str:
        """What the job comes to: `2 of 9 sections, 14 steps, about 35 min`."""
        steps, minutes = self._taken()
        parts = ["The whole list"]
        if self.only:
            whole = sum(self.share(each) == "all" for each in self.sections)
            single = steps - sum(each.steps for each in self.sections if self.share(each) == "all")
            parts = [f"{whole} of {len(self.sections)} sections"] if whole or not single else []
            parts += [pluralize(single, "single step")] if single else []
        if parts[0] != pluralize(steps, "single step"):
            parts.append(pluralize(steps + len(self.items), "step"))
        if minutes:
            parts.append(f"about {duration(minutes)}")
        left = sum(each.safety for each in self.sections if self.share(each) == "none")
        left += sum(
            step.is_safety and not self.takes_in(step.id)
            for each in self.sections
            if self.share(each) == "some"
            for step in each.lines
        )
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


def step_words(step: StepLine) -> str:
    """What a step comes to: `5 min, for safety`."""
    parts = [duration(step.minutes)] if step.minutes else []
    return ", ".join([*parts, *(["for safety"] if step.is_safety else [])])


def why_words(steps: Iterable[StepLine]) -> str:
    """Why a section matters: what its steps say, those for safety first; why of one step."""
    told = sorted((step for step in steps if step.why), key=lambda step: not step.is_safety)
    if len(told) == 1:
        return told[0].why
    return " ".join(f"{step.title}: {_first_sentence(step.why)}" for step in told[:2])


def usual_name(sessions: Iterable[SessionLine], machine: str) -> str:
    """Who inspected the machine last, else whoever did any; "" where nobody did.

    Args:
        sessions: As they are listed.
        machine: What it is called.
    """
    known = (
        (each.machine == machine, each.last, each.by)
        for each in sessions
        if each.by and each.last is not None
    )
    return max(known, default=(False, None, ""))[-1]


def by_letter(titles: Sequence[str], at: int, letter: str) -> int | None:
    """The next title behind `at` that begins with a letter, round to the first; None for none."""
    order = [*range(at + 1, len(titles)), *range(at + 1)]
    wanted = letter.casefold()
    return next((each for each in order if titles[each].casefold().startswith(wanted)), None)


def _first_sentence(text: str) -> str:
    end = text.find(". ")
    return text if end < 0 else text[: end + 1]
