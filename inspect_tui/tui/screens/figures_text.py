"""The page of figures in words: its rows, and what is asked of the one in hand."""

from __future__ import annotations

from typing import Final

from rich.cells import cell_len
from rich.text import Text

from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.unit_text import amount_of_sheet, format_unit
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, PASS, UNCERTAIN, whole_words
from inspect_tui.tui.base.tones import TONES
from inspect_tui.tui.screens.figures_state import FiguresState
from inspect_tui.workflow.machine_figures import PageRow

LACKS: Final = "–"


def table(state: FiguresState, width: int, height: int) -> Text:
    """As many rows as there is room for, the asked one among them, under their headings."""
    rows = state.rows
    if not rows:
        return Text("No figure has these words. Esc shows all.", style=DIM)
    lines: list[tuple[int | None, Text]] = []
    heading = None
    for at, row in enumerate(rows):
        if row.section != heading:
            heading = row.section
            lines.append((None, Text(whole_words(one_line(heading).upper(), width), style=DIM)))
        lines.append((at, _line(state, row, at == state.at, width)))
    here = next(place for place, (at, _) in enumerate(lines) if at == state.at)
    first = max(0, min(here - height // 2, len(lines) - height))
    text = Text(no_wrap=True, overflow="ellipsis")
    for place, (number, line) in enumerate(lines[first : first + height]):
        if place:
            text.append("\n")
        if number is not None:
            line.apply_meta({"row": number})
        text.append_text(line)
    return text


def _line(state: FiguresState, row: PageRow, here: bool, width: int) -> Text:
    sign = "▶" if here else " "
    mark, style = ("?", UNCERTAIN) if state.is_unknown(row) else (
        (LACKS, UNCERTAIN) if row.is_missing else ("✓", PASS)
    )  # fmt: skip
    values = "  ".join(_value(row, each) for each in row.values)
    if row.is_missing and not any(row.values):
        values = LACKS if len(row.values) == 1 else " ".join(LACKS for _ in row.values)
    beside = 0 if width < 70 else 22 if width < 110 else 34
    shown = whole_words(values, width // 3)
    room = max(10, width - 5 - cell_len(shown) - (beside + 2 if beside else 0))
    line = Text(f"{sign} ")
    line.append(mark, style=style)
    label = whole_words(one_line(row.label), room)
    line.append(f" {label}", style="bold" if here else "")
    line.append(" " * max(1, room - cell_len(label) + 1))
    line.append(shown, style=DIM if row.is_missing else "")
    if beside and row.source:
        line.append(f"  {whole_words(one_line(row.source), beside)}", style=DIM)
    line.truncate(width, overflow="ellipsis")
    return line


def _value(row: PageRow, value: str) -> str:
    """One value; a quantity with its unit as people write it, a word as it stands."""
    return one_line(amount_of_sheet(value) if row.unit else value) or LACKS


def asked(state: FiguresState) -> Text:
    """The figure in hand: what manuals call it, its unit, where one finds it, what is there."""
    row = state.row
    if row is None:
        return Text("Nothing is shown.", style=DIM)
    if state.asks == "source":
        what = f"{one_line(row.label)}: {one_line(state.held)}. " if state.held else ""
        return Text(f"{what}Where from? Manual and page, decal, measured; kept for the next ones.")
    text = Text(one_line(row.label), style="bold")
    if row.unit:
        text.append(f"  [{one_line(format_unit(row.unit))}]")
    if row.where:
        text.append(f"\n{one_line(row.where)}", style=DIM)
    if row.cylinders:
        text.append("\n")
        for at, (cylinder, value) in enumerate(zip(row.cylinders, row.values, strict=True)):
            style = ASKED if at == state.cell else DIM
            sign = "▸" if at == state.cell else " "
            text.append(f"{sign}{one_line(cylinder)} {_value(row, value)}  ", style=style)
    elif row.about is not None:
        text.append(f"\n{_answers(row)}", style=ASKED)
    return spanned_first(text)


def spanned_first(text: Text) -> Text:
    """With its first style as a span, which a widget shades as it should."""
    return Text().append_text(text)


def _answers(row: PageRow) -> str:
    about = row.about
    assert about is not None
    if about.kind == "check":
        return "1 yes   0 no"
    return "   ".join(f"{at} {one_line(each)}" for at, each in enumerate(about.options, 1))


def hint(state: FiguresState) -> str:
    """What the empty field says."""
    row = state.row
    if state.asks == "source":
        return "such as  manual, page 12"
    if row is None:
        return "/ and words find a figure"
    same = f" · = as {row.cylinders[state.cell - 1]}" if state.cell and state.same() else ""
    if state.value:
        kept = f"Enter: stays {_value(row, state.value)}"
        return f"{kept}{same}"
    return f"Enter: next · ? not known{same}"


def said(state: FiguresState) -> Text:
    """The last thing that was said, else how much is missing."""
    if state.said:
        return Text(one_line(state.said), style=TONES[state.tone])
    return Text(count(state), style=DIM)


def count(state: FiguresState) -> str:
    """How much of the page is there."""
    unknown = sum(state.is_unknown(row) for row in state.page.rows)
    parts = [f"{state.missing} missing of {len(state.page.rows)}"]
    if unknown:
        parts.append(f"{unknown} not known")
    return join_words(parts)
