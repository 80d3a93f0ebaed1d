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

    def usage(self) -> str:
        """As the usual synopsis writes it; "" for the two that every writer takes."""
        options = self.options
        if self.names[-1] in ("--by", "--despite-broken") and not options.get("required"):
            return ""
        name = str(options.get("metavar") or "|".join(options.get("choices", self.names[-1:])))
        several = options.get("nargs") in ("+", "*") or options.get("action") == "append"
        name += " ..." if several else ""
        if self.names[0][0] != "-":
            return f"[{name}]" if options.get("nargs") in ("?", "*") else name
        word = self.names[0] + ("" if options.get("action") == "store_true" else f" {name}")
        return word if options.get("required") else f"[{word}]"


WHAT: Mapping[str, str] = {
    "SESSION": "an id, a beginning that fits only one, or 'last'",
    "SESSION|FILE": "a session, or a log's or export's file",
    "SESSION|MACHINE": "a session, or a machine",
    "MACHINE|SESSION": "a machine, or a session",
    "MACHINE": "a machine, as 'machines' prints it",
    "CHECKLIST": "a checklist, as 'checklists' prints it",
    "STEP": "a step, as 'status' prints it",
    "SECTION": "a section of the checklist, by its id",
    "FINDING": "a finding, as 'findings' prints it",
    "PART": "a part, as 'parts' prints it",
    "ID": "a section's or step's id",
    "FILE|ID": "a file, or the id of a list, sheet or drawing",
    "TITLE": "what it is called",
    "TEXT": "in your own words",
    "UNIT": "such as mm; without one the step is a tick",
    "NAME": "its name",
    "FILE": "a file",
    "FILE.pdf": "the file to write",
    "FOLDER": "the folder to write into",
    "STEP[.READING[@CYLINDER]]": "a step, or one reading of it, as 'status' prints it",
    "STEP.READING[@CYLINDER]": "one reading alone, as 'status' prints it",
    "STEP.READING[@CYLINDER]=VALUE": "a reading, as 'status' prints it, and what the gauge says; "
    "'?' is not known",
    "NAME[@CYLINDER]=VALUE": "a figure, as 'sheet' prints it, and what the manual says",
    "key=value": "an input, as 'calc NAME' prints it, with its unit",
}
"""What an argument is, by what it is called in the usage line; one that says it itself goes first.
"""


def arg(*names: str, **options: Any) -> Argument:
    """An argument of a command, in argparse's own words; none is left without a word of help."""
    said = WHAT.get(options.get("metavar", ""), "")
    return Argument(names, {"help": said, **options} if said else options)


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

    def synopsis(self) -> str:
        """The command line: what it wants, then what it may have."""
        words = sorted((each.usage() for each in self.arguments), key=lambda word: word[:1] in "[-")
        return " ".join(["inspect-tui", self.name, *filter(None, words)])


BY = arg("--by", metavar="NAME", default="", help="who does it (else who opened the session)")
DESPITE_BROKEN = arg(
    "--despite-broken", action="store_true", help="go on after entries that don't verify"
)
JSON = arg("--json", action="store_true", help="for another program, as JSON")
SESSION = arg("session", metavar="SESSION")
CYLINDER = arg("--cylinder", metavar="NAME", help="at which cylinder")
