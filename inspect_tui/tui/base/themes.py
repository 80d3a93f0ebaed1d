"""The look of a working drawing: one dark and one light ground, few colours."""

from __future__ import annotations

from typing import Final

from rich.terminal_theme import TerminalTheme
from textual.theme import Theme

DARK: Final = Theme(
    name="drawing",
    primary="#7fb4c8",
    secondary="#9aa7b0",
    accent="#5fd7ff",
    foreground="#e4e8ea",
    background="#12171a",
    surface="#1f272c",
    panel="#1f272c",
    success="#87d787",
    warning="#ffd75f",
    error="#ff7070",
    dark=True,
)
LIGHT: Final = Theme(
    name="drawing-paper",
    primary="#1f5f7a",
    secondary="#55616a",
    accent="#005f87",
    foreground="#15191c",
    background="#fbfaf5",
    surface="#ecebe3",
    panel="#ecebe3",
    success="#1c6b2a",
    warning="#7a5200",
    error="#a30d0d",
    dark=False,
)


def _shades(ground: str, plain: str, *sixteen: str) -> TerminalTheme:
    """The sixteen colours of the terminal on one ground, as (r, g, b)."""

    def rgb(text: str) -> tuple[int, int, int]:
        return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)

    shades = [rgb(each) for each in sixteen]
    return TerminalTheme(rgb(ground), rgb(plain), shades[:8], shades[8:])


ANSI_DARK: Final = _shades(
    "#12171a", "#e4e8ea",
    "#12171a", "#ff7070", "#87d787", "#ffd75f", "#7fb4ff", "#e39bff", "#6fd3e8", "#e4e8ea",
    "#94a2ab", "#ff8f8f", "#a5e8a5", "#ffe28a", "#a6ccff", "#f0c0ff", "#9ae4f2", "#ffffff",
)  # fmt: skip
ANSI_LIGHT: Final = _shades(
    "#fbfaf5", "#15191c",
    "#15191c", "#a30d0d", "#1c6b2a", "#7a5200", "#1f4f9a", "#7a1f8a", "#005f7a", "#fbfaf5",
    "#5a666e", "#b92a2a", "#2b7d3a", "#8a6000", "#2f62b0", "#8d36a0", "#0f7390", "#000000",
)  # fmt: skip
"""Shades for the colour names of `look.py`: all stand out from their ground by 4.5 to 1 or more."""
