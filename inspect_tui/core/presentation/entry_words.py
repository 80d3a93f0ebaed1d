"""What an entry of a log says, in one line: for who did what when."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from inspect_tui.core.model.log_entry import EARLIER_KINDS, Entry
from inspect_tui.core.presentation.wording import PHASES, decision_words, place, when
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.visible import one_line

KINDS: Final[dict[str, str]] = {
    "opened": "session opened",
    "reading": "reading",
    "note": "note",
    "skipped": "skipped",
    "step-added": "step added",
    "finding": "finding",
    "decision": "decision",
    "caution": "caution confirmed",
    "conditions": "conditions",
    "photo": "photo",
    "sheet": "machine sheet",
    "resumed": "session resumed",
    "signed": "signed off",
    "signature": "signature",
    "addendum": "addendum",
    "combined": "combined",
    "part": "part",
    "withdrawn": "taken back",
    "widened": "job widened",
    "set-aside": "session set aside",
}


def entry_words(entry: Entry) -> str:
    """What an entry says, in one line."""
    kind = EARLIER_KINDS.get(entry.kind, entry.kind)
    if kind not in KINDS:
        return f"unknown kind '{one_line(entry.kind)}', kept as it stands"
    again = entry.get("combined_from", entry.get("joined_from"))
    since = entry.get("taken")
    came = ""
    if again is not None and isinstance(since, datetime):
        came = f" [taken {when(since)}, entry {again} of its own copy]"
    return one_line(f"{KINDS[kind]}{_DETAILS.get(kind, _keys)(entry)}{came}")


def part_words(part: str, quantity: object = 1, number: object = "") -> str:
    """A part to get: `2 × Intake boot, number 12-34`; of one alone its name."""
    several = {"0": f"{part}, the same piece", "1": part}
    words = several.get(str(quantity), f"{quantity} × {part}")
    return f"{words}, number {number}" if number else words


def _word(entry: Entry, key: str) -> str:
    return str(entry.get(key, ""))


def _where(entry: Entry) -> str:
    return place(_word(entry, "step"), entry.get("reading"), entry.get("cylinder"))


def _reading(entry: Entry) -> str:
    phase = _phase(_word(entry, "phase"))
    return f" {_where(entry)} {phase}: {_word(entry, 'entered')}{_as_stored(entry)}"


def _said(entry: Entry) -> str:
    number = f" {_word(entry, 'id')}" if _word(entry, "id") else ""
    return f"{number} at {_where(entry)}: {_word(entry, 'text')}"


def _step_added(entry: Entry) -> str:
    return f" {_where(entry)} in {_word(entry, 'section')}: {_word(entry, 'title')}"


def _decision(entry: Entry) -> str:
    said = decision_words(_word(entry, "decision"), _word(entry, "until"))
    part = _word(entry, "part")
    get = f", {part_words(part, entry.get('quantity', 1), entry.get('number', ''))}" if part else ""
    why = f" ({_word(entry, 'why')})" if _word(entry, "why") else ""
    return f" on {_word(entry, 'finding')}: {said}{get}{why}"


def _signed(entry: Entry) -> str:
    listed = entry.get("open")
    left = len(listed) if isinstance(listed, list | tuple) else 0
    return f" with {left} open: {_word(entry, 'accepted')}" if left else ""


def _sheet(entry: Entry) -> str:
    source = f" ({_word(entry, 'source')})" if _word(entry, "source") else ""
    name = place(_word(entry, "name"), None, entry.get("cylinder"))
    return f" {name}: {_word(entry, 'value')}{source}"


def _widened(entry: Entry) -> str:
    ids = entry.get("ids")
    return f" by {', '.join(map(str, ids))}" if isinstance(ids, list | tuple) else ""


def _keys(entry: Entry) -> str:
    said = ", ".join(f"{key} {value}" for key, value in entry.keys.items())
    return f": {said}" if said else ""


_DETAILS: Final[dict[str, Callable[[Entry], str]]] = {
    "opened": lambda entry: "",
    "resumed": lambda entry: "",
    "reading": _reading,
    "skipped": lambda entry: f" {_where(entry)}: {_word(entry, 'why')}",
    "note": _said,
    "finding": _said,
    "step-added": _step_added,
    "decision": _decision,
    "caution": lambda entry: f" at {_where(entry)}" if _word(entry, "step") else " of the list",
    "sheet": _sheet,
    "signed": _signed,
    "addendum": lambda entry: f": {_word(entry, 'text')}",
    "photo": lambda entry: f" at {_where(entry)}: {_word(entry, 'name')}, {_word(entry, 'photo')}",
    "combined": lambda entry: (
        f" with a copy that went on apart after entry {_word(entry, 'common')}"
    ),
    "part": lambda entry: f" {_word(entry, 'part')}: {_word(entry, 'state')}",
    "withdrawn": lambda entry: f": the reading of entry {_word(entry, 'of')}",
    "widened": _widened,
    "set-aside": lambda entry: f": {_word(entry, 'why')}",
}


def _phase(phase: str) -> str:
    for known, mark in PHASES.items():
        if known == phase:
            return mark.word
    return phase


def _as_stored(entry: Entry) -> str:
    value = entry.get("value")
    unit = str(entry.get("unit", ""))
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    stored = format_value(value, unit)
    return "" if entry.get("entered") == stored else f" = {stored}"
