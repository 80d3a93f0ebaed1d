"""The form of the two files: which keys there are, what each must be, and which must not lack.

What a key means beyond its form is checked in `definition_checks` and `machine_checks`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from inspect_tui.core.definitions.decode import OLD_STEP_KEYS
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.checklist import KINDS
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table."""

    wanted: str
    """What it must be, in words."""
    fits: Callable[[Any], bool]
    required: bool = False
    table: str = ""
    """The form of the tables in it."""
    words: tuple[str, ...] = ()
    """The words that it can be."""


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_filled(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _is_texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value)


def _is_answer(value: Any) -> bool:
    return isinstance(value, bool)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _is_table(value: Any) -> bool:
    return isinstance(value, dict)


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 1


def is_number(value: Any) -> bool:
    """A number that can be worked with; true, nan and inf are none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_amount(value: Any) -> bool:
    return is_number(value) or _is_filled(value)


def _is_good_answer(value: Any) -> bool:
    return isinstance(value, bool) or _is_amount(value) or (_is_texts(value) and len(value) > 0)


_TEXT = Key("a text in quotes", _is_text)
_FILLED = Key("a text in quotes, not empty", _is_filled, required=True)
_TEXTS = Key('a list of texts, such as ["calipers", "lamp"]', _is_texts)
_ANSWER = Key("true or false", _is_answer)
_AMOUNT = Key('a number, a quantity such as "12 mm", or an expression in quotes', _is_amount)
_UNCERTAIN = Key('a number, or a quantity such as "1 mm" or "5 %"', _is_amount)


def _word(*words: str, required: bool = False) -> Key:
    return Key(f"one of {', '.join(words)}", lambda value: value in words, required, words=words)


def _tables(form: str, *, required: bool = False) -> Key:
    return Key(f"a list of tables, each headed [[{form}]]", _is_tables, required, form)


FORMS: dict[str, dict[str, Key]] = {
    "": {
        "id": _FILLED,
        "title": _FILLED,
        "revision": Key("a whole number, 1 or more", _is_whole),
        "cautions": _TEXTS,
        "section": _tables("section", required=True),
        "inference": _tables("inference"),
    },
    "section": {
        "id": _FILLED,
        "title": _FILLED,
        "step": _tables("section.step"),
    },
    "section.step": {
        "id": _FILLED,
        "title": _FILLED,
        "how": _TEXT,
        "why": _TEXT,
        "caution": _TEXT,
        "tools": _TEXTS,
        "only_if": Key("an expression in quotes", _is_filled),
        "per": Key('"cylinder"', lambda value: value == "cylinder", words=("cylinder",)),
        "safety": _ANSWER,
        "gate": _word("start", "move"),
        "begins": _word("start", "move"),
        "after": Key('a list of step ids, such as ["plugs"]', _is_texts),
        "disturbed_by": Key('a list of step ids, such as ["plugs"]', _is_texts),
        "reading": _tables("section.step.reading"),
        "derived": _tables("section.step.derived"),
        "setting": _tables("section.step.setting"),
    },
    "section.step.reading": {
        "id": _FILLED,
        "label": _FILLED,
        "kind": _word(*KINDS, required=True),
        "unit": _TEXT,
        "options": Key('a list of texts, such as ["good", "worn"]', _is_texts),
        "optional": _ANSWER,
        "uncertainty": _UNCERTAIN,
        "uncertainty_between": _UNCERTAIN,
        "limit": Key("a table such as { min = 1, max = 2 }", _is_table, table="limit"),
        "source": _TEXT,
        "condition": _word("temperature", "qnh", "altitude", "relative_humidity"),
    },
    "section.step.setting": {
        "id": _FILLED,
        "reading": _FILLED,
        "move": Key("an expression in quotes", _is_filled, required=True),
        "unit": _TEXT,
        "least": _UNCERTAIN,
        "more": _FILLED,
        "less": _FILLED,
        "limit": Key("a table such as { min = 1, max = 2 }", _is_table, table="limit"),
        "source": _TEXT,
    },
    "section.step.derived": {
        "id": _FILLED,
        "label": _FILLED,
        "value": Key("an expression in quotes", _is_filled, required=True),
        "unit": _TEXT,
        "across": _ANSWER,
        "limit": Key("a table such as { min = 1, max = 2 }", _is_table, table="limit"),
        "source": _TEXT,
    },
    "limit": {
        "min": _AMOUNT,
        "max": _AMOUNT,
        "target": _AMOUNT,
        "tolerance": _AMOUNT,
        "equal": Key("a number, an answer, a text, or a list of texts", _is_good_answer),
    },
    "inference": {
        "id": _FILLED,
        "when": Key("an expression in quotes", _is_filled, required=True),
        "says": _FILLED,
        "per": Key('"cylinder"', lambda value: value == "cylinder", words=("cylinder",)),
        "sure": _word("high", "medium", "low"),
        "look_at": Key('a list of step ids, such as ["plugs"]', _is_texts),
        "source": _TEXT,
    },
}
"""Of the checklist: the keys of each kind of table, by its header."""

SHEET: dict[str, Key] = {
    "id": _FILLED,
    "name": _FILLED,
    "cylinders": Key('a list of names, such as ["PTO", "MAG"]', _is_texts, required=True),
    "machine": Key("a table of facts, headed [machine]", _is_table),
    "spec": Key("a table of figures, headed [spec]", _is_table),
    "source": Key("a table, headed [source]", _is_table),
    "jet_chart": _tables("jet_chart"),
}
"""Of the machine sheet: its keys at the top."""


def check_form(data: Mapping[str, Any], complaints: ProblemCollector) -> None:
    """Whether a checklist has the form of one, all the way down."""
    _check(data, "", (), complaints)


def check_sheet_form(data: Mapping[str, Any], complaints: ProblemCollector) -> None:
    """Whether a machine sheet has the form of one, at its top."""
    check_keys(data, SHEET, (), complaints)


def _check(data: Mapping[str, Any], form: str, path: Path, complaints: ProblemCollector) -> None:
    keys = FORMS[form]
    check_keys(data, keys, path, complaints)
    for name, key in keys.items():
        inner = data.get(name)
        if not key.table:
            continue
        if isinstance(inner, dict) and key.table == "limit":
            _check(inner, key.table, (*path, name), complaints)
        elif isinstance(inner, list):
            for number, one in enumerate(inner):
                if isinstance(one, dict):
                    _check(one, key.table, (*path, name, number), complaints)


def check_keys(
    data: Mapping[str, Any], keys: Mapping[str, Key], path: Path, complaints: ProblemCollector
) -> None:
    """Unknown, missing and wrong keys of one table."""
    for name, value in data.items():
        if complaints.full:
            return
        key = keys.get(name)
        if key is None and keys is FORMS["section.step"] and name in OLD_STEP_KEYS:
            new = OLD_STEP_KEYS[name]
            complaints.add((*path, name), f"'{name}' is called {new} now; write {new}.")
        elif key is None:
            complaints.add((*path, name), _unknown(name, keys, path))
        elif not key.fits(value):
            complaints.add((*path, name), _wrong(name, value, key))
    for name, key in keys.items():
        if key.required and name not in data:
            complaints.add((*path, name), f"{name} is missing; write {key.wanted}.")


def _unknown(name: str, keys: Mapping[str, Key], path: Path) -> str:
    shown = ellipsize(name)
    places = [form or "the top" for form, known in FORMS.items() if name in known]
    hint = f"it belongs to {' or '.join(places)}." if places and keys is not SHEET else ""
    hint = hint or suggest(name, keys)
    here = " here" if path else " at the top"
    return f"'{shown}' is no key{here}; {hint or 'known are ' + ', '.join(keys) + '.'}"


def _wrong(name: str, value: Any, key: Key) -> str:
    if isinstance(value, str) and key.words:
        hint = suggest(value, key.words)
        known = f"{name} is {key.wanted}"
        return f"'{ellipsize(value)}' is no {name}; {hint or known + '.'}"
    if isinstance(value, str) and not value.strip():
        return f"{name} is empty; write {key.wanted}."
    return f"{name} is {said(value)}; write {key.wanted}."


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
