"""The kinds of log entry.

An entry is a mapping of keys to TOML values, in the order in which they are written. Every entry
has `n`, `kind`, `at`, `by`; `seal` is not part of the mapping, the log keeps it beside.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, datetime
from typing import Any, Literal, TypeGuard

FORMAT = 1
Phase = Literal["as-found", "as-left"]
AS_FOUND: Phase = "as-found"
AS_LEFT: Phase = "as-left"
UNKNOWN_ANSWERS = ("unknown", "?")
"""What is entered where nobody knows: an answer of every kind of reading, without a value."""
TAKEN_OVER = "taken over"
"""What the state of a reading begins with that was taken over from an earlier session: no point of
its history."""
PART_STATES = ("got", "fitted")
DECISIONS = ("put-right", "run-as-found", "later", "get-part")

KINDS = (
    "opened",
    "reading",
    "note",
    "skipped",
    "step-added",
    "finding",
    "decision",
    "caution",
    "conditions",
    "photo",
    "sheet",
    "resumed",
    "signed",
    "signature",
    "addendum",
    "combined",
    "part",
    "withdrawn",
    "widened",
    "set-aside",
)
EARLIER_KINDS = {"joined": "combined"}
"""Kinds as earlier programs wrote them, and what they are called now: read as before."""
COMBINED = ("combined", "joined")
"""The kind that carries another copy, as it is written and as it was."""
AFTER_SIGNED = ("signature", "addendum", *COMBINED, "part")
BOOKKEEPING = ("taken", "combined_from", "joined_from", "clock", "was")
"""Keys that say how an entry came to stand where it does, whatever its kind."""


NewEntry = tuple[str, dict[str, Any]]
"""What is to be written: the kind of entry and its own keys; a key without a value is left out."""


def is_time(value: object) -> TypeGuard[datetime]:
    """Whether a value of a log is a time: with an offset, and in a year that every zone has."""
    return (
        isinstance(value, datetime)
        and value.utcoffset() is not None
        and MINYEAR < value.year < MAXYEAR
    )


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry as it stands in the log.

    Keys by kind, beside `n kind at by`:
    opened: format program session checklist machine [only] | reading: step reading [cylinder]
    phase entered [value] [unit] verdict [state] [gauge] [paper] (no
    value: answered unknown; paper: who took it and when, where it was typed in from paper) |
    withdrawn: of (the number of a reading) | note: step text | skipped: step [reading]
    [cylinder] why | step-added: section step title [unit] [item]
    [use text] (item: the line it was typed as; use, text: from which list, and a list of it) |
    widened: ids | finding: id step text [cylinder] | decision: finding decision [why] [until]
    [part] [quantity] [number] | part: part state | caution: [step] text |
    conditions: any of temperature qnh altitude relative_humidity
    (as typed) | sheet: name [cylinder] value source | set-aside: why | signed: open accepted
    [accepted_steps] [left_out] | addendum: text | photo: step [cylinder] photo name size |
    combined: common common_seal entries last_seal log, and after it the other side's entries again,
    each with taken and combined_from (`joined` and `joined_from` in logs of earlier programs).
    A reading of the kind photo has the key photo too: the file's name in the store.
    """

    n: int
    kind: str
    at: datetime
    by: str
    keys: dict[str, Any]
    """The rest, in order."""
    seal: str = ""
    sound: bool = True
    """False where the seal or the form doesn't hold: shown as broken, never used silently."""

    def get(self, key: str, default: Any = None) -> Any:
        """The value of one of the kind's own keys."""
        return self.keys.get(key, default)
