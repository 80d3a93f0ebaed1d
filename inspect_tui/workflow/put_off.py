"""Until when a thing may be put off: the lists that say how one says it, read from their heads."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store

_TABLE = re.compile(r"^\[", re.MULTILINE)


class PutOffUntil(Mapping[str, str]):
    """By the list's id, in its order: what one says who puts something off until it.

    A list's own `until` (`before the first ride`); those without one, by their titles, come last.
    Lists that can't be read are left out: `check` says what is wrong with them. Read when it is
    first asked for, since a session just begun puts nothing off.
    """

    def __init__(self, places: Store) -> None:
        self._places = places

    @cached_property
    def _said(self) -> dict[str, str]:
        return _read(self._places)

    def __getitem__(self, listed: str) -> str:
        return self._said[listed]

    def __iter__(self) -> Iterator[str]:
        return iter(self._said)

    def __len__(self) -> int:
        return len(self._said)


def _read(places: Store) -> dict[str, str]:
    said: dict[str, str] = {}
    others: dict[str, str] = {}
    for path in definition_files.list_all("checklist", places):
        try:
            head = _head(definition_files.read_text(path))
        except (InspectError, tomllib.TOMLDecodeError):
            continue
        words, title = head.get("until"), head.get("title")
        name = definition_files.id_of(path)
        if isinstance(words, str) and words:
            said[name] = words
        elif isinstance(title, str) and title:
            others[name] = title
    return said | others


def _head(text: str) -> dict[str, Any]:
    """The keys before the first table; the whole file where they can't be told apart from it."""
    table = _TABLE.search(text)
    try:
        return tomllib.loads(text[: table.start()] if table else text)
    except tomllib.TOMLDecodeError:
        return tomllib.loads(text)
