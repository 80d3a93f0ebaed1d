"""The one lasting field into which everything is typed, and the order of what is typed ahead.

Keys that arrive in one read, or while a save stalls, are handled one by one in this widget's own
`_on_key`, Enter and every command key included: a key that bubbles to a binding acts later than
the characters behind it, and readings would be joined or land in the wrong place.

What was typed ahead of something the person has not seen yet (a refusal, a caution) is held in
order and shown, never joined to other text and never lost.
"""

from __future__ import annotations

from typing import ClassVar, Literal, Protocol

from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input

from inspect_tui.tui.base.styling import key

MOST = 400
"""Characters that the field holds."""
MAX_LINES = 200
"""Lines of one paste."""
BURST = 0.05
"""Seconds: text and Enters closer together than this came in one go, not as an answer."""

ENTERS = ("enter", "tab", "ctrl+j")
"""Keys that end a text: Enter; behind a text also Tab, and the LF of a line sent as it stands."""

EntryOutcome = Literal["taken", "refused", "held"]
"""What became of a text: done; not taken, so it stays in the field; kept in the queue."""


def printable(text: str) -> str:
    """What may stand in a field: no control, bidi or zero-width characters."""
    return "".join(sign for sign in text if sign.isprintable())


class EntryFieldDelegate(Protocol):
    """The screen that a field belongs to."""

    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter was pressed on this text (maybe empty). `seen`: what waits for an answer was drawn
        before the key came."""
        ...

    def typed(self, text: str) -> None:
        """The text in the field changed."""
        ...

    def command(self, key: str) -> bool:
        """A key that is no text. True where it was one of the screen's."""
        ...

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Typed ahead of something not seen yet; `complete` where Enter followed it."""
        ...

    def say(self, text: str) -> None:
        """One line to the person."""
        ...


AT_ONCE = ("ctrl+q", "ctrl+p", "escape", "f10")
"""Keys that are done while the session is opened: quit, palette, clear, back to the start."""


class EntryField(Input):
    """A plain text field; see the module's words on order."""

    EDITING: ClassVar[dict[str, str]] = {
        "backspace": "delete_left",
        "delete": "delete_right",
        "home": "home",
        "ctrl+a": "home",
        "end": "end",
        "ctrl+e": "end",
        "ctrl+u": "delete_left_all",
        "ctrl+k": "delete_right_all",
        "ctrl+w": "delete_left_word",
        "ctrl+left": "cursor_left_word",
        "ctrl+right": "cursor_right_word",
    }
    """Editing keys, done at once instead of by a binding that would act after the next key."""

    # As `Input` has them, but the field's room doesn't follow its text: no layout at every key.
    value = reactive("", layout=False, init=False)
    virtual_size = reactive(Size(0, 0), layout=False)

    def __init__(self, owner: EntryFieldDelegate, *, id: str = "entry") -> None:  # noqa: A002
        super().__init__(id=id, max_length=MOST, select_on_focus=False, compact=True)
        self._owner = owner
        self._refused = False
        self._blind = ""
        self._drawn = 0.0
        self._last_key = 0.0
        self.begun = 0.0
        """When the first character of what stands in the field was typed."""
        self.cursor_blink = False
        self._ready = True
        self._early: list[events.Key | events.Paste] = []

    # Before the session is open

    def wait_for_session(self) -> None:
        """Take texts; from the first other key on keep everything, in order, until `go_on`."""
        self._ready = False

    def go_on(self) -> None:
        """The session is open: do what was kept, as if it came now in one go."""
        self._ready = True
        kept, self._early = self._early, []
        for event in kept:
            if isinstance(event, events.Paste):
                self._pasted(event)
            else:
                self._pressed(event)

    def forget_early(self) -> bool:
        """Let go of the keys that wait for the session; whether there were any."""
        forgotten, self._early = bool(self._early), []
        return forgotten

    @property
    def early(self) -> str:
        """The keys that wait for the session in words, the first of them no text."""
        words = ""
        for event in self._early:
            if isinstance(event, events.Paste):
                words += printable(event.text.replace("\n", " "))
            elif event.is_printable and event.character:
                words += event.character
            else:
                words += f" {key(event.key)} "
        return " ".join(words.split())

    def _is_early(self, event: events.Key | events.Paste) -> bool:
        """Keep what can't be done yet and whatever comes behind it."""
        if self._ready:
            return False
        if isinstance(event, events.Key):
            text = event.is_printable or event.key in ENTERS
            edits = event.key in self.EDITING or event.key in ("left", "right")
            if event.key in AT_ONCE or (not self._early and (text or edits)):
                return False
        elif not self._early:
            return False
        self._early.append(event)
        self._changed()
        return True

    # What the screen tells the field

    def unseen(self) -> None:
        """Something has to be drawn before keys count as an answer to it."""
        self._drawn = float("inf")

    def drawn(self) -> None:
        """It is drawn: keys that come from now on may be an answer."""
        if self._drawn == float("inf"):
            self._drawn = Message().time

    def put(self, text: str) -> None:
        """Put a text into the field, the cursor behind it."""
        self.value = printable(text)
        self.cursor_position = len(self.value)
        self._refused = False

    @property
    def is_refused(self) -> bool:
        """Whether the text in the field was refused and not touched since."""
        return self._refused

    # Keys

    async def _on_key(self, event: events.Key) -> None:
        if self._is_early(event) or self._pressed(event):
            self._swallow(event)
        else:
            await super()._on_key(event)

    def _pressed(self, event: events.Key) -> bool:
        """Do a key; False where it is none of the field's or the screen's."""
        typing = event.is_printable or event.key in ENTERS
        seen = event.time >= self._drawn and event.time - self._last_key > BURST
        if typing:
            self._last_key = event.time
        if self._refused and not seen and typing:
            self._type_blind(event)
            return True
        if self._refused and seen and self._blind:
            self._owner.enqueue(self._blind, complete=False)
            self._blind = ""
        if event.key == "enter" or (event.key in ENTERS and self.value):
            self._enter(seen)
        elif event.is_printable and event.character is not None:
            if not self.value or self._refused:
                self.begun = event.time
            self._type(event.character)
        else:
            return self._at_once(event.key)
        return True

    def _at_once(self, key: str) -> bool:
        """Do a command or an editing key now; False where the key is neither."""
        if self._owner.command(key):
            return True
        if key in ("left", "right"):
            getattr(self, f"action_cursor_{key}")()
        elif key in self.EDITING:
            getattr(self, f"action_{self.EDITING[key]}")()
        else:
            return False
        self._refused = False
        self._changed()
        return True

    def _on_paste(self, event: events.Paste) -> None:
        self._swallow(event)
        if not self._is_early(event):
            self._pasted(event)

    def _pasted(self, event: events.Paste) -> None:
        lines = event.text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", "\n").split("\n")
        if len(lines) > MAX_LINES or any(len(line) > MOST for line in lines):
            self._owner.say(
                f"The paste was not taken: at most {MAX_LINES} lines of {MOST} characters."
            )
            return
        self.begun = event.time
        for place, line in enumerate(lines):
            last = place == len(lines) - 1
            if self._refused:
                if line:
                    self._owner.enqueue(line, complete=not last)
                continue
            if not self._type(line):
                return
            if not last:
                self._enter(seen=False)

    # The parts

    def _swallow(self, event: events.Event) -> None:
        event.stop()
        event.prevent_default()

    def _type(self, text: str) -> bool:
        """Insert; after a refusal the new text takes the place of the refused one."""
        if self._refused:
            self._refused = False
            self.value = ""
        if len(self.value) + len(text) > MOST:
            self._owner.say(f"The field is full: it holds {MOST} characters.")
            return False
        if self.selection.is_empty:
            self.insert_text_at_cursor(printable(text))
        else:
            self.replace(printable(text), *self.selection)
        self._changed()
        return True

    def _type_blind(self, event: events.Key) -> None:
        if event.is_printable:
            self._blind = (self._blind + (event.character or ""))[:MOST]
        elif self._blind:
            self._owner.enqueue(self._blind, complete=True)
            self._blind = ""

    def _enter(self, seen: bool) -> None:
        text = self.value
        self.put("")
        if self._owner.entered(text, seen) == "refused":
            self.put(text)
            self.refuse()

    def refuse(self) -> None:
        """The text stays; the next character that is typed as an answer replaces it."""
        if self.value:
            self._refused = True
            self.action_select_all()
            self._drawn = Message().time

    def _changed(self) -> None:
        self._owner.typed(self.value)
