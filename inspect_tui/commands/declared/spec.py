"""How a command is declared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument or option, as argparse takes it."""

    names: tuple[str, ...]
    options: Mapping[str, Any]


def arg(*names: str, **options: Any) -> Argument:
    """An argument of a command, in argparse's own words."""
    return Argument(names, options)


@dataclass(frozen=True, slots=True)
class Command:
    """One command of the program."""

    name: str
    what: str
    """What it does, in a line; begins with a small letter."""
    function: str
    """`MODULE:FUNCTION` below `inspect_tui.commands`, imported when the command is run."""
    arguments: tuple[Argument, ...] = ()
    example: str = ""
    """A whole command line that does something useful."""
    prints: bool = False
    """Whether what it prints is its whole work: a stdout that takes no more is a failure then. Of
    the others what was done stands, and so does their status."""
    hidden: bool = field(default=False)
    """For the shell's completion alone: in no list."""


BY = arg("--by", metavar="NAME", default="", help="who does it (else who opened the session)")
DESPITE_BROKEN = arg(
    "--despite-broken", action="store_true", help="go on after entries that don't verify"
)
JSON = arg("--json", action="store_true", help="as JSON")
SESSION = arg("session", metavar="SESSION", help="an id, a beginning that fits only one, or 'last'")
CYLINDER = arg("--cylinder", metavar="NAME")
