"""The keys of a log's block, read line by line where every line is plain.

A log of a long-kept machine has thousands of blocks, nearly all of them a handful of texts and
numbers. Reading those needs no whole TOML reader; whatever is not plain here is left to one.
"""

from __future__ import annotations

import json
import re
from datetime import datetime, tzinfo
from functools import lru_cache
from typing import Any

Scalar = str | int | float | bool | datetime

_CONTROLS = bytes(n for n in (*range(0x20), 0x7F) if n not in b"\t\n")
_KEY = re.compile(r"[A-Za-z0-9_-]+")
_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]{0,17})")
_FLOAT = re.compile(r"-?(?:0|[1-9][0-9]*)\.[0-9]+(?:e[+-]?[0-9]+)?")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}")
_MOMENT_LONG = len("2026-11-02T18:00:00+01:00")
# Within these escapes JSON's texts are TOML's.
_OTHER_ESCAPE = re.compile(r'\\[^"\\bfnrt]')
_decode = json.JSONDecoder(strict=False).decode


def plain_keys(block: bytes, text: str) -> dict[str, Any] | None:
    """The keys of a block and their values, the same as a TOML reader's; None: ask one.

    Args:
        block: The bytes, with the line `[[entry]]`.
        text: The same as text.
    """
    if len(block.translate(None, _CONTROLS)) != len(block):
        return None
    lines = text.split("\n")
    if lines[0] != "[[entry]]" or lines[-1]:
        return None
    keys: dict[str, Any] = {}
    try:
        for line in lines[1:-1]:
            comes_again = len(line) < _SHORT and not line.startswith(_EACH_ITS_OWN)
            key, value = _short_line(line) if comes_again else _line(line)
            if key in keys:
                return None
            keys[key] = value
    except ValueError:
        return None
    return keys


def _line(line: str) -> tuple[str, Scalar]:
    """ValueError: not plain."""
    key, equals, written = line.partition(" = ")
    if not equals or not _KEY.fullmatch(key):
        raise ValueError
    return key, _value(written)


# The same steps, names and units come again in entry after entry.
_SHORT = 100
_EACH_ITS_OWN = ("n = ", "at = ")
_short_line = lru_cache(maxsize=4096)(_line)


@lru_cache(maxsize=64)
def _offset(written: str) -> tzinfo | None:
    """One object for an offset, however many entries have it."""
    return datetime.fromisoformat(f"2000-01-01T00:00:00{written}").tzinfo


def _value(written: str) -> Scalar:
    if written[:1] == '"':
        inner = written[1:-1]
        if "\\" in inner:
            # Pairs of backslashes go first: in `\\u` there is no escape `\u`.
            if _OTHER_ESCAPE.search(inner.replace("\\\\", "")):
                raise ValueError
            found = _decode(written)
            if isinstance(found, str):
                return found
        elif len(written) > 1 and written[-1] == '"' and '"' not in inner:
            return inner
    elif len(written) == _MOMENT_LONG and _MOMENT.fullmatch(written):
        return datetime.fromisoformat(written[:19]).replace(tzinfo=_offset(written[19:]))
    elif _INTEGER.fullmatch(written):
        return int(written)
    elif _FLOAT.fullmatch(written):
        return float(written)
    elif written in ("true", "false"):
        return written == "true"
    raise ValueError
