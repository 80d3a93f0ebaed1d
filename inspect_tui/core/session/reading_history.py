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
Value = Number | bool | str


@dataclass(frozen=True, slots=True)
class Recorded:
    """One reading as it stands."""

    step: str
    reading: str
    cylinder: str | None
    phase: Phase
    entered: str
    value: Value
    """As logged; `evaluation` reads `entered` again, which is exact."""
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


def _recorded(key: ReadingKey, entry: Entry) -> Recorded:
    keys = entry.keys
    return Recorded(
        *key, keys["entered"], keys["value"], str(keys.get("unit", "")), entry.at, entry.by,
        entry.n, str(keys.get("state", "")), str(keys.get("gauge", "")),
        str(keys.get("verdict", "")), keys["photo"] if hash_of(keys.get("photo")) else "",
    )  # fmt: skip


class _History:
    """All values that one reading had, in the order of the log.

    The value number i stood from the place `since[i]` in the log to the place `until[i]`; the
    last one stands where `until` is shorter. Only ever added to, so that what was seen of it at
    one place stays true.
    """

    __slots__ = ("entries", "since", "until")

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.since = array("q")
        self.until = array("q")

    def at(self, place: int) -> Entry | None:
        """The entry whose value stood when the log had got as far as this place."""
        number = bisect_right(self.since, place) - 1
        if number < 0 or (number < len(self.until) and self.until[number] <= place):
            return None
        return self.entries[number]


class SupersededReadings(Mapping[ReadingKey, tuple[Recorded, ...]]):
    """Values that were corrected, oldest first, made of their entries when they are asked for."""

    __slots__ = ("_counts", "_histories")

    def __init__(
        self, histories: Mapping[ReadingKey, _History], counts: Mapping[ReadingKey, int]
    ) -> None:
        self._histories = histories
        self._counts = counts

    def __getitem__(self, key: ReadingKey) -> tuple[Recorded, ...]:
        count = self._counts[key]
        return tuple(_recorded(key, entry) for entry in self._histories[key].entries[:count])

    def __iter__(self) -> Iterator[ReadingKey]:
        return iter(self._counts)

    def __len__(self) -> int:
        return len(self._counts)

    def __contains__(self, key: object) -> bool:
        return key in self._counts

    def count(self, key: ReadingKey) -> int:
        """How often a reading was corrected."""
        return self._counts.get(key, 0)

    def verdicts(self, key: ReadingKey) -> Iterator[str]:
        """The verdicts that were logged with the values that were corrected."""
        for entry in self._histories[key].entries[: self._counts[key]] if key in self else ():
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
        value: Value = entry.keys["value"]
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
        self._corrected: dict[ReadingKey, int] = {}

    def take(self, key: ReadingKey, entry: Entry, place: int) -> None:
        """A value that stands from this place on."""
        history = self._histories.get(key)
        if history is None:
            history = self._histories[key] = _History()
        elif len(history.until) < len(history.since):
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
            self._corrected[key] = len(history.until)

    def readings(self) -> dict[ReadingKey, Recorded]:
        """Those that stand."""
        made = self._made
        for key, history in self._standing.items():
            if key not in made:
                made[key] = _recorded(key, history.entries[-1])
        return {key: made[key] for key in self._standing}

    def earlier(self) -> SupersededReadings:
        """Those that stood before."""
        return SupersededReadings(self._histories, dict(self._corrected))

    def basis(self, place: int) -> Basis:
        """The values that stand at this place; the entries up to it are taken already."""
        return Basis(self._histories, place)
