"""The outside checks of the calculations, and the table of them for the developers' page.

`python tests/reference/outside_checks.py` prints the table as Markdown; with `--write` it puts it
into DEVELOPERS.md.
"""

from __future__ import annotations

import itertools
import sys
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from inspect_tui.calc import REGISTER
from inspect_tui.core.expressions import calculations
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity
from tests.reference.engine_runs import engine_runs
from tests.reference.formulas import FORMULAS
from tests.reference.library_runs import every_run

HERE = Path(__file__).parent
PUBLISHED, LIBRARY, UNSEEN = "page", "library", ("memory", "practice")


@dataclass(frozen=True, slots=True)
class Check:
    """One value of a calculation beside the same value from outside."""

    calculation: str
    what: str
    got: float
    expected: float
    unit: str
    allowed: float
    """Absolute, in the unit."""
    source: str
    seen: str

    @property
    def off(self) -> float:
        return abs(self.got - self.expected)


def _frozen() -> list[Check]:
    text = (HERE / "check_values.toml").read_text(encoding="utf-8")
    checks = []
    for row in tomllib.loads(text)["check"]:
        name, got = _worked(row)
        ((kind, size),) = row["tolerance"].items()
        allowed = size * abs(row["expected"]) if kind == "rel" else size
        inputs = ", ".join(f"{key} {value}" for key, value in row["inputs"].items())
        checks.append(
            Check(
                name,
                f"{row.get('formula') or row['result']}: {inputs}",
                got,
                row["expected"],
                row["unit"],
                allowed,
                row["source"],
                _seen(row["seen"]),
            )
        )
    return checks


def _worked(row: dict[str, Any]) -> tuple[str, float]:
    """The calculation that a row checks, and the row's value as that one gives it.

    A row that names its calculation has its inputs as a person types them; one with a `formula` is
    got from the calculations by a function in `formulas.py`.
    """
    if "formula" in row:
        name, formula = FORMULAS[row["formula"]]
        return name, formula(row["inputs"])
    name = row["calculation"]
    found = calculations.from_text(name, row["inputs"])[row["result"]]
    assert isinstance(found, Quantity)
    return name, float(units.number_in(found, units.unit(row["unit"])))


def _seen(word: str) -> str:
    """`page (code read) + computed` counts as a page, and so on."""
    return word.split()[0]


@cache
def every_check() -> tuple[Check, ...]:
    """The frozen values and the library runs."""
    runs = [
        Check(name, what, got, expected, unit, allowed, library, LIBRARY)
        for name, what, got, expected, unit, allowed, library in (*every_run(), *engine_runs())
    ]
    return (*_frozen(), *runs)


def table() -> str:
    """Calculation, number of outside checks, worst deviation: Markdown, in the register's order."""
    lines = [
        "| calculation | in print | by a library | from memory or practice | worst deviation |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name in REGISTER:
        checks = [check for check in every_check() if check.calculation == name]
        counts = [
            sum(check.seen == PUBLISHED for check in checks),
            sum(check.seen == LIBRARY for check in checks),
            sum(check.seen in UNSEEN for check in checks),
        ]
        lines.append(f"| `{name}` | {' | '.join(map(str, counts))} | {_worst(checks)} |")
    return "\n".join(lines) + "\n"


def _worst(checks: list[Check]) -> str:
    """The deviation nearest to what is allowed; digits that rounding decides are left out."""
    if not checks:
        return "no outside value found"
    worst = max(checks, key=lambda check: check.off / check.allowed)
    share = worst.off / worst.allowed
    if share < 0.01:
        return "under 1 % of what is allowed"
    unit = "" if worst.unit in ("", "1") else f" {worst.unit}"
    return f"{worst.off:.1g}{unit} of {worst.allowed:.1g}{unit} allowed"


def write() -> None:
    """Puts the table into DEVELOPERS.md, in the place of the one that stands there."""
    guide = HERE.parents[1] / "DEVELOPERS.md"
    text = guide.read_text(encoding="utf-8")
    head = table().splitlines()[0]
    before, _, rest = text.partition(head)
    lines = rest.splitlines(keepends=True)[1:]
    after = itertools.dropwhile(lambda line: line.startswith("|"), lines)
    guide.write_text(f"{before}{table()}{''.join(after)}", encoding="utf-8")


if __name__ == "__main__":
    if sys.argv[1:] == ["--write"]:
        write()
    else:
        print(table(), end="")
