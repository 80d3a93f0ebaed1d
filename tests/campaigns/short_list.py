"""The smallest checklist and machine, which the campaigns on a session's log record into."""

from __future__ import annotations

from pathlib import Path

from tests.builders import checklist, reading, section, step

CHECKLIST = checklist(
    section("s"), step("belt", reading("width", label="Width"), title="Belt"), id_="short"
)
MACHINE = 'id = "bed"\nname = "Bed"\ncylinders = ["A"]\n'


def put(folder: Path) -> tuple[str, str]:
    """Write both into a folder that is there; their paths, as `new` wants them."""
    paths = folder / "short.toml", folder / "bed.toml"
    for path, text in zip(paths, (CHECKLIST, MACHINE), strict=True):
        path.write_text(text, encoding="utf-8")
    return str(paths[0]), str(paths[1])
