"""What a checklist means beyond its form: kinds, limits, references between steps, circles.

Dimensions and expressions are checked in `definition_types`.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from inspect_tui.core.definitions.checks.check_form import said
from inspect_tui.core.definitions.checks.check_references import check_references, placed_steps
from inspect_tui.core.definitions.compile import SIDES, own_unit
from inspect_tui.core.definitions.compose import uses
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.shapes import is_number
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions import ambient
from inspect_tui.core.model.checklist import Adjustment, Checklist, Derived, Reading, Step
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import difference_unit
from inspect_tui.core.readings.parse import quantity
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

NUMBERS = ("number", "count", "timer")
"""Kinds whose values are numbers."""
MAX_OPTIONS = 100
_SHEET = ("spec.", "machine.")
_NOTHING_NEEDED = (
    "Every reading of this safety step is optional, so the walk asks for none of them, and it "
    "counts as not done until one is entered; leave optional out of what has to be looked at."
)


def check_meaning(
    data: Mapping[str, Any], checklist: Checklist, complaints: ProblemCollector
) -> None:
    """Everything of a checklist but ids and expressions.

    Args:
        data: What is in the file.
        checklist: The same as a model, with the same places.
        complaints: Takes the problems.
    """
    empty = not checklist.steps
    if empty and not uses(data) and complaints.sound("section"):
        complaints.add(
            ("section",), "The checklist has no steps; write [[section]] and [[section.step]]."
        )
    for number, section in enumerate(checklist.section):
        without = not section.step and not section.use
        if without and not empty and complaints.sound("section", number, "step"):
            complaints.add(
                ("section", number), f"Section '{ellipsize(section.id)}' has no steps.", note=True
            )
    for path, step in placed_steps(checklist):
        if step.is_safety and step.reading and all(one.optional for one in step.reading):
            marked = (*path, "safety" if step.safety else "gate")
            complaints.add(marked, _NOTHING_NEEDED, note=True)
        for n, reading in enumerate(step.reading):
            place = (*path, "reading", n)
            _check_reading(place, reading, _at(data, place), complaints)
        for n, derived in enumerate(step.derived):
            place = (*path, "derived", n)
            _check_derived(place, step, derived, _at(data, place), complaints)
        for n, setting in enumerate(step.setting):
            place = (*path, "setting", n)
            move = setting.as_derived
            _check_derived(place, step, move, _at(data, place), complaints)
            _check_setting(place, step, setting, complaints)
        for n, reading in enumerate(step.reading):
            if reading.condition:
                _check_condition((*path, "reading", n, "condition"), step, reading, complaints)
    check_references(checklist, complaints)


def _at(data: Any, path: Path) -> Mapping[str, Any]:
    """The table at a place; an empty one where there is none."""
    for key in path:
        if isinstance(data, dict):
            data = data.get(str(key))
        elif isinstance(data, list) and isinstance(key, int) and key < len(data):
            data = data[key]
        else:
            return {}
    return data if isinstance(data, dict) else {}


def _check_setting(
    path: Path, step: Step, setting: Adjustment, complaints: ProblemCollector
) -> None:
    known = [reading.id for reading in step.readings]
    if setting.reading and setting.reading not in known:
        hint = suggest(setting.reading, known)
        complaints.add(
            (*path, "reading"),
            f"This step has no reading '{ellipsize(setting.reading)}'; "
            f"{hint or 'it has ' + ', '.join(known) + '.'}",
        )
    if setting.least is not None and complaints.sound(*path, "least"):
        try:
            unit = units.unit(setting.unit)
            least = setting.least
            if isinstance(least, str):
                units.number_in(quantity(least, difference_unit(unit)), difference_unit(unit))
        except BadInput as error:
            complaints.add((*path, "least"), error)


def _check_condition(
    path: Path, step: Step, reading: Reading, complaints: ProblemCollector
) -> None:
    """A reading that says the air: one for the session, a number of the right dimension."""
    wanted = units.unit(ambient.UNITS[reading.condition])
    name = reading.condition.replace("_", " ")
    if step.per_cylinder:
        complaints.add(path, f"The {name} of the air is one for all cylinders; leave per out.")
        return
    if reading.kind != "number":
        complaints.add(path, f'The {name} of the air is a number; write kind = "number".')
        return
    try:
        own = own_unit(reading)
    except BadInput:
        return  # The unknown unit itself is the problem that is said.
    if own.dimension != wanted.dimension or own.quantity_kind == "difference":
        complaints.add(
            path, f"The {name} of the air has a unit such as '{wanted.text}', "
            f"not '{ellipsize(reading.unit)}'.",
        )  # fmt: skip


# --- readings -------------------------------------------------------------------------------


def _check_reading(
    path: Path, reading: Reading, data: Mapping[str, Any], complaints: ProblemCollector
) -> None:
    if not complaints.sound(*path, "kind") or "kind" not in data:
        return
    _check_unit(path, reading, complaints)
    _check_options(path, reading, data, complaints)
    for key in ("uncertainty", "uncertainty_between"):
        if key in data and complaints.sound(*path, key):
            _check_uncertainty((*path, key), reading, data[key], complaints)
    if reading.limit is not None and complaints.sound(*path, "limit"):
        _check_limit((*path, "limit"), reading, data["limit"], complaints)


def _check_unit(path: Path, item: Reading | Derived, complaints: ProblemCollector) -> None:
    if not item.unit or not complaints.sound(*path, "unit"):
        return
    unit = f"'{ellipsize(item.unit)}'"
    if isinstance(item, Reading) and item.kind == "timer" and item.unit != "s":
        complaints.add((*path, "unit"), f"A timer is stored in s, not {unit}; leave unit out.")
    elif isinstance(item, Reading) and item.kind not in ("number", "timer"):
        complaints.add(
            (*path, "unit"),
            f"A {item.kind} takes no unit, and {unit} is given; leave it out or write "
            'kind = "number".',
        )
    else:
        try:
            units.unit(item.unit)
        except BadInput as error:
            complaints.add((*path, "unit"), error)


def _check_options(
    path: Path, reading: Reading, data: Mapping[str, Any], complaints: ProblemCollector
) -> None:
    place = (*path, "options")
    if not complaints.sound(*place):
        return
    if reading.kind != "choice":
        if "options" in data:
            complaints.add(
                place, f"A {reading.kind} has no options; leave them out or write kind = "
                '"choice".',
            )  # fmt: skip
        return
    if "options" not in data or not reading.options:
        complaints.add(place, 'A choice needs options, such as options = ["good", "worn"].')
        return
    if len(reading.options) > MAX_OPTIONS:
        complaints.add(
            place,
            f"{len(reading.options)} options are too many; write at most {MAX_OPTIONS}, or kind = "
            '"text".',
        )
        return
    seen: set[str] = set()
    for option in reading.options:
        if not option.strip():
            complaints.add(place, "An option is empty; write a word.")
        elif " ".join(option.split()).casefold() in seen:
            complaints.add(place, f"The option '{ellipsize(option)}' is given twice.")
        seen.add(" ".join(option.split()).casefold())


def _check_uncertainty(
    path: Path, reading: Reading, given: Any, complaints: ProblemCollector
) -> None:
    if reading.kind not in NUMBERS:
        complaints.add(
            path, f'A {reading.kind} has no uncertainty; leave it out or write kind = "number".'
        )
        return
    if is_number(given):
        if given < 0:
            complaints.add(path, f"{given} is negative; an uncertainty is 0 or more.")
        return
    try:
        unit = own_unit(reading)
    except BadInput:
        return  # The unknown unit itself is the problem that is said.
    try:
        found = quantity(given, difference_unit(unit))
    except BadInput as error:
        complaints.add(path, error)
        return
    if found.si < 0:
        complaints.add(path, f"'{ellipsize(given)}' is negative; an uncertainty is 0 or more.")
    elif found.quantity_kind == "percent" and unit.quantity_kind == "temperature":
        complaints.add(
            path,
            f"'{ellipsize(given)}' of a temperature in {unit.text} means nothing; write it such "
            "as '2 delta_degC'.",
        )


def _check_derived(
    path: Path, step: Step, derived: Derived, data: Mapping[str, Any], complaints: ProblemCollector
) -> None:
    _check_unit(path, derived, complaints)
    if derived.across and not step.per_cylinder:
        complaints.add(
            (*path, "across"),
            f"across belongs into a step with per = \"cylinder\", and '{ellipsize(step.id)}' is "
            "none; leave it out.",
        )
    if derived.limit is not None and complaints.sound(*path, "limit"):
        _check_sides((*path, "limit"), derived, data["limit"], complaints)


# --- limits ---------------------------------------------------------------------------------


def _check_limit(
    path: Path, reading: Reading, data: Mapping[str, Any], complaints: ProblemCollector
) -> None:
    if reading.kind in NUMBERS:
        _check_sides(path, reading, data, complaints)
        equal = data.get("equal")
        if isinstance(equal, bool | list) and complaints.sound(*path, "equal"):
            complaints.add(
                (*path, "equal"), f"equal is {said(equal)}, and a {reading.kind} wants a number."
            )
        return
    if reading.kind == "photo":
        complaints.add(path, "A photo has no limit; leave it out.")
        return
    for side in SIDES[:-1]:
        if side in data:
            complaints.add(
                (*path, side),
                f"{side} fits no {reading.kind}; write equal, such as "
                f"{{ equal = {_good(reading)} }}.",
            )
    if "equal" in data and complaints.sound(*path, "equal"):
        _check_equal((*path, "equal"), reading, data["equal"], complaints)
    elif not data:
        _empty(path, complaints)


def _empty(path: Path, complaints: ProblemCollector) -> None:
    complaints.add(path, "The limit is empty; write min, max, target with tolerance, or equal.")


def _good(reading: Reading) -> str:
    if reading.kind == "check":
        return "true"
    if reading.kind == "date":
        return '"2026-11-02"'
    return f'"{ellipsize(reading.options[0])}"' if reading.options else '"good"'


def _check_sides(
    path: Path, item: Reading | Derived, data: Mapping[str, Any], complaints: ProblemCollector
) -> None:
    """Which sides of a number's limit stand together."""
    limit = item.limit
    assert limit is not None
    sides = {side for side in SIDES if getattr(limit, side) is not None}
    if not data:
        _empty(path, complaints)
    if "tolerance" in sides and "target" not in sides and complaints.sound(*path, "target"):
        complaints.add((*path, "tolerance"), "tolerance needs a target; write target beside it.")
    if "target" in sides and "tolerance" not in sides and complaints.sound(*path, "tolerance"):
        complaints.add(
            (*path, "target"), "target needs a tolerance; write tolerance beside it, or equal."
        )
    if "equal" in sides and len(sides) > 1:
        complaints.add((*path, "equal"), "equal stands alone; leave the other sides out.")
    elif "target" in sides and sides & {"min", "max"}:
        complaints.add(
            (*path, "target"), "target with tolerance stands alone; leave min and max out."
        )


def _check_equal(path: Path, reading: Reading, equal: Any, complaints: ProblemCollector) -> None:
    """The good answers of what is no number."""
    words = equal if isinstance(equal, list) else [equal]
    if reading.kind == "check":
        of_sheet = isinstance(equal, str) and equal.startswith(_SHEET)
        if not isinstance(equal, bool) and not of_sheet:
            complaints.add(path, f"equal is {said(equal)}, and a check wants true or false.")
        return
    if any(not isinstance(word, str) for word in words):
        complaints.add(path, f"equal is {said(equal)}, and a {reading.kind} wants a text.")
        return
    for word in words[:MAX_OPTIONS]:
        if word.startswith(_SHEET):
            continue
        options = reading.options[:MAX_OPTIONS]
        if reading.kind == "choice" and options and word not in options:
            hint = suggest(word, options) or f"they are {', '.join(map(ellipsize, options))}."
            complaints.add(path, f"'{ellipsize(word)}' is none of the options; {hint}")
        if reading.kind == "date" and not _is_date(word):
            complaints.add(path, f"'{ellipsize(word)}' is no date; write one such as 2026-11-02.")


def _is_date(word: str) -> bool:
    try:
        date.fromisoformat(word)
    except ValueError:
        return False
    return True
