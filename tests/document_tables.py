"""The tables of the documents that the program can print: made here, held by tests/test_docs.py.

    python -m tests.document_tables        writes them anew between their marks

A table stands between `<!-- made: NAME -->` and `<!-- end -->`; TABLES says who makes NAME.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

from inspect_tui.commands import COMMANDS
from inspect_tui.core.definitions import key_tables
from inspect_tui.core.definitions.json_schema import MODELS
from tests.test_boundaries import LAYERS, PACKAGE

ROOT = Path(__file__).parent.parent
DOCUMENTS = (ROOT / "README.md", ROOT / "DEVELOPERS.md")
_BLOCK = re.compile(r"(?<=<!-- made: )([a-z-]+)( -->\n)(.*?)(?=<!-- end -->)", re.DOTALL)


def commands() -> str:
    """Every command with its arguments and what it does, as an indented block."""
    lines = ["    inspect-tui", "        the app"]
    for command in COMMANDS.values():
        if not command.hidden:
            lines += [f"    {command.synopsis()}", f"        {command.what}"]
    return "\n" + "\n".join(lines) + "\n\n"


def _keys(what: str) -> str:
    """The keys of one kind of definition file, a table for each header."""
    return f"\n{key_tables.tables(what)}\n"


def rooms() -> str:
    """Each package with what it holds, by its docstring's first sentence; from the bottom up."""
    rows = ["| room | holds | files |", "| --- | --- | --- |"]
    shown: set[str] = set()
    for name in " ".join(LAYERS).split():
        for room in (*_rooms_above(name), name, *_rooms_in(name)):
            if room not in shown:
                shown.add(room)
                rows.append(_room(room))
    return "\n" + "\n".join(rows) + "\n\n"


def _rooms_above(name: str) -> list[str]:
    """The package around a room, where it holds nothing else."""
    around = name.rpartition(".")[0]
    return [around] if around and around not in " ".join(LAYERS).split() else []


def _rooms_in(name: str) -> list[str]:
    """The rooms in a room that have no layer of their own."""
    below = sorted((PACKAGE / name.replace(".", "/")).rglob("__init__.py"))
    inside = [".".join(each.parent.relative_to(PACKAGE).parts) for each in below]
    layers = " ".join(LAYERS).split()
    return [each for each in inside if each not in layers and each != name]


def _room(name: str) -> str:
    path = PACKAGE / name.replace(".", "/")
    source = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    said = ast.get_docstring(ast.parse(source.read_text(encoding="utf-8"))) or ""
    files = len(list(path.glob("*.py"))) - 1 if path.is_dir() else 1
    words = " ".join(said.split("\n\n")[0].split())
    return f"| `{name.replace('.', '/')}{'/' if path.is_dir() else ''}` | {words} | {files} |"


TABLES: dict[str, Callable[[], str]] = {
    "rooms": rooms,
    "commands": commands,
    **{f"keys-{what}": partial(_keys, what) for what in MODELS},
}
"""By the name that stands in the mark."""


def made_anew(text: str) -> str:
    """A document's text with every marked table as the program makes it now."""
    return _BLOCK.sub(lambda found: found[1] + found[2] + TABLES[found[1]](), text)


if __name__ == "__main__":
    for path in DOCUMENTS:
        path.write_text(made_anew(path.read_text(encoding="utf-8")), encoding="utf-8")
