"""Readings as they stood at each place in a log: what was corrected, what a decision rested on.

A log that is kept for years has far more values that were taken again than values that stand.
So entries are kept as they are, and a value is made of one when somebody asks for it.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from inspect_tui.core.model.log_entry import Entry, Phase
from inspect_tui.core.model.photo import hash_of
from inspect_tui.core.quantities.units import Number

Key = tuple[str, str, str | None]
"""(step, reading, cylinder or None)."""
ReadingKey = tuple[str, str, str | None, Phase]
Value = Number | bool | str | None
"""What was logged; None where the answer was that nobody knows."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """One reading as it stands."""

    step: str
    reading: str
    cylinder: str | None
    phase: Phase
    entered: str
    value: Value
    """As logged; `evaluation` reads `entered` again, which is exact. None: answered unknown."""
    unit: str
    at: datetime
    by: str
    n: int
    state: str = ""
    gauge: str = ""
    verdict: str = ""
    """The verdict that was logged with it."""
    photo: str = ""
    """The photo's file name in the store, where the reading is one."""
    paper: str = ""
    """When it was taken and by whom, where it was typed in from paper: `2026-11-01, Ada`."""


def _recorded(key: ReadingKey, entry: Entry) -> Recorded:
    keys = entry.keys
    return Recorded(
        *key, keys["entered"], keys.get("value"), str(keys.get("unit", "")), entry.at, entry.by,
        entry.n, str(keys.get("state", "")), str(keys.get("gauge", "")),
        str(keys.get("verdict", "")), keys["photo"] if hash_of(keys.get("photo")) else "",
        str(keys.get("paper", "")),
    )  # fmt: skip


class _History:
    """All values that one reading had, in the order of the log.

    The value number i stood from the place `since[i]` in the log to the place `until[i]`; the
    last one stands where `until` is shorter. One that stands again, because what came after it
    was taken back, is there once more. Only ever added to, so that what was seen of it at one
    place stays true.
    """

    __slots__ = ("entries", "since", "superseded", "until")

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.since = array("q")
        self.until = array("q")
        self.superseded: list[Entry] = []
        """Those that stand no longer, each once; replaced by another list, never shortened."""

    @property
    def stands(self) -> bool:
        """Whether the last one stands."""
        return len(self.until) < len(self.since)

    def at(self, place: int) -> Entry | None:
        """The entry whose value stood when the log had got as far as this place."""
        number = bisect_right(self.since, place) - 1
        if number < 0 or (number < len(self.until) and self.until[number] <= place):
            return None
        return self.entries[number]


class SupersededReadings(Mapping[ReadingKey, tuple[Recorded, ...]]):
    """Values that were corrected, oldest first, made of their entries when they are asked for."""

    __slots__ = ("_superseded",)

    def __init__(self, superseded: Mapping[ReadingKey, tuple[list[Entry], int]]) -> None:
        self._superseded = superseded
        """By reading: the entries, and how many of them were superseded at this place."""

    def _entries(self, key: ReadingKey) -> list[Entry]:
        entries, count = self._superseded[key]
        return entries[:count]

    def __getitem__(self, key: ReadingKey) -> tuple[Recorded, ...]:
        return tuple(_recorded(key, entry) for entry in self._entries(key))

    def __iter__(self) -> Iterator[ReadingKey]:
        return iter(self._superseded)

    def __len__(self) -> int:
        return len(self._superseded)

    def __contains__(self, key: object) -> bool:
        return key in self._superseded

    def count(self, key: ReadingKey) -> int:
        """How often a reading was corrected."""
        return self._superseded[key][1] if key in self._superseded else 0

    def verdicts(self, key: ReadingKey) -> Iterator[str]:
        """The verdicts that were logged with the values that were corrected."""
        for entry in self._entries(key) if key in self else ():
            yield str(entry.keys.get("verdict", ""))


class Basis(Mapping[ReadingKey, Value]):
    """The values that stood at one place in the log: those that a decision was made on."""

    __slots__ = ("_histories", "_place")

    def __init__(self, histories: Mapping[ReadingKey, _History], place: int) -> None:
        self._histories = histories
        self._place = place

    def __getitem__(self, key: ReadingKey) -> Value:
        entry = self._histories[key].at(self._place)
        if entry is None:
            raise KeyError(key)
        value: Value = entry.keys.get("value")
        return value

    def __iter__(self) -> Iterator[ReadingKey]:
        for key, history in self._histories.items():
            if history.at(self._place) is not None:
                yield key

    def __len__(self) -> int:
        return sum(1 for _ in self)


class ReadingHistory:
    """The readings while a log is gone along; what was given out before stays as it was.

    Places count the entries of the log, from 0; not the entries' own numbers, which a broken log
    may have in any order.
    """

    def __init__(self) -> None:
        self._histories: dict[ReadingKey, _History] = {}
        # In the order in which they were taken, and in which they were corrected first.
        self._standing: dict[ReadingKey, _History] = {}
        self._made: dict[ReadingKey, Recorded] = {}
        self._corrected: dict[ReadingKey, tuple[list[Entry], int]] = {}

    def take(self, key: ReadingKey, entry: Entry, place: int) -> None:
        """A value that stands from this place on."""
        history = self._histories.get(key)
        if history is None:
            history = self._histories[key] = _History()
        elif history.stands:
            self.end(key, place)
        history.entries.append(entry)
        history.since.append(place)
        self._standing[key] = history

    def end(self, key: ReadingKey, place: int) -> None:
        """The value that stood does so no longer; nothing where none did."""
        history = self._standing.pop(key, None)
        if history is not None:
            history.until.append(place)
            self._made.pop(key, None)
            history.superseded.append(history.entries[-1])
            self._corrected[key] = history.superseded, len(history.superseded)

    def become(self, standing: Mapping[ReadingKey, Entry], place: int) -> None:
        """Let these values stand from this place on, each taken before, and no others."""
        for key, history in list(self._standing.items()):
            if standing.get(key) is not history.entries[-1]:
                self.end(key, place)
        for key, entry in standing.items():
            if key not in self._standing:
                self._restore(key, entry, place)

    def _restore(self, key: ReadingKey, entry: Entry, place: int) -> None:
        self.take(key, entry, place)
        history = self._histories[key]
        history.superseded = [each for each in history.superseded if each is not entry]
        if history.superseded:
            self._corrected[key] = history.superseded, len(history.superseded)
        else:
            self._corrected.pop(key, None)

    def readings(self) -> dict[ReadingKey, Recorded]:
        """Those that stand."""
        made = self._made
        for key, history in self._standing.items():
            if key not in made:
                made[key] = _recorded(key, history.entries[-1])
        return {key: made[key] for key in self._standing}

    def earlier(self) -> SupersededReadings:
        """Those that stood before."""
        return SupersededReadings(dict(self._corrected))

    def basis(self, place: int) -> Basis:
        """The values that stand at this place; the entries up to it are taken already."""
        return Basis(self._histories, place)
