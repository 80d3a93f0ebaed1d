"""The form of an expression for many rows at once gives, row by row, what the exact tree gives."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.expressions import calculation_rows, calculations, expression
from inspect_tui.core.expressions.columns import ANSWER, Rows, Samples, is_number
from inspect_tui.core.expressions.values import Missing, Name
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity

WORDS = {
    "a": "mm", "b": "mm", "c": "mm", "d": "kg", "n": "", "t": "degC", "w": "degC", "p": "%",
    "q": "kPa",
}  # fmt: skip
"""What the expressions below are about; `many` is a list of lengths."""
NAMES = {word: Name("value", "s", word) for word in (*WORDS, "many", "yes", "word")}

TEXTS = [
    "a + b", "a - b + '0.5 mm'", "'2 mm' - a", "a * b", "a / b", "a / (b - c)", "-a + +b",
    "a ** 2", "a ** -1", "(a * b) ** 0.5", "a ** 0.5", "(a - b) ** 2 / c", "n ** 8", "n ** -2",
    "min(a, b)", "max(a, b, c)", "mean(a, b)", "spread(a, b, c)", "max(many)", "min(many, a)",
    "mean(many)", "spread(many)", "max(many - a)", "abs(a - b)", "abs(many - a)", "sqrt(a * b)",
    "sqrt(a - b)", "round(a, 'mm')", "round(n)", "round(t, 'degC')", "round(p, '%')",
    "round(a - b, 'mm')", "t - w", "t + '5 delta_degC'", "spread(t, w)", "max(t, w)", "a * p",
    "p + '5 %'", "d * '9.80665 N/kg' * a", "min(1, n)", "max('30 mm', a)", "a * 0", "2 / (n - n)",
    "a < b", "a <= b < c", "a == b", "a != b", "a > '5 mm'", "'5 mm' >= a", "not a < b",
    "a < b and b < c", "a < b or b < c", "yes and a < b", "yes == true", "word == 'good'",
    "word != 'Good '", "many == [a, b, c]", "many == [a, '3 mm', c]", "t > '0 degC'",
    "spread_percent(values=many)", "spread(values=many) < '2 mm'", "spread_mean(values=[a, b])",
    "span_tension(force='50 N', span='1 m', deflection=a)",
    "conformance_verdict(value=a, uncertainty='1 mm', min=b) == 'pass'",
    "swapped_parts_explained(found=[n, 1], expected=[1, n])",
    "repeat_readings_expanded(values=many) < '2 mm'",
]  # fmt: skip


def values_in_rows(floats):
    """Twelve floats a row (one for each word, three for the list) as the lookups of both forms."""
    count = len(floats)
    columns = list(zip(*floats, strict=True))

    def sampled(place, unit):
        known = units.unit(unit)
        factor, offset = float(known.factor), float(known.offset)
        return Samples(
            [value * factor + offset for value in columns[place]], known.dimension,
            known.quantity_kind,
        )  # fmt: skip

    table = {word: sampled(place, unit) for place, (word, unit) in enumerate(WORDS.items())}
    table["many"] = tuple(sampled(len(WORDS) + place, "mm") for place in range(3))
    table["yes"], table["word"] = True, "good"
    return count, table


def exact_row(floats):
    """The same row in fractions."""
    table = {
        word: units.of(Fraction(floats[place]), units.unit(unit))
        for place, (word, unit) in enumerate(WORDS.items())
    }
    listed = floats[len(WORDS) :]
    table["many"] = tuple(units.of(Fraction(value), units.unit("mm")) for value in listed)
    table["yes"], table["word"] = True, "good"
    return table


QUARTERS = st.integers(-80, 200).map(lambda number: number / 4)
"""Far enough apart that floats and fractions agree on which is larger."""


@pytest.mark.parametrize("text", TEXTS)
@settings(max_examples=20)
@given(floats=st.lists(st.lists(QUARTERS, min_size=12, max_size=12), min_size=1, max_size=4))
def test_every_row_is_what_the_exact_tree_gives(text, floats):
    parsed = expression.parse(text, NAMES)
    count, table = values_in_rows(floats)
    rows = Rows(count, lambda name: table[name.id])
    many = parsed.in_rows(rows)
    for row in range(count):
        exact = exact_row(floats[row])
        one = parsed.evaluate(lambda name, exact=exact: exact[name.id])
        if isinstance(one, Missing):
            assert isinstance(many, Missing) or row in rows.bad, (one.reason, row)
            continue
        if isinstance(many, Missing):
            pytest.fail(f"{text}: {many.reason}, where row {row} gives {one}")
        same(text, many, one, row, rows)


def same(text, many, one, row, rows):
    if isinstance(one, tuple):
        for part, single in zip(many, one, strict=True):
            same(text, part, single, row, rows)
        return
    if isinstance(one, bool):
        found = many if isinstance(many, bool) else rows.column(many.si)[row]
        assert bool(found) == one
        assert not isinstance(many, Samples) or many.quantity_kind == ANSWER
        return
    if row in rows.bad:
        # Floats may refuse a row that fractions just allow, on the very edge of a range.
        assert is_number(many)
        return
    assert (many.dimension, many.quantity_kind) == (one.dimension, one.quantity_kind)
    value = rows.column(many.si)[row]
    assert math.isfinite(value)
    if "round" in text:
        # On a half, fractions and floats may round to either side.
        whole = {"percent": 0.01, "temperature": 1.0}.get(one.quantity_kind, 0.001)
        whole = whole if one.dimension or one.quantity_kind else 1.0
        assert min(abs(value - float(one.si) - off) for off in (-whole, 0, whole)) < 1e-9
    else:
        assert value == pytest.approx(float(one.si), rel=1e-9, abs=1e-12)


def test_a_comparison_forgives_the_last_digit_and_nothing_more():
    parsed = expression.parse("a <= b", NAMES)
    for off, expected in ((0.0, 1.0), (1e-12, 1.0), (1e-6, 0.0)):
        table = {"a": Samples([0.1 + 0.2 + off]), "b": Samples([0.3])}
        assert list(parsed.in_rows(Rows(1, lambda name, t=table: t[name.id])).si) == [expected]


def test_what_is_the_same_in_every_row_stays_one_number():
    length = units.unit("mm").dimension
    table = {"a": Samples(0.002, length), "b": Samples([0.001, 0.003], length)}
    rows = Rows(2, lambda name: table[name.id])
    assert expression.parse("a + '1 mm'", NAMES).in_rows(rows).si == pytest.approx(0.003)
    assert list(expression.parse("a + b", NAMES).in_rows(rows).si) == pytest.approx([0.003, 0.005])


def test_no_number_beyond_all_numbers_comes_out():
    table = {"n": Samples([1e150, 2.0])}
    rows = Rows(2, lambda name: table[name.id])
    found = expression.parse("min(n ** 8, 1)", NAMES).in_rows(rows)
    assert rows.bad == {0}
    assert all(map(math.isfinite, found.si))


@pytest.mark.parametrize("name", calculations.names())
def test_every_calculation_goes_by_rows(name):
    found = calculations.calculation(name)
    texts = {entry.name: entry.example for entry in found.inputs if entry.example}
    arguments = calculations.arguments_from_text(name, texts)
    factors = (1.0, 1.001, 0.998)

    def scaled(value, factor):
        if isinstance(value, tuple):
            return tuple(scaled(part, factor) for part in value)
        if isinstance(value, Quantity) and value.si and value.si != int(value.si):
            return Quantity(Fraction(float(value.si) * factor), value.dimension,
                            value.quantity_kind)  # fmt: skip
        return value

    def column(value):
        if isinstance(value, tuple):
            return tuple(map(column, value))
        if not isinstance(value, Quantity):
            return value
        si = [float(scaled(value, factor).si) for factor in factors]
        steady = len(set(si)) == 1
        return Samples(si[0] if steady else si, value.dimension, value.quantity_kind)

    sampled = {key: column(value) for key, value in arguments.items()}
    for result in found.results:
        rows = Rows(3, lambda _: Missing("no names here"))
        many = calculation_rows.call(rows, found, result.key, sampled)
        for row, factor in enumerate(factors):
            given_here = {key: scaled(value, factor) for key, value in arguments.items()}
            one = calculations.call(name, given_here)[result.key]
            if isinstance(one, Quantity) and isinstance(many, Samples):
                assert rows.column(many.si)[row] == pytest.approx(float(one.si), rel=1e-9)
                assert many.dimension == one.dimension
                assert many.quantity_kind == one.quantity_kind
            elif isinstance(many, Samples):
                assert row in rows.bad or many.si[row] == one
            else:
                assert isinstance(many, Missing) or many == one
