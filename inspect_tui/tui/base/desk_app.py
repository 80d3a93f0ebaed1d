"""What screens ask the app for: it asks the open session's desk, and hands them what follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import Refused
from inspect_tui.tui.base.themed_app import ThemedApp
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen

if TYPE_CHECKING:
    from inspect_tui.core.model.drawing import MachineDrawing
    from inspect_tui.core.model.log_entry import Phase
    from inspect_tui.core.model.photo import Thumbnail
    from inspect_tui.core.model.results import ToleranceInterval
    from inspect_tui.core.model.targets import Preview, Target
    from inspect_tui.core.seasons.carried import Carried
    from inspect_tui.tui.base.desk import Desk
    from inspect_tui.tui.base.view_model import Outcome, Request


class DeskApp(ThemedApp):
    """An app that holds at most one inspection."""

    desk: Desk | None = None

    def submit(self, request: Request, *, unsaved: str = "") -> Outcome:
        """Do what a screen asks, then hand every screen what follows from it."""
        if self.desk is None:
            from inspect_tui.tui.base.view_model import Outcome

            return Outcome(error="No session is open.")
        outcome = self.desk.submit(request, unsaved=unsaved)
        if outcome.ok:
            self.hand_out()
        return outcome

    def hand_out(self) -> None:
        """Every screen gets the inspection as it stands."""
        if self.desk is None:
            return
        view = self.desk.view()
        for screen in self.screen_stack:
            if isinstance(screen, InspectionScreen):
                screen.show(view)

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What a typed text would be; writes nothing."""
        from inspect_tui.core.model.targets import Preview

        return Preview() if self.desk is None else self.desk.preview(target, text, phase)

    def zone(self, target: Target, phase: Phase) -> ToleranceInterval | None:
        """The limits that a reading is held against."""
        return None if self.desk is None else self.desk.zone(target, phase)

    def figure_trouble(self, name: str, text: str) -> str:
        """Why a text can't be this figure of the sheet."""
        return "" if self.desk is None else self.desk.figure_trouble(name, text)

    def drawing(self) -> MachineDrawing | None:
        """The machine's side view; None where the list names none, or it can't be read."""
        return None if self.desk is None else self.desk.drawing()

    def carried(self) -> tuple[Carried, ...]:
        """What earlier sessions of the machine put off, and this one has not settled."""
        return () if self.desk is None else self.desk.carried()

    def picture(self, photo: str, width: int, height: int) -> Thumbnail:
        """A photo of this session, small enough for so many pixels."""
        if self.desk is None:
            raise Refused("No session is open.")
        return self.desk.picture(photo, width, height)
