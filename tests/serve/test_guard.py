"""Who may ask the server what: the token, Host, Origin, one tab, what it serves."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

aiohttp = pytest.importorskip("aiohttp")
pytest.importorskip("textual_serve")
pytest.importorskip("segno")

pytestmark = pytest.mark.filterwarnings("ignore::Warning")  # of the server's libraries


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """A server of an empty store; its address is the first line it prints."""
    store = tmp_path_factory.mktemp("served") / "store"
    store.mkdir()
    with subprocess.Popen(
        [sys.executable, "-m", "inspect_tui", "serve", "--store", str(store)],
        stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parent.parent.parent,
    ) as server:  # fmt: skip
        assert server.stdout is not None
        yield server.stdout.readline().strip()
        server.send_signal(signal.SIGTERM)
        server.wait(20)


def ask(address: str, path: str = "", how: str = "GET", **headers: str) -> tuple[int, bytes, dict]:
    async def go():
        async with (
            aiohttp.ClientSession() as client,
            client.request(how, address + path, headers=headers) as answer,
        ):
            return answer.status, await answer.read(), dict(answer.headers)

    return asyncio.run(asyncio.wait_for(go(), 60))


def root(address: str) -> str:
    return "/".join(address.split("/")[:3])


def test_the_page_and_its_files_come_from_here_alone(address):
    status, page, headers = ask(address)
    assert status == 200 and b"http" not in page
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    for name in ("css/page.css", "css/xterm.css", "js/page.js", "js/textual.js"):
        assert ask(address, f"static/{name}")[0] == 200, name
    assert b"window.location.origin}/download" not in ask(address, "static/js/textual.js")[1]


@pytest.mark.parametrize("path", ["/", "/x/", "/é/", "/x/ws", "/..%2f", "/x/static/js/page.js"])
def test_without_the_token_there_is_nothing(address, path):
    assert ask(root(address), path)[0] == 404


@pytest.mark.parametrize("name", ["js/nothing.js", "js/..%2f..%2fserver.py", "css/other.css"])
def test_other_files_are_not_served(address, name):
    assert ask(address, f"static/{name}")[0] == 404


def test_another_host_or_origin_is_refused(address):
    assert ask(address, Host="evil.example")[0] == 421
    assert ask(address, Origin="http://evil.example")[0] == 403
    assert ask(address, "picture", "POST")[0] == 403
    assert ask(address, "picture", "POST", Origin=root(address))[0] == 409


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example"])
def test_a_line_wants_the_page_s_origin(address, origin):
    async def go():
        async with aiohttp.ClientSession() as client:
            await client.ws_connect(address + "ws", headers={"Origin": origin} if origin else {})

    with pytest.raises(aiohttp.WSServerHandshakeError) as caught:
        asyncio.run(asyncio.wait_for(go(), 60))
    assert caught.value.status == 403


def test_a_message_of_no_known_form_ends_the_line_and_a_second_tab_is_told(address):
    ended = (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSING, aiohttp.WSMsgType.CLOSED)

    async def go():
        origin = {"Origin": root(address)}
        async with aiohttp.ClientSession() as client:
            line = await client.ws_connect(address + "ws", headers=origin)
            with pytest.raises(aiohttp.WSServerHandshakeError) as caught:
                await client.ws_connect(address + "ws", headers=origin)
            assert caught.value.status == 503
            await line.send_str(json.dumps({"no": "list"}))
            while (await line.receive(20)).type not in ended:
                pass
            return line.close_code

    assert asyncio.run(asyncio.wait_for(go(), 60)) == 1008


def test_what_the_address_opens_is_said_where_others_reach_it(tmp_path, monkeypatch):
    """The server itself is not begun."""
    from inspect_tui.commands import parser, serve
    from inspect_tui.serve.server import Tablet

    said, shown = [], []
    monkeypatch.setattr(serve, "tell", said.append)
    monkeypatch.setattr(serve, "show", shown.append)
    monkeypatch.setattr(Tablet, "listen", lambda tablet: f"http://{tablet.host}/{tablet.token}/")
    monkeypatch.setattr(Tablet, "run", lambda tablet: None)
    (tmp_path / "store").mkdir()
    for host in ("192.0.2.7", "127.0.0.1"):
        asked = ["--store", str(tmp_path / "store"), "serve", "--host", host]
        assert serve.serve(parser.parser().parse_args(asked)) == 0
    open_, unencrypted, alone = said
    assert "read and write every session in" in open_ and str(tmp_path) in open_
    assert "not encrypted" in unencrypted and "Only this computer" in alone
    assert len({line.rsplit("/", 2)[1] for line in shown}) == 2  # a token of its own each time


def test_what_can_not_be_served_is_said(run):
    assert "can't be served" in run("serve", "--host", "192.0.2.99", "--port", "1").err
    assert run("serve", "--port", "70000").status == 2
    every = run("serve", "--host", "0.0.0.0")
    assert every.status == 2 and "none that a tablet can open" in every.err


def serving(store: Path, passing: Path, **streams) -> subprocess.Popen:
    """A server of its own, whose photos pass through that folder."""
    store.mkdir()
    passing.mkdir()
    return subprocess.Popen(
        [sys.executable, "-m", "inspect_tui", "serve", "--store", str(store)],
        text=True, cwd=Path(__file__).parent.parent.parent,
        env={**os.environ, "TMPDIR": str(passing)}, **streams,
    )  # fmt: skip


def test_a_terminal_that_is_closed_leaves_no_photos_behind(tmp_path):
    passing = tmp_path / "passing"
    with serving(tmp_path / "store", passing, stdout=subprocess.PIPE) as server:
        assert server.stdout is not None and server.stdout.readline().startswith("http")
        (wait_for_folder(passing) / "photo.jpg").write_bytes(b"private")
        server.send_signal(signal.SIGHUP)
        assert server.wait(60) == 0
    assert list(passing.iterdir()) == []


def wait_for_folder(passing: Path) -> Path:
    """The folder that the server makes right after it has said its address."""
    end = time.monotonic() + 60
    while not (found := list(passing.iterdir())):
        assert time.monotonic() < end, "it made no folder"
        time.sleep(0.02)
    return found[0]


def test_nothing_is_served_at_an_address_that_nobody_was_told(tmp_path):
    with Path("/dev/full").open("w") as full:
        server = serving(
            tmp_path / "store", tmp_path / "passing", stdout=full, stderr=subprocess.PIPE
        )
        _, said = server.communicate(timeout=60)
    assert server.returncode == 1
    assert "can't be shown, so nothing is served: the disk is full" in said
