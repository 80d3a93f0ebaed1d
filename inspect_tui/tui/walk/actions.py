"""The walk screen's table of actions: keys, letters of the short menu, words, jobs."""

from __future__ import annotations

from typing import Final

from inspect_tui.tui.base.actions import Action, Job


def _action(
    key: str, name: str, label: str, job: Job, letter: str, words: str, *, shown: bool = False
) -> Action:
    return Action(key, name, label, words, shown, job, letter)


ACTIONS: Final = (
    _action("f3", "next_open", "Next", "Go", "n",
            "Go to the next reading without a value; one that is open stays asked", shown=True),
    _action("ctrl+e", "plan", "Plan", "Go", "u",
            "What stops the ride, what comes next, what fits the time"),
    _action("ctrl+g", "go_to", "Go to", "Go", "g", "Go to a step by a part of its name",
            shown=True),
    _action("slash", "menu", "Menu", "Go", "",
            "One letter does an everyday action, on the empty field", shown=True),
    _action("f2", "phase", "Found/left", "Record", "p",
            "Record as found, or as left after the work", shown=True),
    _action("ctrl+z", "take_back", "Take back", "Record", "z",
            "Take the last reading back; it stays readable in the log", shown=True),
    _action("ctrl+s", "skip_reading", "Skip", "Record", "s",
            "This reading can't be taken: say why", shown=True),
    _action("ctrl+n", "note", "Note", "Words", "w", "Write a note at this step", shown=True),
    _action("f7", "findings", "Findings", "Decide and sign", "f",
            "Every finding, and what is done about it", shown=True),
    _action("f9", "sign_off", "Sign", "Decide and sign", "y",
            "What is open in plain sentences; sign off", shown=True),
    _action("f4", "next_finding", "Next finding", "Go", "v",
            "Go to the next step with an open finding"),
    _action("up", "up", "Up", "Go", "",
            "The reading before this one; type there to correct its value"),
    _action("down", "down", "Down", "Go", "", "The reading after this one"),
    _action("pageup", "step_before", "Step before", "Go", "", "The step before this one"),
    _action("pagedown", "step_after", "Step after", "Go", "", "The step after this one"),
    _action("ctrl+t", "skip_step", "Skip step", "Record", "t",
            "The whole step is not done: say why"),
    _action("ctrl+r", "left_as_found", "Unchanged", "Record", "r",
            "The rest of this step is left as it was found, or as it was before it was upset"),
    _action("ctrl+o", "move", "Move value", "Record", "o",
            "This value was put in the wrong place: from as found to as left, or back"),
    _action("escape", "escape", "Clear", "Record", "",
            "Clear the field, or leave what it asks for"),
    _action("", "gauge", "Gauge", "Record", "",
            "The gauge that the next readings are taken with"),
    _action("", "condition", "State", "Record", "",
            "The state the next readings are taken in: cold, warm ..."),
    _action("", "figure", "Figure", "Record", "#",
            "What the manual says where the machine's sheet lacks a figure of this step"),
    _action("ctrl+f", "finding", "Own finding", "Words", "m",
            "Write down a finding in your own words"),
    _action("ctrl+l", "add_step", "Add step", "Words", "j",
            "Add a step that was forgotten to this group"),
    _action("ctrl+d", "air", "Air", "Words", "a",
            "The air of the day: temperature, pressure, altitude and humidity"),
    _action("", "attach", "Attach photo", "Words", "", "Put a picture's file at this step"),
    _action("f1", "help", "Help", "Look", "h", "What this screen is for, and its keys",
            shown=True),
    _action("f5", "why", "Why, tools", "Look", "i",
            "Why it matters and the tools it takes; the whole how"),
    _action("f6", "details", "Formulas", "Look", "d",
            "Formulas, sources, probabilities, earlier values, notes, findings"),
    _action("f8", "compare", "Cylinders", "Look", "c",
            "All cylinders side by side, against the sheet"),
    _action("ctrl+b", "bars", "Bars", "Look", "k",
            "The cylinders of this reading side by side, drawn"),
    _action("f11", "far", "Two metres", "Look", "2",
            "Question and answer in letters to be read from two metres"),
    _action("", "saved", "Last saved", "Look", "l", "The last ten readings that were saved"),
    _action("ctrl+x", "photos", "Photos", "Look", "", "Look at the photos of this step"),
    _action("f12", "bench", "Bench", "Look", "b",
            "Every calculation, filled from your readings"),
    _action("ctrl+y", "fold", "Fold", "Look", "", "Fold or unfold this group in the list"),
    _action("", "export", "Export", "Session", "e",
            "Make the report: md, html, csv, json or pdf"),
    _action("", "keep_copy", "Keep a copy", "Session", "",
            "Write the session, and what isn't saved, elsewhere"),
    _action("f10", "leave", "Sessions", "Session", "x",
            "Back to the list of sessions; everything is saved"),
    _action("ctrl+q", "quit", "Quit", "Session", "q",
            "End the program; everything recorded is saved"),
)  # fmt: skip
