"""The look of a working drawing: one dark and one light ground, few colours."""

from __future__ import annotations

from typing import Final

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
