"""The README and DEVELOPERS.md say what the program has."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import pytest

import inspect_tui
from inspect_tui.commands import COMMANDS
from inspect_tui.commands.parser import parser
from inspect_tui.core.model.checklist import (
    Adjustment,
    Checklist,
    Derived,
    Inference,
    Reading,
    Section,
    Step,
)
from tests import document_tables

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def commands() -> dict[str, argparse.ArgumentParser]:
    for action in parser()._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    raise AssertionError("the parser has no commands")


@pytest.mark.parametrize("path", document_tables.DOCUMENTS, ids=lambda path: path.name)
def test_every_table_is_as_the_program_makes_it(path):
    text = path.read_text(encoding="utf-8")
    assert text == document_tables.made_anew(text), "run: python -m tests.document_tables"


def test_every_command_is_in_the_readme():
    assert all(
        f"    inspect-tui {name}" in README for name in commands() if not COMMANDS[name].hidden
    )


@pytest.mark.parametrize("name", sorted(commands()))
def test_every_command_has_help(name, run):
    ran = run(name, "--help")
    assert ran.status == 0 and "usage:" in ran.out
    assert COMMANDS[name].hidden or f"example:\n  inspect-tui {name}" in ran.out


def test_every_command_in_the_readme_is_there():
    named = set(re.findall(r"^    inspect-tui ([a-z-]+)", README, re.MULTILINE))
    assert named - {"sessions"} <= set(commands())


@pytest.mark.parametrize(
    "model", [Checklist, Section, Step, Reading, Derived, Adjustment, Inference]
)
def test_every_key_of_a_checklist_is_explained(model):
    for key in model.__struct_fields__:
        assert re.search(rf"[`.\[\n ]{key}[`\] =]", README), f"{model.__name__}.{key}"


def test_the_readme_s_own_checklist_is_sound(tmp_path, run):
    blocks = re.findall(r"(?:^    .*\n|^\n)+", README, re.MULTILINE)
    (block,) = [text for text in blocks if 'id = "my-list"' in text]
    path = tmp_path / "my-list.toml"
    path.write_text("\n".join(line[4:] for line in block.splitlines()), encoding="utf-8")
    ran = run("check", path)
    assert ran.status == 0, ran.out


def test_the_first_paragraph_states_the_job():
    first = README.split("\n\n")[1]
    assert "first ride" in first and "two-stroke" in first


def test_the_changes_end_the_readme_and_name_this_version():
    last = README.rstrip().split("\n## ")[-1]
    assert last.startswith("Changes") and inspect_tui.__version__ in last


def test_every_part_is_in_the_guide():
    for path in (ROOT / "inspect_tui").iterdir():
        if path.is_dir() and not path.name.startswith("__"):
            assert f"`{path.name}/`" in DEVELOPERS, path.name
