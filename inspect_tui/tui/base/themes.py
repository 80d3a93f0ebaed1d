"""The look of a working drawing: four grounds, few colours, each with a meaning."""

from __future__ import annotations

from typing import Final, NamedTuple

from rich.terminal_theme import TerminalTheme
from textual.theme import Theme


class Look(NamedTuple):
    """A theme of the framework, with the shades of the sixteen colour names on its ground."""

    label: str
    theme: Theme
    shades: TerminalTheme


def _shades(ground: str, plain: str, *sixteen: str) -> TerminalTheme:
    """The sixteen colours of the terminal on one ground, as (r, g, b)."""

    def rgb(text: str) -> tuple[int, int, int]:
        return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)

    shades = [rgb(each) for each in sixteen]
    return TerminalTheme(rgb(ground), rgb(plain), shades[:8], shades[8:])


_DARK: Final = Theme(
    name="inspect-dark",
    primary="#7fb4c8", secondary="#9aa7b0", accent="#5fd7ff", foreground="#e4e8ea",
    background="#12171a", surface="#1f272c", panel="#1f272c",
    success="#87d787", warning="#ffd75f", error="#ff7070", dark=True,
)  # fmt: skip
_PAPER: Final = Theme(
    name="inspect-paper",
    primary="#1f5f7a", secondary="#55616a", accent="#005f87", foreground="#15191c",
    background="#fbfaf5", surface="#ecebe3", panel="#ecebe3",
    success="#1c6b2a", warning="#7a5200", error="#a30d0d", dark=False,
)  # fmt: skip
_HIGH_CONTRAST: Final = Theme(
    name="inspect-high-contrast",
    primary="#00ffff", secondary="#ffffff", accent="#ffff00", foreground="#ffffff",
    background="#000000", surface="#262626", panel="#262626",
    success="#00ff00", warning="#ffff00", error="#ff8888", dark=True,
)  # fmt: skip
_MONO: Final = Theme(
    name="inspect-mono",
    primary="#ffffff", secondary="#ffffff", accent="#ffffff", foreground="#d0d0d0",
    background="#000000", surface="#303030", panel="#303030",
    success="#ffffff", warning="#ffffff", error="#ffffff", dark=True,
)  # fmt: skip

THEMES: Final = {
    "dark": Look("Dark", _DARK, _shades(
        "#12171a", "#e4e8ea",
        "#12171a", "#ff7070", "#87d787", "#ffd75f", "#7fb4ff", "#e39bff", "#6fd3e8", "#e4e8ea",
        "#94a2ab", "#ff8f8f", "#a5e8a5", "#ffe28a", "#a6ccff", "#f0c0ff", "#9ae4f2", "#ffffff",
    )),
    "paper": Look("Paper", _PAPER, _shades(
        "#fbfaf5", "#15191c",
        "#15191c", "#a30d0d", "#1c6b2a", "#7a5200", "#1f4f9a", "#7a1f8a", "#005f7a", "#fbfaf5",
        "#5a666e", "#b92a2a", "#2b7d3a", "#8a6000", "#2f62b0", "#8d36a0", "#0f7390", "#000000",
    )),
    "high-contrast": Look("High contrast", _HIGH_CONTRAST, _shades(
        "#000000", "#ffffff",
        "#000000", "#ff8888", "#00ff00", "#ffff00", "#99ccff", "#ff99ff", "#00ffff", "#ffffff",
        "#b0b0b0", "#ffb0b0", "#66ff66", "#ffff66", "#bbddff", "#ffbbff", "#66ffff", "#ffffff",
    )),
    "mono": Look("Mono", _MONO, _shades(
        "#000000", "#d0d0d0", "#000000", *["#ffffff"] * 7, "#a8a8a8", *["#ffffff"] * 7,
    )),
}  # fmt: skip
"""By the name that the settings keep. Every shade of `styling.py` stands out from its ground by 4.5
to 1 or more; in Mono and without colour a bold or reversed face says what is not well."""
DEFAULT: Final = "dark"
MONO: Final = "mono"
