"""Whether the readings of a log say what follows from it: each value and verdict, worked out anew.

A reading's value follows from what was entered, its verdict from the entries up to and including
it, never from later ones: a limit may rest on other readings, on figures of the sheet that were
entered on the way, on the air.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from inspect_tui.core.evaluation.evaluate_entries import definitions_of
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.validate import logged
from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Entry
from inspect_tui.core.model.photo import hash_of
from inspect_tui.core.model.targets import Target
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import ReadingKey, Replay, Session
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import InspectError

RULE_SINCE = (0, 2)
"""The version of this program since which verdicts follow the decision rule of today."""
_PROGRAM = re.compile(r"inspect-tui (\d{1,9})\.(\d{1,9})\b")


@dataclass(frozen=True, slots=True)
class Difference:
    """A reading of a log that isn't what follows from the log."""

    n: int
    """The number of its entry."""
    text: str
    """One sentence that names the entry, the reading and what differs."""
    by_earlier_rule: bool = False
    """Whether it may be what the program that wrote the log worked out: to be said, no fault."""


def differences(entries: Iterable[Entry]) -> tuple[Difference, ...]:
    """Every reading that differs, in the order of the log; entries whose seal broke are left alone.

    Args:
        entries: A log's, the first of the kind `opened`.

    Raises:
        Refused: the first is no `opened` entry, or its checklist or sheet can't be used.
    """
    return tuple(_differences(entries))


def _differences(entries: Iterable[Entry]) -> Iterator[Difference]:
    stream = iter(entries)
    going = Judging(next(stream, None))
    earlier = followed_earlier_rule(going.session.program)
    for entry in stream:
        going.take(entry)
        if entry.kind != "reading" or not entry.sound or going.session.signed is not None:
            continue
        for fault in going.faults(entry):
            text = f"Entry {entry.n}: {fault.text}."
            yield Difference(entry.n, text, earlier and fault.by_rule)


def rejudged(entries: Iterable[Entry], after: Iterable[Entry]) -> list[Entry]:
    """Entries of another copy as they are written after a log, with verdicts that follow from it.

    Args:
        entries: The log's.
        after: What is written after it.
    """
    stream = iter(entries)
    going = Judging(next(stream, None))
    for entry in stream:
        going.take(entry)
    written = []
    for entry in after:
        going.take(entry)
        if entry.kind == "reading" and going.stands(entry):
            entry = replace(entry, keys={**entry.keys, "verdict": going.verdict(entry)})
        written.append(entry)
    return written


def followed_earlier_rule(program: str) -> bool:
    """Whether the program that a log names judged by an earlier decision rule."""
    found = _PROGRAM.match(program)
    return found is not None and (int(found[1]), int(found[2])) < RULE_SINCE


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a reading."""

    text: str
    by_rule: bool = False
    """Whether another version of the program may have seen it otherwise: a verdict, or what may
    be typed."""


class Judging:
    """The readings of a log, judged one after the other by the entries up to each.

    Raises:
        Refused: the first is no `opened` entry, or its checklist or sheet can't be used.
    """

    def __init__(self, opened: Entry | None) -> None:
        self._replay = Replay(opened)
        self._whole = self._replay.session()
        self._evaluator = Evaluator(definitions_of(self._whole), self._whole)

    @property
    def session(self) -> Session:
        """What stands of readings, the air and the sheet; its other lists are of the beginning."""
        return self._evaluator.session

    def take(self, entry: Entry) -> None:
        """The next entry."""
        self._replay.take(entry)
        if entry.kind in ("step-added", "sheet", "signed"):
            self._whole = self._replay.session()
            self._evaluator = Evaluator(definitions_of(self._whole), self._whole)
        elif entry.kind in ("reading", "withdrawn", "conditions"):
            session = replace(
                self._whole,
                readings=self._replay.standing.readings(),
                conditions=dict(self._replay.conditions),
                conditions_at=dict(self._replay.conditions_at),
            )
            self._evaluator = self._evaluator.of(session)

    def stands(self, entry: Entry) -> bool:
        """Whether a reading that was just taken is one of the list's and stands."""
        try:
            key = _key(entry)
            recorded = self._replay.standing.readings().get(key)
            known = not self._unplaced(key)
        except (KeyError, TypeError):
            return False
        return (
            known
            and recorded is not None
            and (recorded.n, recorded.entered) == (entry.n, entry.get("entered"))
        )

    def verdict(self, entry: Entry) -> str:
        """The verdict of a reading that was just taken and stands."""
        return self._evaluator.reading_row(_key(entry)).judged.verdict

    def faults(self, entry: Entry) -> Iterator[Fault]:
        """What is wrong with a reading that was just taken."""
        keys = entry.keys
        named = [keys.get("step"), keys.get("reading"), keys.get("phase"), keys.get("entered")]
        if not all(isinstance(each, str) for each in (*named, keys.get("cylinder", ""))):
            yield Fault("a reading has its step, reading, phase and entered as texts")
            return
        step, reading, cylinder, _ = key = _key(entry)
        name = ellipsize(str(Target(step, reading, cylinder)), 80)
        unplaced = self._unplaced(key)
        if unplaced:
            yield Fault(f"{name}: {unplaced}")
            return
        if not self.stands(entry):
            yield Fault(f"{name} has no value that can be read")
            return
        definition = self._evaluator.readings[step, reading]
        for fault in self._value_faults(entry, definition):
            yield replace(fault, text=f"{name}: {fault.text}")
        verdict, said = self.verdict(entry), entry.get("verdict")
        if said != verdict:
            yield Fault(
                f"{name}: '{ellipsize(keys['entered'])}' is '{verdict}' by the entries up to it, "
                f"and '{ellipsize(str(said))}' stands there",
                by_rule=True,
            )

    def _unplaced(self, key: ReadingKey) -> str:
        step_id, reading, cylinder, phase = key
        step = self._evaluator.compiled.steps.get(step_id)
        if step is None:
            return "the checklist has no such step"
        if (step_id, reading) not in self._evaluator.readings:
            return "the step has no such reading"
        if phase not in (AS_FOUND, AS_LEFT):
            return f"'{ellipsize(str(phase))}' is no phase; a reading is as found or as left"
        known = self._evaluator.machine.cylinders if step.per_cylinder else (None,)
        if cylinder not in known:
            return "the machine has no such cylinder" if cylinder else "its cylinder is missing"
        return ""

    def _value_faults(self, entry: Entry, reading: Reading) -> Iterator[Fault]:
        said = entry.get("value")
        if photo := hash_of(entry.get("photo")):
            if said != f"sha256:{photo}":
                yield Fault(f"'{ellipsize(str(said))}' is not the hash of its photo")
            return
        entered = str(entry.get("entered"))
        try:
            value = logged(readings.read(entered, reading).value)
        except InspectError as error:
            words = f"'{ellipsize(entered)}' can't be that reading ({error.message})"
            yield Fault(words, by_rule=True)
            return
        if said != value or isinstance(said, bool) != isinstance(value, bool):
            worked_out, stands = (
                "no value" if each is None else ellipsize(str(each)) for each in (value, said)
            )
            yield Fault(f"'{ellipsize(entered)}' is {worked_out}, and {stands} stands there")
        unit = self._evaluator.units[entry.keys["step"], reading.id].text
        if said is not None and entry.get("unit", "") != unit:
            stands = ellipsize(str(entry.get("unit", ""))) or "none"
            yield Fault(f"its unit is {unit or 'none'}, and {stands} stands there")


def _key(entry: Entry) -> ReadingKey:
    keys = entry.keys
    return keys["step"], keys["reading"], keys.get("cylinder"), keys["phase"]
