"""The entries of a log -> what stands, what follows from it, and the evaluator that says so.

One way for all who ask: the session that is open, the list of sessions, the verification of
exports. A session that is being written grows by `LiveEvaluation.take`, which works out anew only
what rests on the new entries.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from inspect_tui.core.definitions import kept, of_log
from inspect_tui.core.definitions.kept import Keeper
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.sheets.typed_figure import with_figures
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate import Memos, evaluate
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.validate import ReadingValidator
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.model.results import Results
from inspect_tui.core.session.replay import Replay, Session


@dataclass(frozen=True, slots=True)
class Evaluated:
    """What the entries of a log come to."""

    session: Session
    results: Results
    evaluator: Evaluator
    memos: Memos = field(default_factory=Memos, compare=False, repr=False)
    """What was worked out, for the session as it grows."""

    @property
    def validator(self) -> ReadingValidator:
        """What may be asked of the session."""
        return ReadingValidator(self.evaluator)


def evaluate_entries(entries: Iterable[Entry], keeper: Keeper | None = None) -> Evaluated:
    """What these entries come to.

    Args:
        entries: A log's.
        keeper: Of what was compiled before; None where only the log's own text counts.

    Raises:
        Refused: the first is no `opened` entry, or its checklist or sheet can't be used.
    """
    return LiveEvaluation(entries, keeper).evaluated


def evaluate_session(compiled: Compiled, machine: Machine, session: Session) -> Evaluated:
    """What a session comes to with these definitions, whatever texts it was opened with."""
    return _evaluated(Evaluator(ChecklistOnMachine(compiled, machine), session), Memos())


def _evaluated(evaluator: Evaluator, memos: Memos) -> Evaluated:
    return Evaluated(evaluator.session, evaluate(evaluator, memos), evaluator, memos)


class LiveEvaluation:
    """The entries of a log that is being written; `evaluated` is replaced by each `take`."""

    def __init__(self, entries: Iterable[Entry], keeper: Keeper | None = None) -> None:
        """Take in what is there.

        Args:
            entries: The log's.
            keeper: Of what was compiled before; None where only the log's own text counts.

        Raises:
            Refused: the first is no `opened` entry, or its checklist or sheet can't be used.
        """
        self._keeper = keeper
        stream = iter(entries)
        self._replay = Replay(next(stream, None))
        for entry in stream:
            self._replay.take(entry)
        self.evaluated = self._anew()

    def take(self, entries: Iterable[Entry]) -> Evaluated:
        """What all entries come to with these after the ones before."""
        before = self.evaluated
        for entry in entries:
            self._replay.take(entry)
        session = self._replay.session()
        if (session.added, session.figures) != (before.session.added, before.session.figures):
            self.evaluated = self._anew()
        else:
            self.evaluated = _evaluated(before.evaluator.of(session), before.memos)
        return self.evaluated

    def _anew(self) -> Evaluated:
        session = self._replay.session()
        return _evaluated(Evaluator(definitions_of(session, self._keeper), session), Memos())


def definitions_of(session: Session, keeper: Keeper | None = None) -> ChecklistOnMachine:
    """The list and the sheet that a session was opened with, with what it added to both."""
    if keeper is None:
        compiled = of_log.compile_trusted(session.checklist_text)
        sheet = of_log.trusted_machine(session.machine_text)
    else:
        compiled = kept.compiled_list(session.checklist_text, keeper)
        sheet = kept.machine_of(session.machine_text, keeper)
    for added in session.added:
        compiled = of_log.add_step(
            compiled, added.section, added.id, added.title, added.unit, added.item, added.text
        )
    machine = with_figures(
        sheet,
        compiled,
        [(each.name, each.value, each.cylinder) for each in session.figures],
    )
    return ChecklistOnMachine(compiled, machine)
