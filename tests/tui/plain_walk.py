"""The walk without a screen: the program's own controller, with a page that draws nothing.

Keys go in as a terminal names them, times as a person or a burst has them; what the screen would
say comes out as text, from the same functions that draw it.
"""

from __future__ import annotations

import io

from rich.console import Console, Group
from rich.text import Text

from inspect_tui.core.presentation import wording
from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.base.entry_line import KeyPress, Pasted
from inspect_tui.tui.base.view_model import Outcome
from inspect_tui.tui.walk import question_text, sheet, timing
from inspect_tui.tui.walk.controller import WalkController
from inspect_tui.tui.walk.early_keys import EarlyKeys

PERSON = 1.0
"""Seconds between the keys of a person."""
IN_ONE_GO = 0.001
"""Seconds between the keys of a burst."""


class PlainWalk:
    """One walk: the controller, the app's part and the page in one."""

    def __init__(self, inspection, size=(80, 24), units=()):
        self.size = size
        self.time = 100.0
        self.opened = []
        """The other screens that were asked for."""
        self.desk = Desk(inspection, own_unit=dict(units).get)
        self.cautions_pages = 0
        """Pages of cautions below the first one."""
        self.folded = set()
        self.ended = False
        self.early = EarlyKeys(self, lambda: self.time)
        self.controller = WalkController(self, self, lambda: self.time, self.early.line)

    # What the app does

    def open(self, name=None):
        """The session is there; with a name: another screen is asked for."""
        if name is not None:
            self.opened.append(name)
            return
        self.controller.show(self.desk.view())
        self.look()

    def submit(self, request, *, unsaved=""):
        outcome: Outcome = self.desk.submit(request, unsaved=unsaved)
        if outcome.ok:
            self.controller.show(self.desk.view())
        return outcome

    def preview(self, *given):
        return self.desk.preview(*given)

    def zone(self, *given):
        return self.desk.zone(*given)

    def figure_trouble(self, *given):
        return self.desk.figure_trouble(*given)

    def picture(self, *given):
        return self.desk.picture(*given)

    # What the page does

    def changed(self):
        pass

    def early_changed(self):
        pass

    def leave(self):
        self.opened.append("sessions")

    def text_changed(self):
        pass

    def read_on(self):
        self.cautions_pages -= 1
        return self.cautions_pages >= 0

    def scroll_cautions(self, lines):
        pass

    def scroll_panel(self, lines):
        pass

    def fold(self, step):
        self.folded ^= {step}

    # What the person does

    def look(self):
        """The screen is drawn and looked at."""
        self.time += PERSON
        self.controller.drawn()
        self.time += PERSON

    def press(self, *keys):
        """Keys of a person, who looks after each."""
        for key in keys:
            self._key(key)
            self.look()

    def type(self, text, *keys):
        """A text and keys behind it in one go, then a look at the screen."""
        for key in (*text, *keys):
            self.time += IN_ONE_GO
            self._key(key)
        self.look()

    def burst(self, text):
        """Keys in one read: CR is Enter, DEL is Backspace, LF and TAB as they are."""
        names = {"\r": "enter", "\n": "ctrl+j", "\t": "tab", "\x7f": "backspace"}
        self.type([names.get(char, char) for char in text])

    def paste(self, text):
        self.controller.line.paste(Pasted(text, self.time))
        self.look()

    def _key(self, key):
        char = key if len(key) == 1 else None
        name = "space" if key == " " else key
        self.controller.line.press(KeyPress(name, char, self.time))

    def quit(self):
        self.ended = True

    def tick(self):
        """The clock of a timer: whether the bell rings."""
        return timing.tick(self.controller)

    def do(self, name):
        """An action from the palette."""
        self.controller.do(name)
        self.look()

    def go(self, step):
        self.controller.go_to_step(step)
        self.look()

    def go_to(self, target):
        self.controller.go_to_target(target)
        self.look()

    # What there is to see

    @property
    def state(self):
        return self.controller.state

    @property
    def results(self):
        return self.state.results

    @property
    def target(self):
        return self.state.target

    @property
    def field(self):
        return self.controller.line.text

    @property
    def held(self):
        return list(self.state.queue.here)

    @property
    def entered(self):
        """(reading, cylinder, typed) of every reading that stands, in the order of the log."""
        rows = sorted(self.results.readings, key=lambda row: row.n)
        return [(row.reading, row.cylinder, row.entered) for row in rows]

    @property
    def log(self):
        inspection = self.desk.inspection
        return inspection.places.log(inspection.session.id).read_text(encoding="utf-8")

    def entries(self, kind):
        """How many entries of a kind the log holds."""
        return self.log.count(f'kind = "{kind}"')

    @property
    def text(self):
        """What the screen says, from the top, as plain text; blanks and line ends as one blank."""
        return " ".join(self.picture_text.split())

    @property
    def picture_text(self):
        """The same line by line."""
        console = Console(file=io.StringIO(), width=self.size[0], color_system=None)
        state = self.state
        parts = []
        if state.view is not None:
            drawn = sheet.sheet(state, self, *self.size)
            parts += [drawn.heading, drawn.method, drawn.readings]
        if state.gate is not None:
            parts += [state.gate.title, *state.gate.texts]
        asked = question_text.asked(state)
        found = question_text.answer(state, self)
        parts += [asked.title, asked.text, asked.hint, wording.zone_words(found.zone)]
        parts += [self.field, found.answer, question_text.waiting(state)]
        drawn = [Text(part) if isinstance(part, str) else part for part in parts if part]
        console.print(Group(*drawn))
        return console.file.getvalue()
