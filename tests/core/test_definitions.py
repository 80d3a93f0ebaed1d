"""Checklists and machine sheets: every fault said once, at its line, with what would be right."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from inspect_tui.core import definitions

BAD = sorted((Path(__file__).parent / "data" / "bad").glob("*.toml"))
MARK = re.compile(r"# (fault|note|whole): (\S.*?) \| (.+)$")


def load(text, file):
    wanted = definitions.load_machine if file.startswith("sheet") else definitions.load_checklist
    return wanted(text, file)


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_one_fault_gives_one_problem_at_its_line(path):
    """The mark at the end of a line says which key and which words."""
    text = path.read_text(encoding="utf-8")
    marks = [
        (number, found)
        for number, row in enumerate(text.splitlines(), 1)
        if (found := MARK.search(row))
    ]
    assert len(marks) == 1
    number, found = marks[0]
    sort, key, words = found.groups()
    loaded = load(text, path.name)
    shown = "\n".join(map(str, loaded.problems))
    assert len(loaded.problems) == 1, shown
    problem = loaded.problems[0]
    assert problem.path == ("" if key == "-" else key), shown
    assert problem.line == (None if sort == "whole" else number), shown
    assert words.casefold() in problem.message.casefold(), shown
    assert problem.note == (sort == "note")
    assert loaded.sound == (sort == "note")
