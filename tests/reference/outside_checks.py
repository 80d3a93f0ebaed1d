"""The outside checks of the calculations, and the table of them for the developers' page.

`python tests/reference/outside_checks.py` prints the table as Markdown.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from formulas import FORMULAS
from library_runs import every_run

from inspect_tui.calc import REGISTER

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
        name, formula = FORMULAS[row["formula"]]
        ((kind, size),) = row["tolerance"].items()
        allowed = size * abs(row["expected"]) if kind == "rel" else size
        inputs = ", ".join(f"{key} {value}" for key, value in row["inputs"].items())
        checks.append(
            Check(
                name,
                f"{row['formula']}: {inputs}",
                formula(row["inputs"]),
                row["expected"],
                row["unit"],
                allowed,
                row["source"],
                _seen(row["seen"]),
            )
        )
    return checks


def _seen(word: str) -> str:
    """`page (code read) + computed` counts as a page, and so on."""
    return word.split()[0]


@cache
def every_check() -> tuple[Check, ...]:
    """The frozen values and the library runs."""
    runs = [
        Check(name, what, got, expected, unit, allowed, library, LIBRARY)
        for name, what, got, expected, unit, allowed, library in every_run()
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
    unit = "" if worst.unit == "1" else f" {worst.unit}"
    return f"{worst.off:.1g}{unit} of {worst.allowed:.1g}{unit} allowed"


if __name__ == "__main__":
    print(table(), end="")
