"""The text of the one entry field, and the order of what is typed ahead. Pure: no terminal.

Keys that arrive in one read, or while a save stalls, are done here one by one, Enter and every
command key included: a key that bubbles to a binding acts later than the characters behind it,
and readings would be joined or land in the wrong place.

What was typed ahead of something the person has not seen yet (a refusal, a caution) is held in
order and shown, never joined to other text and never lost. Keys that come before the session is
open are kept whole and pressed again once it is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple, Protocol

from inspect_tui.tui.base.edited_text import EditedText, printable
from inspect_tui.tui.base.key_names import key_name

MAX_TEXT = 400
"""Characters that the field holds."""
MAX_LINES = 200
"""Lines of one paste."""
BURST = 0.05
"""Seconds: text and Enters closer together than this came in one go, not as an answer."""

ENTERS = ("enter", "ctrl+j")
"""Keys that end a text: Enter; behind a text also the LF of a line sent as it stands."""
TYPING = (*ENTERS, "tab")
"""Keys beside the characters that come in a burst of readings."""
AT_ONCE = ("ctrl+q", "ctrl+p", "escape", "f10")
"""Keys that are done while the session is opened: quit, palette, clear, back to the start."""

EntryOutcome = Literal["taken", "refused", "held"]
"""What became of a text: done; not taken, so it stays in the field; kept in the queue."""


class KeyPress(NamedTuple):
    """One key: its name, the character it types (None where it types none), when it came [s]."""

    key: str
    character: str | None
    time: float


class Pasted(NamedTuple):
    """A paste, whole."""

    text: str
    time: float


class EntryLineOwner(Protocol):
    """Whoever the typed texts are for."""

    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter was pressed on this text (maybe empty). `seen`: what waits for an answer was drawn
        before the key came."""
        ...

    def answers(self, character: str, seen: bool) -> bool:
        """A character in the empty field; True where it was an answer by itself, done now."""
        ...

    def typed(self, text: str) -> None:
        """The text in the field changed."""
        ...

    def command(self, key: str) -> bool:
        """A key that is no text. True where it was one of the owner's."""
        ...

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Typed ahead of something not seen yet; `complete` where Enter followed it."""
        ...

    def say(self, text: str) -> None:
        """One line to the person."""
        ...

    def enter_not_needed(self) -> None:
        """An Enter came behind an answer of one press and did nothing."""
        ...


class EntryLine:
    """The one lasting line of entry; see the module's words on order."""

    def __init__(self, owner: EntryLineOwner, now: Callable[[], float]) -> None:
        """An empty line.

        Args:
            owner: Whoever the texts are for.
            now: The clock [s] by which the keys' times were taken.
        """
        self._owner = owner
        self._now = now
        self._edited = EditedText()
        self._refused = False
        self._blind = ""
        self._answered = False
        self._drawn = 0.0
        self._last_key = 0.0
        self.begun = 0.0
        """When the first character of what stands in the field was typed."""
        self.ready = True
        """Whether keys are done; until the session is open they are kept."""
        self._early: list[KeyPress | Pasted] = []

    @property
    def text(self) -> str:
        """What stands in the field."""
        return self._edited.text

    @property
    def cursor(self) -> int:
        """How many characters stand before the cursor."""
        return self._edited.cursor

    @property
    def is_selected(self) -> bool:
        """Whether the next character takes the place of the whole text."""
        return self._edited.selected

    @property
    def is_refused(self) -> bool:
        """Whether the text in the field was refused and not touched since."""
        return self._refused

    def put(self, text: str) -> None:
        """Put a text into the field, the cursor behind it."""
        self._edited.put(text)
        self._refused = False

    def place_cursor(self, at: int) -> None:
        """The cursor goes behind so many characters."""
        self._edited.cursor = max(0, min(at, len(self.text)))
        self._edited.selected = False

    def select_all(self) -> None:
        """The next character takes the place of the whole text."""
        self._edited.selected = bool(self.text)

    def refuse(self) -> None:
        """The text stays; the next character that is typed as an answer replaces it."""
        if self.text:
            self._refused = True
            self.select_all()
            self._drawn = self._now()

    # What the screen tells the field

    def unseen(self) -> None:
        """Something has to be drawn before keys count as an answer to it."""
        self._drawn = float("inf")

    def drawn(self) -> None:
        """It is drawn: keys that come from now on may be an answer."""
        if self._drawn == float("inf"):
            self._drawn = self._now()

    @property
    def waits_for_drawing(self) -> bool:
        """Whether something that wants an answer was not drawn yet."""
        return self._drawn == float("inf")

    # Before the session is open

    def hand_to(self, owner: EntryLineOwner) -> None:
        """Whoever the texts are for from now on."""
        self._owner = owner

    def wait_for_session(self) -> None:
        """Keep every key, in order, until `go_on`; texts are shown as they are typed."""
        self.ready = False

    def go_on(self) -> None:
        """The session is open: press what was kept, as if it came now in one go."""
        self.ready = True
        kept, self._early = self._early, []
        self.put("")
        for each in kept:
            if isinstance(each, Pasted):
                self._paste(each)
            else:
                self._press(each)
        self._flush_blind()

    @property
    def early_texts(self) -> list[str]:
        """The texts that wait for the session, each ended by an Enter; no other key before them."""
        return self._look_at_early()[0]

    @property
    def early_rest(self) -> str:
        """The kept keys from the first one on that is no text, in words."""
        _, _, done = self._look_at_early()
        words = ""
        for each in self._early[done:]:
            if isinstance(each, Pasted):
                words += printable(each.text.replace("\n", " "))
            elif each.character is not None:
                words += each.character
            else:
                words += f" {key_name(each.key)} "
        return " ".join(words.split())

    def drop_early(self) -> list[str]:
        """Let go of the last of what waits for the session: keys, the text that is being typed,
        else every text; returns what was dropped."""
        texts, line, done = self._look_at_early()
        rest = self.early_rest
        if rest:
            gone, self._early = [rest], self._early[:done]
        elif line:
            last = max(
                (place for place, each in enumerate(self._early) if _ends_a_text(each)), default=-1
            )
            gone, self._early = [line], self._early[: last + 1]
        else:
            gone, self._early = texts, []
        self._show_early()
        return gone

    def _look_at_early(self) -> tuple[list[str], str, int]:
        """The complete texts, the one that is being typed, how many kept keys they are."""
        texts: list[str] = []
        line = EditedText()
        done = 0
        for each in self._early:
            if isinstance(each, Pasted):
                *complete, last = _lines(each.text)
                for text in complete:
                    line.insert(text)
                    texts.append(line.text)
                    line.put("")
                line.insert(last)
            elif each.character is not None:
                line.insert(each.character)
            elif each.key in ENTERS:
                if line.text.strip():
                    texts.append(line.text)
                line.put("")
            elif not line.edit(each.key):
                break
            done += 1
        return texts, line.text, done

    def _show_early(self) -> None:
        self._edited.put(self._look_at_early()[1])
        self._owner.typed(self.text)

    def _is_early(self, each: KeyPress | Pasted) -> bool:
        """Keep what can't be done yet."""
        if self.ready:
            return False
        if isinstance(each, KeyPress) and each.key in AT_ONCE:
            return False
        self._early.append(each)
        self._show_early()
        return True

    # Keys

    def press(self, press: KeyPress) -> bool:
        """Do a key; False where it is none of the field's or its owner's."""
        return self._is_early(press) or self._press(press)

    def paste(self, paste: Pasted) -> None:
        """Type a paste: each of its lines is a text of its own, the last one without an Enter."""
        if not self._is_early(paste):
            self._paste(paste)

    def _press(self, press: KeyPress) -> bool:
        typing = press.character is not None or press.key in TYPING
        seen = press.time >= self._drawn and press.time - self._last_key > BURST
        if typing:
            self._last_key = press.time
        answered, self._answered = self._answered, False
        if self._refused and not seen and typing:
            self._type_blind(press)
            return True
        if self._refused and seen:
            self._flush_blind()
        if press.key == "enter" or (press.key in ENTERS and self.text):
            if answered and not self.text:  # it belongs to the answer of one press
                self._owner.enter_not_needed()
            else:
                self._enter(seen)
        elif press.character is not None:
            if not self.text or self._refused:
                self.begun = press.time
            self._type(press.character, alone=True, seen=seen)
        else:
            return self._at_once(press.key)
        return True

    def _at_once(self, key: str) -> bool:
        """Do a command or an editing key now; False where the key is neither."""
        if self._owner.command(key):
            return True
        if not self._edited.edit(key):
            return False
        self._refused = False
        self._changed()
        return True

    def _paste(self, paste: Pasted) -> None:
        lines = _lines(paste.text)
        if len(lines) > MAX_LINES or any(len(line) > MAX_TEXT for line in lines):
            self._owner.say(
                f"The paste was not taken: at most {MAX_LINES} lines of {MAX_TEXT} characters."
            )
            return
        self.begun = paste.time
        self._answered = False
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

    def _type(self, text: str, *, alone: bool = False, seen: bool = False) -> bool:
        """Insert; after a refusal the new text takes the place of the refused one.

        Args:
            text: What was typed.
            alone: It is one key, which may be an answer by itself.
            seen: What waits for an answer was drawn before the key came.
        """
        if self._refused:
            self._refused = False
            self._edited.put("")
        if alone and not self.text and self._owner.answers(text, seen):
            self._answered = text != " "
            return True
        if len(self.text) + len(text) > MAX_TEXT:
            self._owner.say(f"The field is full: it holds {MAX_TEXT} characters.")
            return False
        self._edited.insert(text)
        self._changed()
        return True

    def _type_blind(self, press: KeyPress) -> None:
        if press.character is not None:
            self._blind = (self._blind + press.character)[:MAX_TEXT]
        elif self._blind:
            self._owner.enqueue(self._blind, complete=press.key in ENTERS)
            self._blind = ""

    def _flush_blind(self) -> None:
        """What was typed behind a refusal that was not seen waits for its turn."""
        if self._blind:
            self._owner.enqueue(self._blind, complete=False)
            self._blind = ""

    def _enter(self, seen: bool) -> None:
        text = self.text
        self.put("")
        if self._owner.entered(text, seen) == "refused":
            self.put(text)
            self.refuse()

    def _changed(self) -> None:
        self._owner.typed(self.text)


def _lines(text: str) -> Sequence[str]:
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", "\n")
    return [printable(line) for line in text.split("\n")]


def _ends_a_text(each: KeyPress | Pasted) -> bool:
    return each.key in ENTERS if isinstance(each, KeyPress) else len(_lines(each.text)) > 1
