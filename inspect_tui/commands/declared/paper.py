"""Commands that print for the shed: blank sheets, the tag on the bars."""

from __future__ import annotations

from typing import Final

from inspect_tui.commands.declared.spec import SESSION, Command, arg

_OUTPUT: Final = arg("-o", "--output", required=True, metavar="FILE.pdf")

COMMANDS: Final = (
    Command(
        "paper", "blank sheets of a list with a machine's figures, to write on in the shed",
        "paper:paper",
        (arg("checklist", metavar="CHECKLIST"), arg("machine", metavar="MACHINE"), _OUTPUT),
        "inspect-tui paper pre-season my-machine -o blank.pdf",
    ),
    Command(
        "tag", "the tag to hang on the machine: do not start, do not move, and why", "paper:tag",
        (SESSION, _OUTPUT),
        "inspect-tui tag last -o tag.pdf",
    ),
)  # fmt: skip
