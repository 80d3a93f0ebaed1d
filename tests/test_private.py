"""Private by default: folders and files for their owner alone, no network, nothing run unasked."""

from __future__ import annotations

import ast
import os
import stat
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

import inspect_tui
from inspect_tui.cli import main
from tests import pictures
from tests.tui.conftest import CHECKLIST, MACHINE

PACKAGE = Path(inspect_tui.__file__).parent
ROOT = PACKAGE.parent

NETWORK = {
    "socket", "ssl", "http", "urllib", "requests", "httpx", "aiohttp", "ftplib", "smtplib",
    "xmlrpc", "socketserver", "webbrowser", "telnetlib", "poplib", "imaplib", "nntplib",
    "websockets",
}  # fmt: skip
TEXT_ALONE = "urllib.parse"
"""Takes addresses apart and reaches none; a dropped file comes as one."""


@pytest.mark.parametrize("mask", (0o022, 0o000))
def test_folders_are_0700_and_files_0600(tmp_path, mask):
    store = tmp_path / "store"
    before = os.umask(mask)
    try:

        def run(*arguments):
            assert main(["--store", str(store), *map(str, arguments)]) == 0

        run("new", "first-ride", "tindrak-600", "--by", "R. Tester")
        (session,) = (path.stem for path in (store / "sessions").glob("*.toml"))
        picture = tmp_path / "IMG_1.jpg"
        picture.write_bytes(pictures.saved("JPEG"))
        step = tomllib.loads((ROOT / "checklists" / "first-ride.toml").read_text(encoding="utf-8"))[
            "section"
        ][0]["step"][0]["id"]
        run("note", session, step, "words")
        run("photo", session, step, picture)
        for form in ("md", "html", "csv", "json", "pdf"):
            run("export", session, "--to", form, "-o", store / f"report.{form}")
        run("bundle", session, "-o", store / "all.zip")
        run("verify", session)
        with (store / "sessions" / f"{session}.toml").open("ab") as log:
            log.write(b"[[entry]]\nn = 9\n")  # torn: the writer puts it aside
        run("note", session, step, "more words")
    finally:
        os.umask(before)
    made = [store, *store.rglob("*")]
    assert {path.suffix for path in made} >= {".toml", ".torn", ".jpg", ".pdf", ".zip"}
    for path in made:
        wanted = 0o700 if path.is_dir() else 0o600
        assert stat.S_IMODE(path.stat().st_mode) == wanted, path


WATCH = """
import socket, sys
made = []
real = socket.socket

class Watched(real):
    def __init__(self, family=-1, *rest, **named):
        if family not in (socket.AF_UNIX,):
            made.append(f"socket {family}")
        super().__init__(family, *rest, **named)

    def connect(self, *where):
        made.append(f"connect {where}")
        return super().connect(*where)

    connect_ex = connect

def told(name):
    def instead(*arguments, **named):
        made.append(f"{name} {arguments}")
        raise OSError("no network here")
    return instead

socket.socket = Watched
for name in ("create_connection", "getaddrinfo", "gethostbyname", "gethostbyaddr"):
    setattr(socket, name, told(name))

def heard(event, arguments):
    # What goes round the module: the interpreter itself tells of every socket.
    if event in ("socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname",
                 "socket.sendto", "socket.sendmsg", "urllib.Request", "http.client.connect"):
        made.append(f"{event} {arguments[1:]}")
    if event == "socket.__new__" and arguments[1] != socket.AF_UNIX:
        made.append(f"{event} {arguments[1:]}")

sys.addaudithook(heard)
"""
JOB = (
    WATCH
    + """
import asyncio
from datetime import datetime, timezone
from pathlib import Path
from inspect_tui.cli import main
from inspect_tui.files.places import Places
from inspect_tui.tui.app import make_app

store = Path(sys.argv[1])
def run(*arguments):
    assert main(["--store", str(store), *arguments]) == 0, arguments

run("new", "bench", "test-bed", "--by", "R. Tester")
(session,) = (path.stem for path in (store / "sessions").glob("*.toml"))
run("record", session, "belt.width=31.7 mm", "guard.on=yes")
run("calc", "span_tension", "force=50 N", "span=1 m", "deflection=20 mm")
for form in ("md", "html", "csv", "json", "pdf"):
    run("export", session, "--to", form, "-o", str(store / f"report.{form}"))
run("verify", session)
run("sessions")

async def walk():
    app = make_app(Places(store), lambda: datetime.now(timezone.utc), session=session)
    async with app.run_test(size=(80, 24)) as pilot:
        for key in ("enter", "2", "enter", "f1", "escape", "down"):
            await pilot.press(key)
        await pilot.app.workers.wait_for_complete()

asyncio.run(walk())
print("RAN", made)
"""
)


def store_with_bench(folder: Path) -> Path:
    for kind, name, text in (("checklists", "bench", CHECKLIST), ("machines", "test-bed", MACHINE)):
        (folder / kind).mkdir(parents=True)
        (folder / kind / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def watched(code: str, *arguments: str) -> str:
    ran = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


def test_the_whole_job_makes_no_internet_socket(tmp_path):
    assert "RAN []\n" in watched(JOB, str(store_with_bench(tmp_path / "store")))


@pytest.mark.parametrize("call", (
    "socket.socket(socket.AF_INET)", "socket.socket(socket.AF_INET6, socket.SOCK_DGRAM)",
    "real(socket.AF_INET)", "real()", "import _socket; _socket.socket(_socket.AF_INET)",
))  # fmt: skip
def test_the_watch_sees_a_socket(call):
    assert "RAN []" not in watched(f"{WATCH}\n{call}\nprint('RAN', made)")


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.module != TEXT_ALONE:
            names.add(node.module.split(".")[0])
    return names


def test_nothing_here_imports_a_network_module():
    for path in PACKAGE.rglob("*.py"):
        assert not imported(path) & NETWORK, path


def called(path: Path) -> set[str]:
    return {
        ast.unparse(node.func)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    }


def test_no_code_is_run_from_a_text():
    running = {"eval", "exec", "compile", "__import__", "os.system", "os.popen", "pickle.loads",
               "pickle.load", "marshal.loads", "builtins.eval", "builtins.exec"}  # fmt: skip
    for path in PACKAGE.rglob("*.py"):
        assert not called(path) & running, path
        assert not imported(path) & {"pickle", "marshal", "shelve", "code", "runpy"}, path


def test_only_the_signatures_start_another_program():
    starting = {path.name for path in PACKAGE.rglob("*.py") if "subprocess" in imported(path)}
    assert starting == {"openssh.py"}


def test_every_dependency_has_both_bounds():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    named = [Requirement(text) for each in lists for text in each]
    assert len(named) > 10
    for one in named:
        marks = {each.operator for each in one.specifier}
        assert marks >= {">=", "<"} or marks == {"=="}, str(one)
