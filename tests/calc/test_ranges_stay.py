"""Which figures are taken has not moved: own regression values, no outside evidence.

Whoever changes a range on purpose writes them anew: `python -m tests.calc.test_ranges_stay`.
"""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path

import pytest

from inspect_tui.calc import REGISTER
from inspect_tui.calc.input_checks import Range
from inspect_tui.calc.registry import Input

FILE = Path(__file__).with_name("ranges.toml")
ROWS = [
    (calculation, side, name, row)
    for calculation, sides in tomllib.loads(FILE.read_text(encoding="utf-8")).items()
    for side, names in sides.items()
    for name, row in names.items()
]


def takes(entry: Input, value: float) -> bool:
    """Whether a figure is taken, alone or several times in a list."""
    try:
        entry.checked([value] * max(entry.fewest, 2) if entry.many else value)
    except ValueError as refusal:
        assert entry.name in str(refusal)
        return False
    return True


@pytest.mark.parametrize(("calculation", "side", "name", "row"), ROWS)
def test_the_ends_are_where_they_were(
    calculation: str, side: str, name: str, row: dict[str, float]
) -> None:
    inputs = {entry.name: entry for entry in REGISTER[calculation].inputs}
    low, high = row["low"], row["high"]
    step = 1 if row.get("whole") else (high - low) * 1e-9
    if side == "takes":
        assert takes(inputs[name], high) and takes(inputs[name], low + step)
        assert takes(inputs[name], low) == (not row.get("open"))
        assert not takes(inputs[name], low - step) and not takes(inputs[name], high + step)
        assert inputs[name].fewest == row.get("fewest", 1)
    else:  # a result: what no machine has
        (sane,) = (each.sane for each in REGISTER[calculation].results if each.key == name)
        assert sane is not None
        assert (float(sane.low), float(sane.high)) == pytest.approx((low, high), rel=1e-9)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if "default" in row[3]], ids=lambda row: row[0]
)
def test_what_is_left_out_counts_as_it_did(row: tuple[str, str, str, dict[str, float]]) -> None:
    calculation, _, name, held = row
    (entry,) = (one for one in REGISTER[calculation].inputs if one.name == name)
    assert entry.optional and float(Fraction(entry.default)) == pytest.approx(
        held["default"], rel=1e-12
    )


def test_every_range_is_held() -> None:
    assert {row[:3] for row in ROWS} == {each[:3] for each in _ranges()}


def _ranges() -> list[tuple[str, str, str, Range, int]]:
    return [
        (name, side, key, found, fewest)
        for name, entry in REGISTER.items()
        for side, key, found, fewest in (
            *(("takes", each.name, each.takes, each.fewest) for each in entry.inputs),
            *(("gives", each.key, each.sane, 1) for each in entry.results),
        )
        if found is not None
    ]


def _write() -> None:
    lines = [f"# {line}" if line else "#" for line in (__doc__ or "").strip().splitlines()]
    defaults = {
        (name, each.name): each.default
        for name, entry in REGISTER.items()
        for each in entry.inputs
        if each.optional and not isinstance(each.default, str)
    }
    for calculation, side, name, found, fewest in _ranges():
        row = f"{{ low = {float(found.low)!r}, high = {float(found.high)!r}"
        row += ", open = true" * (not found.low_included)
        row += ", whole = true" * found.whole
        default = defaults.get((calculation, name)) if side == "takes" else None
        row += f", default = {float(default or 0)!r}" * (default is not None)
        row += f", fewest = {fewest}" * (fewest > 1)
        lines.append(f"{calculation}.{side}.{name} = {row} }}")
    FILE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    _write()
