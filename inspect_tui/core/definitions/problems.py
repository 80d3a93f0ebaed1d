"""What is wrong in a definition file, as data: every problem of a file in one pass."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_tui.core.definitions.toml_positions import Lines, Path
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput

MOST = 1_000
"""Problems of one file; of a file with more the first are enough to begin with."""


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
    lacking: str = ""
    """The figure or fact that the sheet lacks, by its name, where it says that."""

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        path = f"{self.path}: " if self.path else ""
        note = "note: " if self.note else ""
        return sanitize(f"{where}: {path}{note}{self.message}")


class ProblemCollector:
    """The problems of one file while it is looked through, by their places."""

    def __init__(self) -> None:
        self.moved: dict[Path, tuple[Path, str]] = {}
        """Places that stand elsewhere in the file: where, and what stands there. For what is added
        from then on."""
        self._found: dict[tuple[Path, str], tuple[bool, str]] = {}
        self._faulty: set[Path] = set()

    def add(
        self, path: Path, what: str | BadInput, *, note: bool = False, lacking: str = ""
    ) -> None:
        """One problem at a place; said twice, it counts once."""
        home, message = self._at_home(path, str(what))
        if len(self._found) < MOST:
            self._found.setdefault((home, message), (note or bool(lacking), lacking))
        if not (note or lacking):
            self._faulty |= {path, home}

    def sound(self, *path: str | int) -> bool:
        """Whether nothing was said against this place itself."""
        return path not in self._faulty

    @property
    def found(self) -> bool:
        """Whether there is a problem that is no note."""
        return bool(self._faulty)

    @property
    def full(self) -> bool:
        """Whether there are so many that looking on is no use."""
        return len(self._found) >= MOST

    def problems(self, text: str, file: str) -> tuple[Problem, ...]:
        """All of them in the order of the file, each with its true line."""
        if not self._found:
            return ()
        lines = Lines(text)
        problems = [
            Problem(file, lines.of(path), as_written(path), message, *kind)
            for (path, message), kind in self._found.items()
        ]
        return tuple(sorted(problems, key=lambda problem: problem.line or 0))

    def _at_home(self, path: Path, message: str) -> tuple[Path, str]:
        """A problem at its place in the file, where it was found in what stands for that place."""
        for end in range(len(path), 0, -1):
            found = self.moved.get(path[:end])
            if found is not None and path != found[0]:
                inner = as_written(path[end:])
                return found[0], f"{found[1]}{f', {inner}' if inner else ''}: {message}"
        return path, message


def as_written(path: Path) -> str:
    """A place as headers are written: `section.step.reading.unit`."""
    return sanitize(".".join(str(key) for key in path if isinstance(key, str)))
