"""Commands about definitions: check, machines, checklists."""

from __future__ import annotations

import argparse
from pathlib import Path

from inspect_tui.commands.common import readable, show, show_json, tell
from inspect_tui.core.definitions import json_schema
from inspect_tui.core.definitions.load import (
    Loaded,
    check_together,
    kind_of,
    load_checklist,
    load_machine,
)
from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.text.formatting import join_words, pluralize
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.definition_files import read_text
from inspect_tui.files.disk import is_file
from inspect_tui.workflow import catalogue


def check(given: argparse.Namespace) -> int:
    """Every problem of the files: alone, and each checklist with each machine sheet."""
    names = list(dict.fromkeys(given.files))
    absent = [name for name in names if not is_file(Path(name))]
    problems: list[Problem] = []
    lists: list[tuple[str, str, Loaded]] = []
    sheets: list[Loaded] = []
    for name in (name for name in names if name not in absent):
        try:
            text = read_text(Path(name))
        except Refused as error:
            problems.append(_unreadable(name, str(error)))
            continue
        if kind_of(text) == "machine":
            sheets.append(load_machine(text, name))
            problems.extend(sheets[-1].problems)
        else:
            lists.append((name, text, load_checklist(text, name)))
            problems.extend(lists[-1][2].problems)
    for name, text, loaded in lists:
        for sheet in sheets:
            if loaded.compiled is not None and sheet.machine is not None:
                problems.extend(check_together(loaded, text, name, sheet.machine))
    problems = list(dict.fromkeys(problems))
    if len(absent) < len(names):
        _say(problems, given.json)
    if not (problems or absent or given.json):
        tell(f"{pluralize(len(names), 'file')}: no problems.")
    if absent:
        # Said last, so that what is wrong in the other files is not kept back.
        named = join_words([f"'{sanitize(name)}'" for name in absent])
        raise BadInput(f"There is no file {named}.")
    return 0 if all(problem.note for problem in problems) else 1


def _say(problems: list[Problem], as_json: bool) -> None:
    """The problems on stdout, one a line or as data."""
    if as_json:
        show_json(
            [
                {
                    "file": problem.file, "line": problem.line, "path": problem.path,
                    "message": problem.message, "note": problem.note,
                }
                for problem in problems
            ]
        )  # fmt: skip
        return
    for problem in problems:
        show(" ".join(str(problem).split("\n")))


def _unreadable(name: str, reason: str) -> Problem:
    """A file that is no text, as a problem; its reason begins with the file and the line."""
    line, colon, rest = reason.removeprefix(f"{Path(name)}:").partition(": ")
    if colon and line.isdigit():
        return Problem(name, int(line), "", rest)
    return Problem(name, None, "", reason)


def schema(given: argparse.Namespace) -> int:
    """The keys of one kind of file as JSON Schema."""
    show_json(json_schema.schema(given.what))
    return 0


def machines(given: argparse.Namespace) -> int:
    """The machine sheets."""
    return _listed(given, catalogue.machines(readable(given)), "cylinders")


def checklists(given: argparse.Namespace) -> int:
    """The checklists."""
    return _listed(given, catalogue.checklists(readable(given)), "steps")


def _listed(given: argparse.Namespace, lines: list[catalogue.DefinitionLine], what: str) -> int:
    if given.json:
        show_json(
            [
                {
                    "id": line.id, "title": line.title, "file": line.path, "own": line.own,
                    **(
                        {"steps": line.steps, "readings": line.readings}
                        if what == "steps"
                        else {"cylinders": list(line.cylinders)}
                    ),
                    "trouble": line.trouble,
                }
                for line in lines
            ]
        )  # fmt: skip
        return 0
    for line in lines:
        size = f"{pluralize(line.steps, 'step')}, {pluralize(line.readings, 'reading')}"
        if what == "cylinders":
            several = "s" if len(line.cylinders) != 1 else ""
            size = f"cylinder{several} {', '.join(line.cylinders)}"
        own = ", your own" if line.own else ""
        show(f"{line.id}  {line.title} ({line.trouble or size}{own})")
    return 0
