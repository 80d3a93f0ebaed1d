"""A session is opened beside the screen, which takes keys meanwhile.

The thread that opens it owns the log until the app takes it. Where the app has left meanwhile
(quit, back to the start), the thread gives the lock back itself, so that no session stays held by
a program that shows it nowhere.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.files.store import Store
from inspect_tui.tui.base.error_guard import fault

if TYPE_CHECKING:
    from inspect_tui.workflow.inspection import Inspection

READS_ONLY = "It is open for reading only."


@dataclass(frozen=True)
class Wanted:
    """What is to be opened, and how."""

    session: str
    """An id, or the path of a log; "" for the demonstration's newest one."""
    places: Store
    now: Callable[[], datetime]
    by: str = ""
    read_only: bool = False
    despite_broken: bool = False

    @property
    def words(self) -> str:
        """What is said while it is opened."""
        return self.session or "the demonstration"


@dataclass(frozen=True)
class Opened:
    """What came of it: an inspection, or the reason why there is none."""

    inspection: Inspection | None = None
    said: tuple[str, ...] = ()
    error: str = ""


class Opening:
    """One session on its way from the disk to the app."""

    def __init__(self, wanted: Wanted, before: Opening | None = None) -> None:
        """Note what is wanted.

        Args:
            wanted: What is to be opened.
            before: An opening that was left and may still hold the same log.
        """
        self.wanted = wanted
        self._before = before
        self._hand = threading.Lock()
        self._ended = threading.Event()
        self._left = False
        self._opened: Opened | None = None

    def run(self) -> None:
        """Open it; in a thread of its own."""
        try:
            if self._before is not None:  # also where this one was left: they end in order
                self._before._ended.wait()
                self._before = None
            opened = Opened() if self._left else self._open()
            with self._hand:
                self._opened = opened
                left = self._left
            if left:
                _give_back(opened)
        finally:
            self._ended.set()

    def take(self) -> Opened | None:
        """What came of it, once; None where it was left or is not there yet."""
        with self._hand:
            opened, self._opened = self._opened, None
            return None if self._left else opened

    def leave(self) -> None:
        """Nobody wants it any more; safe to call at any time."""
        with self._hand:
            first, self._left = not self._left, True
            opened, self._opened = self._opened, None
        if first and opened is not None:
            _give_back(opened)

    @property
    def running(self) -> bool:
        """Whether its thread may still hold the log."""
        return not self._ended.is_set()

    def _open(self) -> Opened:
        try:
            opened = open_session(self.wanted)
        except (InspectError, OSError) as error:
            return Opened(error=str(error))
        except Exception as error:
            return Opened(error=fault(error))
        if opened.inspection is not None and not self._left:
            try:
                # A disk that is full now is said at the next entry.
                with contextlib.suppress(InspectError):
                    opened.inspection.resume()
                opened.inspection.look_back()
            except Exception as error:
                _give_back(opened)
                return Opened(error=fault(error))
        return opened


def open_session(wanted: Wanted) -> Opened:
    """Open it for writing where that can be, else for reading, and say why.

    Raises:
        InspectError: it can't be opened at all.
    """
    from inspect_tui.workflow.inspection import Inspection

    places, session = wanted.places, wanted.session
    if not session:
        from inspect_tui.workflow.demo import prepare

        places, session = prepare(None, wanted.now)
    try:
        inspection = Inspection.open(
            places, session, wanted.now, write=not wanted.read_only, by=wanted.by,
            despite_broken=wanted.despite_broken,
        )  # fmt: skip
    except InspectError as error:
        said = (f"{READS_ONLY} {error}",)  # what counts comes first: a small screen cuts the rest
        return Opened(Inspection.open(places, session, wanted.now, write=False), said)
    return Opened(inspection, (f"{READS_ONLY[:-1]}, as asked.",) if wanted.read_only else ())


def _give_back(opened: Opened) -> None:
    if opened.inspection is not None:
        opened.inspection.close()
