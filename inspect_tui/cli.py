"""The command line: which commands there are, what they take, how they end.

Exit status: 0 done; 1 the answer is no; 2 the input was wrong. Errors go to stderr, one sentence.
The commands themselves are in `commands`; the screens are imported only by those that open them.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Sequence
from typing import NoReturn

from inspect_tui import __version__
from inspect_tui.errors import BadInput, InspectError


class _Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one sentence."""

    def error(self, message: str) -> NoReturn:
        name = self.prog.removeprefix("inspect-tui").strip()
        where = f" {name}" if name else ""
        raise BadInput(f"{message[:1].upper()}{message[1:]}.", f"See 'inspect-tui{where} --help'.")


Command = Callable[..., _Parser]


def parser() -> _Parser:
    """The whole command line."""
    everywhere = _Parser(add_help=False, allow_abbrev=False)
    everywhere.add_argument(
        "--store", metavar="DIR", default=argparse.SUPPRESS,
        help="the store (else INSPECT_TUI_HOME, else the platform's data folder)",
    )  # fmt: skip
    by = _Parser(add_help=False)
    by.add_argument("--by", metavar="NAME", default="", help="who does it (else who opened it)")
    broken = _Parser(add_help=False)
    broken.add_argument(
        "--despite-broken", action="store_true", help="go on after entries that don't verify"
    )
    listed = _Parser(add_help=False)
    listed.add_argument("--json", action="store_true", help="as JSON")

    top = _Parser(
        prog="inspect-tui", parents=[everywhere], allow_abbrev=False,
        description="Guided inspection of an old two-stroke snowmobile. Without a command: the "
        "app.",
    )  # fmt: skip
    top.add_argument("--version", action="version", version=f"inspect-tui {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)

    def command(name: str, what: str, *parents: _Parser) -> _Parser:
        return commands.add_parser(
            name, help=what, description=what[0].upper() + what[1:] + ".",
            parents=[everywhere, *parents], allow_abbrev=False,
        )  # fmt: skip

    _for_screens(command, by, broken)
    _for_sessions(command, by, broken)
    _for_reading(command, listed)
    return top


def _for_screens(command: Command, by: _Parser, broken: _Parser) -> None:
    command("demo", "the app on an invented machine, in a store of its own")
    walk = command("walk", "the app at a session, else at the last one left open", by, broken)
    walk.add_argument("session", nargs="?", metavar="SESSION")
    walk.add_argument("--read-only", action="store_true", help="look and write nothing")
    new = command("new", "begin a session; prints its id", by)
    new.add_argument("checklist", metavar="CHECKLIST")
    new.add_argument("machine", metavar="MACHINE")


def _for_sessions(command: Command, by: _Parser, broken: _Parser) -> None:
    record = command("record", "record readings, all or none", by, broken)
    record.add_argument("session", metavar="SESSION")
    record.add_argument("values", nargs="+", metavar="STEP.READING[@CYLINDER]=VALUE")
    record.add_argument("--as-left", action="store_true", help="as left rather than as found")
    record.add_argument("--state", default="", metavar="TEXT", help="cold, loaded, new belt ...")
    record.add_argument("--gauge", default="", metavar="TEXT", help="which gauge")
    skip = command("skip", "skip a step, or one reading, with the reason", by, broken)
    skip.add_argument("session", metavar="SESSION")
    skip.add_argument("what", metavar="STEP[.READING[@CYLINDER]]")
    skip.add_argument("--why", required=True, metavar="TEXT")
    note = command("note", "words at a step", by, broken)
    note.add_argument("session", metavar="SESSION")
    note.add_argument("step", metavar="STEP")
    note.add_argument("text", metavar="TEXT")
    finding = command("add-finding", "a finding in your own words; prints its id", by, broken)
    finding.add_argument("session", metavar="SESSION")
    finding.add_argument("step", metavar="STEP")
    finding.add_argument("text", metavar="TEXT")
    finding.add_argument("--cylinder", metavar="NAME")
    add = command("add-step", "add a step thought of on the spot; prints its id", by, broken)
    add.add_argument("session", metavar="SESSION")
    add.add_argument("section", metavar="SECTION")
    add.add_argument("title", metavar="TITLE")
    add.add_argument("--unit", default="", metavar="UNIT")
    decide = command("decide", "decide what is done about a finding", by, broken)
    decide.add_argument("session", metavar="SESSION")
    decide.add_argument("finding", metavar="FINDING")
    decide.add_argument("decision", metavar="put-right|run-as-found|later|get-part")
    decide.add_argument("--why", default="", metavar="TEXT")
    decide.add_argument("--until", default="", metavar="DATE|CHECKLIST-ID")
    sign = command("sign", "sign off; refused while something is open", broken)
    sign.add_argument("session", metavar="SESSION")
    sign.add_argument("--by", required=True, metavar="NAME")
    sign.add_argument("--accept-open", default="", metavar="TEXT", help="sign all the same")
    sign.add_argument(
        "--key", metavar="FILE",
        help="sign with this SSH key (ed25519) too; a .pub whose other half the agent holds",
    )  # fmt: skip
    pack = command("pack", "a session, or all of a machine, with its photos in one file")
    pack.add_argument("what", metavar="SESSION|MACHINE")
    pack.add_argument("-o", "--output", required=True, metavar="FILE")
    receive = command("receive", "bring in what was packed, or a log, from another laptop")
    receive.add_argument("file", metavar="FILE")
    combine = command("combine", "make one log of two copies that went on apart")
    combine.add_argument("session", metavar="SESSION")
    combine.add_argument("file", metavar="FILE")
    combine.add_argument("--by", required=True, metavar="NAME", help="who combines them")
    photo = command("photo", "put a photo at a step; prints its name in the store", by, broken)
    photo.add_argument("session", metavar="SESSION")
    photo.add_argument("step", metavar="STEP")
    photo.add_argument("file", metavar="FILE")
    photo.add_argument("--cylinder", metavar="NAME")
    air = command("conditions", "say the air to ride in; says what changes by it", by, broken)
    air.add_argument("session", metavar="SESSION")
    air.add_argument(
        "air", nargs="+", metavar="NAME=VALUE",
        help="temperature, altitude, qnh, relative_humidity",
    )  # fmt: skip
    addendum = command("addendum", "words added after the sign-off", by, broken)
    addendum.add_argument("session", metavar="SESSION")
    addendum.add_argument("text", metavar="TEXT")


def _for_reading(command: Command, listed: _Parser) -> None:
    status = command("status", "how far a session is", listed)
    status.add_argument("session", metavar="SESSION")
    export = command("export", "the session's log to print, keep or send")
    export.add_argument("session", metavar="SESSION")
    export.add_argument(
        "--to", required=True, choices=("md", "html", "csv", "json", "pdf"), dest="form"
    )
    export.add_argument("-o", "--output", metavar="FILE")
    export.add_argument(
        "--photo-metadata", action="store_true",
        help="in HTML: keep what the camera wrote into the photos (place, camera, time, owner)",
    )  # fmt: skip
    verify = command("verify", "whether a log, or an export of it, holds; writes nothing", listed)
    verify.add_argument("session", metavar="SESSION|FILE")
    verify.add_argument("--seal", metavar="TEXT", help="the seal that was written down")
    verify.add_argument(
        "--signers", metavar="FILE", help="allowed-signers file (man ssh-keygen): who may sign"
    )
    check = command("check", "every problem of checklists and machine sheets", listed)
    check.add_argument("files", nargs="+", metavar="FILE")
    calc = command("calc", "a calculation; alone, the list of them", listed)
    calc.add_argument("name", nargs="?", metavar="NAME")
    calc.add_argument("inputs", nargs="*", metavar="key=value")
    calc.add_argument(
        "--in", dest="units", action="append", metavar="UNIT", help="unit of the results it fits"
    )
    command("sessions", "the sessions in the store", listed)
    command("machines", "the machine sheets", listed)
    command("checklists", "the checklists", listed)


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
    try:
        given = parser().parse_args(arguments)
    except SystemExit as leaving:  # --help and --version
        return int(leaving.code or 0)
    from inspect_tui import commands

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
