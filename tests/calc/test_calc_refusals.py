"""What is outside its range is refused in one sentence that names the input; nothing else goes out.

Never nan, never inf, never another error, never what no machine has, whatever numbers come in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.calc import REGISTER
from inspect_tui.calc.registry import Input, Refusal

NUMBERS = [
    (name, entry)
    for name, calculation in REGISTER.items()
    for entry in calculation.inputs
    if entry.unit is not None and not entry.many
]
LISTS = [
    (name, entry.name)
    for name, calculation in REGISTER.items()
    for entry in calculation.inputs
    if entry.unit is not None and entry.many
]
RANGES = [(name, entry) for name, entry in NUMBERS if entry.takes is not None]
REFUSALS = [(name, one) for name, entry in REGISTER.items() for one in entry.refuses]


def named(pair: tuple[str, object]) -> str:
    return f"{pair[0]} {getattr(pair[1], 'name', getattr(pair[1], 'changes', pair[1]))}"


def refused(name: str, changes: dict[str, object]) -> str:
    with pytest.raises(ValueError) as refusal:
        REGISTER[name].function(**(REGISTER[name].working_point | changes))
    message = str(refusal.value)
    assert message and "\n" not in message and len(message) < 300
    assert any(entry.name in message for entry in REGISTER[name].inputs)
    return message


@pytest.mark.parametrize("pair", REFUSALS, ids=named)
def test_what_a_row_says_is_refused_is_refused_in_its_words(pair: tuple[str, Refusal]) -> None:
    name, refusal = pair
    assert refusal.words in refused(name, dict(refusal.changes))


@pytest.mark.parametrize("pair", RANGES, ids=named)
def test_a_figure_past_either_end_of_its_range_is_refused_by_name(pair: tuple[str, Input]) -> None:
    name, entry = pair
    assert entry.takes is not None
    wide = entry.takes.high - entry.takes.low
    outside = [entry.takes.low - wide / 1000, entry.takes.high + wide / 1000, 10**9]
    if not entry.takes.low_included:
        outside.append(entry.takes.low)
    if entry.takes.whole:
        outside = [entry.takes.low - 1, entry.takes.high + 1, entry.takes.low + Fraction(1, 2)]
    for value in outside:
        assert refused(name, {entry.name: value}).startswith(f"{entry.name} must be ")


@pytest.mark.parametrize("pair", NUMBERS, ids=named)
def test_what_is_no_finite_number_is_refused_by_name(pair: tuple[str, Input]) -> None:
    name, entry = pair
    for bad in (math.nan, math.inf, -math.inf, "12", True, [1.0], 10**1500):
        assert entry.name in refused(name, {entry.name: bad}), bad


@pytest.mark.parametrize(("name", "key"), LISTS)
def test_a_list_with_something_else_in_it_is_refused(name: str, key: str) -> None:
    for bad in (math.nan, math.inf, "12", True, None, [1.0]):
        assert f"{key} (value 2)" in refused(name, {key: [1.0, bad, 2.0]}), bad
    assert f"{key} must be a list of numbers" in refused(name, {key: "12"})


@pytest.mark.parametrize("name", REGISTER)
def test_the_ordinary_working_point_gives_every_result(name: str) -> None:
    results = REGISTER[name].function(**REGISTER[name].working_point)
    assert list(results) == [result.key for result in REGISTER[name].results]


@pytest.mark.parametrize("name", REGISTER)
def test_what_is_left_out_counts_as_its_default(name: str) -> None:
    point = REGISTER[name].working_point
    left_out = {e.name: e.default for e in REGISTER[name].inputs if e.optional and e.default}
    needed = {key: value for key, value in point.items() if key not in left_out}
    function = REGISTER[name].function
    assert function(**needed) == function(**(point | left_out))


def numbers_in(value: object) -> Iterator[float | Fraction | int]:
    if isinstance(value, tuple):
        for element in value:
            yield from numbers_in(element)
    elif isinstance(value, (int, float, Fraction)):
        yield value


def sane(name: str, inputs: dict[str, object]) -> bool:
    """Whether results came out, all finite and sane; False where it was refused by name."""
    try:
        results = REGISTER[name].function(**inputs)
    except ValueError as refusal:
        assert any(entry.name in str(refusal) for entry in REGISTER[name].inputs)
        return False
    assert list(results) == [result.key for result in REGISTER[name].results]
    for result in REGISTER[name].results:
        for number in numbers_in(results[result.key]):
            assert math.isfinite(number)
            if result.sane is not None:
                assert float(result.sane.low) <= number <= float(result.sane.high)
    return True


anything = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.floats(min_value=1e-6, max_value=1e6),
    st.integers(-(10**320), 10**320),
    st.fractions(max_denominator=10**6),
)


@pytest.mark.parametrize("name", REGISTER)
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_finite_in_gives_finite_out_or_words(name: str, data: st.DataObject) -> None:
    inputs = REGISTER[name].working_point
    for entry in REGISTER[name].inputs:
        if entry.unit is not None and data.draw(st.booleans()):
            drawn = st.lists(anything, min_size=1, max_size=6) if entry.many else anything
            inputs[entry.name] = data.draw(drawn)
    sane(name, inputs)


@pytest.mark.parametrize("name", REGISTER)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_figures_that_are_each_in_range_give_what_a_machine_can_have_or_words(
    name: str, data: st.DataObject
) -> None:
    """Ends and magnitudes of every range, since absurd figures lie at the ends."""
    inputs = REGISTER[name].working_point
    for entry in REGISTER[name].inputs:
        if entry.takes is None or entry.many:
            continue
        low, high = entry.takes.low, entry.takes.high
        if entry.takes.whole:
            inputs[entry.name] = data.draw(st.integers(int(low), int(high)))
            continue
        part = data.draw(st.sampled_from([0, 1e-6, 1e-3, 0.03, 0.3, 1]) | st.floats(0, 1))
        inputs[entry.name] = float(low) + part * float(high - low)
    sane(name, inputs)
