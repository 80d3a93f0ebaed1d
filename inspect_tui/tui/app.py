"""The app: holds the one inspection, does what screens ask, hands them what follows.

Nothing else under `tui` holds an inspection or reaches the store.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import ModalScreen
from textual.worker import get_current_worker

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.model.targets import Preview, Target
from inspect_tui.core.text.visible import of_this_log
from inspect_tui.errors import InspectError, Refused
from inspect_tui.files import settings
from inspect_tui.files.store import Store
from inspect_tui.tui import opening_screens
from inspect_tui.tui.base import themes
from inspect_tui.tui.base.camera import PhotoTaken
from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.base.view_model import Outcome, Request
from inspect_tui.tui.driver import terminal
from inspect_tui.tui.driver.clean_exit import CleanExitApp
from inspect_tui.tui.loading.catalogue_loader import Stocktaken, load_catalogue
from inspect_tui.tui.loading.session_loader import Opening, Wanted
from inspect_tui.tui.screens.common.inspection_screen import (
    GoToStep,
    InspectionScreen,
    Open,
    OpenFigures,
    OpenMachine,
)
from inspect_tui.tui.screens.new_session import NewSessionScreen
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.tui.walk import camera
from inspect_tui.tui.walk.screen import WalkScreen

if TYPE_CHECKING:
    from inspect_tui.core.bench.prefill import Prefill
    from inspect_tui.core.model.drawing import MachineDrawing
    from inspect_tui.core.model.photo import Thumbnail
    from inspect_tui.core.seasons.carried import Carried
    from inspect_tui.workflow.inspection import Inspection

DEMO = ("This is the demonstration: an invented machine, in a store of its own; try anything.",)
"""Said on opening it."""


AFTER_OPENING = 2.0
"""Seconds from the first paint until pint is loaded in a thread; usual units need none."""


class Arrived(Message):
    """A session has come from the disk, or can't come."""

    def __init__(self, opening: Opening, walk: WalkScreen) -> None:
        super().__init__()
        self.opening = opening
        self.walk = walk


class InspectApp(CleanExitApp[int]):
    """The program on the screen."""

    TITLE = "inspect-tui"
    CSS_PATH = "inspect.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (60, "-normal"), (100, "-wide"), (150, "-widest")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-short"), (30, "-tall")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "Quit", show=False, priority=False),
        Binding("ctrl+p", "all_actions", "All actions", show=False),
    ]
    ENABLE_COMMAND_PALETTE = False

    def __init__(
        self,
        places: Store,
        now: Callable[[], datetime],
        session: str | None,
        by: str,
        demo: bool,
        read_only: bool = False,
        despite_broken: bool = False,
    ) -> None:
        super().__init__()
        self.places = places
        self._own_places = places
        self.now = now
        self.by = by
        self.demo = demo
        self.only_reads = read_only
        self.despite_broken = despite_broken
        self.desk: Desk | None = None
        self._opening: Opening | None = None
        self._first = session
        self._line = terminal.Line()
        for each in themes.THEMES.values():
            self.register_theme(each.theme)
        self.settings = _settings(places)
        self.own_name = by or self.settings.by
        # Without colours the framework makes greys of them, and of red a dim one.
        self.use_theme(themes.MONO if self.no_color else self.settings.theme, keep=False)

    def on_mount(self) -> None:
        """The start screen below, the session over it; opened after the first picture."""
        if not self.is_headless:
            terminal.end_on_signals(self._leave)
            self._line.spare_a_lost_terminal()
            self.set_interval(1, self._end_when_alone)
        self.push_screen(StartScreen())
        if self._first is not None:
            self._walk(self._first)  # the store is looked at when that session is left
        else:
            self.call_after_refresh(self.look_at_stock)
        self.set_timer(AFTER_OPENING, self._warm_up)

    def _leave(self, status: int) -> None:
        terminal.end_at_the_latest(status)
        self.exit(return_code=status)

    def _end_when_alone(self) -> None:
        if self._line.gone():
            self._leave(terminal.HANGUP)

    def on_unmount(self) -> None:
        """Give the log back; one that is still on its way is given back by its thread."""
        self._close()
        if self._opening is not None and self._opening.running and not self.is_headless:
            terminal.end_at_the_latest(self.return_code or 0)

    @work(thread=True, exit_on_error=False)
    def _warm_up(self) -> None:
        """Load pint for unusual units, giving way to keys oftener than threads usually do."""
        from inspect_tui.core.quantities import units

        if not gc.isenabled():  # the command that began left it off; what is loaded stays
            gc.freeze()
            gc.enable()
        usual = sys.getswitchinterval()
        sys.setswitchinterval(usual / 10)
        try:
            units.warm_up()
        finally:
            sys.setswitchinterval(usual)

    # The store

    @work(thread=True, exit_on_error=False, exclusive=True, group="stock")
    def look_at_stock(self) -> None:
        """Read what lies in the store, beside the screen, and show it at the start."""
        today, worker = self.now().date(), get_current_worker()
        load_catalogue(self.places, today, self.post_message, lambda: not worker.is_cancelled)

    @on(Stocktaken)
    def _show_stock(self, event: Stocktaken) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, StartScreen | NewSessionScreen):
                screen.show_stock(event.stock)

    @on(StartScreen.Chosen)
    def _session_chosen(self, event: StartScreen.Chosen) -> None:
        self._walk(event.session)

    @on(StartScreen.Begin)
    def _begin(self, event: StartScreen.Begin) -> None:
        first = event.machine_first
        self.push_screen(NewSessionScreen(event.stock, self.own_name, machine_first=first))

    @on(NewSessionScreen.NewMachine)
    def _new_machine(self, event: NewSessionScreen.NewMachine) -> None:
        opening_screens.make_machine(self, event)

    @on(StartScreen.Demo)
    def _demo(self) -> None:
        self._walk("")

    @on(NewSessionScreen.Wanted)
    def _new(self, event: NewSessionScreen.Wanted) -> None:
        from inspect_tui.workflow.inspection import Inspection

        try:
            inspection = Inspection.new(
                self.places, event.checklist, event.machine, event.by, self.now,
                only=event.only, items=event.items,
            )  # fmt: skip
        except (InspectError, OSError) as error:
            event.screen.say(str(error))
            return
        self._close()
        self.desk = self._desk(inspection)
        walk = WalkScreen(self)
        self.switch_screen(walk)
        walk.call_after_refresh(opening_screens.show_opened, self, walk, self.desk.view())

    def _walk(self, session: str) -> None:
        """The walk screen at once; the session is opened behind its first picture."""
        wanted = Wanted(
            session, self.places, self.now, self.by, self.only_reads, self.despite_broken
        )
        walk = WalkScreen(self, wanted.words)
        self.push_screen(walk)
        # The first refresh lays the screen out; it is on the terminal after the second one.
        walk.call_after_refresh(walk.call_after_refresh, self._open, wanted, walk)

    def _open(self, wanted: Wanted, walk: WalkScreen) -> None:
        if walk not in self.screen_stack:  # left already
            return
        self._close()
        self._opening = Opening(wanted, self._opening)
        self._open_beside(self._opening, walk)

    @work(thread=True, exit_on_error=False)
    def _open_beside(self, opening: Opening, walk: WalkScreen) -> None:
        opening.run()
        self.post_message(Arrived(opening, walk))

    @on(Arrived)
    def _arrived(self, event: Arrived) -> None:
        opened = event.opening.take()
        if opened is None:
            return
        self._opening = None
        if opened.inspection is None:
            self._not_opened(opened.error, event.walk)
            return
        if not event.opening.wanted.session:
            self.places, self.demo = opened.inspection.places, True
        self.desk = self._desk(opened.inspection)
        view = self.desk.view((*DEMO, *opened.said) if self.demo else opened.said)
        opening_screens.show_opened(self, event.walk, view)

    def _not_opened(self, error: str, walk: WalkScreen) -> None:
        """Say why, and what was typed meanwhile; back to the start."""
        typed = walk.walk.not_entered
        lost = f" Typed meanwhile and not recorded: {', '.join(typed)}." if typed else ""
        self.notify(f"{error}{lost}", markup=False, severity="error", timeout=15)
        while walk in self.screen_stack:
            self.pop_screen()
        self.look_at_stock()

    def _close(self) -> None:
        if self._opening is not None:
            self._opening.leave()
        if self.desk is not None:
            held, self.desk = self.desk.inspection, None
            held.close()
            if said := held.log.close_note:
                words = of_this_log(said, held.id)
                self.notify(words, markup=False, severity="warning", timeout=15)

    def _desk(self, inspection: Inspection) -> Desk:
        return Desk(inspection, demo=self.demo, own_unit=self.settings.unit_for)

    # What screens ask for

    def submit(self, request: Request, *, unsaved: str = "") -> Outcome:
        """Do what a screen asks, then hand every screen what follows from it."""
        if self.desk is None:
            return Outcome(error="No session is open.")
        outcome = self.desk.submit(request, unsaved=unsaved)
        if outcome.ok:
            view = self.desk.view()
            for screen in self.screen_stack:
                if isinstance(screen, InspectionScreen):
                    screen.show(view)
        return outcome

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What a typed text would be; writes nothing."""
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

    # Other screens, the palette, leaving

    @on(Open)
    def _other_screen(self, event: Open) -> None:
        if event.name == "help" and isinstance(self.screen, InspectionScreen):
            from inspect_tui.tui.screens.help import HelpScreen

            screen = self.screen
            self.push_screen(HelpScreen(screen.HELP_TITLE, screen.HELP_TEXT, screen.ACTIONS))
        elif event.name == "sessions":
            self._leave_session()
        elif event.name == "bench":
            self._bench()
        elif event.name == "new_list":
            opening_screens.open_new_list(self)
        elif self.desk is None:
            return
        elif event.name == "figures":
            opening_screens.open_figures(self)
        elif event.name == "photos" and isinstance(self.screen, WalkScreen):
            from inspect_tui.tui.screens.photos import PhotosScreen

            self.push_screen(PhotosScreen(self, self.desk.view(), self.screen.walk.state.step))
        elif event.name in opening_screens.OVER_THE_WALK:
            self.push_screen(opening_screens.over_the_walk(event.name, self, self.desk.view()))

    @on(OpenFigures)
    def _figures(self, event: OpenFigures) -> None:
        opening_screens.open_figures(self, event.machine, event.checklist)

    @on(OpenMachine)
    def _machine(self, event: OpenMachine) -> None:
        opening_screens.open_machine(self, event.machine, event.name)

    @on(PhotoTaken)
    def _photo_taken(self, event: PhotoTaken) -> None:
        walk = next((each for each in self.screen_stack if isinstance(each, WalkScreen)), None)
        if walk is None or self.desk is None:
            self.notify("No session is open: the photo was not taken.", severity="warning")
            return
        said, kind = camera.put_at_step(self, walk.walk.state, Path(event.path))
        self.notify(said, markup=False, severity=kind)

    @on(GoToStep)
    def _go_to_step(self, event: GoToStep) -> None:
        if isinstance(self.screen, WalkScreen) and event.step:
            self.screen.walk.go_to_step(event.step)
        elif isinstance(self.screen, WalkScreen):
            self.screen.walk.do("go_to")

    def _bench(self) -> None:
        """The bench, filled from the session where one is open."""
        from inspect_tui.tui.screens.bench import BenchScreen

        at = self.screen.walk.state.step if isinstance(self.screen, WalkScreen) else ""
        view = None if self.desk is None else self.desk.view()
        self.push_screen(BenchScreen(self, view, self._given, at))

    def _given(self, calculation: str) -> tuple[Prefill, ...]:
        """What the open session gives for a calculation's fields."""
        from inspect_tui.core.bench import prefill

        if self.desk is None:
            return ()
        return prefill.offers(self.desk.inspection.evaluator, calculation)

    def _leave_session(self) -> None:
        self._close()
        if self.places != self._own_places:
            self.places, self.demo = self._own_places, False
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.look_at_stock()

    def action_all_actions(self) -> None:
        """Every action of the screen, by job, and the program's own."""
        from inspect_tui.tui.screens.all_actions import AllActionsScreen, offered_by

        screen = self.screen
        if isinstance(screen, ModalScreen):
            return

        def chosen(do: Callable[[], None] | None) -> None:
            if do is not None:
                do()

        self.push_screen(AllActionsScreen(offered_by(screen, self.use_theme)), chosen)

    # The look

    def use_theme(self, name: str, *, keep: bool = True) -> None:
        """Take a theme, and remember it in the store's settings."""
        chosen = themes.THEMES.get(name, themes.THEMES[themes.DEFAULT])
        self.ansi_theme_dark = self.ansi_theme_light = chosen.shades
        self.theme = chosen.theme.name
        if keep:
            try:
                kept = settings.read(self._own_places)
                settings.write(self._own_places, settings.with_setting(kept, "theme", name))
            except (InspectError, OSError) as error:
                said = f"{chosen.label} is on, but it can't be remembered: {error}"
                self.notify(said, markup=False, severity="warning")


def _settings(places: Store) -> settings.Settings:
    """What the person chose; a file that can't be read chooses nothing."""
    try:
        return settings.read(places)
    except (InspectError, OSError):
        return settings.Settings()


def make_app(
    places: Store,
    now: Callable[[], datetime],
    *,
    session: str | None = None,
    by: str = "",
    demo: bool = False,
    read_only: bool = False,
    despite_broken: bool = False,
) -> InspectApp:
    """The app on a store; at a session where one is named."""
    return InspectApp(places, now, session, by, demo, read_only, despite_broken)


def run(
    places: Store,
    now: Callable[[], datetime],
    *,
    session: str | None = None,
    by: str = "",
    demo: bool = False,
    read_only: bool = False,
    despite_broken: bool = False,
) -> int:
    """Run the app and return the exit status.

    Raises:
        BadInput: there is no terminal; the sentence names the commands to use instead.
        Exception: what failed inside the program, once the terminal is as it was.
    """
    terminal.check()
    app = make_app(
        places, now, session=session, by=by, demo=demo, read_only=read_only,
        despite_broken=despite_broken,
    )  # fmt: skip
    app.run()
    app.raise_fault()
    return app.return_code or 0
