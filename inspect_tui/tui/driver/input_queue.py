"""What a terminal sent and the app has not taken yet: bounded in signs and in time.

Each key costs the app far more than the terminal that sends it, and its own queues know no bound:
900 kB typed at it took 2.3 GB. So signs wait here as text, and are handed on as the app has room
for them. What is too much is dropped up to the next pause, never out of the middle of a report, and
the app is told, which takes out what stands half-typed: no half of a reading is ever joined to what
is typed afterwards.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from textual.message import Message

from inspect_tui.tui.driver.resilient_parser import Reports

MOST = 4_096
"""Signs that wait at most; a hundred readings from a wand have a thousand."""
OLDEST = 30.0
"""Seconds that a sign waits at most: whoever typed it has gone on to something else by then."""
ROOM = 48
"""Events that the app may have before it; more wait here."""
PAUSE = 0.2
"""Seconds without a sign that end a burst of which something was dropped."""


class InputDropped(Message):
    """More came than can be taken."""

    def __init__(self, count: int, paste: bool) -> None:
        """Of how many signs, and whether they were a paste's."""
        super().__init__()
        self.count = count
        self.paste = paste


class InputQueue:
    """Signs in their order, with when they came."""

    def __init__(self, now: Callable[[], float]) -> None:
        """An empty one.

        Args:
            now: A clock that runs forward alone [s].
        """
        self._now = now
        self._parts: deque[tuple[float, str]] = deque()
        self._length = 0
        self._dropped = 0
        self._last = now()

    def __len__(self) -> int:
        return self._length

    def put(self, text: str) -> None:
        """Take what came."""
        if not text:
            return
        self._last = self._now()
        if self._dropped or self._length + len(text) > MOST:
            kept = "" if self._dropped else text[: MOST - self._length]
            self._dropped += len(text) - len(kept)
            text = kept
        if text:
            self._parts.append((self._last, text))
            self._length += len(text)

    def take(self, most: int) -> str:
        """The next signs, at most so many."""
        if self._parts and self._now() - self._parts[0][0] > OLDEST:
            self._dropped += self._length
            self._parts.clear()
            self._length = 0
        if not self._parts:
            return ""
        at, text = self._parts.popleft()
        if len(text) > most:
            self._parts.appendleft((at, text[most:]))
            text = text[:most]
        self._length -= len(text)
        return text

    def settled(self) -> int:
        """How many signs were dropped of a burst that is over, once; 0 otherwise."""
        if not self._dropped or self._parts or self._now() - self._last < PAUSE:
            return 0
        dropped, self._dropped = self._dropped, 0
        return dropped


class Intake:
    """Hands on what came, as the app has room for it."""

    def __init__(
        self,
        reports: Reports,
        pending: Callable[[], int],
        deliver: Callable[[Message], object],
        now: Callable[[], float],
    ) -> None:
        """Of who reads the signs, how many events the app has before it, and who gets events."""
        self._reports = reports
        self._pending = pending
        self._deliver = deliver
        self._queue = InputQueue(now)

    @property
    def waits(self) -> bool:
        """Whether something waits for the app."""
        return len(self._queue) > 0

    def arrived(self, text: str) -> None:
        """Take what came."""
        self._queue.put(text)

    def work(self) -> None:
        """Hand on what the app has room for; say what was dropped, behind what was not."""
        while len(self._queue) and (room := ROOM - self._pending()) > 0:
            self._reports.feed(self._queue.take(room))
        self._reports.tick()
        if dropped := self._queue.settled():
            self._reports.begin_anew()
            self._deliver(InputDropped(dropped, paste=False))
        if dropped := self._reports.dropped_of_a_paste():
            self._deliver(InputDropped(dropped, paste=True))
