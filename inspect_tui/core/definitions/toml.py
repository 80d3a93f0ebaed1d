"""Text of a definition file -> what TOML says is in it, or the one problem that stops reading."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.text.sanitize import ellipsize

LARGEST = 1_000_000
"""Characters; a checklist of a thousand steps has half of it."""
MAX_DOTS = 64
"""Dots in one key; more only cost the reader time."""

_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_LONG_KEY = re.compile(
    r"(?<![\w.-])(?:(?:[\w-]+|\"[^\"\n]{0,80}\"|'[^'\n]{0,80}')[ \t]*\.[ \t]*){" + f"{MAX_DOTS}}}"
)
_IN_WORDS = {
    "Cannot overwrite a value": "a key is given twice; give it once",
    "Expected '=' after a key in a key/value pair": "a key without its =; write key = value",
    "Invalid value": "no value; write a number, true, false, or a text in quotes",
    "Unterminated string": "a text without its closing quote",
    "Illegal character '\\n'": "a text without its closing quote",
    "Unclosed array": "a list without its closing ], or a comma is missing in it",
    "Unclosed inline table": "a table without its closing }, or a comma is missing in it",
    "Expected ']]' at the end of an array declaration": "a header without its closing ]]",
    "Expected ']' at the end of a table declaration": "a header without its closing ]",
    "Invalid initial character for a key part": (
        "a key that begins wrongly; write letters, digits, - or _"
    ),
    "Invalid statement": "neither a key = value nor a [header]",
    "Expected newline or end of document after a statement": (
        "more after the value; put a text in quotes, and each key on a line of its own"
    ),
}


def read(text: str, file: str) -> dict[str, Any] | Problem:
    """What is in the file, or why it can't be read."""
    if len(text) > LARGEST:
        return Problem(
            file,
            None,
            "",
            f"The file is too long ({len(text)} characters); write at most {LARGEST}.",
        )
    deep = _long_key(text)
    if deep:
        line, key = deep
        return Problem(
            file,
            line,
            "",
            f"'{ellipsize(key)}' is a key with too many dots; write a shorter one.",
        )
    try:
        return tomllib.loads(text)
    except RecursionError:
        return Problem(file, None, "", "The file is nested too deeply; write plain tables.")
    except (ValueError, MemoryError) as error:
        return _no_toml(str(error), text, file)


def _long_key(text: str) -> tuple[int, str] | None:
    """The first key with too many dots, with its line; a key stands on one line."""
    if text.count(".") < MAX_DOTS:
        return None
    for number, line in enumerate(text.split("\n"), 1):
        if line.count(".") >= MAX_DOTS and (found := _LONG_KEY.search(line)):
            return number, found[0]
    return None


def _no_toml(message: str, text: str, file: str) -> Problem:
    """The reader's message in a sentence, at its line."""
    place = _PLACE.search(message)
    line: int | None = None
    if place:
        message = message[: place.start()]
        ends = text.count("\n") + (0 if text.endswith("\n") else 1)
        line = int(place["line"]) if place["line"] else max(ends, 1)
    twice = re.match(r"Cannot declare .* twice|Duplicate inline table key", message)
    said = "a key or header is given twice; give it once" if twice else None
    said = said or _IN_WORDS.get(message, ellipsize(message, 200))
    words = _line_text(text, line)
    return Problem(file, line, "", f"This is no TOML: {said}{words}.")


def _line_text(text: str, line: int | None) -> str:
    rows = text.split("\n", line or 0)
    row = ellipsize(rows[line - 1].strip()) if line and line <= len(rows) else ""
    return f" ('{row}')" if row else ""


def wanted_kind(text: str) -> str:
    """What a file wants to be, sound or not: "checklist", "machine", "figures" or "drawing"."""
    found = read(text, "")
    if isinstance(found, dict):
        keys = set(found)
    else:
        keys = set(re.findall(r"^[ \t]*(?:\[{1,2}[ \t]*)?(\w+)", text[:LARGEST], re.MULTILINE))
    if keys & {"section", "inference"}:
        return "checklist"
    if "figure" in keys:
        return "figures"
    if "drawing" in keys and (not isinstance(found, dict) or isinstance(found["drawing"], dict)):
        return "drawing"  # A list may name its drawing (`drawing = "sled"`) and is none for that.
    if keys & {"cylinders", "spec", "machine", "jet_chart", "name", "source"}:
        return "machine"
    return "checklist"
