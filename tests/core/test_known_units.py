"""The table of usual units says what pint says, word by word."""

from __future__ import annotations

import pytest

from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.unit_table import TABLE


@pytest.mark.parametrize("word", sorted(TABLE))
def test_the_table_is_pint_s(word):
    assert units._single(word, word) == units.by_pint(word, word)


def test_the_usual_ones_are_in_it():
    assert {"millimeter", "kilopascal", "newton", "degree_Celsius", "percent"} <= set(TABLE)
