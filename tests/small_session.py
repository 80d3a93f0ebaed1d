"""A session of one small list, made without a disk: what these readings come to.

`evaluated(CHECKLIST, given("step.reading@PTO", "12 mm"), ...)`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from inspect_tui.core.definitions import of_log
from inspect_tui.core.evaluation.evaluate_entries import Evaluated, evaluate_entries
from inspect_tui.core.evaluation.validate import logged
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.readings import parse
from tests.builders import checklist, derived, reading, step

__all__ = [
    "MACHINE", "START", "Given", "derived", "derived_row", "evaluated", "given", "number",
    "one_step", "reading_row", "row_of",
]  # fmt: skip

START = datetime(2026, 11, 2, 18, 0, 0, tzinfo=UTC)
MACHINE = 'id = "sled"\nname = "Sled"\ncylinders = ["PTO", "centre", "MAG"]\n'


@dataclass(frozen=True)
class Given:
    """One reading as it was typed."""

    step: str
    reading: str
    cylinder: str | None
    entered: str
    gauge: str = ""
    phase: str = "as-found"


def given(place: str, entered: str, gauge: str = "", phase: str = "as-found") -> Given:
    """A reading by its place, `step.reading` or `step.reading@cylinder`."""
    value, _, cylinder = place.partition("@")
    step, _, reading = value.partition(".")
    return Given(step, reading, cylinder or None, entered, gauge, phase)


def row_of(place: str, texts: list[str], **how: str) -> list[Given]:
    """A reading of every cylinder of `MACHINE`."""
    names = ("PTO", "centre", "MAG")
    return [given(f"{place}@{name}", text, **how) for name, text in zip(names, texts, strict=False)]


def one_step(*rows: str, per_cylinder: bool = False) -> str:
    """A list of one step, `s`, from the TOML of its readings and derived values."""
    return checklist(step("s", *rows, per="cylinder" if per_cylinder else ""))


def number(id_: str, unit: str = "mm", **keys: str) -> str:
    """A reading of numbers; its other keys as they stand in TOML."""
    return reading(id_, unit=unit, **keys)


def evaluated(
    text: str,
    *readings: Given | tuple[str, dict[str, object]],
    machine: str = MACHINE,
    **air: str,
) -> Evaluated:
    """What these readings come to, recorded one after the other; among them other entries may
    stand, as kind and keys."""
    compiled = of_log.compile_trusted(text)
    kinds = {
        (step.id, reading.id): reading
        for step in compiled.checklist.steps
        for reading in step.readings
    }
    opened = {"session": "s", "checklist": text, "machine": machine, "program": "test"}
    entries = [Entry(0, "opened", START, "Ann", opened)]
    if air:
        entries.append(Entry(1, "conditions", START, "Ann", dict(air)))
    for one in readings:
        if isinstance(one, tuple):
            entries.append(Entry(len(entries), one[0], START, "Ann", one[1]))
            continue
        typed = parse.read(one.entered, kinds[one.step, one.reading])
        keys = {
            "step": one.step, "reading": one.reading, "cylinder": one.cylinder,
            "phase": one.phase, "entered": one.entered, "value": logged(typed.value),
            "unit": typed.unit, "verdict": "none", "gauge": one.gauge or None,
        }  # fmt: skip
        kept = {key: value for key, value in keys.items() if value is not None}
        entries.append(Entry(len(entries), "reading", START, "Ann", kept))
    return evaluate_entries(entries)


def reading_row(found: Evaluated, name: str = "x", cylinder: str | None = None):
    """The as-found row of a reading of step `s`."""
    return found.results.row("s", name, cylinder, "as-found")


def derived_row(found: Evaluated, name: str = "y", cylinder: str | None = None):
    """The as-found row of a derived value of step `s`."""
    return found.results.derived_row("s", name, cylinder, "as-found")
