"""Parts exchanged between cylinders, as a calculation: stamped parts against the sheet's.

The cheapest way of assigning what was found to the cylinders is no evidence by itself: it only
sorts the values. What may be claimed, `exchange` says; always a hint, never an instruction.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from inspect_tui.calc import input_checks
from inspect_tui.calc.exchange import Attribute, Cell, Exchange, find_exchange, misfits
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

MAX_LISTED = 24
"""Cylinders of a list."""
_NUMBER = re.compile(r"[0-9]{1,12}(\.[0-9]{1,12})?")


@declare(
    subject="engine",
    title="Parts exchanged between cylinders",
    inputs=(
        Input("found", None, "what was found, per cylinder", "230; 240; 240", many=True,
              at=(230, 240, 240)),
        Input("expected", None, "what the sheet says, per cylinder", "240; 230; 240", many=True,
              at=(240, 230, 240)),
    ),
    results=(
        Result("pairs", None, "cylinders that look exchanged, counted from 0"),
        Result("explained", None, "true if no difference is left over"),
    ),
    formula="found i = expected j and found j = expected i, and no other order nearly as good",
    source="own conditions, tried by simulation (rates in the tests); assignment problem",
    valid=(
        "Stamped parts, which fit exactly or not at all; cylinders with the same figures on the "
        "sheet can't be told apart."
    ),
    harm="A hint, never an instruction: look at all parts of both cylinders first.",
    refuses=(
        Refusal({"found": []}, "found must have one element per cylinder"),
        Refusal({"found": [1, 2]}, "expected must be as long as found"),
        Refusal({"found": [None, 1, 2]}, "found must have a value for every cylinder"),
        Refusal({"found": [float("nan"), 1, 2]}, "found"),
        Refusal({"found": [(1, 2), 1, 2]}, "attributes for every cylinder"),
    ),
)  # fmt: skip
def swapped_parts(*, found: Sequence[object], expected: Sequence[object]) -> dict[str, Outcome]:
    """Which cylinders look as if their parts had been exchanged.

    One element per cylinder: a number, a word, or a list of them where several parts are compared
    at once. A pair is claimed when the sheet tells the two cylinders apart, what was found fits
    exactly the other way round, neither has its own part, and no other order explains it nearly as
    well. `pairs` is a list of (i, j); `explained` is also true, without pairs, when everything is
    as the sheet says, and false for three carburettors gone round.
    """
    rows, sheet = _rows("found", found), _rows("expected", expected)
    if len(rows) != len(sheet):
        raise ValueError(
            "expected must be as long as found, one per cylinder; "
            f"got {len(sheet)} beside {len(rows)}"
        )
    width = len(rows[0])
    if any(len(row) != width for row in rows + sheet):
        raise ValueError(f"expected and found must have {width} attributes for every cylinder")
    attributes = [
        Attribute(tuple(row[k] for row in rows), tuple(row[k] for row in sheet))
        for k in range(width)
    ]
    claims = _claims(attributes)
    pairs = {cycle for claim in claims for cycle in claim.cycles if len(cycle) == 2}
    left_over = {
        cylinder
        for attribute, claim in zip(attributes, claims, strict=True)
        for cylinder in misfits(attribute, claim.order)
    }
    turned = any(len(cycle) > 2 for claim in claims for cycle in claim.cycles)
    return {"pairs": tuple(sorted(pairs)), "explained": not left_over and not turned}


def _claims(attributes: Sequence[Attribute]) -> list[Exchange]:
    """For each attribute the exchange that tells of it: that of all together, else its own."""
    nobody = Exchange(tuple(range(len(attributes[0].found))))
    whole = find_exchange(attributes)
    if whole is not None:
        return [whole] * len(attributes)
    return [find_exchange([attribute]) or nobody for attribute in attributes]


def _rows(name: str, values: object) -> list[tuple[Cell, ...]]:
    """Elements as rows, every part checked: a single number or word is a row of one attribute."""
    if isinstance(values, str) or not isinstance(values, Sequence):
        raise ValueError(f"{name} must be a list with one element per cylinder")
    if not 1 <= len(values) <= MAX_LISTED:
        raise ValueError(
            f"{name} must have one element per cylinder, 1 to {MAX_LISTED}; got {len(values)}"
        )
    rows = []
    for position, value in enumerate(values):
        if value is None:
            raise ValueError(f"{name} must have a value for every cylinder; {position} has none")
        row = tuple(value) if isinstance(value, (list, tuple)) else (value,)
        if not row:
            raise ValueError(f"{name} must have a row of attributes for cylinder {position}")
        rows.append(tuple(_cell(name, position, cell) for cell in row))
    return rows


def _cell(name: str, position: int, cell: object) -> Cell:
    """A word without regard to case and space; a number written as a word is that number."""
    if cell is None or isinstance(cell, bool):
        return cell
    if isinstance(cell, str):
        word = " ".join(cell.split()).casefold()
        return float(word) if _NUMBER.fullmatch(word) else word
    return float(input_checks.number(f"{name} (cylinder {position})", cell))
