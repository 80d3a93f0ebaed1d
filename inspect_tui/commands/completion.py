"""`completion`: a script for the shell that completes commands, options, and ids from the store.

The script asks the hidden command `ids` while one types: ids are data, so each stands on a line of
its own and the shell's function takes it as one quoted word.
"""

from __future__ import annotations

import argparse
import sys
from typing import Final

from inspect_tui.commands.common import places
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store, list_sessions

SHELLS: Final = ("bash", "zsh", "fish")
IDS: Final = ("sessions", "machines", "checklists", "steps")

_ASKED_BY: Final = {
    "SESSION": ("sessions",),
    "MACHINE": ("machines",),
    "CHECKLIST": ("checklists",),
    "MACHINE|SESSION": ("machines", "sessions"),
    "SESSION|MACHINE": ("machines", "sessions"),
    "STEP": ("steps",),
    "STEP[.READING[@CYLINDER]]": ("steps",),
}
"""By the word that stands for an argument in a command's help: which ids can stand there."""
_FILES: Final = ("FILE", "SESSION|FILE", "FILE|ID", "DIR", "FOLDER", "FILE.pdf")

_BASH = """
_inspect_tui_ids() {
  local words; words=("${COMP_WORDS[@]:1}")
  local each
  while IFS= read -r each; do
    [[ "$each" == "$2"* ]] && printf '%s\\n' "$each"
  done < <(inspect-tui ids "$1" -- "${words[@]}" 2>/dev/null)
}
"""
_ZSH = """
_inspect_tui_ids() {
  local -a found; found=("${(@f)$(inspect-tui ids "$1" -- "${words[@]:1}" 2>/dev/null)}")
  compadd -a found
}
"""


def completion(given: argparse.Namespace) -> int:
    """Print the script for a shell, to be sourced from its start-up file."""
    import shtab

    from inspect_tui.commands.parser import parser

    command_line = parser()
    _mark(command_line)
    own = {"bash": _BASH, "zsh": _ZSH}
    preamble = own[given.shell] + _each(given.shell) if given.shell in own else ""
    sys.stdout.write(shtab.complete(command_line, given.shell, preamble=preamble))
    return 0


def _each(shell: str) -> str:
    """A function for each sort of ids, since a completer is called by its name alone."""
    rest = '"$1"' if shell == "bash" else ""
    return "".join(
        f"_inspect_tui_{'_'.join(kinds)}() {{\n"
        + "".join(f"  _inspect_tui_ids {kind} {rest}\n" for kind in kinds)
        + "}\n"
        for kinds in sorted(set(_ASKED_BY.values()))
    )


def _mark(parser: argparse.ArgumentParser) -> None:
    """Say at each argument what completes it."""
    import shtab

    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                _mark(below)
            continue
        word = action.metavar if isinstance(action.metavar, str) else ""
        if kinds := _ASKED_BY.get(word):
            name = f"_inspect_tui_{'_'.join(kinds)}"
            asked = "; ".join(f"inspect-tui ids {kind} -- (commandline -opc)" for kind in kinds)
            completed = {"bash": name, "zsh": name, "fish": f"({asked})"}
            action.complete = completed  # type: ignore[attr-defined]
        elif word in _FILES:
            action.complete = shtab.FILE  # type: ignore[attr-defined]


def ids(given: argparse.Namespace) -> int:
    """The ids of one kind, a line each; nothing where there are none or the store can't be read."""
    try:
        store = places(given)
        if given.kind == "sessions":
            found = ["last", *(path.stem for path in list_sessions(store))]
        elif given.kind == "steps":
            found = _steps(store, given.words)
        else:
            kind: definition_files.Kind = "machine" if given.kind == "machines" else "checklist"
            files = definition_files.list_all(kind, store)
            found = [definition_files.id_of(each) for each in files]
    except InspectError:
        return 0  # a completion says nothing; the command itself will
    for each in found:
        sys.stdout.write(each + "\n")
    return 0


def _steps(store: Store, words: list[str]) -> list[str]:
    """The steps of the session that is among the words typed so far."""
    from inspect_tui.files.log import writer as log
    from inspect_tui.workflow.resolve import session_id

    for word in words[1:]:
        try:
            path = store.log(session_id(store, word))
        except InspectError:
            continue
        import tomllib

        checklist = tomllib.loads(str(log.read(path).entries[0].get("checklist", "")))
        return [
            str(step.get("id", ""))
            for section in checklist.get("section", [])
            for step in section.get("step", [])
        ]
    return []
