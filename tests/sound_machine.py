"""What a person types at a sound machine, on each shipped list with each shipped sheet.

A walk is recorded as found; `planted` records something else over it, and works out anew only what
rests on that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from inspect_tui.core.definitions import of_log
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate import Memos, evaluate
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.job.progress import is_needed
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, FORMAT, Entry
from inspect_tui.core.model.results import Results
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import replay
from inspect_tui.core.text.formatting import format_value
from tests.shipped import AT, machine, opened_text, with_cylinders

SAME = {
    "photos.taken": "14", "ob-photos.taken": "8",
    "air-place.air": "-12 degC", "air-place.altitude": "150 m", "air-place.odometer": "6412 km",
    "brake-20.distance": "9 m", "belt-heat.belt": "38 degC", "belt-heat.driving": "41 degC",
    "belt-heat.driven": "40 degC", "look-25.moved": "2", "oil-used.fuel": "20 L",
    "oil-used.oil": "0.48 L", "diary.odometer": "6437 km", "fluids.odometer": "6440 km",
    "figures.odometer": "7100 km", "track-eased.turns": "2", "coolant.freeze": "-37 degC",
    "coolant.coldest": "-25 degC", "plugged.plugs": "4", "identity.odometer": "6412 km",
    "identity.stood": "62", "place-air.altitude": "150 m", "place-air.air": "4 degC",
    "place-air.coldest-night": "-26 degC", "place-air.lowest": "150 m",
    "place-air.coldest": "-18 degC", "belt-height.load": "67 N",
    "inlet-needle.start-pressure": "20 kPa", "inlet-needle.end-pressure": "20 kPa",
    "slides-lift.height": "4 mm", "fuel-pump.start-pressure": "35 kPa",
    "fuel-pump.end-pressure": "34.5 kPa", "premix.fuel": "20 L", "premix.oil": "410 mL",
    "compression.pressure": "885 kPa", "compression.second": "880 kPa",
    "compression.wet": "925 kPa", "compression.pulls": "7", "leak-down.loss": "8 %",
    "pressure-test.start-pressure": "34 kPa", "pressure-test.end-pressure": "33.5 kPa",
    "pressure-test.held": "5:00", "cooling-pressure.start-pressure": "90 kPa",
    "cooling-pressure.end-pressure": "89.5 kPa", "cooling-pressure.held": "3:00",
    "chain-wear.pitches": "20", "chain-wear.measured": "191.2 mm", "chain-slack.loosest": "9 mm",
    "track-alignment.left": "12 mm", "track-alignment.right": "12 mm",
    "slides.left-front": "15 mm", "slides.left-middle": "15 mm", "slides.left-rear": "14.8 mm",
    "slides.right-front": "15 mm", "slides.right-middle": "14.9 mm", "slides.right-rear": "15 mm",
    "shocks.setting-left": "2", "shocks.setting-right": "2", "ski-toe.front": "1005 mm",
    "ski-toe.rear": "1000 mm", "ski-toe.base": "500 mm", "idle.full-left": "1850 rpm",
    "idle.full-right": "1850 rpm", "idle.straight": "1850 rpm", "run-leaks.pipe": "160 degC",
    "charging.at-idle": "13.6 V", "retorque.moved": "0", "coolant.share": "50 %",
    "fuel-lines.age": "24 month", "chain-oil.age": "6 month", "coolant.age": "12 month",
    "belt-body.fitted-at": "5000 km", "head-bolts.wrench": "300 mm",
    "head-bolts.extension": "100 mm", "place-air.qnh": "1015 hPa", "air-place.qnh": "1015 hPa",
    "figures.fuel": "200 L", "figures.oil": "4.8 L", "first-start.looked": "not needed",
    "first-start.enricher": "2 min", "line-25.left": "12 mm", "line-25.right": "12 mm",
    "line-25.load": "67 N", "story.stood": "30", "odometer.odometer": "6412 km",
    "reckoning.safe": "200", "reckoning.good": "600", "reckoning.price": "900",
    "electric-start.cranking": "10.4 V", "oil-bleed.longest": "0 mm", "plug-chop.ring": "tan",
    "enricher.slack": "2 mm",
}  # fmt: skip
OWN = {
    "ormvessa-6": {
        "ob-identity.hours": "140 h", "ob-identity.stood": "7", "ob-after.hours": "141 h",
        "ob-compression.pressure": "780 kPa", "ob-compression.pulls": "6",
        "anodes.left": "80 %", "ob-start.seconds": "8", "impeller.age": "6",
    },
    "tindrak-600": {
        "jets-today.main": "350",
        "belt-height.deflection": "32 mm", "track-sag.load": "7.3 kg", "track-sag.left": "36 mm",
        "track-sag.right": "36.5 mm", "sag-25.load": "7.3 kg", "sag-25.left": "36 mm",
        "sag-25.right": "36.5 mm", "timing.distance": "1.83 mm",
        "line-25.deflection": "32 mm",
        "belt-width.length": "1194 mm",
        "drive-spring.free": "83 mm", "drive-spring.length-1": "60 mm",
        "drive-spring.force-1": "214 N", "drive-spring.length-2": "35 mm",
        "drive-spring.force-2": "446.5 N", "chain-sprockets.links": "70",
        "spare-belt.length": "1194 mm", "driven-preload.opening": "66 N",
        "driven-preload.closing": "60 N", "clutch-offset.y": "37.2 mm",
        "clutch-offset.z": "42.5 mm",
    },
    "ostrebek-440": {
        "jets-today.main": "220",
        "belt-height.deflection": "30 mm", "track-sag.load": "5 kg", "track-sag.left": "31 mm",
        "track-sag.right": "31.5 mm", "sag-25.load": "5 kg", "sag-25.left": "31 mm",
        "sag-25.right": "31.5 mm", "timing.distance": "2.07 mm",
        "line-25.deflection": "30 mm",
        "belt-width.length": "1118 mm",
        "drive-spring.free": "83 mm", "drive-spring.length-1": "62 mm",
        "drive-spring.force-1": "180 N", "drive-spring.length-2": "38 mm",
        "drive-spring.force-2": "384 N", "chain-sprockets.links": "66",
        "spare-belt.length": "1118 mm", "driven-preload.opening": "49 N",
        "driven-preload.closing": "45 N", "clutch-offset.y": "35.2 mm", "clutch-offset.z": "50 mm",
    },
}  # fmt: skip
BELT = {"tindrak-600": "34.8 mm", "ostrebek-440": "31.6 mm"}


def sound_text(evaluation: Evaluator, step: Step, reading: Reading, cylinder: str | None) -> str:
    """What a person would type at a sound machine."""
    sheet = evaluation.machine.id
    known = SAME | OWN[sheet]
    if sheet in BELT:
        known = known | {f"belt-width.width-{n}": BELT[sheet] for n in range(1, 6)}
    given = known.get(f"{step.id}.{reading.id}")
    if given is not None:
        return given
    zone = evaluation.zone(step, reading.id, cylinder, AS_FOUND)
    if reading.kind == "check":
        return "no" if zone is not None and zone.equal == (False,) else "yes"
    if reading.kind == "date":
        return "2026-11-02"
    if zone is not None and zone.equal:
        good = zone.equal[0]
        return good if isinstance(good, str) else format_value(good)  # type: ignore[arg-type]
    if reading.kind == "choice":
        return reading.options[0]
    if reading.kind in ("text", "photo"):
        return "as stamped"
    assert zone is not None, f"{step.id}.{reading.id} has no figure of a sound machine"
    number = middle(zone.low, zone.high)
    return f"{round(number)}" if reading.kind == "count" else f"{float(number)} {reading.unit}"


def middle(low, high):
    """Well inside the zone."""
    if low is not None and high is not None:
        return (low + high) / 2
    if low is not None:
        return low + abs(low) / 4
    return high / 4 if high is not None else 0


@dataclass(frozen=True)
class Walk:
    """A walk through a whole list."""

    entries: tuple[Entry, ...]
    evaluation: Evaluator
    results: Results
    memos: Memos

    def planted(self, faults: Mapping[str, str], cylinder: str | None = None) -> Results:
        """What follows once these places (`STEP.READING`) read something else.

        Args:
            faults: What is typed there instead.
            cylinder: Of the readings per cylinder; the first where it is left out.
        """
        entries = list(self.entries)
        for place, text in faults.items():
            step_id, reading_id = place.split(".")
            step = self.evaluation.compiled.steps[step_id]
            reading = next(each for each in step.readings if each.id == reading_id)
            at = cylinder or self.evaluation.machine.cylinders[0]
            entries.append(entry(len(entries), step, reading, at, text))
        session = replay(entries)
        assert not session.unknown
        return evaluate(self.evaluation.of(session), _another(self.memos))


def _another(memos: Memos) -> Memos:
    """Others that know the same: a fault that is tried leaves no trace in the sound machine's."""
    other = Memos()
    for name, memo in vars(memos).items():
        vars(other)[name]._made.update(memo._made)
    return other


def entry(number: int, step: Step, reading: Reading, cylinder: str | None, text: str) -> Entry:
    """What is recorded when this is typed."""
    value = readings.read(text, reading).value
    keys = {
        "step": step.id, "reading": reading.id, "phase": AS_FOUND, "entered": text,
        "value": value if isinstance(value, bool | int | str) else float(value),
    }  # fmt: skip
    if step.per_cylinder:
        keys["cylinder"] = cylinder
    return Entry(number, "reading", AT, "R. Tester", keys)


@cache
def walked(stem: str, sheet: str, optional: bool = False, cylinders: int | None = None) -> Walk:
    """A sound machine walked through a list.

    Args:
        stem: The list.
        sheet: The machine.
        optional: With what may be left out.
        cylinders: Of a machine that has fewer than the sheet's.
    """
    made = machine(sheet)
    if cylinders is not None:
        made = with_cylinders(made, cylinders)
    listed = of_log.compile_trusted(opened_text(stem))
    head = {"format": FORMAT, "program": "t", "session": "t", "checklist": "", "machine": ""}
    entries = [Entry(0, "opened", AT, "R. Tester", head)]
    evaluation = Evaluator(ChecklistOnMachine(listed, made), replay(entries))
    for step in listed.checklist.steps:
        if not is_needed(evaluation, step):
            continue
        for reading in step.readings:
            if reading.kind == "photo" or (reading.optional and not optional):
                continue
            for cylinder in evaluation.definitions.cylinders(step, reading.id):
                text = sound_text(evaluation, step, reading, cylinder)
                entries.append(entry(len(entries), step, reading, cylinder, text))
    session = replay(entries)
    assert not session.unknown
    memos = Memos()
    evaluation = evaluation.of(session)
    return Walk(tuple(entries), evaluation, evaluate(evaluation, memos), memos)
