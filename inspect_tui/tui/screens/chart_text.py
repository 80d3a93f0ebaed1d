"""The jet chart drawn as a table of characters, and what is asked of it."""

from __future__ import annotations

from typing import Final

from rich.cells import cell_len
from rich.text import Text

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, PASS, UNCERTAIN, whole_words
from inspect_tui.tui.base.tones import TONES
from inspect_tui.tui.screens.chart_state import ChartState, cell_words

LACKS: Final = "–"


def table(state: ChartState, width: int, height: int) -> Text:
    """The part of the table that there is room for, the asked cell in it."""
    rows, columns = state.rows, state.columns
    if not rows or not columns:
        named = [one.words for one in (*rows, *columns)]
        more = f" So far: {', '.join(named)}." if named else ""
        return Text(f"No jet chart yet: bands of temperature, then of altitude.{more}", style=DIM)
    cells = [[cell_words(state.value(row, column), " ") or LACKS for column in columns]
             for row in rows]  # fmt: skip
    heads = [one_line(column.words) for column in columns]
    side = max(cell_len(one_line(row.words)) for row in rows)
    wide = [
        max(cell_len(heads[at]), *(cell_len(line[at]) for line in cells)) + 1
        for at in range(len(columns))
    ]
    first = _first(wide, state.column, width - side - 4)
    room = width - side - 4
    shown = [
        at
        for at in range(first, len(columns))
        if at == first or sum(wide[first : at + 1]) + 2 * (at - first) <= room
    ]
    top = max(0, min(state.row - (height - 2) // 2, len(rows) - height + 1))
    text = Text(no_wrap=True, overflow="ellipsis")
    text.append(" " * (side + 3))
    for at in shown:
        text.append(f"{heads[at]:<{wide[at]}}  ", style=DIM)
    if len(shown) < len(columns):
        text.append("…", style=DIM)
    for number, row in list(enumerate(rows))[top : top + height - 1]:
        text.append("\n")
        text.append(f" {one_line(row.words):>{side}} │", style=DIM)
        for at in shown:
            here = number == state.row and at == state.column and state.asks == "cell"
            words = f"{'▶' if here else ' '}{cells[number][at]:<{wide[at]}}"
            cell = Text(words, style="bold reverse" if here else "")
            cell.apply_meta({"cell": (number, at)})
            text.append_text(cell)
            text.append(" ")
    return text


def _first(wide: list[int], asked: int, room: int) -> int:
    """The first column that is shown, so that the asked one is among them."""
    first = 0
    while first < asked and sum(wide[first : asked + 1]) + 2 * (asked - first) > room:
        first += 1
    return first


def asked(state: ChartState) -> Text:
    """What is asked."""
    if state.changing is not None:
        words = f"{state.changing.words}: other edges, from and to? Nothing typed: it is taken out."
        return Text(words)
    if state.asks == "temperature":
        return Text("A band of temperature, from and to. The lower edge belongs to it.")
    if state.asks == "altitude":
        return Text("A band of altitude, from and to. The lower edge belongs to it.")
    if state.asks == "source":
        return Text(f"{state.held}. Where is the chart from? Manual and page, or decal.")
    place = state.place
    if place is None:
        return Text("")
    text = Text(one_line(state.label), style="bold")
    text.append(f"   {place[0].words}, {place[1].words}")
    text.append(f"   now {state.here.replace(';', '')}" if state.here else "   empty")
    if len(state.page.cylinders) > 1:
        names = "; ".join(map(one_line, state.page.cylinders))
        text.append(f"\nOne for all, or one for each: {names}", style=DIM)
    return Text().append_text(text)


def hint(state: ChartState) -> str:
    """What the empty field says."""
    if state.asks == "source":
        return "such as  manual, page 40"
    if state.asks == "temperature":
        return "such as  -29 to -18"
    if state.asks == "altitude":
        return "such as  0 to 600   (or 0 to 2000 ft)"
    same = " · = as before" if state.before else ""
    return f"Enter: next{same}"


def said(state: ChartState, width: int) -> Text:
    """What was said last, and what is wrong with the bands."""
    text = Text(one_line(state.said), style=TONES[state.tone])
    wrong = state.troubles
    if wrong:
        more = f" And {len(wrong) - 2} more." if len(wrong) > 2 else ""
        words = whole_words(f"! {' '.join(wrong[:2])}{more}", max(40, 2 * width))
        text = Text("\n" if text else "").join([text, Text(words)]) if text else Text(words)
        text.stylize(UNCERTAIN, len(text) - len(words))
    elif not text and state.rows and state.columns:
        text = Text("The bands meet without gap or overlap.", style=PASS)
    return Text().append_text(text)


__all__ = ["ASKED", "asked", "hint", "said", "table"]
