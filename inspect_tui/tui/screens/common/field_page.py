"""What pages share on which everything is typed into one field below a table."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterable
from typing import ClassVar, Generic, Protocol, Self, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message_pump import MessagePump
from textual.widget import Widget
from textual.widgets import Static

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.error_guard import fault, guarded
from inspect_tui.tui.base.tones import Tone
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock


class _Saying(Protocol):
    """The page as it stands, frozen."""

    def saying(self, said: str, tone: Tone = "") -> Self:
        """With a line to the person."""
        ...


State = TypeVar("State", bound=_Saying)


class FieldPage(Generic[State], MessagePump):
    """The part of a screen that owns its field; the screen draws itself from `state`."""

    ACTIONS: ClassVar[tuple[Action, ...]]
    TABLE: ClassVar[str] = "figure-rows"
    """The id of the table above the field."""
    field: EntryField
    state: State

    def compose(self) -> ComposeResult:
        """The table above, what is asked below."""
        yield TitleBlock()
        yield Static("", id=self.TABLE, markup=False)
        with Vertical(id="figure-asks"):
            yield Static("", id="figure-asked", markup=False)
            with Horizontal(id="entry-line"):
                yield Static("▸", id="prompt", markup=False)
                yield self.field
            yield from self.below_the_field()
            yield Static("", id="figure-said", markup=False)
        yield KeyLine(self.ACTIONS)

    def below_the_field(self) -> Iterable[Widget]:
        """What else stands between the field and what is said."""
        return ()

    def on_mount(self) -> None:
        """The first picture."""
        self.field.focus()
        self.call_after_refresh(self._picture)

    def on_resize(self, event: events.Resize) -> None:
        """As much of the table as there is room for."""
        self.call_after_refresh(self._picture)

    @abstractmethod
    def _picture(self) -> None:
        """Draw the page from its state."""

    def _set(self, state: State, text: str = "") -> None:
        self.state = state
        self.field.put(text)
        self._picture()

    def say(self, text: str) -> None:
        """One line to the person."""
        self.state = self.state.saying(text, "bad")
        self._picture()

    def trouble(self, error: Exception) -> None:
        """A fault of the program."""
        self.say(fault(error))

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Typed ahead of a refusal: it is said and left out."""
        self.say(f"✗ not taken: {text}")

    def enter_not_needed(self) -> None:
        """No answer of one press stands for a value here; nothing to say."""

    def answers(self, character: str, seen: bool) -> bool:
        """Everything here takes Enter, unless the page says otherwise."""
        return False

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, done at once and in its turn."""
        return self._do_key(key)

    def _do_key(self, key: str) -> bool:
        """The action of a key; False where there is none."""
        for action in self.ACTIONS:
            if action.key == key:
                getattr(self, f"action_{action.name}")()
                return True
        return False
