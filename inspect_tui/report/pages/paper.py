"""Blank sheets of a list for a machine: its figures, boxes to write in, a form of all figures.

The steps have the numbers that they have on the screen, and stand in that order, so that what was
written in the shed is typed in afterwards from top to bottom. Pure: blocks, drawn by the PDF.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Derived, Reading, Section, Step
from inspect_tui.core.model.figures import FigureDescription
from inspect_tui.core.model.log_entry import AS_FOUND
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Results
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.formatting import format_value, join_words
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.report.content.steps import step_numbers
from inspect_tui.report.content.times import day
from inspect_tui.report.content.value_words import limit_words
from inspect_tui.report.pages.blocks import (
    Across,
    Band,
    Block,
    Bullets,
    Cell,
    Column,
    Heading,
    Ink,
    PageEnd,
    Row,
    Table,
    TableRow,
    Text,
    some,
)

MOST_SIDE_BY_SIDE = 4
"""Cylinders that have columns of their own; of more the boxes are written into together."""
PLAIN = (
    Column("Reading", 3.2), Column("As found", 3.4, "value"), Column("As left", 1.7, "value"),
    Column("Limit", 2.2),
)  # fmt: skip
NOTES = (Column("", 0.6), Column("", 9))
FIGURES = (
    Column("Figure", 3.4), Column("Unit", 0.9), Column("On the sheet", 1.9), Column("New", 2.1),
    Column("Where one finds it", 3.2),
)  # fmt: skip
INTRODUCTION = (
    "The numbers are those on the screen: type what is written here in that order, from top to "
    "bottom. Write as found before touching anything; as left once it is measured again. Write ? "
    "where nobody knows. A figure with its unit (in, psi, turns) may be written as it is read."
)


@dataclass(frozen=True, slots=True)
class Blank:
    """A list and a machine before the first reading."""

    machine: Machine
    results: Results
    evaluator: Evaluator
    figures: Sequence[tuple[str, FigureDescription | None]]
    """The figures that the list asks for, in its order, with what manuals call them."""
    values: Mapping[str, str]
    """By the same names: what the sheet has, in words."""
    at: datetime
    """When it is printed."""


def paper_blocks(blank: Blank) -> Iterator[Block]:
    """All sheets."""
    checklist = blank.results.checklist
    yield Heading(blank.machine.name or blank.machine.id, 1)
    yield Text(
        f"{checklist.title}, revision {checklist.revision}. Blank sheets, printed "
        f"{day(blank.at.date())} with the machine's figures as they were then.",
        "subtitle",
    )
    yield Ink(("Date", "Measured by", "Meter"))
    yield Text(INTRODUCTION)
    yield Text(wording.SAFETY)
    yield from some(Heading("Cautions"), Bullets(checklist.cautions))
    numbers = step_numbers(blank.results)
    for number, section in enumerate(checklist.section, 1):
        yield from _section(blank, number, section, numbers)
    yield PageEnd()
    yield from _figures(blank)


# --- steps ------------------------------------------------------------------------------------


def _section(
    blank: Blank, number: int, section: Section, numbers: Mapping[str, str]
) -> Iterator[Block]:
    results = [blank.results.step(step.id) for step in section.step]
    wanted = [one for one in results if one.state not in NOT_OF_THE_JOB]
    if not wanted:
        return
    yield Heading(f"{number}. {section.title}")
    tools = dict.fromkeys(tool for one in wanted for tool in one.step.tools)
    minutes = sum(one.step.minutes or 0 for one in wanted)
    took = f" About {format_value(minutes)} minutes." if minutes else ""
    if tools:
        yield Text(f"Fetch: {join_words(list(tools))}.{took}", "faint")
    for cylinders, steps in groupby(wanted, lambda one: _beside(blank, one.step)):
        rows = [
            row for one in steps for row in _step(blank, one.step, numbers[one.step.id], cylinders)
        ]
        columns, over = _grid_columns(cylinders) if cylinders else (PLAIN, ())
        yield Table(section.title, columns, tuple(rows), over)
    yield Table("Notes", NOTES, (Row((Cell("Notes"), Cell(box=True))),))


def _beside(blank: Blank, step: Step) -> tuple[str, ...]:
    cylinders = blank.machine.cylinders
    return cylinders if step.per_cylinder and 1 < len(cylinders) <= MOST_SIDE_BY_SIDE else ()


def _grid_columns(
    cylinders: Sequence[str],
) -> tuple[tuple[Column, ...], tuple[tuple[str, int], ...]]:
    heads = ("As found", "As left")
    values = tuple(Column(head, 1.25, "value") for _ in cylinders for head in heads)
    over = (("", 1), *((name, len(heads)) for name in cylinders), ("", 1))
    return (Column("Reading", 3.0), *values, Column("Limit", 2.0)), over


def _step(blank: Blank, step: Step, number: str, cylinders: Sequence[str]) -> Iterator[TableRow]:
    yield Band(number, step.title, _marks(step))
    if step.how:
        yield Across(" ".join(step.how.split()), leads=True)
    if step.caution:
        yield Across(f"Caution: {step.caution}", "caution", leads=True)
    for reading in step.readings:
        if cylinders:
            yield _grid_row(blank, step, reading, cylinders)
        else:
            yield from _plain_rows(blank, step, reading)
    for derived in step.derived:
        limit = _limit(blank, step, derived)
        if limit:
            yield Across(f"Worked out from these: {derived.label}: {limit}", "faint")


def _marks(step: Step) -> str:
    """What the sign-off wants of it, and how long it takes."""
    said = []
    if step.gate:
        said.append(f"must pass {wording.GATES[step.gate]}")
    elif step.is_safety:
        said.append("safety step")
    if step.minutes:
        said.append(f"{format_value(step.minutes)} min")
    return ", ".join(said)


def _plain_rows(blank: Blank, step: Step, reading: Reading) -> Iterator[Row]:
    """One row; of a step per cylinder that can't stand side by side one for each."""
    cylinders: tuple[str | None, ...] = (None,)
    if step.per_cylinder:
        cylinders = blank.machine.cylinders
    for cylinder in cylinders:
        label = _label(reading, with_options=False)
        named = label if cylinder is None else f"{label}, {cylinder}"
        found = Cell("   ".join(f"□\u00a0{each}" for each in _answers(reading)))
        if not found.words:
            found = Cell(box=True)
        yield Row(
            (
                Cell(named), found, Cell(box=True),
                Cell(_limit_of(blank, step, reading, cylinder)),
            )
        )  # fmt: skip


def _grid_row(blank: Blank, step: Step, reading: Reading, cylinders: Sequence[str]) -> Row:
    boxes = [Cell(box=True) for _ in range(2 * len(cylinders))]
    return Row(
        (Cell(_label(reading, with_options=True)), *boxes, Cell(_limit(blank, step, reading)))
    )


def _answers(reading: Reading) -> tuple[str, ...]:
    """What can be ticked; nothing where a value is written."""
    if reading.kind == "choice":
        return reading.options
    return ("yes", "no") if reading.kind == "check" else ()


def _label(reading: Reading, *, with_options: bool) -> str:
    """What is asked, with its unit, or what the answer can be."""
    said = reading.label
    unit = "min:s" if reading.kind == "timer" else format_unit(reading.unit)
    said += f" [{unit}]" if unit else ""
    if with_options and _answers(reading):
        said += f" ({' / '.join(_answers(reading))})"
    return said + (" (may be left out)" if reading.optional else "")


def _limit(blank: Blank, step: Step, item: Reading | Derived) -> str:
    """The limit; of each cylinder where it is each one's own."""
    across = isinstance(item, Derived) and item.across
    cylinders: tuple[str | None, ...] = (None,)
    if step.per_cylinder and not across:
        cylinders = blank.machine.cylinders
    said = {cylinder: _limit_of(blank, step, item, cylinder) for cylinder in cylinders}
    if len(set(said.values())) == 1:
        return next(iter(said.values()))
    return "; ".join(f"{cylinder} {words}" for cylinder, words in said.items() if words)


def _limit_of(blank: Blank, step: Step, item: Reading | Derived, cylinder: str | None) -> str:
    """One that waits for a reading is worked out when that is typed in."""
    zone = blank.evaluator.zone(step, item.id, cylinder, AS_FOUND)
    if zone is None:
        return ""
    if zone.reason:
        return "" if zone.reason.startswith("not measured") else f"no figure: {zone.reason}"
    return limit_words(zone)


# --- figures ----------------------------------------------------------------------------------


def _figures(blank: Blank) -> Iterator[Block]:
    """The form of all figures, to go through with the manual on the knees."""
    rows = [
        Row(
            (
                Cell(name.replace("_", " ") if about is None else about.label),
                Cell("" if about is None else format_unit(about.unit)),
                Cell(blank.values.get(name, "")), Cell(box=True),
                Cell("" if about is None else about.where),
            )
        )
        for name, about in blank.figures
    ]  # fmt: skip
    if not rows:
        return
    yield Heading("Figures of the machine")
    cylinders = blank.machine.cylinders
    order = ""
    if len(cylinders) > 1:
        order = f" Several values are in the order {', '.join(cylinders)}."
    yield Text(
        "What this list asks for, with what the sheet has. Write what the manual says where it "
        f"differs or is missing, and the page.{order}"
    )
    yield Table("Figures of the machine", FIGURES, tuple(rows))
