"""Who may import whom: the layers, stated once, read from the sources and from a fresh process."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import inspect_tui

PACKAGE = Path(inspect_tui.__file__).parent

LAYERS = [
    "errors",
    "calc",
    "core.text",
    "core.quantities",
    "core.model",
    "core.presentation",
    "core.readings",
    "core.expressions",
    "core.definitions",
    "core.session",
    "core.evaluation",
    "core.seasons",
    "core.bench",
    "files",
    "files.log",
    "files.bundle files.signing",
    "report",
    "workflow",
    "tui",
    "serve",
    "commands",
    "cli",
    "__main__",
]
"""From the bottom up: a part may import itself and whatever stands above it in this list."""

RANKS = {name: rank for rank, line in enumerate(LAYERS) for name in line.split()}

IMPURE = {
    "calc": {"inspect_tui.errors"},
    "core": set(),
    "report": {"io", "pathlib", "time", "tomli_w", "shutil", "tempfile"},
}
"""Parts without disk, clock or environment, and what is no fault in them all the same."""

SIDE_EFFECTS = {
    "textual", "rich", "os", "subprocess", "socket", "filelock", "platformdirs",
    "io", "pathlib", "time", "tomli_w", "shutil", "tempfile",
}  # fmt: skip

EXCEPTIONS_AT = ("errors", "calc.input_checks")
"""Where exceptions are defined; calculations import nothing of ours, so they have their own."""
MAX_LINES = 455


def module_name(path: Path) -> str:
    """A module's name below the package, for instance "core.text.formatting"."""
    pieces = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(pieces[:-1] if pieces[-1] == "__init__" else pieces)


def layer(name: str) -> str | None:
    """The longest entry of the list that a module's name begins with; None where it has none."""
    pieces = name.split(".")
    for length in range(len(pieces), 0, -1):
        if (prefix := ".".join(pieces[:length])) in RANKS:
            return prefix
    return None


@cache
def sources() -> dict[Path, ast.Module]:
    return {
        path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PACKAGE.rglob("*.py"))
    }


def imported(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Each module that a source imports, with its line; `from package import module` names both."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = "." * node.level + (node.module or "")
            below = PACKAGE.parent / base.replace(".", "/")
            modules = [
                alias.name
                for alias in node.names
                if (below / f"{alias.name}.py").exists() or (below / alias.name).is_dir()
            ]
            if len(modules) < len(node.names):
                yield node.lineno, base
            yield from ((node.lineno, f"{base}.{name}") for name in modules)


def test_imports_go_down_only():
    offenders = []
    for path, tree in sources().items():
        mine = module_name(path)
        own_layer = layer(mine)
        if mine and own_layer is None and not tree.body[1:]:
            continue  # a package of packages: its docstring alone
        if mine and own_layer is None:
            offenders.append(f"{mine} stands in no layer")
            continue
        for line, name in imported(tree):
            if name.startswith("."):
                offenders.append(f"{mine}:{line} imports relatively")
            if not name.startswith("inspect_tui."):
                continue
            theirs = layer(name.removeprefix("inspect_tui."))
            if theirs is None or (theirs != own_layer and RANKS[theirs] >= RANKS[own_layer]):
                offenders.append(f"{mine}:{line} may not import {name}")
    assert not offenders, "\n".join(offenders)


def test_thinking_stays_pure():
    offenders = []
    for path, tree in sources().items():
        mine = module_name(path)
        part = mine.split(".")[0]
        if part in IMPURE:
            for line, name in imported(tree):
                if name.split(".")[0] in SIDE_EFFECTS - IMPURE[part]:
                    offenders.append(f"{mine}:{line} imports {name}")
                if part == "calc" and name.startswith("inspect_tui.") and name[12:16] != "calc":
                    offenders.append(f"{mine}:{line} imports {name}")
    assert not offenders, "\n".join(offenders)


def test_screens_know_no_files_and_exceptions_have_one_home():
    offenders = []
    for path, tree in sources().items():
        mine = module_name(path)
        if mine.startswith("tui.") and mine != "tui.app":
            for line, name in imported(tree):
                if name.startswith("inspect_tui.files") and name != "inspect_tui.files.store":
                    offenders.append(f"{mine}:{line} imports {name}")
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and mine not in EXCEPTIONS_AT:
                bases = {ast.unparse(base) for base in node.bases}
                if any(base.endswith(("Error", "Exception")) for base in bases):
                    offenders.append(f"{mine}:{node.lineno} defines the exception {node.name}")
        lines = len(path.read_text(encoding="utf-8").splitlines())
        if lines > MAX_LINES:
            offenders.append(f"{mine} has {lines} lines; {MAX_LINES} are readable")
    assert not offenders, "\n".join(offenders)


def loaded_after(code: str) -> set[str]:
    ran = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(' '.join(sys.modules))"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return {name.split(".")[0] for name in ran.stdout.split()}


def test_a_fresh_process_loads_little():
    assert not loaded_after("import inspect_tui") & {"textual", "rich", "pint", "msgspec"}
    assert not loaded_after("import inspect_tui.calc") & {"textual", "rich", "pint", "msgspec"}
    core = "import inspect_tui.core.evaluation.evaluate, inspect_tui.core.definitions.load"
    assert not loaded_after(core) & {"textual", "rich", "pint"}
    assert "textual" not in loaded_after("import inspect_tui.commands")
    assert "pint" not in loaded_after("import inspect_tui.tui.app")
    usual = (
        "from inspect_tui.core.quantities.units import unit\nunit('mm'), unit('kPa'), unit('N.m')"
    )
    assert "pint" not in loaded_after(usual)
