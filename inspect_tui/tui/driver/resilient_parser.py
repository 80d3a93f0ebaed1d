"""The parser of a terminal's signs, begun anew where it fails at a report.

A paste whose end is lost is ended by the next pause, else every key would be taken for more of it;
of a paste that is too long nothing is taken. What only says how things stand (focus, where the
mouse is, how large the window) is told once for all that came together.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable

from textual import events
from textual._xterm_parser import XTermParser
from textual.message import Message

_ODD = (ArithmeticError, LookupError, ValueError)
"""What the parser raises at numbers that are none, too large, or zero where it divides by them."""
_BEGIN, _END = "\x1b[200~", "\x1b[201~"
LONGEST_PASTE = 65_536
"""Signs; the field takes far fewer, and says so."""
PASTE_PAUSE = 0.5
"""Seconds without a sign that end a paste."""
_STATES: tuple[tuple[type[Message], ...], ...] = (
    (events.AppFocus, events.AppBlur), (events.MouseMove,), (events.Resize,),
)  # fmt: skip
"""Events of which the latest alone counts."""


class Reports:
    """Signs in, keys and other events out; a report that can't be understood is passed over."""

    def __init__(
        self,
        parser: Callable[[], XTermParser],
        deliver: Callable[[Message], object],
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        """Of a parser's maker, who gets the events, and a clock that runs forward alone [s]."""
        self._new = parser
        self._parser = parser()
        self._deliver = deliver
        self._now = now
        self._last = now()
        self._tail = ""
        self._pasted: int | None = None
        """Signs of the paste that is coming; None while none is."""
        self._too_long = False
        self._dropped = 0
        self._states: dict[int, Message] = {}

    def feed(self, text: str) -> None:
        """Take signs as they came."""
        if self._pasted is not None and self._now() - self._last > PASTE_PAUSE:
            self._end_paste()  # what comes now is no more of it
        self._last = self._now()
        for sign in text:  # one by one, so that a report that fails takes none of the rest with it
            self._tail = (self._tail + sign)[-len(_END) :]
            if self._pasted is not None:
                self._more_of_a_paste(sign)
                continue
            if self._tail == _BEGIN:
                self._pasted = 0
            self._give(self._parser.feed(sign))

    def tick(self) -> None:
        """After what came together: how things stand now; and what began is what it is (Esc)."""
        if self._pasted is not None and self._now() - self._last > PASTE_PAUSE:
            self._end_paste()
        self._give(self._parser.tick())
        self._give_states()

    def begin_anew(self) -> None:
        """Forget what has begun: what would end it was dropped."""
        self._parser = self._new()
        self._pasted, self._too_long, self._tail = None, False, ""

    def dropped_of_a_paste(self) -> int:
        """How long the paste was that was not taken, once; 0 otherwise."""
        if self._pasted is not None:
            return 0
        dropped, self._dropped = self._dropped, 0
        return dropped

    def _more_of_a_paste(self, sign: str) -> None:
        assert self._pasted is not None
        self._pasted += 1
        if self._pasted > LONGEST_PASTE and not self._too_long:
            self._too_long = True
            self._parser = self._new()  # with all that it had of it
        if not self._too_long:
            self._give(self._parser.feed(sign))
        if self._tail == _END:
            self._paste_is_over(self._pasted - len(_END))

    def _end_paste(self) -> None:
        if not self._too_long:
            for sign in _END:
                self._give(self._parser.feed(sign))
        self._paste_is_over(self._pasted or 0)

    def _paste_is_over(self, length: int) -> None:
        if self._too_long:
            self._dropped += length
        self._pasted, self._too_long, self._tail = None, False, ""

    def _give(self, stream: Iterable[Message]) -> None:
        coming = iter(stream)
        while True:
            try:
                event = next(coming, None)
            except _ODD:
                self._parser = self._new()
                return
            if event is None:
                return
            state = next((n for n, kind in enumerate(_STATES) if isinstance(event, kind)), None)
            if state is None:
                self._give_states()
                self._deliver(event)
            else:
                self._states[state] = event

    def _give_states(self) -> None:
        states, self._states = self._states, {}
        for event in states.values():
            self._deliver(event)
