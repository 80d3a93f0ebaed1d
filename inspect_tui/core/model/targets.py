"""Which reading is meant, and what a typed text would be as that reading."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_tui.core.model.results import ConformityResult


@dataclass(frozen=True, slots=True)
class Target:
    """Which reading: step, reading, cylinder (None where the step is not per cylinder)."""

    step: str
    reading: str
    cylinder: str | None = None

    def __str__(self) -> str:
        return f"{self.step}.{self.reading}" + (
            "" if self.cylinder is None else f"@{self.cylinder}"
        )


@dataclass(frozen=True, slots=True)
class Preview:
    """What a typed text would be, not entered yet. `error` is set where it can't be taken."""

    shown: str = ""
    """As understood: `31.75 mm`, `yes`."""
    value: object = None
    judged: ConformityResult | None = None
    question: str = ""
    """A probable slip of the unit or the decimal point."""
    error: str = ""
