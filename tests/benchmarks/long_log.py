"""A session of many entries, such as a machine gets that is inspected for many years."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.core.evaluation.validate import Target, logged
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from inspect_tui.files.log.writer import Writer
from inspect_tui.files.store import Store, shipped
from inspect_tui.workflow.inspection import Inspection

START = datetime(2026, 11, 2, 18, tzinfo=UTC)
ANSWERS = {
    "count": ("12", "240", "3"), "check": ("yes", "no"), "text": ("worn at the edge", "6K"),
    "date": ("2026-11-02",), "timer": ("1:30", "95"),
}  # fmt: skip


def now() -> datetime:
    """After everything that is in the logs."""
    return START + timedelta(days=4000)


def new(folder: Path, checklist: str = "pre-season") -> Inspection:
    """A new session of a shipped list on a shipped machine, in a store of its own."""
    places = Store(folder / "store")
    places.make()
    files = (shipped() / f"{checklist}.toml", shipped() / "machines" / "tindrak-600.toml")
    return Inspection.new(places, str(files[0]), str(files[1]), "R. Tester", lambda: START)


def readings(inspection: Inspection) -> list[tuple[Target, str]]:
    """Every reading of the list that takes an answer, with one."""
    found = []
    for step in inspection.compiled.checklist.steps:
        for reading in step.readings:
            numbers = tuple(f"{n} {reading.unit}".strip() for n in ("31.7", "0.5", "12"))
            answers = ANSWERS.get(reading.kind, numbers)
            answers = reading.options[:3] if reading.kind == "choice" else answers
            cylinders = inspection.machine.cylinders if step.per_cylinder else (None,)
            for n, cylinder in enumerate(cylinders):
                target = Target(step.id, reading.id, cylinder)
                answer = answers[n % len(answers)]
                try:
                    inspection.validator.validate([(target, answer)], "as-found")
                except BadInput:
                    continue
                found.append((target, answer))
    return found


def entries(inspection: Inspection, count: int) -> Iterator[Entry]:
    """So many entries: readings taken over and over, notes and decisions between."""
    asked = []
    for target, text in readings(inspection):
        for phase in ("as-found", "as-left"):
            (one,) = inspection.validator.validate([(target, text)], phase)
            asked.append((phase, one))
    for n in range(count):
        at = START + timedelta(minutes=n)
        if n % 20 == 19:
            words = f"Looked at it again, time {n}: the same as before, no play, no marks."
            yield Entry(-1, "note", at, "R. Tester", {"step": "belt", "text": words})
            continue
        phase, one = asked[n % len(asked)]
        if n % 50 == 48:
            finding = f"{one.target.step}.{one.target.reading}"
            yield Entry(
                -1, "decision", at, "R. Tester",
                {"finding": finding, "decision": "run-as-found", "why": "As the year before."},
            )  # fmt: skip
            continue
        keys = {
            "step": one.target.step, "reading": one.target.reading,
            "cylinder": one.target.cylinder, "phase": phase, "entered": one.entered,
            "value": logged(one.value), "unit": one.unit or None, "verdict": one.judged.verdict,
        }  # fmt: skip
        yield Entry(
            -1, "reading", at, "R. Tester", {k: v for k, v in keys.items() if v is not None}
        )


def long_log(folder: Path, count: int) -> Path:
    """The log of a session with so many entries behind its first."""
    with new(folder) as inspection:
        path = inspection.log.path
        made = list(entries(inspection, count))
    with Writer.open(path) as writer:
        for at in range(0, len(made), 1000):
            writer.append(made[at : at + 1000])
    return path
