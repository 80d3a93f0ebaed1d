"""Points in time as a page writes them: by the clock on the wall where they were written.

The offset from UTC stands beside them only where a session was written under several. No name of a
month comes from the computer, so that a report is the same bytes everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


class Times:
    """How the times of one session are written.

    Args:
        stamps: All of them, each with its offset.
    """

    def __init__(self, stamps: Iterable[datetime]) -> None:
        self._several = len({stamp.utcoffset() for stamp in stamps}) > 1

    def when(self, at: datetime) -> str:
        """`2 November 2026, 18:04`."""
        return f"{day(at.date())}, {self.clock(at)}"

    def short(self, at: datetime) -> str:
        """`2 Nov, 18:04`."""
        return f"{at.day} {_MONTHS[at.month - 1][:3]}, {self.clock(at)}"

    def clock(self, at: datetime) -> str:
        """`18:04`."""
        return f"{at:%H:%M}{self._offset(at)}"

    def _offset(self, at: datetime) -> str:
        return f" UTC{_signed(at.utcoffset())}" if self._several else ""


def day(at: date) -> str:
    """`2 November 2026`."""
    return f"{at.day} {_MONTHS[at.month - 1]} {at.year}"


def days(first: date, last: date) -> str:
    """`2 November 2026`, `2 to 5 November 2026`, `30 November to 2 December 2026`."""
    if first == last:
        return day(last)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day(last)}"
    if first.year == last.year:
        return f"{first.day} {_MONTHS[first.month - 1]} to {day(last)}"
    return f"{day(first)} to {day(last)}"


def until_words(until: str) -> str:
    """What a decision waits for, as a page says it: a day, or a list by its name in words.

    A list is known by its id alone here: `first-ride` is the list `first ride`.
    """
    try:
        return day(date.fromisoformat(until))
    except ValueError:
        return until.replace("-", " ").replace("_", " ")


def _signed(offset: timedelta | None) -> str:
    if not offset:
        return ""
    minutes = round(offset.total_seconds() / 60)
    hours, rest = divmod(abs(minutes), 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{hours}:{rest:02}" if rest else f"{sign}{hours}"
