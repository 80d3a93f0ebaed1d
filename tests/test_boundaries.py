"""Who may import whom, read from the sources, and what a fresh process really loads."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import inspect_tui

PACKAGE = Path(inspect_tui.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
JOINERS = {
    "inspection", "held_log", "listing", "demo", "verification", "photographing", "carrying",
}  # fmt: skip
"""The modules beside the folders that join core and files."""

MAY = {
    "errors": set(),
    "calc": {"calc"},
    "core": {"core", "calc", "errors"},
    "files": {"files", "core", "errors"},
    "report": {"report", "core", "errors"},
    "joiner": {"joiner", "files", "core", "report", "errors", "", "calc"},
    "tui": {"tui", "core", "joiner", "files", "calc", "errors", ""},
    "commands": {"commands", "joiner", "core", "files", "report", "tui", "calc", "errors", ""},
    "cli": {"commands", "core", "errors", "", "cli"},
    "__main__": {"cli"},
    "": set(),
}
"""What each part may import; "" is the package itself (its version)."""


def part_of(name: str) -> str:
    pieces = name.split(".")
    if len(pieces) == 1:
        return ""
    return "joiner" if pieces[1] in JOINERS else pieces[1]


def module_name(path: Path) -> str:
    pieces = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(pieces[:-1] if pieces[-1] == "__init__" else pieces)


def imported(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively"
            base = node.module or ""
            found.add(base)
            found |= {
                f"{base}.{alias.name}"
                for alias in node.names
                if (PACKAGE.parent / base.replace(".", "/") / f"{alias.name}.py").exists()
                or (PACKAGE.parent / base.replace(".", "/") / alias.name / "__init__.py").exists()
            }
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: module_name(path))
def test_imports_go_one_way(path):
    mine = part_of(module_name(path))
    for name in imported(path):
        if name == "inspect_tui" or name.startswith("inspect_tui."):
            theirs = part_of(name)
            if theirs == "" and name == "inspect_tui":
                continue
            assert theirs in MAY[mine], f"{mine} may not import {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: module_name(path))
def test_core_and_calc_stay_pure(path):
    if part_of(module_name(path)) not in ("core", "calc", "report"):
        return
    outside = {name.split(".")[0] for name in imported(path)}
    unwanted = {"textual", "rich", "os", "subprocess", "socket", "filelock", "platformdirs"}
    if part_of(module_name(path)) != "report":
        unwanted |= {"io", "pathlib", "time", "tomli_w", "shutil", "tempfile"}
    assert not outside & unwanted


def test_only_app_and_terminal_know_the_files_in_tui():
    for path in (PACKAGE / "tui").rglob("*.py"):
        if path.name == "app.py":
            continue
        names = {name for name in imported(path) if name.startswith("inspect_tui.files")}
        assert names <= {"inspect_tui.files", "inspect_tui.files.places"}, path


@pytest.mark.parametrize("path", MODULES, ids=lambda path: module_name(path))
def test_only_errors_defines_exceptions(path):
    if path.name == "errors.py":
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef):
            bases = {ast.unparse(base) for base in node.bases}
            assert not {base for base in bases if base.endswith(("Error", "Exception"))}, node.name


@pytest.mark.parametrize("path", MODULES, ids=lambda path: module_name(path))
def test_files_stay_readable(path):
    if path.name == "known_units.py":
        return  # a table, made by a program
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 440


def loaded_after(code: str) -> set[str]:
    ran = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(' '.join(sys.modules))"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return {name.split(".")[0] for name in ran.stdout.split()}


def test_a_fresh_process_loads_little():
    assert not loaded_after("import inspect_tui") & {"textual", "rich", "pint", "msgspec"}
    assert not loaded_after("import inspect_tui.calc") & {"textual", "rich", "pint", "msgspec"}
    core = "import inspect_tui.core.working_out, inspect_tui.core.definitions"
    assert not loaded_after(core) & {"textual", "rich", "pint"}
    assert "textual" not in loaded_after("import inspect_tui.commands")
    assert "pint" not in loaded_after("import inspect_tui.tui.app")
    usual = "from inspect_tui.core.units import unit; unit('mm'), unit('kPa'), unit('N.m')"
    assert "pint" not in loaded_after(usual)
