"""A table that breaks no word, in any room that its longest word fits into."""

from __future__ import annotations

import io

from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console
from rich.text import Text

from inspect_tui.tui.widgets.fitted_table import MARK, FittedTable, Row, shares

WORDS = st.lists(st.text("abcdefgh", min_size=1, max_size=11), min_size=0, max_size=5)
ROWS = st.integers(1, 6).flatmap(
    lambda many: st.lists(
        st.tuples(WORDS, st.lists(WORDS, min_size=many, max_size=many)), min_size=1, max_size=4
    )
)


def drawn(table, width):
    console = Console(file=io.StringIO(), width=width, color_system=None)
    console.print(table)
    return console.file.getvalue()


def table_of(rows, names=()):
    made = [
        Row(Text("▶"), Text(" ".join(label)), tuple(Text(" ".join(cell)) for cell in cells))
        for label, cells in rows
    ]
    return FittedTable(tuple(made), tuple(Text(name) for name in names), alike=bool(names))


@settings(max_examples=40)
@given(ROWS, st.integers(MARK + 24, 120), st.booleans())
def test_no_word_is_broken(rows, width, named):
    names = [f"cylinder{place}" for place in range(len(rows[0][1]))] if named else []
    shown = drawn(table_of(rows, names), width).split()
    wanted = [word for label, cells in rows for part in (label, *cells) for word in part]
    assert sorted(set(wanted)) == sorted(set(shown) - {"▶"} - set(names))
    assert all(shown.count(word) >= wanted.count(word) for word in wanted)


@given(st.integers(1, 200), st.lists(st.tuples(st.integers(1, 20), st.integers(0, 40)), min_size=1))
def test_widths_take_the_room_and_no_more(room, columns):
    needs = [need for need, _ in columns]
    widths = shares(room, needs, [need + more for need, more in columns])
    if sum(needs) > room:
        assert widths is None
    else:
        assert sum(widths) == room
        assert all(width >= need for width, need in zip(widths, needs, strict=True))


def test_a_sign_stays_behind_its_word():
    row = Row(Text(" "), Text("Skirt"), (Text("scratched ✗"), Text("even ✓"), Text("even ✓")))
    names = (Text("PTO"), Text("centre"), Text("MAG"))
    for width in range(30, 80):
        shown = drawn(FittedTable((row,), names, alike=True), width)
        assert "scratched ✗" in shown, width
