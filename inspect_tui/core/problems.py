"""What is wrong in a definition file, as data: every problem of a file in one pass."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, or worth noting, in a file."""

    file: str
    """As the person named it."""
    line: int | None
    """The true line (1-based), or None."""
    path: str
    """The key path as headers are written: `section.step.reading.unit`; "" for the whole file."""
    message: str
    """What is wrong and what would be right, one sentence, with the file's own words."""
    note: bool = False
    """Worth knowing, but no error: a figure that the sheet lacks, a zone too narrow."""

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        note = "note: " if self.note else ""
        return f"{where}: {self.path}: {note}{self.message}"
