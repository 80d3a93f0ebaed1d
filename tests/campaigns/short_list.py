"""The smallest checklist and machine, which the campaigns on a session's log record into."""

from __future__ import annotations

from pathlib import Path

CHECKLIST = """
id = "short"
title = "Short"
[[section]]
id = "s"
title = "S"
[[section.step]]
id = "belt"
title = "Belt"
[[section.step.reading]]
id = "width"
label = "Width"
kind = "number"
unit = "mm"
"""
MACHINE = 'id = "bed"\nname = "Bed"\ncylinders = ["A"]\n'


def put(folder: Path) -> tuple[str, str]:
    """Write both into a folder that is there; their paths, as `new` wants them."""
    paths = folder / "short.toml", folder / "bed.toml"
    for path, text in zip(paths, (CHECKLIST, MACHINE), strict=True):
        path.write_text(text, encoding="utf-8")
    return str(paths[0]), str(paths[1])
