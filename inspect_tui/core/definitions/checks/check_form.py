"""The form of definition files: which keys there are, what each must be, and which must not lack.

What is said follows from the models' declarations (`keys`); what a key means beyond its form is
checked in `check_checklist`, `check_machine` and their siblings.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.core.definitions.decode import OLD_STEP_KEYS
from inspect_tui.core.definitions.keys import Key, Struct, TableShape, forms, keys_of
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.checklist import Checklist, Step
from inspect_tui.core.model.figures import Figures
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest

ALONE = "use"
"""A table with this key has no other."""


def check_form(data: Mapping[str, Any], complaints: ProblemCollector) -> None:
    """Whether a checklist has the form of one, all the way down."""
    _check(data, Checklist, (), complaints)


def check_figures_form(data: Mapping[str, Any], complaints: ProblemCollector) -> None:
    """Whether a file of figures has the form of one, all the way down."""
    _check(data, Figures, (), complaints)


def check_sheet_form(data: Mapping[str, Any], complaints: ProblemCollector) -> None:
    """Whether a machine sheet has the form of one, at its top."""
    _check_keys(data, Machine, (), complaints)


def _check(
    data: Mapping[str, Any], model: Struct, path: Path, complaints: ProblemCollector
) -> None:
    _check_keys(data, model, path, complaints)
    for key in keys_of(model).values():
        if not isinstance(key.shape, TableShape):
            continue
        inner, place = data.get(key.name), (*path, key.name)
        if isinstance(inner, list) and key.shape.how == "list":
            found: list[tuple[str | int, Any]] = list(enumerate(inner))
        elif isinstance(inner, dict) and key.shape.how == "named":
            found = list(inner.items())
        elif isinstance(inner, dict) and key.shape.how == "one":
            _check(inner, key.shape.model, place, complaints)
            continue
        else:
            continue
        for name, one in found:
            if isinstance(one, dict):
                _check(one, key.shape.model, (*place, name), complaints)
            elif key.shape.how == "named":
                complaints.add(
                    (*place, name),
                    f"{ellipsize(str(name))} is {said(one)}; write a table, headed "
                    f"[{key.name}.NAME].",
                )


def _check_keys(
    data: Mapping[str, Any], model: Struct, path: Path, complaints: ProblemCollector
) -> None:
    """Unknown, missing and wrong keys of one table."""
    keys = {key.name: key for key in keys_of(model).values() if not key.within}
    alone = ALONE in keys and ALONE in data
    for name, value in data.items():
        if complaints.full:
            return
        key = keys.get(name)
        if key is None:
            complaints.add((*path, name), _unknown(name, model, keys, path))
        elif not key.shape.fits(value):
            # Of a table for each name the single ones are said at their own places.
            named = isinstance(key.shape, TableShape) and key.shape.how == "named"
            if not (named and isinstance(value, dict)):
                complaints.add((*path, name), _wrong(name, value, key, path))
        elif alone and name != ALONE:
            complaints.add(
                (*path, name), f"{ALONE} stands alone, and {name} beside it; leave {name} out."
            )
    for name, key in keys.items():
        if key.required and name not in data and not alone:
            complaints.add((*path, name), f"{name} is missing; write {_wanted(key, path)}.")


def _unknown(name: str, model: Struct, keys: Mapping[str, Key], path: Path) -> str:
    if model is Step and name in OLD_STEP_KEYS:
        return f"'{name}' is called {OLD_STEP_KEYS[name]} now; write {OLD_STEP_KEYS[name]}."
    hint = ""
    if model is not Machine:
        places = [
            form or "the top"
            for form, other in forms().items()
            if any(key.name == name for key in keys_of(other).values())
        ]
        hint = f"it belongs to {' or '.join(places)}." if places else ""
    hint = hint or suggest(name, keys)
    here = " here" if path else " at the top"
    return f"'{ellipsize(name)}' is no key{here}; {hint or 'known are ' + ', '.join(keys) + '.'}"


def _wanted(key: Key, path: Path) -> str:
    """What a value must be; of tables with the header that they have in this place."""
    if isinstance(key.shape, TableShape) and key.shape.how == "list":
        header = ".".join([*(one for one in path if isinstance(one, str)), key.name])
        return f"a list of tables, each headed [[{header}]]"
    return key.shape.wanted


def _wrong(name: str, value: Any, key: Key, path: Path) -> str:
    wanted = _wanted(key, path)
    if isinstance(value, str) and key.shape.words:
        hint = suggest(value, key.shape.words)
        return f"'{ellipsize(value)}' is no {name}; {hint or f'{name} is {wanted}.'}"
    if isinstance(value, str) and not value.strip():
        return f"{name} is empty; write {wanted}."
    return f"{name} is {said(value)}; write {wanted}."


def said(value: Any) -> str:
    """A value of the file in its own words."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"'{ellipsize(value)}'"
    if isinstance(value, list):
        return f"the list {ellipsize(str(value))}" if value else "an empty list"
    if isinstance(value, dict):
        return "a table"
    return ellipsize(str(value))
