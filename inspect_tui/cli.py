"""The command line: how a command is run and how it ends.

Exit status: 0 done; 1 the answer is no; 2 the input was wrong. Errors go to stderr, one sentence.
The commands are declared in `commands/declared`; each is imported when it is run.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence

from inspect_tui.errors import InspectError


def main(arguments: Sequence[str]) -> int:
    """Run one command; the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        return _run(arguments)
    except InspectError as error:
        _complain(str(error))
        return error.status
    except BrokenPipeError:
        # The reader of our output left; nothing more can be told to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130


def _complain(text: str) -> None:
    from inspect_tui.core.text.sanitize import sanitize

    for line in text.splitlines():
        print(sanitize(line), file=sys.stderr)


def _run(arguments: Sequence[str]) -> int:
    from inspect_tui import commands
    from inspect_tui.commands.parser import parse

    try:
        given = parse(arguments)
    except SystemExit as leaving:  # --help and --version
        return int(leaving.code or 0)

    try:
        status = commands.command(given.command)(given)
        sys.stdout.flush()
    except (InspectError, BrokenPipeError):
        raise
    except Exception as error:
        if os.environ.get("INSPECT_TUI_TRACE"):
            raise
        from inspect_tui.commands.crash import in_words

        _complain(in_words(error, given))
        return 2
    return status
