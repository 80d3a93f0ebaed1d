"""A pre-season session of the invented triple from beginning to sign-off: some thirty faults.

What a report is measured and looked at with: three days of work, found and left, decisions, parts,
what upset what and was measured again, and a sign-off in words. Common practice for the faults.
"""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from functools import cache
from hashlib import sha256
from typing import Any

from inspect_tui.core.evaluation.evaluate_entries import Evaluated, evaluate_entries
from inspect_tui.core.evaluation.job.sign_off import sign_off
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, FORMAT, Entry, Phase
from inspect_tui.core.readings import parse as readings
from inspect_tui.report.content.report import LogState, Report, report
from tests.shipped import FOLDER, opened_text
from tests.sound_machine import Walk, walked

HERE = timezone(timedelta(hours=1))
BEGUN = datetime(2026, 11, 2, 17, 40, tzinfo=HERE)
BY = "P. Sledgewright"

FOUND = {
    "identity.odometer": "6412 mi", "left-open.guests": "droppings", "leak-sweep.fuel": "damp",
    "plugs.colour@MAG": "white", "plugs.gap@PTO": "0.60", "battery-rest.volts": "11.9",
    "pump-mark.offset": "2.5", "chain-slack.slack": "15", "chain-slack.loosest": "15",
    "track-sag.left": "50", "track-sag.right": "50.5",
    "compression.pressure@PTO": "128 psi", "compression.pressure@centre": "127 psi",
    "compression.pressure@MAG": "112 psi", "boots.crack@MAG": "through",
    "air-screw.turns@PTO": "2-1/4 turns", "air-screw.turns@centre": "1-1/4 turns",
    "air-screw.turns@MAG": "1-1/2 turns",
    "needle.code@centre": "K41", "needle.code@MAG": "K43", "pilot-jet.stamp@MAG": "45",
    "bowl-drain.bowl@PTO": "gum", "bowl-drain.bowl@centre": "gum", "bowl-drain.bowl@MAG": "green",
    "float-level.level@MAG": "20.5 mm", "fuel-age.age": "62", "fuel-age.smell": "varnish",
    "fuel-lines.state": "hard", "plug-caps.resistance@PTO": "12.5", "exhaust.springs": "1",
    "coolant.freeze": "-20 C", "recoil.rope": "frayed", "throttle-play.turned-left": "slow",
    "oil-pump.filter-age": "62", "chain-oil.colour": "milky", "brake-fluid.colour": "brown",
    "brake-fluid.age": "62", "brake-pads.inner": "1.5", "brake-pads.outer": "1.8",
    "parking-latch.free": "no", "track-body.clips": "2", "slides.left-rear": "8.5 mm",
    "idlers.bad": "2", "ski-toe.front": "39-3/4 in", "ski-toe.rear": "1000 mm",
    "runners.left": "4", "belt-body.surface": "glazed",
    **{f"belt-width.width-{number}": "33.2" for number in range(1, 6)},
}  # fmt: skip
"""By place, what was typed in place of a sound machine's reading."""
LEFT = {
    "left-open.guests": "none", "leak-sweep.fuel": "dry", "plugs.gap@PTO": "0.45",
    "pump-mark.offset": "0", "chain-slack.slack": "8 mm", "chain-slack.loosest": "9",
    "track-sag.left": "36", "track-sag.right": "36", "boots.crack@MAG": "none",
    "air-screw.turns@PTO": "1-1/2 turns",
    "needle.code@centre": "K43", "needle.code@MAG": "K41", "pilot-jet.stamp@MAG": "40",
    "bowl-drain.bowl@PTO": "clean", "bowl-drain.bowl@centre": "clean",
    "bowl-drain.bowl@MAG": "clean",
    "float-level.level@MAG": "18", "fuel-age.age": "0", "fuel-age.smell": "fresh",
    "fuel-lines.state": "soft", "plug-caps.resistance@PTO": "5.1", "exhaust.springs": "0",
    "coolant.freeze": "-37 C", "throttle-play.turned-left": "snap", "oil-pump.filter-age": "0",
    "chain-oil.colour": "honey", "brake-fluid.colour": "clear", "brake-fluid.age": "0",
    "brake-pads.inner": "4.5", "brake-pads.outer": "4.4", "parking-latch.free": "yes",
    "track-body.clips": "0", "ski-toe.front": "1005", "ski-toe.rear": "1000",
    "runners.left": "9", "runners.right": "9", "recoil.rope": "sound",
}  # fmt: skip
"""By place, what was typed once it was put right."""
DECIDED: dict[str, dict[str, Any]] = {
    "plugs.colour@MAG": {
        "decision": "later", "until": "first-ride", "why": "boot mended, to be looked at again",
    },
    "battery-rest.volts": {"decision": "run-as-found", "why": "charged since, holds 12.6 V"},
    "slides.thinnest": {
        "decision": "get-part", "part": "Slide, left and right", "quantity": 2,
        "number": "SL-1410", "until": "2026-12-20", "why": "rides well on snow until then",
    },
    "idlers.bad": {
        "decision": "get-part", "part": "Idler wheel 141 mm", "quantity": 2, "number": "IW-141",
        "until": "first-ride",
    },
    "belt-width.narrowest": {
        "decision": "get-part", "part": "Drive belt", "quantity": 1, "number": "TB-1194",
        "until": "first-ride", "why": "the spare rides until it comes",
    },
    "belt-body.surface": {"decision": "later", "until": "first-ride", "why": "goes with the belt"},
}  # fmt: skip
"""By finding, what is decided; the others are put right where they pass, else run as found."""
NOTES = {
    "identity": "Stood in a barn, by the last owner's word five winters.",
    "boots": "MAG boot split on the underside, behind the clamp. New one fitted.",
    "chain-oil": "Milky: water through the vent. Drained, flushed, filled anew.",
}
CONFIRMED = "I know what is open."


class Story:
    """Entries, one after the other."""

    def __init__(self, walk: Walk, found: dict[str, str]) -> None:
        self.compiled = walk.evaluation.compiled
        self.found = found
        head = {
            "format": FORMAT, "program": "inspect-tui", "session": "2026-11-02-tindrak-600-pre",
            "checklist": opened_text("pre-season"),
            "machine": (FOLDER / "machines" / "tindrak-600.toml").read_text("utf-8"),
        }  # fmt: skip
        self.at = BEGUN
        self.entries: list[Entry] = []
        self.add("opened", **head)
        self.add("caution")

    def add(self, kind: str, **keys: Any) -> None:
        """One more entry, its seal made up of what stands in it."""
        self.at += timedelta(minutes=1)
        if self.at.hour >= 22:
            self.at += timedelta(hours=19)
        said = {key: value for key, value in keys.items() if value is not None}
        number = len(self.entries)
        seal = sha256(f"{number} {kind} {said}".encode()).hexdigest()
        self.entries.append(Entry(number, kind, self.at, BY, said, seal))

    def record(self, step_id: str, reading_id: str, cylinder: str | None, text: str, phase: Phase):
        """One reading, as the program would log it."""
        reading = next(
            each for each in self.compiled.steps[step_id].readings if each.id == reading_id
        )
        value = readings.read(text, reading).value
        self.add(
            "reading", step=step_id, reading=reading_id, cylinder=cylinder, phase=phase,
            entered=text, value=value if isinstance(value, bool | int | str) else float(value),
            unit=reading.unit or None, verdict="none",
        )  # fmt: skip

    @property
    def evaluated(self) -> Evaluated:
        """What it comes to so far."""
        return evaluate_entries(self.entries)


def place(step: str, reading: str, cylinder: str | None) -> str:
    """As the tables above name it."""
    return f"{step}.{reading}" + ("" if cylinder is None else f"@{cylinder}")


def as_found(walk: Walk, found: dict[str, str] = FOUND) -> Story:
    """Everything recorded as found, with the faults."""
    story = Story(walk, found)
    last = ""
    for entry in walk.entries[1:]:
        step, reading, cylinder = (entry.get(key) for key in ("step", "reading", "cylinder"))
        if step != last and story.compiled.steps[step].caution:
            story.add("caution", step=step)
        last = step
        text = found.get(place(step, reading, cylinder), entry.get("entered"))
        story.record(step, reading, cylinder, text, AS_FOUND)
    return story


def put_right(story: Story, left: dict[str, str] = LEFT) -> None:
    """The work: what was put right is measured again, and so is what that upset."""
    for where, text in left.items():
        name, _, cylinder = where.partition("@")
        step, _, reading = name.partition(".")
        story.record(step, reading, cylinder or None, text, AS_LEFT)
    for step, text in NOTES.items():
        story.add("note", step=step, text=text)
    for _ in range(8):
        evaluated = story.evaluated
        stale = [(r.step.id, *each) for r in evaluated.results.steps for each in r.stale]
        if not stale:
            return
        for step, reading, cylinder in stale:
            row = evaluated.results.row(step, reading, cylinder, AS_LEFT) or evaluated.results.row(
                step, reading, cylinder, AS_FOUND
            )
            assert row is not None
            story.record(step, reading, cylinder, row.entered, AS_LEFT)


def decide(story: Story) -> None:
    """A decision on each finding that wants one."""
    for finding in story.evaluated.results.findings:
        if finding.remark or (not finding.open and finding.decision is None and finding.counts):
            continue
        keys = DECIDED.get(finding.id)
        if keys is None:
            right = not finding.open
            keys = {"decision": "put-right" if right else "run-as-found"}
            keys |= {} if right else {"why": "looked at, within what the machine has had"}
        story.add("decision", finding=finding.id, **keys)


@cache
def signed_season() -> Story:
    """The whole of it, signed."""
    story = as_found(walked("pre-season", "tindrak-600"))
    put_right(story)
    decide(story)
    results = story.evaluated.results
    accept = {
        each.id: "seen, and to be mended" for each in results.blockers if each.kind == "safety"
    }
    story.add("signed", **sign_off(results, CONFIRMED if results.blockers else "", accept))
    return story


def reported(story: Story) -> Report:
    """Its report."""
    evaluated = story.evaluated
    return report(evaluated.session, evaluated.results, story.entries, LogState())


@cache
def signed_report() -> Report:
    """The report of the whole, signed."""
    return reported(signed_season())


@cache
def walked_to(step: str) -> Report:
    """The report of a session that was left after a step."""
    story = as_found(walked("pre-season", "tindrak-600"))
    last = max(each.n for each in story.entries if each.get("step") == step)
    story.entries = story.entries[: last + 1]
    return reported(story)
