"""A finding as it is worked out, before its decision is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.session.replay import Key

PHASES: tuple[Phase, Phase] = (AS_FOUND, AS_LEFT)


@dataclass(frozen=True, slots=True)
class CandidateFinding:
    """A finding before its decision is looked at."""

    id: str
    step: str
    reading: str | None
    cylinder: str | None
    text: str
    evidence: tuple[str, ...]
    is_active: bool
    """Whether it speaks now, by as left where there is one."""
    places: tuple[Key, ...]
    """The readings that it rests on."""
    kind: str = "value"
    sure: str = ""
    look_at: tuple[str, ...] = ()
    air: bool = False
    """Whether it rests on the session's air."""
    remark: bool = False
    """Whether it is said and wants no decision."""
    figures: frozenset[str] = frozenset()
    """The figures of the sheet that it rests on, as expressions write them."""
    rests_on: tuple[Key, ...] = ()
    """Of a derived value: the readings that it is worked out from."""
    explains: frozenset[Key] = frozenset()
    """The (step, value, cylinder)s whose findings stand under it while it speaks."""


def identity(step: str, value: str, cylinder: str | None) -> str:
    """The id of a value's finding: `STEP.READING[@CYLINDER]`."""
    return f"{step}.{value}" + ("" if cylinder is None else f"@{cylinder}")
