"""What every screen of an inspection shares: its view, its desk, its table of actions."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.geometry import Size
from textual.message import Message

from inspect_tui.tui.base.error_guard import fault, guarded
from inspect_tui.tui.base.screen_names import ScreenName
from inspect_tui.tui.screens.common.keyed_screen import KeyedScreen

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import InspectionActions, View


class Open(Message):
    """Asks the app for another screen, or to leave this session."""

    def __init__(self, name: ScreenName) -> None:
        super().__init__()
        self.name = name


class GoToStep(Message):
    """Asks the walk below to be at a step; without one, to ask which."""

    def __init__(self, step: str) -> None:
        super().__init__()
        self.step = step


class OpenFigures(Message):
    """Asks the app for the page of a machine's figures, outside of a session."""

    def __init__(self, machine: str, checklist: str = "") -> None:
        super().__init__()
        self.machine = machine
        self.checklist = checklist


class OpenMachine(Message):
    """Asks the app for the page of a machine; of the open session's where none is named."""

    def __init__(self, machine: str = "", name: str = "") -> None:
        super().__init__()
        self.machine = machine
        self.name = name


class InspectionScreen(KeyedScreen[None]):
    """A screen of one inspection. It is handed a new `View` after each entry and drawn from it."""

    HELP_TITLE: ClassVar[str] = ""
    HELP_TEXT: ClassVar[str] = ""
    """What the screen is for, above the keys in its help."""

    def __init__(self, desk: InspectionActions, view: View | None = None) -> None:
        super().__init__()
        self.desk = desk
        self.view = view
        self._drawing_due = False
        self._drawn_for: Size | None = None

    def __init_subclass__(cls, *args: Any, **kwargs: Any) -> None:
        """Every action is guarded, however it is called: key, mouse or palette."""
        super().__init_subclass__(*args, **kwargs)
        for name, method in list(vars(cls).items()):
            if name.startswith("action_") and callable(method):
                setattr(cls, name, guarded(None)(method))

    def show(self, view: View) -> None:
        """Take the inspection as it now stands; drawn at the next refresh, once a burst."""
        self.view = view
        self.draw_soon()

    def draw_soon(self) -> None:
        """Draw once, however many entries a burst brings."""
        if not self._drawing_due and self.is_mounted:
            self._drawing_due = True
            self.call_next(self._draw_now)

    def _draw_now(self) -> None:
        self._drawing_due = False
        if self.view is not None and self.is_attached:
            self._drawn_for = self.size
            try:
                self.draw(self.view)
            except Exception as error:
                self.trouble(error)

    @abstractmethod
    def draw(self, view: View) -> None:
        """Draw the screen from its view."""

    def on_mount(self) -> None:
        """First picture."""
        self.draw_soon()

    def on_resize(self, event: events.Resize) -> None:
        """What a screen says follows its size; drawn once its parts have their own."""
        if self._drawn_for not in (None, event.size):
            self.call_after_refresh(self.draw_soon)

    def on_screen_resume(self) -> None:
        """Another screen may have changed the inspection."""
        self.draw_soon()

    def trouble(self, error: Exception) -> None:
        """Say an unexpected error; the program goes on."""
        self.say(fault(error))

    def say(self, text: str) -> None:
        """One line to the person, as a passing notice where the screen has no line of its own."""
        self.app.clear_notifications()  # only the newest one counts
        self.notify(text, markup=False, timeout=4)
