"""Screens that are opened over others, imported when they are; the app hands itself in."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen

if TYPE_CHECKING:
    from inspect_tui.tui.app import InspectApp
    from inspect_tui.tui.base.view_model import View
    from inspect_tui.tui.screens.new_session import NewSessionScreen
    from inspect_tui.tui.walk.screen import WalkScreen
    from inspect_tui.workflow.catalogue import DefinitionLine

OVER_THE_WALK = {
    "findings": "FindingsScreen",
    "compare": "CompareScreen",
    "sign": "SignScreen",
    "export": "ExportScreen",
    "plan": "PlanScreen",
    "widen": "WidenScreen",
}
"""Screens over the walk, by the module's name; imported when they are opened."""


def over_the_walk(name: str, app: InspectApp, view: View) -> InspectionScreen:
    """A screen over the walk, which stays below."""
    module = import_module(f"inspect_tui.tui.screens.{name}")
    screen: InspectionScreen = getattr(module, OVER_THE_WALK[name])(app, view)
    return screen


def open_figures(app: InspectApp, machine: str = "", checklist: str = "") -> None:
    """The page of all figures: of the open session's machine, or of the one that is named."""
    from inspect_tui.tui.base.sheet_desk import SheetDesk
    from inspect_tui.tui.screens.figures import FiguresScreen
    from inspect_tui.workflow.missing_figures import list_ids

    try:
        if app.desk is not None:
            held, view = app.desk.inspection, app.desk.view()
            sheet = SheetDesk(
                app.places, held.machine.id, inspection=held, submit=app.submit
            )  # fmt: skip
            app.push_screen(FiguresScreen(app, view, sheet))
        else:
            sheet = SheetDesk(app.places, machine, checklist, lists=list_ids(app.places))
            app.push_screen(FiguresScreen(app, None, sheet, app.look_at_stock))
    except InspectError as error:
        app.notify(str(error), markup=False, severity="error", timeout=15)


def make_machine(app: InspectApp, event: NewSessionScreen.NewMachine) -> None:
    """A sheet for a machine that has none; why not is said where it was named."""
    from inspect_tui.workflow.sheets import new_machine

    try:
        machine = new_machine(app.places, event.name, event.cylinders)
    except (InspectError, OSError) as error:
        event.screen.say(str(error))
        return
    event.screen.made(machine)
    app.look_at_stock()


def open_new_list(app: InspectApp) -> None:
    """A list of one's own; begun at once where that is wanted."""
    from inspect_tui.tui.screens.new_list import NewListScreen
    from inspect_tui.tui.screens.new_session import NewSessionScreen
    from inspect_tui.tui.screens.start import StartScreen
    from inspect_tui.workflow.own_lists import new_own_list

    start = next(each for each in app.screen_stack if isinstance(each, StartScreen))

    def save(title: str, lines: Sequence[tuple[str, str]]) -> DefinitionLine:
        made = new_own_list(app.places, title, lines)
        app.look_at_stock()
        return made

    def begin(made: DefinitionLine | None) -> None:
        if made is not None:
            app.push_screen(NewSessionScreen(start.stock, app.own_name, checklist=made))

    app.push_screen(NewListScreen(lambda: start.stock.checklists, save), begin)


def open_take_step(app: InspectApp, walk: WalkScreen, view: View) -> None:
    """Steps of other lists for the open session."""
    from inspect_tui.tui.screens.take_step import TakeStepScreen
    from inspect_tui.workflow.catalogue import checklists

    controller = walk.walk
    state = controller.state
    section = state.results.step(state.step).section
    words = state.draft.text if state.prompt is not None else ""
    read = partial(checklists, app.places)
    app.push_screen(TakeStepScreen(app, view, section, read, controller.step_taken, words))


def open_machine(app: InspectApp, machine: str, name: str) -> None:
    """The page of a machine over its seasons; of the open session's where none is named."""
    from inspect_tui.tui.screens.machine import MachineScreen
    from inspect_tui.workflow.machine_page import machine_page

    if app.desk is not None:
        machine, name = app.desk.inspection.machine.id, app.desk.inspection.machine.name
    places, today = app.places, app.now().date()
    if machine:
        load = partial(machine_page, places, machine, name, today)
        app.push_screen(MachineScreen(app, name or machine, load))


def opens_on_plan(view: View) -> bool:
    """Whether the plan comes before the walk: it was left half-way, or something was put off."""
    begun = bool(view.session.readings or view.carried)
    return begun and not view.signed and not view.read_only


def show_opened(app: InspectApp, walk: WalkScreen, view: View) -> None:
    """A session has come: its walk, and the plan over it where that is the first to be read."""
    walk.show(view)
    if opens_on_plan(view) and not walk.walk.not_entered and app.screen is walk:
        app.push_screen(over_the_walk("plan", app, view))
