"""The commands, thin: each takes the parsed command line and gives the exit status.

A command's module is imported when the command is run, so that none waits for what others need.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import Final

COMMANDS: Final[dict[str | None, str]] = {
    None: "screens:app",
    "demo": "screens:demo",
    "walk": "screens:walk",
    "new": "recording:new",
    "record": "recording:record",
    "skip": "recording:skip",
    "note": "recording:note",
    "find": "recording:find",
    "add-step": "recording:add_step",
    "decide": "recording:decide",
    "sign": "recording:sign",
    "photo": "photographs:photo",
    "bundle": "carrying:bundle",
    "take": "carrying:take",
    "join": "carrying:join",
    "addendum": "recording:addendum",
    "conditions": "airing:conditions",
    "status": "showing:status",
    "export": "showing:export",
    "verify": "verifying:verify",
    "sessions": "showing:sessions",
    "check": "definitions:check",
    "machines": "definitions:machines",
    "checklists": "definitions:checklists",
    "calc": "calculating:calc",
}
"""By the command's name, `MODULE:FUNCTION` here; None is no command at all."""


def command(name: str | None) -> Callable[[argparse.Namespace], int]:
    """The function of a command, its module imported now."""
    module, _, function = COMMANDS[name].partition(":")
    found: Callable[[argparse.Namespace], int] = getattr(
        import_module(f"inspect_tui.commands.{module}"), function
    )
    return found
