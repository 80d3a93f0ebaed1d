"""The screens that a person can ask for, and the messages that ask the app for them."""

from __future__ import annotations

from typing import Literal

ScreenName = Literal[
    "help",
    "findings",
    "compare",
    "sign",
    "export",
    "bench",
    "photos",
    "plan",
    "figures",
    "widen",
    "new_list",
    "take_step",
    "sessions",
]
"""`sessions` leaves this session."""
