"""What a person reads is in the trade's words: no program's jargon, one word for one thing.

Every text of the program that can be shown is looked through (docstrings and patterns are not),
with every text of the shipped lists. Common practice: a message that its reader has to look up is
a fault like a wrong figure.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.commands import COMMANDS

PACKAGE = Path(__file__).parents[1] / "inspect_tui"
SHIPPED = sorted((PACKAGE.parent / "checklists").rglob("*.toml"))
EVERYWHERE = {
    r"(?:^|: |, )should be\b": "wanted: ...",
    r"rests on it gets": "its readings are not judged",
    r"value error|type error|traceback|exception|regex|callback|boolean": "say what is wrong",
    r"session id|\bnull\b|\b(?:is|got|not) None\b|\bNone$": "the trade's word",
    r"\bcallipers?\b": "caliper",
    r"\bcarburetors?\b": "carburettor",
    r"\baluminum\b|\bcolor\b|\bgray\b|\btire pressure\b": "British spelling",
    r"\bsucceeded\b|\bsuccessfully\b|\bplease\b|\boops\b|\bsorry\b": "say what happened",
    r"\babort(?:ed)?\b|\bfatal\b|\bretry\b|\btimeout\b": "say what happened",
}
"""Pattern -> what is written instead."""
ON_SCREENS = {
    r"\bphase\b": "as found / as left",
    r"\bderived\b": "worked out",
    r"\binferences?\b": "what is concluded",
    r"\bevaluat": "worked out",
    r"\binvalid\b": "say what would be right",
    r"\bgroup\b": "section",
    r"\bhash\b": "nothing",
    r"\bQNH\b": "pressure at sea level, from the weather report",
    r"\bTOML\b": "plain text",
    r"\bstdout\b|\bstderr\b": "the terminal",
    r"k = 2": "how far it may be off",
}
"""The same, for what stands on a screen: the files of definitions may be told of in their words."""
ALLOWED = {
    # Spoken of as the words of a file that somebody wrote.
    ("core/evaluation/log_check.py", "phase"),
    ("core/session/replay.py", "hash"),
    ("core/evaluation/log_check.py", "hash"),
    ("tui/screens/bench_actions.py", "k = 2"),
}
SCREENS = ("tui", "core/evaluation", "core/seasons", "core/readings", "core/session", "workflow",
           "core/presentation", "core/text", "core/bench")  # fmt: skip
PRINTED = ("core/presentation/limit_strip.py", "_vector.py")
"""Texts of reports, where the expanded uncertainty is named as the standards name it."""


PROSE = r"[A-Za-z]{2,}[ ,.:;] ?[A-Za-z]"


def shown(path: Path) -> Iterator[tuple[int, str]]:
    """The texts of a module that hold words, with their lines; docstrings are none."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    passed = {
        id(node.value) for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and ast.unparse(node.func).startswith("re."):
            passed |= {id(part) for part in ast.walk(node)}
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) and id(node) not in passed else None
        if isinstance(text, str) and re.search(PROSE, text):
            yield node.lineno, text


def offenders(path: Path, banned: dict[str, str]) -> list[str]:
    name = path.relative_to(PACKAGE).as_posix()
    return [
        f"{name}:{line}: '{found[0]}' in {text!r}: {instead}"
        for line, text in shown(path)
        for pattern, instead in banned.items()
        if (found := re.search(pattern, text)) and (name, found[0]) not in ALLOWED
        if not (found[0] == "k = 2" and name.endswith(PRINTED))
    ]


NO_PROSE = ("report/html/picture.py", "report/html/style.py", "commands/completion.py")
"""Style sheets and a shell's own words."""
MODULES = [
    path for path in sorted(PACKAGE.rglob("*.py"))
    if path.relative_to(PACKAGE).as_posix() not in NO_PROSE
]  # fmt: skip


def test_no_text_of_the_program_is_jargon():
    assert [said for path in MODULES for said in offenders(path, EVERYWHERE)] == []


def test_no_text_of_a_screen_is_jargon():
    screens = [
        path for path in MODULES
        if path.relative_to(PACKAGE).as_posix().startswith(tuple(f"{each}/" for each in SCREENS))
    ]  # fmt: skip
    assert len(screens) > 200
    assert [said for path in screens for said in offenders(path, ON_SCREENS)] == []


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_no_text_of_a_shipped_list_is_jargon(path):
    text = re.sub(r"^\s*#.*$", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    banned = {**EVERYWHERE, r"\bQNH\b": "", r"\bdeg[CF]\b(?! ?[,.\"'\])-])": ""}
    told = "\n".join(re.findall(r'^(?:title|label|how|why|caution|says|source)\s*=\s*(.*)$', text,
                                re.MULTILINE))  # fmt: skip
    assert [found[0] for pattern in banned for found in re.finditer(pattern, told)] == []


def test_what_a_command_does_is_said_in_a_line():
    long = [each.name for each in COMMANDS.values() if len(each.what) > 86 or "." in each.what]
    assert long == []


def test_jargon_would_be_found(tmp_path, monkeypatch):
    module = tmp_path / "said.py"
    module.write_text('"""A phase."""\nWORDS = "no such phase here"\n', encoding="utf-8")
    monkeypatch.setattr(f"{__name__}.PACKAGE", tmp_path)
    assert offenders(module, ON_SCREENS) == [
        "said.py:2: 'phase' in 'no such phase here': as found / as left"
    ]
