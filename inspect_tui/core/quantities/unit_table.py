"""The usual units as pint defines them, so that an ordinary session never waits for pint.

The data is `unit_table.json`, made by `tests/core/make_unit_table.py` and held by a test to pint's
own answers. It is read when the first unit is asked for, with the package's own loader (so that it
is found in a zip file as well, and nothing else has to be imported for it).
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

_FILE = "unit_table.json"


def row(word: str) -> tuple[str, str, dict[str, int], str, str] | None:
    """A unit of one word.

    Returns:
        pint's name, the exact factor to coherent SI, root units with powers, the exact offset and
        the quantity kind; None for a word that is not in the table.
    """
    return _table().get(word)


def words() -> Iterable[str]:
    """Every word of the table."""
    return _table()


@lru_cache(maxsize=1)
def _table() -> dict[str, tuple[str, str, dict[str, int], str, str]]:
    loader: Any = __spec__.loader
    folder = __file__[: -len(f"{__name__.rpartition('.')[2]}.py")]
    rows: dict[str, tuple[str, str, dict[str, int], str, str]] = json.loads(
        loader.get_data(folder + _FILE)
    )
    return rows
