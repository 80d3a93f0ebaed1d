"""Every calculation against values from outside; what has fewer than two says so here."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from inspect_tui.calc import REGISTER
from inspect_tui.calc.exchange import Attribute, find_exchange
from tests.reference.outside_checks import LIBRARY, PUBLISHED, UNSEEN, Check, every_check, table


@pytest.mark.parametrize("check", every_check(), ids=lambda c: f"{c.calculation}: {c.what}"[:90])
def test_a_value_from_outside(check: Check) -> None:
    assert math.isfinite(check.got)
    assert check.off <= check.allowed, (
        f"{check.got} instead of {check.expected} {check.unit} ({check.source})"
    )


def test_every_value_names_its_source() -> None:
    for check in every_check():
        assert len(check.source) > 4, check.what
        assert check.seen in (PUBLISHED, LIBRARY, *UNSEEN), check.what
        assert check.allowed > 0


@pytest.mark.parametrize("name", REGISTER)
def test_two_outside_values_or_its_row_says_why_not(name: str) -> None:
    seen = [c.seen for c in every_check() if c.calculation == name]
    outside = sum(word in (PUBLISHED, LIBRARY) for word in seen)
    thin = REGISTER[name].thin
    assert (outside < 2) == bool(thin), (
        f"{name} has {outside} values from outside, and its row says "
        f"{f'that it is thin: {thin}' if thin else 'nothing of that'}: add them to "
        "tests/reference/check_values.toml, or say in the row why there are none (`thin`)."
    )


def test_the_table_has_a_line_for_every_calculation() -> None:
    lines = table().splitlines()
    assert [line.split("`")[1] for line in lines[2:]] == list(REGISTER)
    for name in ("road_speed", "chain_sag"):
        assert f"| `{name}` | 0 | 0 | 0 | no outside value found |" in lines


FACTORY = [(145, 40, 60), (150, 40, 60), (155, 42.5, 62.5)]


@pytest.mark.parametrize(
    ("found", "cycles"),
    [
        ([(145, 40, 60), (155, 42.5, 62.5), (150, 40, 60)], ((1, 2),)),
        ([(145, 40, 60), (155, 40, 60), (155, 42.5, 62.5)], None),
        ([(150, 40, 60), (147.5, 40, 60), (155, 42.5, 62.5)], None),
        ([(150, 40, 60), (155, 42.5, 62.5), (145, 40, 60)], ((0, 1, 2),)),
    ],
    ids=["exchanged", "one change", "no exchange: residual", "rotated"],
)
def test_the_four_cases_of_exchanged_parts(
    found: list[tuple[float, ...]], cycles: tuple[tuple[int, ...], ...] | None
) -> None:
    """Verdicts by assignment with scipy's linear_sum_assignment and brute force, 1.17.1."""
    attributes = [
        Attribute(tuple(map(float, column)), tuple(map(float, figures)))
        for column, figures in zip(
            zip(*found, strict=True), zip(*FACTORY, strict=True), strict=True
        )
    ]
    got = find_exchange(attributes)
    assert (None if got is None else got.cycles) == cycles


def test_grubbs_and_student_agree_with_the_library_to_nine_digits() -> None:
    from scipy.stats import t as student

    from inspect_tui.calc.distributions import t_quantile, t_tail

    for freedom in (1, 2, 3, 5, 10, 29, 100, 1000, 9999):
        for tail in (0.5, 0.4, 0.05, 0.025, 0.0025, 1e-5, 1e-9):
            wanted = student.isf(tail, freedom)
            assert t_quantile(tail, freedom) == pytest.approx(wanted, rel=1e-9, abs=1e-12)
        for value in (0.0, 0.3, 1.0, 4.0, 40.0):
            assert t_tail(value, freedom) == pytest.approx(student.sf(value, freedom), rel=1e-9)


def test_the_guide_shows_this_table() -> None:
    guide = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    # Worst deviations are left out: their last digits are the libraries' and the processor's.
    shown = [line.split("|")[1:5] for line in guide.splitlines() if line.startswith("| `")]
    missing = [line for line in table().splitlines()[2:] if line.split("|")[1:5] not in shown]
    assert not missing, (
        "DEVELOPERS.md lacks these lines; put them there by `python "
        "tests/reference/outside_checks.py --write`:\n" + "\n".join(missing)
    )
