"""What is due, in a person's words, and in which order it is said."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from inspect_tui.core.seasons.due import Due, first_day
from inspect_tui.core.text.sanitize import ellipsize

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_NEAR = 300
"""Days within which a day needs no year."""


def most_pressing(rows: Iterable[Due]) -> list[Due]:
    """The late ones first, then by the day on which they may first come, then the untold."""
    return sorted(
        rows, key=lambda row: (not row.late, first_day(row), row.machine, row.title, row.due_at)
    )


def when_due(row: Due, today: date) -> str:
    """When it comes: `between 10 January and 3 March`, or what is known instead.

    Args:
        row: What is due.
        today: The day that it is; days near it are said without their year.
    """
    over = row.left.removeprefix("-")
    if row.late:
        return f"LATE, {over} over (due {_at(row, today)})"
    if not row.due_at:
        return "the meter was never read"
    if row.calendar:
        return f"by {day_in_words(date.fromisoformat(row.due_at), today)}"
    soonest, latest = row.span.soonest, row.span.latest
    if soonest is None:
        about = "" if row.by is None else _about(date.fromisoformat(row.by), today)
        return f"at {row.due_at}, {row.left} left; {about}{row.span.why_not}"
    if latest is None:
        begin = "any day" if soonest <= today else f"not before {day_in_words(soonest, today)}"
        return f"{begin}, until when can't be told; at {row.due_at}"
    if latest <= today:
        return f"probably already: read the meter; at {row.due_at}"
    end = day_in_words(latest, today)
    if soonest <= today:
        return f"any day, by {end} at the latest; at {row.due_at}"
    if soonest == latest:
        return f"on {end}; at {row.due_at}"
    begin = day_in_words(soonest, today)
    if end.endswith(str(latest.year)) and soonest.year < latest.year:
        begin = f"{day_in_words(soonest, soonest)} {soonest.year}"
    return f"between {begin} and {end}; at {row.due_at}"


def line_of(row: Due, today: date) -> str:
    """`Belt: between 10 January and 3 March; at 2600 km`."""
    return f"{ellipsize(row.title or row.step)}: {when_due(row, today)}"


def day_in_words(day: date, today: date) -> str:
    """`10 January`; with its year where it is far off."""
    near = abs((day - today).days) <= _NEAR
    return f"{day.day} {_MONTHS[day.month - 1]}" + ("" if near else f" {day.year}")


def _at(row: Due, today: date) -> str:
    if row.calendar:
        return day_in_words(date.fromisoformat(row.due_at), today)
    return f"at {row.due_at}"


def _about(day: date, today: date) -> str:
    return f"about {day_in_words(day, today)}, but how that varies can't be told: "
