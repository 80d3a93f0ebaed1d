"""One block of a session log: the bytes of an entry, and the entry of the bytes.

A block is a TOML array-of-tables header and one line a key. No value runs over a line's end, so
that a log can be cut into blocks by looking at its lines alone.
"""

from __future__ import annotations

import hashlib
import math
import re
import tomllib
from collections.abc import Sequence
from datetime import UTC, date, datetime, time
from typing import Any

import tomli_w

from inspect_tui.core.model.log_entry import FORMAT, Entry, is_time
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput
from inspect_tui.files.log.fast_toml import plain_keys

HEADER = b"[[entry]]\n"
# The newline before is the block's own; the one after is only looked at, so that it can be the
# newline before another seal line.
SEAL_LINE = re.compile(rb'\nseal = "([0-9a-f]{64})"(?=\n)')
OWN_KEYS = ("n", "kind", "at", "by")

REQUIRED: dict[str, tuple[str, ...]] = {
    "opened": ("session", "checklist", "machine"),
    "reading": ("step", "reading", "phase", "entered"),
}
"""The texts that an entry of a kind can't be understood without."""

# Raw, these would move a terminal's cursor, end a line for some programs that list the file, turn
# the writing, or not be seen.
_ACTING = r"\x80-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff"
_ESCAPED_TOO = re.compile(f"[{_ACTING}]")
# Nothing in it has to be escaped, as in nearly every text of a log.
_PLAIN = re.compile(rf'[^\x00-\x1f"\\\x7f\ud800-\udfff{_ACTING}]*')
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_INTEGERS = range(-(2**63), 2**63)
_PLACES = range(10**9)
"""Numbers that an entry may have; no log comes near the last."""


def seal_of(previous: bytes, block: bytes) -> str:
    """The seal of a block: SHA-256 in hex of the previous seal's 64 characters and the bytes."""
    digest = hashlib.sha256(previous)
    digest.update(block)
    return digest.hexdigest()


def seal_line(seal: str) -> bytes:
    """The line that closes a block."""
    return b'seal = "%s"\n' % seal.encode("ascii")


def block(entry: Entry) -> bytes:
    """The bytes of an entry's block, without its seal line.

    Keys whose value is None are left out; times are written in whole seconds.

    Raises:
        BadInput: a value that a log can't hold: not a number, infinite, a table, half a
            character, a time without its offset.
    """
    if not is_time(entry.at):
        raise BadInput(
            f"The time of a log entry has no offset, or none of the years 2 to 9998: "
            f"{entry.at.isoformat()}."
        )
    values: dict[str, Any] = {"n": entry.n, "kind": entry.kind, "at": entry.at, "by": entry.by}
    for key, value in entry.keys.items():
        if key in values or key == "seal":
            raise BadInput(f"An entry's key can't be called '{key}': the log itself writes it.")
        values[key] = value
    lines = [
        f"{_key(key)} = {_literal(key, value)}\n"
        for key, value in values.items()
        if value is not None
    ]
    try:
        return HEADER + "".join(lines).encode("utf-8")
    except UnicodeEncodeError as error:
        half = ord(error.object[error.start])
        raise BadInput(
            f"The '{entry.kind}' entry holds half a character (U+{half:04X}), which no file keeps.",
            "Type it again.",
        ) from None


def _key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _text(key)


def _literal(key: str, value: Any) -> str:
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        if value not in _INTEGERS:
            raise BadInput(f"'{key}' is too large a whole number for a log (64 bits).")
        return str(value)
    if isinstance(value, float):
        if not math.isfinite(value):
            raise BadInput(f"'{key}' is {value}, which is no reading; a log holds finite numbers.")
        return repr(float(value))
    if isinstance(value, datetime):
        return _moment(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time) and value.tzinfo is None:
        return value.isoformat()
    if isinstance(value, Sequence) and not isinstance(value, bytes | bytearray):
        return "[" + ", ".join(_literal(key, item) for item in value) + "]"
    raise BadInput(
        f"'{key}' holds a {type(value).__name__}; a log holds texts, numbers, true or false, "
        "dates and lists of them."
    )


def _moment(value: datetime) -> str:
    offset = value.utcoffset()
    # TOML knows offsets of whole minutes; old local mean times have seconds in theirs.
    if offset is not None and offset.total_seconds() % 60:
        value = value.astimezone(UTC)
    return value.isoformat(timespec="seconds")


def _text(value: str) -> str:
    if _PLAIN.fullmatch(value):
        return f'"{value}"'
    line = tomli_w.dumps({"k": str(value)}).removeprefix("k = ").removesuffix("\n")
    return _ESCAPED_TOO.sub(lambda found: f"\\u{ord(found[0]):04x}", line)


def entry_of(block: bytes, seal: str = "") -> tuple[Entry, list[str]]:
    """The entry of a block's bytes, and what is off in its form, each as the end of a sentence.

    A block that can't be read at all becomes an entry of the kind `unreadable` with its `text`;
    an `n` that can't be read is -1.

    Args:
        block: The bytes without the seal line.
        seal: The seal as written, to be kept with the entry.
    """
    try:
        text = block.decode("utf-8")
    except UnicodeDecodeError as error:
        line = block.count(b"\n", 0, error.start)
        return _unreadable(block, seal), [f"holds bytes that are no UTF-8 text, {_lines_in(line)}"]
    keys = plain_keys(block, text)
    faults = []
    if keys is None:
        try:
            tables = tomllib.loads(text)
        # tomllib lets a number of thousands of digits and a very deep list out as one of these.
        except (ValueError, RecursionError) as error:
            return _unreadable(block, seal), [f"is no TOML ({str(error) or 'nested too deep'})"]
        found = tables.get("entry")
        if set(tables) != {"entry"} or not isinstance(found, list) or len(found) != 1:
            return _unreadable(block, seal), ["is not one [[entry]] with its keys"]
        keys = found[0]
        faults = _faults_of_form(keys, text)
    faults += _faults_of_keys(keys)
    at = keys.get("at")
    entry = Entry(
        n=keys["n"] if _is_place(keys.get("n")) else -1,
        kind=str(keys.get("kind", "unreadable")),
        at=at if is_time(at) else _NO_TIME,
        by=str(keys.get("by", "")),
        keys={key: value for key, value in keys.items() if key not in OWN_KEYS},
        seal=seal,
        sound=not faults,
    )
    return entry, faults


_NO_TIME = datetime(1970, 1, 1, tzinfo=UTC)


def has_time(entry: Entry) -> bool:
    """Whether the entry's time could be read."""
    return entry.at is not _NO_TIME


def _unreadable(block: bytes, seal: str) -> Entry:
    text = block.decode("utf-8", errors="replace")
    return Entry(-1, "unreadable", _NO_TIME, "", {"text": text}, seal, sound=False)


def _is_place(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value in _PLACES


def _lines_in(line: int) -> str:
    return "in its first line" if line == 0 else f"{pluralize(line, 'line')} further on"


def _faults_of_form(keys: dict[str, Any], text: str) -> list[str]:
    faults = []
    if tables := [key for key, value in keys.items() if _holds_table(value)]:
        faults.append(f"has a table in {_listed(tables)}")
    if _runs_over_lines(keys, text):
        faults.append("has a value that runs over several lines")
    return faults


def _plainly_right(keys: dict[str, Any]) -> bool:
    """Whether nothing is off in the keys of an entry, as in nearly all: seen at a glance."""
    at, kind = keys.get("at"), keys.get("kind")
    return (
        _is_place(keys.get("n"))
        and type(kind) is str
        and type(keys.get("by")) is str
        and is_time(at)
        and "seal" not in keys
        and kind != "opened"
        and all(type(keys.get(key)) is str for key in REQUIRED.get(kind, ()))
    )


def _faults_of_keys(keys: dict[str, Any]) -> list[str]:
    if _plainly_right(keys):
        return []
    faults = []
    if missing := [key for key in OWN_KEYS if key not in keys]:
        faults.append(f"lacks {_listed(missing)}")
    if "n" in keys and not _is_place(keys["n"]):
        faults.append("has an n that is no whole number from 0 to 999,999,999")
    for key in ("kind", "by"):
        if not isinstance(keys.get(key, ""), str):
            faults.append(f"has a {key} that is no text")
    at = keys.get("at")
    if "at" in keys and not is_time(at):
        faults.append("has an at that is no date and time with an offset, of the years 2 to 9998")
    if "seal" in keys:
        faults.append("has a seal among its keys")
    kind = keys.get("kind")
    if isinstance(kind, str) and kind in REQUIRED:
        faults.extend(_faults_of_kind(kind, keys))
    return faults


def _faults_of_kind(kind: str, keys: dict[str, Any]) -> list[str]:
    faults = []
    needed = REQUIRED[kind]
    if missing := [key for key in needed if key not in keys]:
        faults.append(f"lacks {_listed(missing)}, which the kind '{kind}' needs")
    if wrong := [key for key in needed if not isinstance(keys.get(key, ""), str)]:
        faults.append(f"has something that is no text in {_listed(wrong)}")
    if kind == "opened":
        number = keys.get("format")
        if not _is_place(number) or number == 0:
            faults.append(f"names no format (format = {FORMAT})")
        elif keys["format"] > FORMAT:
            faults.append(f"is of format {number}, newer than the {FORMAT} that this program reads")
    return faults


def _holds_table(value: object) -> bool:
    if isinstance(value, list):
        return any(_holds_table(item) for item in value)
    return isinstance(value, dict)


def _runs_over_lines(keys: dict[str, Any], text: str) -> bool:
    if text.count("\n") == len(keys) + 1:
        return False
    lines = [
        line for line in text.split("\n") if line.strip() and not line.lstrip().startswith("#")
    ]
    return len(lines) != len(keys) + 1


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)
