"""Stamps and part numbers: `Q4`, `q 4` and `Q-4` are one stamp.

What is stamped on metal and what stands in a manual differ in hyphens and spaces alone, and people
leave them out. Wherever two texts are compared (a limit, an expression, parts exchanged between
cylinders, an option) they are compared by `stamp_key`.
"""

from __future__ import annotations

import re

_SEPARATORS = r"[\s-]+"


def stamp_key(text: str) -> str:
    """What of a text counts in a comparison: neither capitals nor hyphens nor spaces.

    A hyphen before a digit at the beginning is a sign and stays.
    """
    body = text.strip().casefold()
    sign = "-" if re.match(r"-\d", body) else ""
    return sign + re.sub(_SEPARATORS, "", body) if re.sub(_SEPARATORS, "", body) else body


def same_stamp(one: str, other: str) -> bool:
    """Whether two texts are one stamp."""
    return stamp_key(one) == stamp_key(other)
