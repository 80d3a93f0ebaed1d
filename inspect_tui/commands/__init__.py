"""The commands, thin: each takes the parsed command line and gives the exit status.

A command's module is imported when the command is run, so that none waits for what others need.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import Final

COMMANDS: Final[dict[str | None, str]] = {
    None: "app:app",
    "demo": "app:demo",
    "walk": "app:walk",
    "new": "sessions:new",
    "record": "sessions:record",
    "skip": "sessions:skip",
    "note": "sessions:note",
    "add-finding": "sessions:add_finding",
    "add-step": "sessions:add_step",
    "decide": "sessions:decide",
    "sign": "sessions:sign",
    "photo": "photos:photo",
    "pack": "transfer:pack",
    "receive": "transfer:receive",
    "combine": "transfer:combine",
    "addendum": "sessions:addendum",
    "conditions": "ambient:conditions",
    "status": "inspect:status",
    "export": "inspect:export",
    "verify": "verify:verify",
    "sessions": "inspect:sessions",
    "check": "definitions:check",
    "machines": "definitions:machines",
    "checklists": "definitions:checklists",
    "calc": "calc:calc",
}
"""By the command's name, `MODULE:FUNCTION` here; None is no command at all."""


def command(name: str | None) -> Callable[[argparse.Namespace], int]:
    """The function of a command, its module imported now."""
    module, _, function = COMMANDS[name].partition(":")
    found: Callable[[argparse.Namespace], int] = getattr(
        import_module(f"inspect_tui.commands.{module}"), function
    )
    return found
