"""The wheel, as a person installs it: built from the checkout, walked in an environment of its own.

Nothing is fetched: hatchling comes with the test extra, and the clean environment sees the
dependencies through a path file to this interpreter's packages. Its own packages come first, so
it is the wheel that runs, even where the program is installed beside the tests.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from tests.terminal.conftest import Terminal

pytestmark = pytest.mark.terminal

CHECKOUT = Path(__file__).parents[2]
PIP = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet")
SHIPPED = sorted(path.stem for path in (CHECKOUT / "checklists").glob("*.toml"))


def plain_env(home):
    """An environment in which nothing points at the checkout."""
    pointing = ("PYTHONPATH", "PYTHONHOME", "COLUMNS", "LINES", "VIRTUAL_ENV")
    kept = {key: value for key, value in os.environ.items() if key not in pointing}
    return kept | {"INSPECT_TUI_HOME": str(home), "TERM": "xterm-256color"}


def ran(*command, env, cwd):
    """What a command printed; it has to succeed."""
    done = subprocess.run(
        [str(part) for part in command], env=env, cwd=cwd, capture_output=True, text=True
    )
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done.stdout


def built(folder, env):
    """The wheel, built from a copy, so that nothing is left in the checkout."""
    source = folder / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(CHECKOUT / name, source)
    for name in ("inspect_tui", "checklists"):
        shutil.copytree(
            CHECKOUT / name, source / name, ignore=shutil.ignore_patterns("__pycache__")
        )
    ran(
        *PIP, "wheel", "--no-deps", "--no-build-isolation", "--no-index",
        "--wheel-dir", folder / "wheels", source, env=env, cwd=folder,
    )  # fmt: skip
    (wheel,) = (folder / "wheels").glob("*.whl")
    shutil.rmtree(source)
    return wheel


def installed(wheel, folder, env):
    """The `bin` of a clean environment with the wheel alone in it."""
    clean = folder / "clean"
    ran(sys.executable, "-m", "venv", "--without-pip", clean, env=env, cwd=folder)
    ran(
        *PIP, "--python", clean / "bin" / "python", "install", "--no-deps", "--no-index", wheel,
        env=env, cwd=folder,
    )  # fmt: skip
    (packages,) = clean.glob("lib/python*/site-packages")
    theirs = dict.fromkeys(sysconfig.get_path(name) for name in ("purelib", "platlib"))
    (packages / "dependencies.pth").write_text("\n".join(theirs) + "\n", encoding="utf-8")
    return clean / "bin"


def test_the_wheel_is_walked_where_it_was_installed(tmp_path):
    home, elsewhere = tmp_path / "home", tmp_path / "elsewhere"
    elsewhere.mkdir()
    env = plain_env(home)
    programs = installed(built(tmp_path, env), tmp_path, env)
    program = programs / "inspect-tui"

    where = "import inspect_tui; print(inspect_tui.__file__)"
    loaded = Path(ran(programs / "python", "-c", where, env=env, cwd=elsewhere).strip())
    assert loaded.is_relative_to(tmp_path / "clean")

    said = ran(program, "checklists", env=env, cwd=elsewhere)
    assert [name for name in SHIPPED if name not in said] == []

    app = Terminal(["demo"], env, program=[str(program)], cwd=elsewhere)
    with contextlib.closing(app):
        app.wait_for("Enter goes on there")  # the plan
        app.send(b"\x1b")
        app.confirm("", "AS FOUND")  # the next open reading lies behind a caution
        app.send(b"\x07bowl, vents\r")
        app.confirm("", "AS FOUND")
        app.wait_for("Bowl, vents, drain")
        app.send("clean\r")
        app.wait_for("saved: Bowl")
        app.send(b"\x11")
        assert app.end() == 0

    (log,) = (home / "demo" / "sessions").glob("*.toml")
    assert 'entered = "clean"' in log.read_text(encoding="utf-8").split("[[entry]]")[-1]
    demo = ("--store", home / "demo")
    assert ": whole, " in ran(program, *demo, "verify", log.stem, env=env, cwd=elsewhere)
    for form in ("html", "pdf"):  # their styles and fonts are files of the wheel too
        out = elsewhere / f"report.{form}"
        ran(program, *demo, "export", log.stem, "--to", form, "-o", out, env=env, cwd=elsewhere)
        assert out.stat().st_size > 1000
