"""The table of usual units says what pint says, word by word."""

from __future__ import annotations

from inspect_tui.core.quantities import unit_table, units
from tests.core import make_unit_table


def test_the_file_is_what_its_maker_makes_from_pint():
    assert make_unit_table.FILE.read_text(encoding="utf-8") == make_unit_table.text()


def test_a_word_of_the_table_is_the_unit_that_pint_gives():
    for word in unit_table.words():
        assert units._single(word, word) == units.by_pint(word, word)


def test_the_usual_ones_are_in_it():
    assert {"millimeter", "kilopascal", "newton", "degree_Celsius", "percent"} <= set(
        unit_table.words()
    )
