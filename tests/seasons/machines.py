"""Summaries of invented sessions, for the tests of what one session leaves to the next."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from inspect_tui.core.seasons.summary import DoneStep, PastFinding, PastValue, SessionSummary

FIRST = datetime(2023, 11, 5, 18, tzinfo=UTC)


def day(number: int) -> datetime:
    return FIRST + timedelta(days=number)


def value(step: str, reading: str, number, at: datetime, **keys) -> PastValue:
    """A measured value; a length in mm unless said."""
    given = {
        "cylinder": None, "phase": "as-found", "kind": "number", "unit": "mm", "verdict": "pass",
        "entered": str(number),
    } | keys  # fmt: skip
    return PastValue(step=step, reading=reading, value=number, at=at, **given)


def odometer(km: float, at: datetime, **keys) -> PastValue:
    return value("meter", "odometer", km, at, unit="km", meter="odometer", **keys)


def finding(name: str, **keys) -> PastFinding:
    """A finding put off until it is looked at again."""
    step, _, reading = name.partition("@")[0].partition(".")
    given = {
        "step": step, "reading": reading or None, "cylinder": name.partition("@")[2] or None,
        "text": f"{name} is off", "decision": "later", "why": "", "until": "", "part": "",
        "put_off": True, "own": False,
    } | keys  # fmt: skip
    return PastFinding(name, **given)


def session(number: int, checklist: str = "pre-season", **keys) -> SessionSummary:
    """A signed session, begun so many days after the first."""
    begun = day(number)
    given = {"state": "signed", "values": (), "findings": (), "done": ()} | keys
    return SessionSummary(
        session=f"s{number}", checklist=checklist, machine="sled", opened=begun,
        last=begun + timedelta(hours=3), **given,
    )  # fmt: skip


def done(step: str, at: datetime, *every: str) -> DoneStep:
    return DoneStep(step, step.capitalize(), every, at)
