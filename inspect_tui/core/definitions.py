"""Text of a checklist or a machine sheet -> frozen models and every problem in one pass.

Pure: text in, models and problems out. Opening a session's log uses `trusted_*`, which do not
check dimensions again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inspect_tui.core.checklist import Checklist, Step
from inspect_tui.core.expression import Expression
from inspect_tui.core.machine import Machine
from inspect_tui.core.problems import Problem

Limits = Mapping[str, Expression]
"""The sides of one limit that were written (`min`, `max`, `target`, `tolerance`, `equal`), each as
an expression; a bare number is in the reading's own unit there."""


@dataclass(frozen=True)
class Compiled:
    """A checklist with every expression parsed once."""

    checklist: Checklist
    steps: Mapping[str, Step]
    when: Mapping[str, Expression]
    """By step id."""
    value: Mapping[tuple[str, str], Expression]
    """Derived values by (step, derived)."""
    limits: Mapping[tuple[str, str], Limits]
    """By (step, reading or derived)."""
    inference: Mapping[str, Expression]
    """By inference id."""


@dataclass(frozen=True)
class Loaded:
    """What came of a file."""

    compiled: Compiled | None = None
    machine: Machine | None = None
    problems: tuple[Problem, ...] = ()
    """Errors and notes, in the order of the file."""

    @property
    def sound(self) -> bool:
        """Whether there is no problem but notes."""
        return all(problem.note for problem in self.problems)


def kind_of(text: str) -> str:
    """ "checklist" or "machine": which of the two a file wants to be."""
    raise NotImplementedError


def load_checklist(text: str, file: str) -> Loaded:
    """A checklist alone; without a sheet `spec.NAME` and `machine.NAME` fit any dimension."""
    raise NotImplementedError


def load_machine(text: str, file: str) -> Loaded:
    """A machine sheet alone."""
    raise NotImplementedError


def check_together(
    checklist: Loaded, checklist_text: str, checklist_file: str, machine: Machine
) -> tuple[Problem, ...]:
    """Problems that only the pair has: dimensions of `spec.NAME`, lists of the wrong length; and
    notes: figures and facts that the sheet lacks."""
    raise NotImplementedError


def compile_trusted(text: str) -> Compiled:
    """The checklist text of a log, compiled without checking dimensions again.

    Raises:
        Refused: the text is no checklist any more.
    """
    raise NotImplementedError


def trusted_machine(text: str) -> Machine:
    """The machine text of a log. Raises Refused if it is no sheet."""
    raise NotImplementedError
