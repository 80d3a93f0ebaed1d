"""The command line's parser, made from the commands' declarations.

What is mistyped is answered in one sentence that names the nearest command or option.
"""

from __future__ import annotations

import argparse
import re
import shutil
import textwrap
from collections.abc import Sequence
from typing import Any, Final, NoReturn

from inspect_tui import __version__
from inspect_tui.commands import COMMANDS
from inspect_tui.commands.declared.groups import GROUPS
from inspect_tui.commands.declared.spec import Command
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.suggestions import nearest
from inspect_tui.errors import BadInput

PROGRAM: Final = "inspect-tui"


class Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise BadInput instead of printing the usage and leaving."""
        name = self.prog.removeprefix(PROGRAM).strip()
        where = f" {name}" if name else ""
        raise BadInput(f"{_plain(message)}.", f"See '{PROGRAM}{where} --help'.")


class Top(Parser):
    """The command line before its command: its help lists the commands by what they are for."""

    def format_help(self) -> str:
        """The usage, the commands under their headings, the options of all of them."""
        widest = max(len(name) for names in GROUPS.values() for name in names.split())
        width = max(shutil.get_terminal_size().columns - 2, 40)
        indent = " " * (widest + 6)
        lines = ["", "Without a command: the app. 'inspect-tui COMMAND --help' says more of one."]
        for heading, names in GROUPS.items():
            lines += ["", f"{heading}:"]
            for name in names.split():
                first = f"    {name:<{widest}}  "
                lines += textwrap.wrap(
                    COMMANDS[name].what, width, initial_indent=first, subsequent_indent=indent
                )
        formatter = self._get_formatter()
        formatter.add_usage(self.usage, self._actions, self._mutually_exclusive_groups)
        formatter.add_text(textwrap.fill(self.description or "", width) + "\n" + "\n".join(lines))
        formatter.start_section(self._optionals.title)
        formatter.add_arguments(self._optionals._group_actions)
        formatter.end_section()
        return formatter.format_help()


def _plain(message: str) -> str:
    """What the parser complains of, without its own words for it."""
    found = re.fullmatch(r"argument [^:]+: invalid choice: '(.*)' \(choose from (.*)\)", message)
    if found:
        return f"'{sanitize(found[1])}' is none of {found[2]}"
    found = re.fullmatch(r"argument ([^:]+): invalid int value: '(.*)'", message)
    if found:
        return f"{found[1]} wants a whole number, not '{sanitize(found[2])}'"
    found = re.fullmatch(r"the following arguments are required: (.*)", message)
    if found:
        return f"It wants {found[1]}"
    return f"{message[:1].upper()}{message[1:]}"


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """The parsed command line.

    Raises:
        BadInput: there is no such command or option, or something lacks.
        SystemExit: `--help` or `--version` was answered.
    """
    _known_command(arguments)
    top = parser(arguments)
    given, rest = top.parse_known_args(arguments)
    if rest:
        _refuse(top, given.command, rest)
    return given


def parser(arguments: Sequence[str] = ()) -> Parser:
    """The whole command line, or only the commands that are among the arguments, if any is.

    A command's own parser takes longer to make than to use: `walk` needn't make forty.
    """
    wanted = [command for name, command in COMMANDS.items() if name in arguments]
    if arguments[:1] in (["-h"], ["--help"]):
        wanted = []
    top = Top(
        prog=PROGRAM, allow_abbrev=False, add_help=False,
        usage="%(prog)s [--store DIR] [COMMAND ...]",
        description="Walks you through the inspection of a machine: a checklist, each reading held "
        "against the machine's sheet, findings and what is done about them, a signed log.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    _add_common(top)
    top.add_argument(
        "--version", action="version", version=f"{PROGRAM} {__version__}",
        help="print the program's version",
    )  # fmt: skip
    commands = top.add_subparsers(
        dest="command", metavar="COMMAND", parser_class=Parser, prog=PROGRAM
    )
    for command in wanted or COMMANDS.values():
        _add_command(commands, command)
    return top


def _add_common(to: Parser) -> None:
    to._positionals.title, to._optionals.title = "it takes", "options"
    to.add_argument("-h", "--help", action="help", help="print this")
    to.add_argument(
        "--store", metavar="DIR", default=argparse.SUPPRESS,
        help="the store's folder (else INSPECT_TUI_HOME, else where this computer keeps such data)",
    )  # fmt: skip


def _add_command(commands: Any, command: Command) -> None:
    shown: dict[str, Any] = {} if command.hidden else {"help": command.what}
    made: Parser = commands.add_parser(
        command.name, **shown, allow_abbrev=False, add_help=False,
        usage="\n       ".join(textwrap.wrap(command.synopsis(), 72, break_on_hyphens=False)),
        description=command.what[:1].upper() + command.what[1:] + ".",
        epilog=f"example:\n  {command.example}" if command.example else None,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    _add_common(made)
    for argument in command.arguments:
        made.add_argument(*argument.names, **argument.options)


def _known_command(arguments: Sequence[str]) -> None:
    """Raise for a first word that is no command, naming the nearest one."""
    rest = iter(arguments)
    for word in rest:
        if word == "--store":
            next(rest, None)
        elif not word.startswith("-"):
            if word not in COMMANDS:
                known = [command.name for command in COMMANDS.values() if not command.hidden]
                near = nearest(word, known)
                raise BadInput(
                    f"There is no command '{ellipsize(word)}'.",
                    f"Did you mean {near}?" if near else f"See '{PROGRAM} --help'.",
                )
            return


def _refuse(top: Parser, name: str | None, rest: Sequence[str]) -> NoReturn:
    """Raise for what no argument takes, naming the nearest option."""
    where = f"{PROGRAM} {name}" if name else PROGRAM
    options = [word for word in rest if word.startswith("-") and word != "-"]
    if not options:
        raise BadInput(
            f"'{ellipsize(rest[0])}' is too much for '{where}'.", f"See '{where} --help'."
        )
    word = options[0].partition("=")[0]
    known = ["--store", "--help"]
    if name is not None:
        known += [each for one in COMMANDS[name].arguments for each in one.names if each[0] == "-"]
    near = nearest(word, known)
    raise BadInput(
        f"'{where}' has no option {ellipsize(word)}.",
        f"Did you mean {near}?" if near else f"See '{where} --help'.",
    )
