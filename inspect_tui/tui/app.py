"""The app: holds the one inspection, does what screens ask, hands them what follows.

Nothing else under `tui` holds an inspection or reaches the store.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import ModalScreen, Screen
from textual.worker import get_current_worker

from inspect_tui.core.text.visible import of_this_log
from inspect_tui.errors import InspectError
from inspect_tui.files import settings
from inspect_tui.files.store import Store
from inspect_tui.tui import opening_screens
from inspect_tui.tui.base.camera import PhotoTaken
from inspect_tui.tui.base.desk_app import DeskApp
from inspect_tui.tui.driver import terminal
from inspect_tui.tui.loading.next_opening import keep_sight, kept_sight, sight_to_keep
from inspect_tui.tui.loading.session_loader import Opening, Wanted
from inspect_tui.tui.screens.common.inspection_screen import (
    GoToStep,
    InspectionScreen,
    Open,
    OpenFigures,
    OpenMachine,
)
from inspect_tui.tui.screens.common.stock_screen import StockScreen
from inspect_tui.tui.walk import camera
from inspect_tui.tui.walk.screen import WalkScreen

if TYPE_CHECKING:
    from inspect_tui.core.bench.prefill import Prefill
    from inspect_tui.tui.base.desk import Desk
    from inspect_tui.tui.loading.catalogue_loader import Stocktaken
    from inspect_tui.tui.screens.new_session import NewSessionScreen
    from inspect_tui.tui.screens.start import StartScreen
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


class InspectApp(DeskApp):
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
        self.settings = settings.read_or_none(places)
        self.own_name = by or self.settings.by
        super().__init__(self.settings.theme)
        self.places = places
        self._own_places = places
        self.now = now
        self.by = by
        self.demo = demo
        self.only_reads = read_only
        self.despite_broken = despite_broken
        self._opening: Opening | None = None
        self._first = session
        self._line = terminal.Line()

    def on_mount(self) -> None:
        """The session at once, opened after the first picture; else the start screen."""
        if not self.is_headless:
            terminal.end_on_signals(self._leave)
            self._line.spare_a_lost_terminal()
            self.set_interval(1, self._end_when_alone)
        if self._first is None:
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
        from inspect_tui.tui.loading.catalogue_loader import load_catalogue

        load_catalogue(self.places, today, self.post_message, lambda: not worker.is_cancelled)

    # By their names, so that the screens they come from are imported when they are opened.

    def on_stocktaken(self, event: Stocktaken) -> None:
        """The store was looked at, as far as that has come."""
        for screen in self.screen_stack:
            if isinstance(screen, StockScreen):
                screen.show_stock(event.stock)

    def on_start_screen_chosen(self, event: StartScreen.Chosen) -> None:
        """A session is to be walked."""
        self._walk(event.session)

    def on_start_screen_begin(self, event: StartScreen.Begin) -> None:
        """A session is to be begun."""
        from inspect_tui.tui.screens.new_session import NewSessionScreen

        first = event.machine_first
        self.push_screen(NewSessionScreen(event.stock, self.own_name, machine_first=first))

    def on_new_session_screen_new_machine(self, event: NewSessionScreen.NewMachine) -> None:
        """A machine that has no sheet."""
        opening_screens.make_machine(self, event)

    def on_start_screen_demo(self) -> None:
        """The demonstration."""
        self._walk("")

    def on_new_session_screen_wanted(self, event: NewSessionScreen.Wanted) -> None:
        """Begin it."""
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

    def get_default_screen(self) -> Screen[Any]:
        """The walk of the session that was named, else the start."""
        if self._first is not None:
            first: Screen[Any] = self._walk_screen(self._first)
        else:
            from inspect_tui.tui.screens.start import StartScreen

            first = StartScreen()
        # The framework sets these after the first layout, which would be drawn for another size.
        for steps, room in (
            (self.HORIZONTAL_BREAKPOINTS, self.size.width),
            (self.VERTICAL_BREAKPOINTS, self.size.height),
        ):
            first.add_class([name for least, name in steps if room >= least][-1])
        # As the framework does for every other screen: else this one can't be switched away from.
        first._push_result_callback(self, None)
        return first

    def _walk(self, session: str) -> None:
        """The walk screen at once; the session is opened behind its first picture."""
        self.push_screen(self._walk_screen(session))

    def _walk_screen(self, session: str) -> WalkScreen:
        wanted = Wanted(
            session, self.places, self.now, self.by, self.only_reads, self.despite_broken
        )
        sight = None if self.only_reads else kept_sight(self.places, session)
        return WalkScreen(self, sight, lambda walk: self._open(wanted, walk))

    def _open(self, wanted: Wanted, walk: WalkScreen) -> None:
        if walk not in self.screen_stack:  # left already
            return
        self._close()
        self._opening = Opening(wanted, self._opening)
        self._open_beside(self._opening, walk)

    @work(thread=True, exit_on_error=False)
    def _open_beside(self, opening: Opening, walk: WalkScreen) -> None:
        opening.run()
        walk.load_what_takes_over()
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
        self.set_timer(AFTER_OPENING, self._keep_first_sight)

    def _keep_first_sight(self) -> None:
        """As it stands now, for whoever ends the program the hard way."""
        if self.desk is not None:
            keep = sight_to_keep(self.desk.inspection, self.desk.view())
            self.run_worker(keep, thread=True, exit_on_error=False)

    def _not_opened(self, error: str, walk: WalkScreen) -> None:
        """Say why, and what was typed meanwhile; back to the start."""
        typed = walk.not_entered
        lost = f" Typed meanwhile and not recorded: {', '.join(typed)}." if typed else ""
        self.notify(f"{error}{lost}", markup=False, severity="error", timeout=15)
        self._to_the_start()

    def _close(self) -> None:
        if self._opening is not None:
            self._opening.leave()
        if self.desk is not None:
            held, view, self.desk = self.desk.inspection, self.desk.view(), None
            held.close()
            keep_sight(held, view)
            if said := held.log.close_note:
                words = of_this_log(said, held.id)
                self.notify(words, markup=False, severity="warning", timeout=15)

    def _desk(self, inspection: Inspection) -> Desk:
        from inspect_tui.tui.base.desk import Desk

        return Desk(inspection, demo=self.demo, own_unit=self.settings.unit_for)

    def remember_theme(self, name: str) -> str:
        """In the settings; why not, where it can't be."""
        return self._choose("theme", name)

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
        elif event.name == "take_step" and isinstance(self.screen, WalkScreen):
            opening_screens.open_take_step(self, self.screen, self.desk.view())
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
        if walk is None or walk.view is None or self.desk is None:
            self.notify("No session is open: the photo was not taken.", severity="warning")
            return
        said, kind = camera.put_at_step(self, walk.walk.state, Path(event.path))
        self.notify(said, markup=False, severity=kind)

    @on(GoToStep)
    def _go_to_step(self, event: GoToStep) -> None:
        if not isinstance(self.screen, WalkScreen) or not self.screen.is_ready:
            return
        if event.step:
            self.screen.walk.go_to_step(event.step)
        else:
            self.screen.walk.do("go_to")

    def _bench(self) -> None:
        """The bench, filled from the session where one is open."""
        from inspect_tui.tui.screens.bench import BenchScreen

        screen = self.screen
        at = screen.walk.state.step if isinstance(screen, WalkScreen) and screen.is_ready else ""
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
        self._to_the_start()

    def _to_the_start(self) -> None:
        """The start screen, whatever lies over it; made where a session was all there was."""
        from inspect_tui.tui.screens.start import StartScreen

        while len(self.screen_stack) > 1:
            self.pop_screen()
        if not isinstance(self.screen, StartScreen):
            self.switch_screen(StartScreen())
        self.call_after_refresh(self.look_at_stock)

    def action_all_actions(self) -> None:
        """Every action of the screen, by job, and the program's own."""
        from inspect_tui.tui.screens.all_actions import AllActionsScreen, offered_by

        screen = self.screen
        if isinstance(screen, ModalScreen):
            return

        def chosen(do: Callable[[], None] | None) -> None:
            if do is not None:
                do()

        offered = offered_by(screen, self.use_theme, self._open_settings)
        self.push_screen(AllActionsScreen(offered), chosen)

    def _open_settings(self) -> None:
        from inspect_tui.tui.screens.settings import SettingsScreen

        self.push_screen(SettingsScreen(lambda name: self.settings.as_text(name), self._choose))

    def _choose(self, name: str, text: str) -> str:
        """Keep another setting, and go by it from now on; why it can't be kept."""
        try:
            chosen = settings.with_setting(settings.read(self._own_places), name, text)
            settings.write(self._own_places, chosen)
        except (InspectError, OSError) as error:
            return str(error)
        before, self.settings = self.settings, chosen
        self.own_name = chosen.by or self.own_name
        if chosen.theme != before.theme and not self.no_color:
            self.use_theme(chosen.theme, keep=False)
        if chosen.units != before.units and self.desk is not None:
            self.desk.read_in(chosen.unit_for)
            self.hand_out()
        return ""


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
