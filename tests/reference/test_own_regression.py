"""Own regression values: nothing has moved. No outside evidence."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from inspect_tui.calc import REGISTER

ROWS = tomllib.loads((Path(__file__).parent / "own_regression.toml").read_text(encoding="utf-8"))[
    "value"
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["calculation"])
def test_the_value_has_not_moved(row: dict[str, object]) -> None:
    name, inputs, wanted = row["calculation"], row["inputs"], row["results"]
    assert isinstance(inputs, dict) and isinstance(wanted, dict)
    got = REGISTER[str(name)].function(**inputs)
    for key, value in wanted.items():
        assert float(got[key]) == pytest.approx(value, rel=row.get("rel", 1e-9))  # type: ignore[arg-type]
