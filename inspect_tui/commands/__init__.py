"""The commands, thin: each takes the parsed command line and gives the exit status.

A command's module is imported when the command is run, so that none waits for what others need.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import Final

from inspect_tui.commands.declared import around, paper, seasons, work
from inspect_tui.commands.declared.spec import Command

COMMANDS: Final[dict[str, Command]] = {
    command.name: command
    for command in (*work.COMMANDS, *paper.COMMANDS, *seasons.COMMANDS, *around.COMMANDS)
}
"""By name, in the order in which `--help` lists them."""
_NONE: Final = "app:app"
"""What runs without a command."""


def command(name: str | None) -> Callable[[argparse.Namespace], int]:
    """The function of a command, its module imported now; None is no command at all."""
    module, _, function = (_NONE if name is None else COMMANDS[name].function).partition(":")
    found: Callable[[argparse.Namespace], int] = getattr(
        import_module(f"inspect_tui.commands.{module}"), function
    )
    return found
