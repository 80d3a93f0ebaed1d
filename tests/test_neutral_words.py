"""What belongs to one kind of machine stands in data: lists, figures, drawings, sheets.

An outboard, a kart or a chain saw is walked through by the same program, and no text of the program
may speak of skis to its owner. Common practice; the words are those of the snowmobile's trade.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import inspect_tui

PACKAGE = Path(inspect_tui.__file__).parent
OF_A_SLED = re.compile(
    r"\b(sleds?|snow\w*|skis?|rid(?:e|es|er|den|ing)|tracks?|trails?|tunnel|belts?|clutch\w*|"
    r"sheaves?|chaincase|skid|runners?|handlebars?|pre-season|first-ride|lay-up)\b",
    re.IGNORECASE,
)
RUNS_AS_WRITTEN = "inspect-tui "
"""An example of a command runs as it stands: it may name a list that ships."""
ALLOWED = {
    "calc": "a calculation is of its subject: a clutch, a track, a chain",
    "core/model": "the keys of definition files, each with an example of one that ships",
    "core/definitions/compose.py": "the form LIST:STEP, with a list that ships",
    "core/definitions/checks/check_meters.py": "the same of LIST:STEP.READING",
    "report/csv_export.py": "the name of a kind of row, which people's own tables look for",
}
"""By file or folder: why a word of one machine may stand there."""


def _texts(path: Path) -> Iterator[tuple[int, str]]:
    """The string literals of a module but its docstrings, each with its line."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    described = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or id(node) in described:
            continue
        if isinstance(node.value, str):
            yield node.lineno, node.value


def _spoken(root: Path) -> list[str]:
    found = []
    for path in sorted(root.rglob("*.py")):
        name = path.relative_to(root).as_posix()
        if any(name == each or name.startswith(f"{each}/") for each in ALLOWED):
            continue
        for line, text in _texts(path):
            if OF_A_SLED.search(text) and not text.startswith(RUNS_AS_WRITTEN):
                found.append(f"{name}:{line}: {text}")
    return found


def test_no_text_of_the_program_speaks_of_one_kind_of_machine():
    assert _spoken(PACKAGE) == []


def test_the_search_would_find_one(tmp_path):
    module = tmp_path / "some.py"
    module.write_text(
        '"""A ski."""\nTEXT = "Ski stop gap | mm"\nRUN = "inspect-tui check lay-up"\n'
    )
    assert _spoken(tmp_path) == ["some.py:2: Ski stop gap | mm"]


def test_each_exception_is_there():
    assert [each for each in ALLOWED if not (PACKAGE / each).exists()] == []
