"""What ships, found and not listed, and sessions recorded on it.

A new list or sheet in `checklists/` is in every test.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import msgspec

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.load import Loaded
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.model.checklist import Checklist, Derived, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, FORMAT, Entry
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import Session, replay

FOLDER = Path(__file__).parent.parent / "checklists"
LISTS = sorted(path.stem for path in FOLDER.glob("*.toml"))
SHEETS = sorted(path.stem for path in (FOLDER / "machines").glob("*.toml"))
SLEDS = ("ostrebek-440", "tindrak-600")
OF_OUTBOARDS = ("outboard-season",)
PAIRS = [
    (stem, sheet)
    for stem in LISTS
    for sheet in (("ormvessa-6",) if stem in OF_OUTBOARDS else SLEDS)
]
"""Each list with each sheet of its kind of machine."""
AT = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)


def text_of(stem: str) -> str:
    """The text of a shipped list or sheet."""
    folder = FOLDER / "machines" if stem in SHEETS else FOLDER
    return (folder / f"{stem}.toml").read_text(encoding="utf-8")


class Shelf:
    """The shipped lists, for those that take steps from others."""

    def text(self, list_id: str) -> str | None:
        return text_of(list_id) if list_id in LISTS else None

    def ids(self) -> Iterable[str]:
        return LISTS


@cache
def loaded(stem: str) -> Loaded:
    """A shipped list as it is checked, with what it takes from others."""
    return definitions.load_checklist(text_of(stem), f"{stem}.toml", Shelf())


@cache
def checklist(stem: str) -> Compiled:
    """A shipped list, which is sound."""
    found = loaded(stem)
    assert found.sound, "\n".join(map(str, found.problems))
    assert found.compiled is not None
    return found.compiled


def opened_text(stem: str) -> str:
    """What a session of a shipped list is opened with."""
    composed = loaded(stem).composed
    assert composed is not None
    return composed.text


@cache
def machine(stem: str) -> Machine:
    """A shipped sheet, which is sound."""
    found = definitions.load_machine(text_of(stem), f"{stem}.toml")
    assert not found.problems, "\n".join(map(str, found.problems))
    assert found.machine is not None
    return found.machine


def with_cylinders(made: Machine, count: int) -> Machine:
    """The same machine with its first cylinders alone."""

    def cut(figures: Mapping[str, object]) -> dict[str, object]:
        return {
            name: figure[:count] if isinstance(figure, tuple) else figure
            for name, figure in figures.items()
        }

    bands = tuple(
        msgspec.structs.replace(band, settings=cut(band.settings)) for band in made.jet_chart
    )
    return msgspec.structs.replace(
        made, cylinders=made.cylinders[:count], spec=cut(made.spec),
        spec_text=cut(made.spec_text), jet_chart=bands,
    )  # fmt: skip


@cache
def on_machine(stem: str, sheet: str = "tindrak-600") -> ChecklistOnMachine:
    return ChecklistOnMachine(checklist(stem), machine(sheet))


def values(listed: Checklist) -> Iterator[tuple[Step, Reading | Derived]]:
    for step in listed.steps:
        for value in (*step.reading, *step.derived):
            yield step, value


def recorded(listed: Compiled, made: Machine, typed: Mapping[str, str | list[str]]) -> Session:
    """A session in which these readings are recorded as found."""
    head = {
        "format": FORMAT, "program": "test", "session": "test", "checklist": "", "machine": "",
    }  # fmt: skip
    entries = [Entry(0, "opened", AT, "R. Tester", head)]
    for place, texts in typed.items():
        step_id, reading_id = place.split(".")
        step = listed.steps[step_id]
        reading = next(each for each in step.readings if each.id == reading_id)
        cylinders = made.cylinders if step.per_cylinder else (None,)
        for cylinder, text in zip(
            cylinders, texts if isinstance(texts, list) else [texts], strict=False
        ):
            if not text:
                continue
            value = readings.read(text, reading).value
            keys = {
                "step": step_id, "reading": reading_id, "cylinder": cylinder,
                "phase": AS_FOUND, "entered": text, "unit": reading.unit, "verdict": "none",
                "value": value if isinstance(value, bool | int | str) else float(value),
            }  # fmt: skip
            keys = {key: part for key, part in keys.items() if part is not None}
            entries.append(Entry(len(entries), "reading", AT, "R. Tester", keys))
    session = replay(entries)
    assert not session.unknown
    return session
