"""Makes `core/quantities/unit_table.json` from pint: `python tests/core/make_unit_table.py`."""

from __future__ import annotations

import json
from pathlib import Path

from inspect_tui.core.quantities import unit_aliases, units
from inspect_tui.errors import BadInput

FILE = Path(units.__file__).with_name("unit_table.json")
Row = tuple[str, str, dict[str, int], str, str]
"""pint's name, the exact factor to coherent SI, root units with powers, offset, kind."""


def words() -> list[str]:
    """Every word that the trade's spellings lead to, and the usual units themselves."""
    found: set[str] = set()
    for text in unit_aliases.USUAL:
        found.update(text.replace("*", " ").replace("/", " ").replace(".", " ").split())
        for factors in (unit_aliases.usual_meaning(text), unit_aliases.in_light(text, "")):
            found.update(name for name, _ in factors or ())
    for value in vars(unit_aliases).values():
        found.update(_names(value))
    return sorted(found)


def _names(value: object) -> set[str]:
    """Texts anywhere in a table of spellings."""
    if isinstance(value, str):
        return {value} if 0 < len(value) <= 40 and " " not in value else set()
    if isinstance(value, dict):
        return set().union(*(map(_names, [*value, *value.values()])), set())
    if isinstance(value, tuple | list | set | frozenset):
        return set().union(*map(_names, value), set())
    return set()


def table() -> dict[str, Row]:
    """Each word as pint has it; words that are no unit are left out."""
    made: dict[str, Row] = {}
    for word in words():
        for each in (word, f"delta_{word}"):
            try:
                unit = units.by_pint(each, each)
            except (BadInput, ValueError, AttributeError, KeyError):
                continue
            if unit is units.PLAIN or any(power.denominator != 1 for _, power in unit.dimension):
                continue
            roots = {root: int(power) for root, power in unit.dimension}
            made[each] = (unit.name, str(unit.factor), roots, str(unit.offset), unit.quantity_kind)
            if unit.name != each and unit.name not in made:
                again = units.by_pint(unit.name, unit.name)
                if again.name == unit.name:
                    made[unit.name] = made[each]
    return dict(sorted(made.items()))


def text() -> str:
    """The file: one word a line, so that a change is seen."""
    lines = (f"{_json(word)}: {_json(row)}" for word, row in table().items())
    return "{\n" + ",\n".join(lines) + "\n}\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
