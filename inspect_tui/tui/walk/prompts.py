"""What the one entry field asks for when it asks for words instead of a reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from inspect_tui.core.model.photo import typed_file
from inspect_tui.core.model.results import Results
from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line
from inspect_tui.files.store import typed_path
from inspect_tui.tui.base.view_model import Request

if TYPE_CHECKING:
    from inspect_tui.core.model.figures import MissingFigure
    from inspect_tui.workflow.inspection import Inspection

Purpose = Literal[
    "note", "addendum", "skip", "photo", "copy", "finding", "add", "goto", "gauge", "state", "air",
    "figure", "source", "paper",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Prompt:
    """A question of another kind in the same field."""

    purpose: Purpose
    title: str
    asks: str
    hint: str
    make: Callable[[str], Request] | None
    """The request that the typed words become; None where the screen itself acts on them."""
    done: str = ""
    """What is said when it is written."""
    moves_on: bool = False
    """Whether the next open reading is asked afterwards."""
    condition: str = ""
    """The figure of the air that is asked."""
    figure: MissingFigure | None = None
    """The figure of the machine's sheet that is asked, or whose source is."""
    value: str = ""
    """What the manual says, as it was typed, while its source is asked; the sheets' day while their
    hand is asked."""


def note(step: str, title: str) -> Prompt:
    """Words at a step."""
    return Prompt(
        "note",
        "NOTE",
        f"A note at the step '{one_line(title)}'",
        "what was seen or done",
        lambda text: lambda held: held.note(step, text),
        "Noted.",
    )


def addendum() -> Prompt:
    """Words after the sign-off."""
    return Prompt(
        "addendum",
        "ADDENDUM",
        "Words added to the signed log",
        "what came up afterwards",
        lambda text: lambda held: held.addendum(text),
        "Added.",
    )


def skip_reading(target: Target, label: str) -> Prompt:
    """One reading that can't be taken."""
    where = f"{one_line(label)} {one_line(target.cylinder or '')}".strip()
    return Prompt(
        "skip",
        "SKIP READING",
        f"Why can't '{where}' be taken?",
        "the reason",
        lambda text: lambda held: held.skip(target.step, text, target.reading, target.cylinder),
        f"Skipped: {where}.",
        True,
    )


def photo(step: str, title: str, cylinder: str | None) -> Prompt:
    """A picture's file at a step."""
    where = f"{one_line(title)} {one_line(cylinder or '')}".strip()
    return Prompt(
        "photo",
        "PHOTO",
        f"Which picture shows '{where}'?",
        "the picture's path, such as  ~/Pictures/IMG_1.jpg",
        lambda text: lambda held: held.photo(step, _picture_file(text), cylinder),
        "The photo is in the store.",
    )


def _picture_file(text: str) -> Path:
    path = typed_file(text)
    return typed_path(text.strip() if path is None else path)


def keep_copy(unsaved: tuple[str, ...]) -> Prompt:
    """The session on another disk."""
    also = f"; {len(unsaved)} typed and not saved go beside it" if unsaved else ""
    return Prompt(
        "copy",
        "KEEP A COPY",
        f"Into which folder, on another disk{also}?",
        "such as  /media/stick",
        lambda text: lambda held: held.log.keep_copy(typed_path(text.strip()), unsaved),
    )


def skip_step(step: str, title: str) -> Prompt:
    """A whole step that isn't done."""
    return Prompt(
        "skip",
        "SKIP STEP",
        f"Why is the step '{one_line(title)}' skipped?",
        "the reason",
        lambda text: lambda held: held.skip(step, text),
        f"Skipped: {one_line(title)}.",
        True,
    )


def finding(step: str, title: str, cylinder: str | None) -> Prompt:
    """A finding in a person's own words."""
    where = f"{one_line(title)} {one_line(cylinder or '')}".strip()
    return Prompt(
        "finding",
        "FINDING",
        f"What was found at '{where}'?",
        "in your own words; it will want a decision",
        lambda text: lambda held: (f"Finding {held.add_finding(step, text, cylinder)}.",),
    )


def add_step(section: str, title: str) -> Prompt:
    """A step thought of on the spot."""

    def make(text: str) -> Request:
        def add(held: Inspection) -> tuple[str, ...]:
            held.job.add_line(section, text)
            return (f"Added: {one_line(text.partition('|')[0].strip())}.",)

        return add

    return Prompt(
        "add",
        "ADD A STEP",
        f"What is looked at, in the section '{one_line(title)}'? Tab: steps of other lists",
        "a tick; or  Gap | mm;  Gap | mm | min 3;  Oil | one of clear, milky",
        make,
    )


def go_to() -> Prompt:
    """Another step, by a few letters of its name."""
    return Prompt("goto", "GO TO", "Which step? Type a part of its name", "part of a name", None)


def gauge(current: str) -> Prompt:
    """The gauge that the next readings are taken with."""
    hint = f"now: {one_line(current)}; - for none" if current else "such as  caliper 2"
    return Prompt("gauge", "GAUGE", "Which gauge are the next readings taken with?", hint, None)


def state(current: str) -> Prompt:
    """The state in which the next readings are taken."""
    hint = f"now: {one_line(current)}; - for none" if current else "such as  cold, on the stand"
    return Prompt("state", "STATE", "In what state is it read: cold, warm, loaded?", hint, None)


def paper_date() -> Prompt:
    """When the readings on the sheets were taken; asked once."""
    asks = "From paper: on which day were the readings taken?"
    return Prompt("paper", "FROM PAPER", asks, "year-month-day, as on the sheet", None)


def paper_hand(day: str) -> Prompt:
    """Who took them; asked once."""
    asks = f"From paper, {day}: who took the readings?"
    return Prompt("paper", "FROM PAPER", asks, "the name on the sheet", None, value=day)


def conditions(name: str, results: Results) -> Prompt:
    """One figure of the air of the day; Enter on the empty field goes to the next one."""
    now = next((each.shown for each in results.air.lines if each.name == name), "")
    examples = {
        "temperature": "-12 C",
        "qnh": "1018 hPa",
        "altitude": "600 m",
        "relative_humidity": "70 %",
    }
    return Prompt(
        "air",
        "AIR OF THE DAY",
        f"The {wording.CONDITIONS[name]}",
        f"now: {one_line(now)}; Enter keeps it" if now else f"such as  {examples[name]}",
        lambda text: lambda held: held.set_conditions(**{name: text}),
        "Written down.",
        condition=name,
    )


def section_title(results: Results, section: str) -> str:
    """A section's title."""
    return next((each.title for each in results.checklist.section if each.id == section), section)
