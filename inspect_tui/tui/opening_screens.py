"""Screens that are opened over others, imported when they are; the app hands itself in."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen

if TYPE_CHECKING:
    from inspect_tui.tui.app import InspectApp

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
