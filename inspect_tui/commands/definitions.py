"""Commands about definitions: check, machines, checklists."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import places, readable, show, show_json, tell
from inspect_tui.core.definitions import json_schema
from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput
from inspect_tui.workflow import catalogue
from inspect_tui.workflow.check_files import check_files


def check(given: argparse.Namespace) -> int:
    """Every problem of the files: alone, and each checklist with each machine sheet."""
    checked = check_files(given.files, places(given))
    if checked.files or not checked.absent:
        _say(checked.problems, given.json)
    if not (checked.problems or checked.absent or given.json):
        tell(f"{pluralize(checked.files, 'file')}: no problems.")
    if checked.absent:
        raise BadInput("\n".join(checked.absent))
    return 0 if checked.sound else 1


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
            several = pluralize(len(line.cylinders), "cylinder")
            size = f"{several}: {', '.join(line.cylinders)}" if line.cylinders else several
        own = "; your own" if line.own else ""
        show(f"{line.id}  {line.title} ({line.trouble or size}{own})")
    return 0
