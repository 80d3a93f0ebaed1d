"""The command line: parsed, run, ended with its status.

Exit status: 0 done; 1 the answer is no; 2 the input was wrong. Errors go to stderr, one sentence.
What becomes of stdout and stderr is `commands.streams`' business. The commands are declared in
`commands.declared` and built in `commands`; the screens are imported only by those that open them.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from inspect_tui.errors import InspectError


def main(arguments: Sequence[str]) -> int:
    """Run one command; the exit status."""
    from inspect_tui.commands import streams

    with streams.guarded() as (out, _):
        status, prints = _run(arguments)
        return streams.status_after(out, status, prints)


def _complain(text: str) -> None:
    from inspect_tui.core.text.sanitize import sanitize

    for line in text.splitlines():
        print(sanitize(line), file=sys.stderr)


def _run(arguments: Sequence[str]) -> tuple[int, bool]:
    """The status, and whether what was printed is the command's whole work."""
    from inspect_tui import commands
    from inspect_tui.commands.common import refuse_impossible_clock
    from inspect_tui.commands.parser import parse

    try:
        given = parse(arguments)
    except SystemExit as leaving:  # --help and --version
        return int(leaving.code or 0), True
    except InspectError as error:
        _complain(str(error))
        return error.status, False
    prints = given.command in commands.COMMANDS and commands.COMMANDS[given.command].prints
    try:
        refuse_impossible_clock()
        return commands.command(given.command)(given), prints
    except InspectError as error:
        _complain(str(error))
        return error.status, prints
    except KeyboardInterrupt as broken:
        if str(broken):
            _complain(str(broken))
        return 130, prints
    except Exception as error:
        if os.environ.get("INSPECT_TUI_TRACE"):
            raise
        from inspect_tui.commands.crash import in_words

        _complain(in_words(error, given))
        return 2, prints
