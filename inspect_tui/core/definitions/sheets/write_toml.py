"""Data of a definition file -> its text, as a person would write it: `[[section.step]]` and lines.

For lists that are put together from others, and for those made of lines. What is written reads
back as the same data, which a test holds for any data.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+")
# What TOML does not take raw, and what would move a cursor, turn the writing or not be seen.
_ACTING = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]"
)


def document(data: Mapping[str, Any]) -> str:
    """A whole file: plain keys first, then the tables in their order."""
    return "\n".join(_table(data, ())).strip("\n") + "\n"


def tables(header: str, data: Mapping[str, Any]) -> str:
    """One table of a list of tables, with all that is in it: `[[section.step]]` ..."""
    return "\n".join([f"[[{header}]]", *_table(data, tuple(header.split(".")))]) + "\n"


def table(header: tuple[str, ...], data: Mapping[str, Any]) -> str:
    """One table, with all that is in it: `[figure.NAME]` ..."""
    return "\n".join([f"[{_dotted(header)}]", *_table(data, header)]) + "\n"


def _table(data: Mapping[str, Any], header: tuple[str, ...]) -> list[str]:
    plain = {key: value for key, value in data.items() if not _is_inner(value, header)}
    lines = [f"{key_text(key)} = {value_text(value)}" for key, value in plain.items()]
    for key, value in data.items():
        if key in plain:
            continue
        inner = (*header, key)
        if isinstance(value, list):
            for one in value:
                # A blank line before sections and steps; readings stand close under their step.
                lines += [""] if len(inner) < 3 else []
                lines += f"[[{_dotted(inner)}]]", *_table(one, inner)
        else:
            lines += "", f"[{_dotted(inner)}]", *_table(value, inner)
    return lines


def _is_inner(value: Any, header: tuple[str, ...]) -> bool:
    """Whether a value gets a header of its own; a small table (`limit`) stays on its line."""
    if isinstance(value, list):
        return bool(value) and all(isinstance(one, dict) for one in value)
    return isinstance(value, dict) and len(header) < 2


def value_text(value: Any) -> str:
    """One value, on one line but for texts of several lines."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(value_text, value))}]"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key_text(key)} = {_one_line(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    raise TypeError(f"TOML has no {type(value).__name__}.")


def _one_line(value: Any) -> str:
    return _quoted(value) if isinstance(value, str) else value_text(value)


def _text(value: str) -> str:
    if "\n" not in value:
        return _quoted(value)
    inner = value.replace("\\", "\\\\").replace('"""', '""\\"')
    if inner.endswith('"'):
        inner = inner[:-1] + '\\"'
    return f'"""\n{_ACTING.sub(_escaped, inner)}"""'


def _quoted(value: str) -> str:
    inner = value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{_ACTING.sub(_escaped, inner)}"'


def _escaped(found: re.Match[str]) -> str:
    return f"\\u{ord(found[0]):04x}"


def key_text(key: str) -> str:
    """A key, in quotes where it must be."""
    return key if _BARE.fullmatch(key) else _quoted(key)


def _dotted(header: tuple[str, ...]) -> str:
    return ".".join(map(key_text, header))
