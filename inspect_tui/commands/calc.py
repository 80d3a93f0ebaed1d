"""The `calc` command: a calculation at the prompt."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from inspect_tui.calc.registry import SUBJECTS, Calculation, Input
from inspect_tui.commands.common import show, show_json
from inspect_tui.core.bench import worksheet
from inspect_tui.core.bench.worksheet import CalcResult
from inspect_tui.core.expressions import calculations
from inspect_tui.core.expressions.signatures import taken_words
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.unit_text import format_unit, with_units
from inspect_tui.errors import BadInput


def calc(given: argparse.Namespace) -> int:
    """List the calculations, say what one wants, or work one out."""
    if given.name is None:
        _list_all(given.json)
        return 0
    calculation = calculations.calculation(given.name)
    if not given.inputs:
        _say_what_it_wants(calculation, given.json)
        return 0
    pairs = []
    for text in given.inputs:
        key, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                f"'{sanitize(text)[:60]}' is no input.",
                "Write key=value, such as span='1 m'.",
            )
        pairs.append((key.strip(), value))
    worked = worksheet.work_out(calculation.name, pairs)
    wanted = [units.unit(text) for text in given.units or ()]
    results = {each.key: _result(each, wanted) for each in worked}
    for unit in wanted:
        if not any(_fits(unit, one) for one in worked):
            named = [format_unit(one.units[0]) for one in worked if one.units[0]]
            raise BadInput(
                f"No result of {calculation.name} can be given in '{unit.text}'.",
                f"Say one that fits {join_words(list(dict.fromkeys(named)))}."
                if named
                else "They have none.",
            )
    if given.json:
        show_json(
            {
                "name": calculation.name,
                "results": {key: data for key, (data, _) in results.items()},
                "source": calculation.source,
            }
        )
        return 0
    for key, (_, words) in results.items():
        show(f"{key} = {words}")
    show(f"Source: {with_units(calculation.source)}")
    if calculation.harm:
        show(f"Mind: {with_units(calculation.harm)}")
    return 0


def _result(worked: CalcResult, wanted: Sequence[Unit]) -> tuple[dict[str, Any], str]:
    """A result as JSON's value, unit and uncertainty, and in words with the unit people use."""
    value: Any = worked.value
    if isinstance(value, tuple):
        plain = [_plain(part) for part in value]
        return {"value": plain, "unit": None}, ", ".join(map(_words, plain)) or "none"
    if not isinstance(value, Quantity):
        return {"value": value, "unit": None}, "none" if value is None else _words(value)
    asked = next((unit for unit in reversed(wanted) if _fits(unit, worked)), None)
    unit = asked or _si_unit(value)
    data = {"value": _json_number(units.number_in(value, unit)), "unit": unit.name}
    if worked.uncertainty is not None:
        data["uncertainty"] = _json_number(worksheet.spread_in(worked.uncertainty, unit))
    return data, worksheet.in_words(worked, asked or worksheet.unit_for(worked, ""))


def _si_unit(value: Quantity) -> Unit:
    """Percent for percents, else coherent SI."""
    if value.quantity_kind == "percent":
        return units.unit("percent")
    name = units.si_unit_name(value.dimension)
    return units.unit(name) if name else units.PLAIN


def _fits(unit: Unit, worked: CalcResult) -> bool:
    """Whether a result can be said in a unit; a slope of millimetres a kilometre is in `mm/km`."""
    value = worked.value
    if not isinstance(value, Quantity):
        return False
    clash = {unit.quantity_kind, value.quantity_kind} == {"temperature", "difference"}
    has_unit = bool(value.dimension) or "/" in worked.units[0]
    return has_unit and unit.dimension == value.dimension and not clash


def _json_number(number: Any) -> Any:
    if isinstance(number, Fraction):
        return number.numerator if number.denominator == 1 else float(number)
    return number


def _plain(part: Any) -> Any:
    if isinstance(part, tuple):
        return [_plain(each) for each in part]
    if isinstance(part, Quantity):
        return _json_number(part.si)
    return _json_number(part)


def _words(value: Any) -> str:
    if isinstance(value, list):
        return " and ".join(map(_words, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _list_all(as_json: bool) -> None:
    known = [calculations.calculation(name) for name in calculations.names()]
    if as_json:
        show_json([_about(calculation) for calculation in known])
        return
    width = max(len(calculation.name) for calculation in known)
    for subject in SUBJECTS:
        show(subject)
        for calculation in known:
            if calculation.subject == subject:
                print(f"  {calculation.name:{width}}  {with_units(calculation.title)}")


def _about(calculation: Calculation) -> dict[str, Any]:
    return {
        "name": calculation.name, "subject": calculation.subject, "title": calculation.title,
        "inputs": [
            {
                "name": each.name, "unit": each.unit, "meaning": each.meaning,
                "example": each.example, "optional": each.optional, "many": each.many,
                "takes": taken_words(calculation, each) or None,
            }
            for each in calculation.inputs
        ],
        "results": [
            {"key": each.key, "unit": each.unit, "meaning": each.meaning}
            for each in calculation.results
        ],
        "formula": calculation.formula, "valid": calculation.valid, "source": calculation.source,
        "harm": calculation.harm,
    }  # fmt: skip


def _say_what_it_wants(calculation: Calculation, as_json: bool) -> None:
    if as_json:
        show_json(_about(calculation))
        return
    show(f"{calculation.name}: {with_units(calculation.title)}.")
    for each in calculation.inputs:
        optional = " (optional)" if each.optional else ""
        taken = taken_words(calculation, each)
        limits = f"; {taken}" if taken else ""
        print(
            f"  {each.name}: {with_units(each.meaning)}{optional}, such as {each.example}{limits}"
        )
    print("gives")
    for result in calculation.results:
        print(f"  {result.key}: {with_units(result.meaning)}")
    show(f"Formula: {with_units(calculation.formula)}")
    show(f"Valid: {with_units(calculation.valid)}")
    show(f"Source: {with_units(calculation.source)}")
    if calculation.harm:
        show(f"Mind: {with_units(calculation.harm)}")
    if calculation.thin:
        show(f"Checked against fewer than two values from outside: {calculation.thin}.")
    show(f"Example: {example(calculation)}")


def example(calculation: Calculation) -> str:
    """A command that works, from the register's own examples."""
    return f"inspect-tui calc {calculation.name} " + " ".join(
        _quoted(each) for each in calculation.inputs if not each.optional or each.default is None
    )


def _quoted(each: Input) -> str:
    text = f"{each.name}={each.example}"
    return f"'{text}'" if set(text) & set(' ;()*<>|&"') else text
