"""The sheet of one calculation on the bench: fields, results, drawing, what it rests on."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from inspect_tui.core.bench import diagrams, worksheet
from inspect_tui.core.bench.worksheet import CalcResult, Field, Sheet
from inspect_tui.core.text.unit_text import format_unit, with_units
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, UNCERTAIN, spanned

HERE = "▶"


def rows(sheet: Sheet, at: int, shown_in: Mapping[str, str]) -> RenderableType:
    """A line a field, then a line a result.

    Args:
        sheet: What stands on the bench.
        at: The line that the entry field is for.
        shown_in: By result: the unit that it is shown in, where it isn't the likeliest.
    """
    table = Table.grid(padding=(0, 1, 0, 0))
    table.add_column(width=1, style=ASKED)
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    known = {worked.key: worked for worked in sheet.results}
    for place, field in enumerate(sheet.fields):
        here = place == at
        table.add_row(HERE if here else "", _name(field.entry.words, here), _field(field))
    table.add_row()
    for place, result in enumerate(sheet.calculation.results, len(sheet.fields)):
        here = place == at
        worked = known.get(result.key)
        value = Text("·", style=DIM)
        if worked is not None:
            value = Text(f"= {result_words(worked, shown_in)}", style="bold")
        table.add_row(HERE if here else "", _name(result.key, here), value)
    return Group(
        Text(with_units(one_line(sheet.calculation.title)), style="bold"),
        table,
        spanned(state(sheet)),
    )


def _name(name: str, here: bool) -> Text:
    return Text(name.replace("_", " "), style="bold" if here else "")


def _field(field: Field) -> Text:
    written = one_line(field.text).strip()
    if not written:
        default = "may stay empty" if field.entry.optional else f"such as {field.entry.example}"
        return spanned(Text(default, style=f"{DIM} italic"))
    text = Text(written, style=FAIL if field.trouble else "")
    if field.trouble:
        text.append(" ✗ can't be read", style=FAIL)
    elif field.understood and field.understood != written:
        text.append(f" = {field.understood}", style=DIM)
    return spanned(text)


def state(sheet: Sheet) -> Text:
    """What keeps a result from coming out; nothing where it is there."""
    if sheet.trouble:
        return Text(f"✗ {one_line(sheet.trouble)}", style=FAIL)
    wrong = [field.entry.words for field in sheet.fields if field.trouble]
    if wrong:
        return Text(f"✗ to be mended: {_listed(wrong)}", style=FAIL)
    if sheet.wanted:
        return Text(f"○ still wanted: {_listed(sheet.wanted)}", style=UNCERTAIN)
    return Text("✓ worked out", style=PASS)


def _listed(names: tuple[str, ...] | list[str]) -> str:
    return ", ".join(names)


def result_words(worked: CalcResult, shown_in: Mapping[str, str]) -> str:
    """A result in the unit that was chosen for it."""
    return worksheet.in_words(worked, worksheet.unit_for(worked, shown_in.get(worked.key, "")))


def asked(sheet: Sheet, at: int) -> tuple[str, str, str]:
    """What the entry field is for: its name, what it is, a hint that stands in the empty field."""
    if at < len(sheet.fields):
        field = sheet.fields[at]
        entry = field.entry
        meaning = with_units(entry.meaning)
        if entry.choices:
            meaning += f": {', '.join(entry.choices)}"
        elif field.unit:
            meaning += f"; without a unit it counts in {format_unit(field.unit)}"
        hint = f"{entry.example}{', or nothing' if entry.optional else ''}"
        return entry.words, meaning, hint
    result = sheet.calculation.results[at - len(sheet.fields)]
    worked = next((each for each in sheet.results if each.key == result.key), None)
    choices = [format_unit(unit) for unit in worked.units if unit] if worked is not None else []
    if not choices:
        return result.key, with_units(result.meaning), ""
    return result.key, f"{with_units(result.meaning)}; in {', '.join(choices)}", "another unit"


def drawing(sheet: Sheet) -> Text:
    """What is measured where."""
    return Text(diagrams.drawing(sheet.calculation.name), no_wrap=True)


def rests_on(sheet: Sheet) -> Text:
    """Formula, range, source, and which way an error hurts."""
    found = sheet.calculation
    text = Text()
    said = [("Formula", found.formula), ("Valid", found.valid), ("Source", found.source)]
    if found.harm:
        said.append(("Mind", found.harm))
    for place, (name, words) in enumerate(said):
        text.append(f"{chr(10) if place else ''}{name}: ", style=DIM)
        text.append(with_units(one_line(words)))
    return text
