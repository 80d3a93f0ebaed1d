"""The small verifier that stands in README.md, taken out of it as a reader would."""

from __future__ import annotations

import textwrap
from pathlib import Path

README = Path(__file__).parent.parent / "README.md"
BEGINS = '    """Checks a session log:'
ENDS = "sys.exit(1 if fault else 0)\n"


def source() -> str:
    """Its lines, as they would be pasted into a file."""
    text = README.read_text(encoding="utf-8")
    start = text.index(BEGINS)
    return textwrap.dedent(text[start : text.index(ENDS, start) + len(ENDS)])


_names: dict[str, object] = {"__name__": "readme_verifier_text"}
exec(compile(source(), str(README), "exec"), _names)
first_fault = _names["first_fault"]
