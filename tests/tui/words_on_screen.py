"""Whether a screen holds a piece of a word: what no text of the program, list or person has whole.

A word that is cut or folded leaves pieces. Each word of three letters or more on a screen has to
stand as such in the program's own texts, the lists, the machine sheets or what a person typed.
"""

from __future__ import annotations

import ast
import functools
import re
from pathlib import Path

import inspect_tui

ROOT = Path(inspect_tui.__file__).parent
LISTS = ROOT.parent / "checklists"
WORD = re.compile(r"[^\W\d_]{3,}")


def words_in(text: str) -> set[str]:
    """The words of a text, in small letters."""
    return {word.casefold() for word in WORD.findall(text)}


@functools.cache
def known_words() -> frozenset[str]:
    """Every word of the program's texts and of what ships."""
    found: set[str] = set()
    for path in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= words_in(node.value)
    for path in (*LISTS.rglob("*.toml"), *ROOT.rglob("*.toml")):
        found |= words_in(path.read_text(encoding="utf-8"))
    return frozenset(found)


def pieces(shown: str, typed: str = "") -> list[str]:
    """The pieces of words on a screen.

    Args:
        shown: The screen, line by line.
        typed: What people typed: the log and sheets of their own.
    """
    return sorted(words_in(shown) - known_words() - words_in(typed))
