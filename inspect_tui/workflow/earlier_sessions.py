"""What the earlier sessions of a machine leave to one: carried findings, last values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_LEFT, TAKEN_OVER
from inspect_tui.core.model.results import Results, SignoffBlocker
from inspect_tui.core.model.targets import Target
from inspect_tui.core.readings.parse import read
from inspect_tui.core.seasons.carried import (
    Carried,
    CarriedNow,
    carried_into,
    carried_text,
    in_the_way,
    still_carried,
)
from inspect_tui.core.seasons.history import Place
from inspect_tui.core.seasons.last_value import last_question, last_values
from inspect_tui.core.seasons.machine_state import LastValue, MachineState
from inspect_tui.core.seasons.meters import meter_question
from inspect_tui.core.seasons.open_before import EarlierStop, earlier_stops, still_open
from inspect_tui.core.seasons.summary import JUDGED
from inspect_tui.core.text.formatting import join_words
from inspect_tui.files.store import Store
from inspect_tui.report.status import status
from inspect_tui.workflow import store_index


@dataclass(frozen=True, slots=True)
class EarlierSessions:
    """The machine as the sessions before this one left it."""

    state: MachineState
    into: tuple[Carried, ...]
    """What they leave to this session's checklist, whatever it has settled since."""
    lasts: Mapping[Place, LastValue]
    """By place, what the newest of them left of a reading."""

    @classmethod
    def of(cls, store: Store, session: str, evaluated: Evaluated) -> EarlierSessions:
        """Those before a session, by its id in this store."""
        before = (evaluated.session.opened, session)
        machine = evaluated.evaluator.machine
        state = store_index.machine_state(store, machine.id, before)
        checklist = evaluated.results.checklist
        added = {each.id for each in evaluated.session.added}
        steps = [step for step in checklist.steps if step.id not in added]
        lasts = last_values(state, steps, machine.cylinders)
        return cls(state, carried_into(checklist.id, state), lasts)

    def carried(self, evaluated: Evaluated) -> tuple[Carried, ...]:
        """What this session has not settled yet."""
        return still_carried(self.into, _verdicts(evaluated.results), self._decided(evaluated))

    def now(self, evaluated: Evaluated) -> tuple[CarriedNow, ...]:
        """All that they leave to this session, with what became of it here."""
        verdicts = _verdicts(evaluated.results)
        decided = set(self._decided(evaluated))
        found = []
        for each in self.into:
            verdict = verdicts.get((each.step, each.reading or "", each.cylinder), "none")
            made = evaluated.session.decisions.get(each.id)
            decision = None if made is None else made.decision
            closed = each.id in decided and decision not in ("later", "get-part")
            judged = verdict in JUDGED
            found.append(CarriedNow(each, decision, verdict if judged else "", judged or closed))
        return tuple(found)

    def stops(self, evaluated: Evaluated) -> tuple[EarlierStop, ...]:
        """What they left in the way of the engine running or the machine moving."""
        left = self.state.open_safety.values()
        return earlier_stops(self.now(evaluated), left, evaluated.results.steps)

    def _decided(self, evaluated: Evaluated) -> list[str]:
        """Carried findings that a decision closes: put right only where nothing is measured."""
        measured = {
            (step.step.id, reading.id)
            for step in evaluated.results.steps
            for reading in step.step.readings
        }
        decisions = evaluated.session.decisions
        return [
            each.id
            for each in self.into
            if (made := decisions.get(each.id)) is not None
            and (made.decision != "put-right" or (each.step, each.reading) not in measured)
        ]

    def last(self, step: str, reading: str, cylinder: str | None) -> LastValue | None:
        """What the newest of them left of a reading; `same_as` of its own list counts too."""
        return self.lasts.get((step, reading, cylinder))

    def asks(self, evaluated: Evaluated, target: Target, reading: Reading, entered: str) -> str:
        """What is asked: a meter that reads less, a value that misses the last one by a slip,
        `nothing open` while something is; else ""."""
        if reading.nothing_open:
            stops = self.stops(evaluated) if read(entered, reading).value is True else ()
            return f"{target}: {still_open(stops)}." if stops else ""
        if reading.kind not in ("number", "count"):
            return ""
        typed = read(entered, reading)
        if typed.value is None or isinstance(typed.value, bool | str):
            return ""
        question = meter_question(self.state, reading, typed.value)
        if question:
            return f"{target}: {question}."
        last = self.last(target.step, target.reading, target.cylinder)
        if last is None:
            return ""
        question = last_question(reading, last.value, typed.value, typed.written)
        return f"{target}: {question}" if question else ""

    def with_blockers(self, evaluated: Evaluated, today: date) -> Results:
        """The results, with what is carried and undecided in the way of the sign-off."""
        results = evaluated.results
        left_out = [each.step.id for each in results.steps if each.state == "left-out"]
        carried = self.carried(evaluated)
        titles = {each.step.id: each.step.title for each in results.steps}
        more = tuple(
            SignoffBlocker(
                "finding",
                each.id,
                f"Put off earlier, not decided here ({each.id}): {_safety(each)}"
                f"{carried_text(each, titles.get(each.step, ''))}",
                True,
            )
            for each in in_the_way(carried, today, left_out)
        )
        stays = [each.text for each in carried if each.step in left_out]
        said = results.left_out
        if stays:
            said = f"{said} It stays put off: {join_words(stays, most=len(stays))}."
        return replace(
            results, blockers=results.blockers + more, left_out=said,
            signoff_blockers=results.signoff_blockers + tuple(each.text for each in more),
        )  # fmt: skip

    def status(self, name: str, evaluated: Evaluated) -> dict[str, Any]:
        """The session as `status --json` shows it, with what the earlier ones say."""
        carried = self.rows(evaluated)
        return status(evaluated.session, evaluated.results, carried, name, self.last_row)

    def rows(self, evaluated: Evaluated) -> list[dict[str, str | None]]:
        """The carried findings as `status --json` shows them."""
        return [
            {
                "id": each.id, "from": each.session, "finding": each.finding, "step": each.step,
                "text": each.text, "decision": each.decision, "why": each.why or None,
                "until": each.until or None, "part": each.part or None,
            }
            for each in self.carried(evaluated)
        ]  # fmt: skip

    def last_row(self, step: str, reading: str, cylinder: str | None) -> dict[str, object] | None:
        """A reading's last value as `status --json` shows it."""
        last = self.last(step, reading, cylinder)
        if last is None:
            return None
        value = last.value
        return {
            "value": value.value, "unit": value.unit, "date": value.at.date().isoformat(),
            "session": last.session,
        }  # fmt: skip


def _safety(each: Carried) -> str:
    return "safety, " if each.safety else ""


def _verdicts(results: Results) -> Mapping[tuple[str, str, str | None], str]:
    """By place the verdict that stands: as left where there is one; of derived values too."""
    found: dict[tuple[str, str, str | None], str] = {}
    for row in results.readings:
        if row.state.startswith(TAKEN_OVER):
            continue  # nobody looked at it
        if row.phase == AS_LEFT or (row.step, row.reading, row.cylinder) not in found:
            found[row.step, row.reading, row.cylinder] = row.judged.verdict
    for value in results.derived:
        if value.phase == AS_LEFT or (value.step, value.id, value.cylinder) not in found:
            found[value.step, value.id, value.cylinder] = value.judged.verdict
    for step in results.steps:
        for reading in step.step.readings if step.state != "left-out" else ():
            if reading.carries_on is None:
                continue
            for cylinder in (None, *results.machine.cylinders):
                verdict = found.get((step.step.id, reading.id, cylinder))
                if verdict is not None:
                    found.setdefault((*reading.carries_on, cylinder), verdict)
    return found
