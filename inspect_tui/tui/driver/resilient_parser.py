"""The parser of a terminal's signs, begun anew where it fails at a report."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from textual._xterm_parser import XTermParser
from textual.message import Message

_ODD = (ArithmeticError, LookupError, ValueError)
"""What the parser raises at numbers that are none, too large, or zero where it divides by them."""


class Reports:
    """Signs in, keys and other events out; a report that can't be understood is passed over."""

    def __init__(
        self, parser: Callable[[], XTermParser], deliver: Callable[[Message], object]
    ) -> None:
        """Of a parser's maker and who gets the events."""
        self._new = parser
        self._parser = parser()
        self._deliver = deliver

    def feed(self, text: str) -> None:
        """Take signs as they came."""
        for sign in text:  # one by one, so that a report that fails takes none of the rest with it
            self._give(self._parser.feed(sign))

    def tick(self) -> None:
        """Let what began and was not gone on with be what it is: Esc alone."""
        self._give(self._parser.tick())

    def _give(self, events: Iterable[Message]) -> None:
        stream = iter(events)
        while True:
            try:
                event = next(stream, None)
            except _ODD:
                self._parser = self._new()
                return
            if event is None:
                return
            self._deliver(event)
