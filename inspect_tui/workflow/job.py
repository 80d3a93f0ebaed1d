"""The job that a session is about: what it takes in, the sheet it is judged by, parts to get."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inspect_tui.core.evaluation.diff import changed_verdicts
from inspect_tui.core.evaluation.job import acts
from inspect_tui.core.evaluation.job.parts import Part, parts_of
from inspect_tui.core.evaluation.job.plan import Plan, plan_of
from inspect_tui.core.model.machine import Fact
from inspect_tui.workflow.open_session import OpenSession


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A figure of the sheet as a person typed it."""

    name: str
    cylinder: str | None
    """None: for all."""
    text: str


class Job:
    """What a person says of the job as a whole."""

    def __init__(self, session: OpenSession) -> None:
        self._session = session

    @property
    def plan(self) -> Plan:
        """What stops the start, what is to be measured again, what is left and how long."""
        evaluated = self._session.evaluated
        return plan_of(evaluated.session, evaluated.results)

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts to get."""
        return parts_of(self._session.evaluated.session)

    def widen(self, ids: Iterable[str]) -> tuple[str, ...]:
        """Take sections or steps in after all; returns those that were left out until now.

        Raises:
            BadInput: there is no such section or step.
            Refused: signed, set aside, or open for reading only.
        """
        self._session.refuse_unless_open()
        entry = acts.widened(self._session.evaluated, ids)
        if entry is None:
            return ()
        self._session.write(entry)
        return tuple(entry[1]["ids"])

    def add_line(self, section: str, line: str) -> str:
        """A step thought of on the spot, as a line: `Belt width | mm | min 33`; returns its id.

        Raises:
            BadInput: nothing can be made of the line, or there is no such section.
            Refused: signed, set aside, or open for reading only.
        """
        self._session.refuse_unless_open()
        entry = acts.added_line(self._session.evaluated, section, line)
        self._session.write(entry)
        return str(entry[1]["step"])

    def add_taken(self, section: str, place: str, title: str, text: str) -> str:
        """A step of another list, with its text; returns its id here.

        Raises:
            BadInput: there is no such section.
            Refused: signed, set aside, or open for reading only.
        """
        self._session.refuse_unless_open()
        entry = acts.added_taken(self._session.evaluated, section, place, title, text)
        self._session.write(entry)
        return str(entry[1]["step"])

    def set_aside(self, why: str) -> None:
        """The session was begun by mistake: it stays readable, and counts no more.

        Raises:
            BadInput: no reason.
            Refused: signed, set aside already, or open for reading only.
        """
        self._session.refuse_unless_open()
        self._session.write(acts.set_aside(why))

    def figures(self, figures: Sequence[TypedFigure], source: str) -> tuple[str, ...]:
        """Enter figures of the machine sheet, all or none; what was recorded is judged by them.

        Args:
            figures: As typed.
            source: Where they come from: `manual, page 12`.

        Returns:
            What changed its verdict by them, a sentence each.

        Raises:
            BadInput: one can't be taken, or no source; nothing was written.
            Refused: signed, set aside, or open for reading only.
        """
        self._session.refuse_unless_open()
        before = self._session.evaluated
        entries = [
            acts.sheet_figure(before, each.name, each.cylinder, each.text, source)
            for each in figures
        ]
        self._session.write(*entries)
        return changed_verdicts(before.results, self._session.evaluated.results)

    def fact(self, name: str, fact: Fact, source: str) -> None:
        """Enter a fact of the machine: what the list asks for is worked out anew by it.

        Raises:
            BadInput: it can't be taken, or no source; nothing was written.
            Refused: signed, set aside, or open for reading only.
        """
        self._session.refuse_unless_open()
        self._session.write(acts.sheet_fact(self._session.evaluated, name, fact, source))

    def check_figure(self, figure: TypedFigure) -> None:
        """Whether a figure could be entered; raises BadInput where not, and writes nothing."""
        evaluated = self._session.evaluated
        acts.sheet_figure(evaluated, figure.name, figure.cylinder, figure.text, "not said yet")

    def part(self, part: str, state: str) -> None:
        """A part was got, or fitted; after the sign-off too.

        Raises:
            BadInput: no such part is to be got.
            Refused: open for reading only.
        """
        self._session.write(acts.part_state(self._session.evaluated, part, state))
