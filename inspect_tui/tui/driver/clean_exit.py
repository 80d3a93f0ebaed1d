"""An app whose faults end it in words: no boxed traceback, and the error for whoever ran it."""

from __future__ import annotations

from rich.console import RenderableType
from textual.app import App, ReturnType
from textual.driver import Driver

from inspect_tui.tui.driver import terminal
from inspect_tui.tui.driver.input_queue import InputDropped


class CleanExitApp(App[ReturnType]):
    """The terminal is given back first; then `raise_fault` hands on what went wrong."""

    fault: Exception | None = None
    """What ended the app, where something did."""

    def get_driver_class(self) -> type[Driver]:
        """The platform's own, and where that is a terminal's, with our reading of it."""
        usual = super().get_driver_class()
        if f"{usual.__module__}:{usual.__name__}" == terminal.BROWSER:
            from inspect_tui.tui.driver.browser_driver import BrowserDriver

            return BrowserDriver
        if f"{usual.__module__}.{usual.__name__}" != "textual.drivers.linux_driver.LinuxDriver":
            return usual
        from inspect_tui.tui.driver.input_driver import TerminalDriver

        return TerminalDriver

    def raise_fault(self) -> None:
        """Raise what ended the app; nothing where it was left in order."""
        if self.fault is not None:
            raise self.fault

    def on_input_dropped(self, event: InputDropped) -> None:
        """More came from the keyboard than can be taken."""
        from inspect_tui.tui.screens.common.dropped_input import say_dropped

        say_dropped(self, event)

    def panic(self, *renderables: RenderableType) -> None:
        """What Textual calls for a fault of its own threads."""
        if self.fault is None:
            lines = [line for each in renderables for line in self._said(each) if line.strip()]
            self.fault = RuntimeError(lines[-1].strip() if lines else "the screen failed")
        self._close_messages_no_wait()

    def _said(self, renderable: RenderableType) -> list[str]:
        rows = self.console.render_lines(renderable, self.console.options)
        return ["".join(part.text for part in row) for row in rows]

    def _handle_exception(self, error: Exception) -> None:
        self.fault = self.fault or error
        super()._handle_exception(error)

    def _fatal_error(self) -> None:
        """Instead of Textual's traceback: `raise_fault` has the error, the caller the words."""
        self._close_messages_no_wait()
