"""The screens that lie over the walk, and when the plan is the first of them."""

from __future__ import annotations

from importlib import import_module
from typing import Final

from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen

OVER_THE_WALK: Final = {
    "findings": "FindingsScreen",
    "compare": "CompareScreen",
    "sign": "SignScreen",
    "export": "ExportScreen",
    "plan": "PlanScreen",
}
"""Screens over the walk, by the module's name; imported when they are opened."""


def over_the_walk(name: str, desk: InspectionActions, view: View) -> InspectionScreen:
    """A screen over the walk, which stays below."""
    module = import_module(f"inspect_tui.tui.screens.{name}")
    screen: InspectionScreen = getattr(module, OVER_THE_WALK[name])(desk, view)
    return screen


def opens_on_plan(view: View) -> bool:
    """Whether the plan comes before the walk: it was left half-way, or something was put off."""
    begun = bool(view.session.readings or view.carried)
    return begun and not view.signed and not view.read_only
