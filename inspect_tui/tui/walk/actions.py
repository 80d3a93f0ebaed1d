"""The walk screen's table of actions."""

from __future__ import annotations

from typing import Final

from inspect_tui.tui.base.actions import Action

ACTIONS: Final = (
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    Action("f3", "next_open", "Next open", "Go to the next reading without a value", True),
    Action("ctrl+g", "go_to", "Go to", "Go to a step by typing a part of its name", True),
    Action("f2", "phase", "Found/left", "Record as found, or as left after the work", True),
    Action("ctrl+n", "note", "Note", "Write a note at this step", True),
    Action("ctrl+s", "skip_reading", "Skip", "This reading can't be taken: say why", True),
    Action("f7", "findings", "Findings", "Every finding, and what is done about it", True),
    Action("f9", "sign_off", "Sign", "What is open in plain sentences; sign off", True),
    Action("f5", "why", "Why, tools", "Why it matters and the tools it takes; the whole how"),
    Action("f6", "details", "Formula, log", "Formulas, sources, earlier values, notes, findings"),
    Action("f4", "next_finding", "Next finding", "Go to the next step with an open finding"),
    Action("f8", "compare", "Compare", "All cylinders side by side, against the sheet"),
    Action("f12", "bench", "Bench", "Every calculation, filled from your readings"),
    Action("f10", "leave", "Sessions", "Back to the list of sessions; everything is saved"),
    Action("ctrl+t", "skip_step", "Skip step", "The whole step is not done: say why"),
    Action("ctrl+r", "left_as_found", "Left as found", "The rest of this step stays as it was"),
    Action("ctrl+o", "move", "Other phase", "Move this value from as found to as left, or back"),
    Action("ctrl+f", "finding", "Own finding", "Write down a finding in your own words"),
    Action("ctrl+l", "add_step", "Add step", "Add a step that was forgotten to this group"),
    Action("ctrl+y", "fold", "Fold", "Fold or unfold this group in the list"),
    Action("up", "up", "Up", "The reading before this one; type there to correct its value"),
    Action("down", "down", "Down", "The reading after this one"),
    Action("pageup", "step_before", "Step before", "The step before this one"),
    Action("pagedown", "step_after", "Step after", "The step after this one"),
    Action("escape", "escape", "Clear", "Clear the field, or leave what it asks for"),
    Action("", "gauge", "Gauge", "The gauge that the next readings are taken with"),
    Action("", "condition", "State", "The state the next readings are taken in: cold, warm ..."),
    Action("ctrl+d", "air", "Air of the day", "Temperature, pressure, altitude and humidity"),
    Action("ctrl+x", "photos", "Photos", "Look at the photos of this step"),
    Action("", "attach", "Attach photo", "Put a picture's file at this step"),
    Action("", "keep_copy", "Keep a copy", "Write the session, and what isn't saved, elsewhere"),
    Action("", "export", "Export", "Make the report: md, html, csv, json or pdf"),
)
