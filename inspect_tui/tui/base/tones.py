"""How a line under a field is meant, and how it looks."""

from __future__ import annotations

from typing import Final, Literal

from inspect_tui.tui.base.look import DIM, FAIL, PASS, UNCERTAIN

Tone = Literal["", "good", "doubt", "bad"]
TONES: Final[dict[Tone, str]] = {"": DIM, "good": PASS, "doubt": UNCERTAIN, "bad": FAIL}
