"""The targets of hostile input that are typed or pasted into the app, which is kept open for them.

`paste` hands pastes and keys to the field's own handlers: what is recorded has to be, line for
line, what was pasted. `terminal bytes` goes through the reader of a terminal's bytes first, with
whatever keys come of it: nothing may fail, and the log has to hold.
"""

from __future__ import annotations

import asyncio
import contextlib
import itertools
from datetime import timedelta
from pathlib import Path
from typing import Any

from textual import events
from textual._context import active_app
from textual._xterm_parser import XTermParser
from textual.message import Message

from inspect_tui.core.model.targets import Target
from inspect_tui.files import store
from inspect_tui.files.log import writer as log
from inspect_tui.tui.app import InspectApp, make_app
from inspect_tui.tui.base.entry_line import MAX_LINES, MAX_TEXT
from inspect_tui.tui.driver.resilient_parser import Reports
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen
from inspect_tui.tui.walk.controller import WalkController
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.tui.walk.state import WalkState
from inspect_tui.workflow.inspection import Inspection
from tests.campaigns import hostile
from tests.campaigns.hostile import Random
from tests.campaigns.targets import SHEETS, START, Aim, harmless

READINGS = 8
"""In a step."""
KINDS = ("text",) * 40 + ("number",) * 20
LIST = (
    'id = "words"\ntitle = "Words"\nrevision = 1\n[[section]]\nid = "s"\ntitle = "S"\n'
    + "".join(
        f'[[section.step]]\nid = "{kind}{step}"\ntitle = "Step x[/]y"\n'
        + "".join(
            f'[[section.step.reading]]\nid = "r{n}"\nlabel = "Words x[/]y"\nkind = "{kind}"\n'
            for n in range(READINGS)
        )
        for step, kind in enumerate(KINDS)
    )
)
LEAVING = 10.0
"""Seconds that the app gets to end; one that failed may never."""
DRAWN_EVERY = 20
"""Pastes from one drawing of the screen to the next; what is recorded doesn't wait for it."""
MAX_AT_ONCE = 40
"""Lines of a paste that is taken."""
ENDS = ("\n", "\n", "\r\n", "\r", "\t")
SEQUENCES = (
    "\x1b[200~", "\x1b[201~", "\x1b[A", "\x1b[1;5D", "\x1bOP", "\x1b[15~", "\x1b", "\x1b\x1b",
    "\x1b[<0;5;5M", "\x1b[<64;9;9M", "\x1b[M   ", "\x1b[I", "\x1b[O", "\x1b[6n", "\x1b[?2026;2$y",
    "\x1b[48;24;80;0;0t", "\x1b]11;rgb:0/0/0\x1b\\", "\x1bP+r\x1b\\", "\x1b[999999999999999m", "\r",
    "\x1b[27;5;106~", "\x1b[106;5u", "\x1b[57399u", "\x1b[1;1:3A", "\x1b[;;;;u", "\x01", "\x0e",
    "\x7f", "\x08", "\t", "\x1b[Z", "\x15", "\x17", "\x0b", "\x04", "\x1a", "\x1c",
)  # fmt: skip


class Stage:
    """The app, open at a session of its own, and the loop that it runs in."""

    def __init__(self, folder: Path) -> None:
        self.places = store.Store(folder / "screen" / "store")
        self.places.make()
        (self.places.checklists / "words.toml").write_text(LIST, encoding="utf-8")
        (self.places.machines / "bed.toml").write_text(
            SHEETS[0].replace('id = "tindrak-600"', 'id = "bed"'), encoding="utf-8"
        )
        self.ticks, self.fed = itertools.count(), itertools.count()
        self.loop: asyncio.AbstractEventLoop | None = None
        self.app: InspectApp | None = None
        self.undrawn = False
        """Whether pastes were taken that the screen was not let show yet."""
        self.troubles: list[Exception] = []
        self._guarded = (InspectionScreen, WalkScreen, WalkController)
        self._before = [each.trouble for each in self._guarded]
        self._token: Any = None

    def targets(self) -> dict[str, Aim]:
        """Both, by name."""
        return {
            "paste": Aim(a_paste, self.feed_paste, 4),
            "terminal bytes": Aim(terminal_bytes, self.feed_bytes, 1, bytes),
        }

    def now(self) -> Any:
        """A second later each time."""
        return START + timedelta(seconds=next(self.ticks))

    def run(self, coroutine: Any) -> Any:
        """Run something where the app runs."""
        if self.loop is None:
            self.loop = asyncio.new_event_loop()
            for each in self._guarded:
                each.trouble = lambda _, error: self.troubles.append(error)  # type: ignore[assignment]
        return self.loop.run_until_complete(coroutine)

    def close(self) -> None:
        """End the app; everything is as it was."""
        if self.loop is None:
            return
        self.loop.run_until_complete(self._leave())
        for task in asyncio.all_tasks(self.loop):
            task.cancel()
        self.loop.run_until_complete(asyncio.sleep(0))
        self.loop.close()
        self.loop = None
        for each, before in zip(self._guarded, self._before, strict=True):
            each.trouble = before  # type: ignore[method-assign]

    async def _leave(self) -> None:
        if self.app is not None:
            self.app = None
            with contextlib.suppress(Exception):  # one that failed may not end in order
                await asyncio.wait_for(self._context.__aexit__(None, None, None), LEAVING)

    async def screen(self) -> WalkScreen:
        """The walk, at its first reading, with nothing typed."""
        if self.app is None or not self.app.is_running:
            await self._open()
        assert self.app is not None
        active_app.set(self.app)
        while not isinstance(self.app.screen, WalkScreen):
            if len(self.app.screen_stack) < 2:
                await self._open()
                break
            self.app.pop_screen()
            await self.pilot.pause()
        screen = self.app.screen
        assert isinstance(screen, WalkScreen)
        screen.walk.set(WalkState().opened(screen.walk.state.known))
        return screen

    async def _open(self) -> None:
        await self._leave()
        self.undrawn = False
        with Inspection.new(self.places, "words", "bed", "A. Tester", self.now) as inspection:
            self.session = inspection.session.id
            inspection.cautions.confirm()
        self.app = make_app(self.places, self.now, session=self.session)
        self._context = self.app.run_test(size=(80, 24), notifications=True)
        self.pilot = await self._context.__aenter__()
        await self.app.workers.wait_for_complete()
        await self.pilot.pause()

    def entries(self) -> tuple[Any, ...]:
        """The session's entries as they are on the disk; they have to hold."""
        contents = log.read(self.places.log(self.session))
        assert contents.whole, contents.problems
        return contents.entries

    def fail_on_trouble(self) -> None:
        """An error that the app caught is a finding all the same."""
        if self.troubles:
            error = self.troubles[0]
            self.troubles.clear()
            raise error

    # What is fed

    def feed_paste(self, given: tuple[str, list[str], list[str]]) -> None:
        """Lines pasted in one go, or in several pastes and by keys."""
        self.run(self._paste(*given))

    async def _at_open(self, kind: str) -> WalkScreen:
        """The walk at the first open reading of a kind, with enough of them behind it."""
        screen = await self.screen()
        readings = screen.walk.state.known.results.readings
        given = {(row.step, row.reading) for row in readings if row.value is not None}
        names = [f"{each}{step}" for step, each in enumerate(KINDS) if each == kind]
        free = [
            (step, f"r{n}")
            for step in names
            for n in range(READINGS)
            if (step, f"r{n}") not in given
        ]
        if len(free) < MAX_AT_ONCE:
            await self._open()
            return await self._at_open(kind)
        screen.walk.set(screen.walk.state.at(free[0][0], Target(*free[0])))
        return screen

    async def _paste(self, kind: str, lines: list[str], ends: list[str]) -> None:
        screen = await self._at_open(kind)
        field = screen.question.field
        before = len(self.entries())
        text = "".join(itertools.chain(*itertools.zip_longest(lines, ends, fillvalue="")))
        field._on_paste(events.Paste(text))
        self.fail_on_trouble()
        assert self.app is not None
        if next(self.fed) % DRAWN_EVERY == 0:
            await self._settle()
        elif not self.undrawn:
            self.app._begin_batch()
            self.undrawn = True
        made = [
            entry.get("entered") for entry in self.entries()[before:] if entry.kind == "reading"
        ]
        wanted = as_lines(text)
        if len(wanted) > MAX_LINES or any(len(line) > MAX_TEXT for line in wanted):
            assert made == [] and field.value == "", "a paste beyond all bounds was taken"
            return
        due = [shown(line) for line in wanted[:-1]]
        due = [line for line in due if line]
        if kind == "number":  # numbers: what is none stops it, and the rest waits in its order
            waiting = [
                *made,
                field.value.strip(),
                *(shown(line) for line, _ in screen.walk.state.queue.here),
            ]
            there = [line for line in waiting if line]
            everything = [line for line in (*due, shown(wanted[-1])) if line]
            assert there == everything, f"pasted {everything!a}, there is {there!a}"
        else:
            assert made == due, f"pasted {due!a}, recorded {made!a}"
            assert field.value == printed(wanted[-1]), ascii(field.value)

    def feed_bytes(self, data: bytes) -> None:
        """What a terminal sends, any bytes."""
        self.run(self._bytes(data))

    async def _bytes(self, data: bytes) -> None:
        await self._at_open("text")
        for event in read_by_terminal(data):
            assert self.app is not None
            if isinstance(event, events.Event) and self.app.is_running:
                event.set_sender(self.app)
                self.app.post_message(event)
        await self._settle()
        for entry in self.entries():
            assert harmless(str(entry.get("entered", ""))), ascii(entry.get("entered"))

    async def _settle(self) -> None:
        assert self.app is not None
        if self.undrawn:
            self.app._end_batch()
            self.undrawn = False
        if self.app.is_running:
            await self.pilot.pause()
        error = self.app._exception
        if error is not None:
            await self._leave()
            raise error
        self.fail_on_trouble()


def read_by_terminal(data: bytes) -> list[Message]:
    """What the app's reader makes of a terminal's bytes."""
    made: list[Message] = []
    Reports(XTermParser, made.append).feed(data.decode("utf-8", "replace"))
    return made


def printed(line: str) -> str:
    """A line as a field can hold it."""
    return "".join(sign for sign in line if sign.isprintable())


def shown(line: str) -> str:
    """A line as it is recorded."""
    return printed(line).strip()


def as_lines(text: str) -> list[str]:
    """What ends a line in a paste: LF, CR, both, a tab between columns."""
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", "\n").split("\n")


def a_paste(rng: Random) -> tuple[str, list[str], list[str]]:
    """A kind of reading, lines of odd words, and what ends each."""
    kind = rng.choice(("text", "text", "number"))
    count = rng.choice((1, 1, 2, 3, 5)) if rng.random() < 0.97 else rng.choice((12, 300))
    made = []
    for _ in range(count):
        line = hostile.typed(rng) if rng.random() < 0.5 else hostile.text(rng, 3)
        if rng.random() < 0.2:
            line = hostile.any_text(rng)
        # Its own line ends are the paste's, not the line's; few lines are beyond all bounds.
        made.append(line if rng.random() < 0.02 else line[: rng.choice((9, 40, 300))])
    return kind, made, [rng.choice(ENDS) for _ in made[1:]]


def terminal_bytes(rng: Random) -> bytes:
    """Keys, pastes, reports of the mouse and the terminal, cut and changed."""
    parts = []
    for _ in range(rng.randrange(1, 12)):
        kind = rng.randrange(5)
        if kind < 2:
            parts.append(rng.choice(SEQUENCES))
        elif kind == 2:
            parts.append("\x1b[200~" + hostile.text(rng, 3) + rng.choice(("", "\x1b[201~")))
        else:
            parts.append(hostile.word(rng)[:80])
    data = "".join(parts).encode("utf-8", "surrogatepass")
    return hostile.changed_bytes(data, rng) if rng.random() < 0.4 else data
