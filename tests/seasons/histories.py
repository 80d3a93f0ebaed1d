"""Believable histories of invented machines, with the truth that a trend is held to.

A belt wears by so much a kilometre and is replaced when it is thin; gauges have errors of their own
and are changed now and then; seasons are missed; the odometer is replaced once in a while. Logs are
written block by block, since ten thousand sessions would take too long to walk.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from inspect_tui.calc.measurement import probability_inside
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.files.log.block import block, seal_line, seal_of
from inspect_tui.files.store import Store
from tests.builders import checklist, reading, section, step

CHECKLIST = checklist(
    section("drive"),
    step(
        "meter",
        reading("odometer", unit="km", label="Odometer", meter='"odometer"'),
        title="Odometer",
    ),
    step(
        "belt",
        reading("width", label="Width", uncertainty='"0.2 mm"', limit="{ min = 33 }"),
        title="Belt",
        every='["3000 km", "24 months"]',
    ),
    step("chaincase", title="Chaincase oil", every='["12 months"]'),
    id_="season-look",
    title="Season look",
)
NEW_BELT, THIN_BELT = 35.0, 33.0
PLAYED = 0.9
"""Of the winters; the others are without snow."""
UNCERTAINTY = 0.2
"""Expanded (k = 2), mm, of every gauge."""


def sheet(machine: str) -> str:
    return f'id = "{machine}"\nname = "Machine {machine}"\ncylinders = ["PTO", "MAG"]\n'


@dataclass
class Truth:
    """How a machine really is."""

    wear: float
    """mm a km, negative."""
    odometer: float
    belt_at: float
    """What the odometer read when the belt was new."""
    replaced: list[str] = field(default_factory=list)
    """Sessions in which a new belt was put on."""

    def width(self) -> float:
        """The belt as it really is."""
        return NEW_BELT + self.wear * (self.odometer - self.belt_at)

    def thin_at(self) -> float:
        """The odometer at which it reaches its limit."""
        return self.belt_at + (THIN_BELT - NEW_BELT) / self.wear


class LogText:
    """A log that grows."""

    def __init__(self, by: str) -> None:
        self.by, self.data, self._seal, self._n = by, b"", b"", 0

    def add(self, kind: str, at: datetime, **keys: object) -> None:
        """One entry with its seal."""
        body = block(Entry(self._n, kind, at, self.by, {k: v for k, v in keys.items()}))
        seal = seal_of(self._seal, body)
        self.data += body + seal_line(seal)
        self._seal, self._n = seal.encode(), self._n + 1

    @property
    def seal(self) -> str:
        return self._seal.decode()


def session(
    log_name: str,
    machine: str,
    truth: Truth,
    at: datetime,
    rng: Random,
    gauge: str,
    signed: bool = True,
) -> bytes:
    """One season's look: odometer, belt (replaced where it is thin), chaincase, signed."""
    text = LogText("A. Tester")
    text.add(
        "opened", at, format=1, program="inspect-tui 0.1.0", session=log_name,
        checklist=CHECKLIST, machine=sheet(machine),
    )  # fmt: skip
    later = iter(at + timedelta(minutes=5 * k) for k in range(1, 20))

    def reading(step: str, name: str, entered: str, value, phase: str = "as-found", **keys) -> None:
        text.add(
            "reading", next(later), step=step, reading=name, phase=phase, entered=entered,
            value=value, **keys,
        )  # fmt: skip

    def belt(phase: str) -> str:
        seen = round(truth.width() + rng.gauss(0, UNCERTAINTY / 2), 2)
        inside = probability_inside(seen, UNCERTAINTY, THIN_BELT, None)
        verdict = "pass" if inside >= 0.95 else "fail" if inside <= 0.05 else "uncertain"
        reading("belt", "width", f"{seen} mm", seen, phase, unit="mm", verdict=verdict, gauge=gauge)
        return verdict

    km = round(truth.odometer)
    reading("meter", "odometer", f"{km} km", km, unit="km", verdict="none")
    if belt("as-found") != "pass":
        truth.belt_at = truth.odometer
        truth.replaced.append(log_name)
        text.add(
            "decision", next(later), finding="belt.width", decision="put-right", why="a new belt"
        )
        belt("as-left")
    reading("chaincase", "done", "yes", True, verdict="pass")
    if signed:
        text.add("signed", next(later), open=[], accepted="")
    return text.data


def machine(
    store: Store,
    name: str,
    seasons: int,
    rng: Random,
    first: int = 2010,
    *,
    left_open: bool = False,
) -> Truth:
    """A machine's sessions over the years, written into the store; how it really is now.

    Args:
        left_open: The last one is not signed.
    """
    truth = Truth(-rng.uniform(2e-4, 8e-4), rng.uniform(0, 3000), 0.0)
    truth.belt_at = truth.odometer
    gauge = "calliper 1"
    for season in range(seasons):
        if season and rng.random() > PLAYED:
            continue  # a winter without snow
        if rng.random() < 0.1:
            gauge = f"calliper {rng.randint(2, 9)}"
        at = datetime(first + season, 11, rng.randint(1, 28), 18, tzinfo=UTC)
        log_name = f"{at:%Y-%m-%d}-{name}-season-look"
        signed = not (left_open and season == seasons - 1)
        store.log(log_name).write_bytes(session(log_name, name, truth, at, rng, gauge, signed))
        truth.odometer += rng.uniform(400, 1500)
    return truth


def club(folder: Path, sessions: int, machines: int, seed: int = 1) -> Store:
    """A store with about so many sessions of so many machines, and their sheets."""
    store, rng = Store(folder), Random(seed)
    store.make()
    for number in range(machines):
        name = f"sled-{number:03}"
        (store.machines / f"{name}.toml").write_text(sheet(name), encoding="utf-8")
        seasons = max(1, round(sessions / machines / PLAYED))
        machine(store, name, seasons, rng, 2026 - seasons, left_open=number % 10 == 0)
    (store.checklists / "season-look.toml").write_text(CHECKLIST, encoding="utf-8")
    return store
