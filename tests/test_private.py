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
from inspect_tui.commands import COMMANDS
from tests import pictures
from tests.ssh_keys import make_key
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


def every_command(run, store: Path, aside: Path) -> set[str]:
    """Run all that can be run without the screens, on the bench list; what was run."""
    ran: set[str] = set()
    there = aside / "there"

    def go(command, *arguments, at=store, status=0):
        ran.add(command)
        said = run(["--store", str(at), command, *map(str, arguments)])
        assert said == status, (command, arguments, said)

    def sessions(at):
        return [path.stem for path in sorted((at / "sessions").glob("*.toml"))]

    aside.mkdir(exist_ok=True)
    picture, key = aside / "IMG_1.jpg", aside / "key"
    picture.write_bytes(pictures.with_metadata())
    line = make_key(key)
    (aside / "signers").write_text(f"kari {line}\n")
    go("new", "bench", "test-bed", "--by", "R. Tester")
    (session,) = sessions(store)
    go("record", session, "belt.width=31.7 mm", "guard.on=yes", "jets.main@PTO=250")
    go("note", session, "belt", "words")
    go("photo", session, "belt", picture)
    go("skip", session, "look", "--why", "dark")
    go("add-finding", session, "belt", "frayed")
    go("add-step", session, "drive", "Clips")
    go("decide", session, "F1", "get-part", "--part", "cord", "--why", "short ride")
    go("take-back", session)
    go("widen", session, "drive")
    go("plan", session)
    go("findings", session)
    go("parts", session)
    go("got", "test-bed", "cord")
    go("conditions", session, "temperature=-12C", "altitude=600 ft")
    go("calc", "span_tension", "force=50 N", "span=1 m", "deflection=20 mm")
    for command in ("sessions", "machines", "checklists"):
        go(command)
    go("check", store / "checklists" / "bench.toml", store / "machines" / "test-bed.toml")
    for form in ("md", "html", "csv", "json", "pdf"):
        go("export", session, "--to", form, "-o", store / f"report.{form}")
        go("verify", store / f"report.{form}")
    go("paper", "bench", "test-bed", "-o", store / "blank.pdf")
    go("tag", session, "-o", store / "tag.pdf")
    go("pack", session, "-o", store / "all.zip")
    go("receive", store / "all.zip", at=there)
    go("note", session, "belt", "here")
    go("note", session, "belt", "there", at=there)
    go("pack", session, "-o", there / "fork.zip", at=there)
    go("receive", there / "fork.zip", status=1)
    go("combine", session, there / "fork.zip", "--by", "R. Tester")
    go("sign", session, "--by", "R. Tester", "--accept-open", "as it is", "--key", key)
    go("addendum", session, "after")
    go("status", session, "--json")
    go("verify", session, "--signers", aside / "signers", "--json")
    with (store / "sessions" / f"{session}.toml").open("ab") as log:
        log.write(b"[[entry]]\nn = 9\n")  # torn: the writer puts it aside
    go("addendum", session, "more")
    go("history", "test-bed")
    go("due")
    go("search", "more")
    go("table", "-o", aside / "tables")
    go("new", "bench", "test-bed", "--by", "R. Tester")
    mistake = next(each for each in sessions(store) if each != session)
    go("set-aside", mistake, "--why", "begun twice")
    go("settings", "by=R. Tester", "units=psi")
    go("completion", "bash")
    go("ids", "sessions")
    go("schema", "sheet")
    go("new-list", "evening", "--title", "Evening", "--item", "Seat")
    go("new-sheet", "other", "--name", "Other")
    go("sheet", "test-bed")
    go("figure", "test-bed", "new_figure=3", "--source", "manual")
    return ran


def test_every_command_is_run_here(tmp_path):
    ran = every_command(main, store_with_bench(tmp_path / "store"), tmp_path / "aside")
    assert set(COMMANDS) - ran == {"walk", "demo", "serve"}  # the app, which is walked below


@pytest.mark.parametrize("mask", (0o022, 0o000))
def test_folders_are_0700_and_files_0600(tmp_path, mask):
    store, aside = tmp_path / "store", tmp_path / "aside"
    before = os.umask(mask)
    try:
        main(["--store", str(store), "sessions"])
        assert not store.exists()
        # The store is the program's work, and only the bench list in it is not.
        main(["--store", str(store), "new", "lay-up", "tindrak-600", "--by", "R. Tester"])
        for log in (store / "sessions").glob("*.toml"):
            log.unlink()
        store_with_bench(store)
        theirs = {store / "checklists" / "bench.toml", store / "machines" / "test-bed.toml"}
        every_command(main, store, aside)
    finally:
        os.umask(before)
    made = {store, *store.rglob("*"), aside / "there", *(aside / "there").rglob("*")} - theirs
    assert {path.suffix for path in made} >= {".toml", ".torn", ".jpg", ".pdf", ".zip"}
    for path in made:
        wanted = 0o700 if path.is_dir() else 0o600
        assert stat.S_IMODE(path.stat().st_mode) == wanted, path


def test_a_mask_that_leaves_the_owner_nothing_opens_nothing(tmp_path, capfd):
    before = os.umask(0o777)
    try:
        main(["--store", str(tmp_path / "store"), "new", "lay-up", "tindrak-600", "--by", "A"])
    finally:
        os.umask(before)
    assert len(capfd.readouterr().err.splitlines()) <= 1
    for path in tmp_path.rglob("*"):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


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
from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from tests.test_private import every_command

store, aside = map(Path, sys.argv[1:])
main(["--version"])
every_command(main, store, aside)
main(["--store", str(store), "new", "bench", "test-bed", "--by", "R. Tester"])
session = max((store / "sessions").glob("*.toml"), key=lambda path: path.stat().st_mtime_ns).stem

async def walk(**how):
    app = make_app(Store(store), lambda: datetime.now(timezone.utc), **how)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.app.workers.wait_for_complete()
        for key in ("enter", "3", "1", ".", "7", "enter", *(f"f{n}" for n in range(1, 10)), "down"):
            await pilot.press(key, "escape") if key.startswith("f") else await pilot.press(key)
        await pilot.app.workers.wait_for_complete()

for how in ({"session": session}, {}, {"demo": True}):
    asyncio.run(walk(**how))
print("RAN", made)
"""
)


def store_with_bench(folder: Path) -> Path:
    for kind, name, text in (("checklists", "bench", CHECKLIST), ("machines", "test-bed", MACHINE)):
        (folder / kind).mkdir(parents=True, exist_ok=True)
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
    store = store_with_bench(tmp_path / "store")
    assert "RAN []\n" in watched(JOB, str(store), str(tmp_path / "aside"))


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
        if path.parent.name != "serve":  # listens where it is told to, and asks nobody
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
