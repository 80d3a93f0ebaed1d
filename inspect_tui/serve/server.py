"""A server for one browser: the app runs as a process beside it and ends with its tab.

`textual-serve` carries the screen; what it leaves open is closed here. The address holds a random
token as its first part (the page's script appends a query of its own), compared in constant time;
Host and Origin are checked, so that no other page can reach it; nothing is loaded from outside. A
second tab reads only, where one session is served; else, and as a third one, it is told why not.
What was tried and measured stands in DEVELOPERS.md.
"""

from __future__ import annotations

import asyncio
import contextlib
import hmac
import secrets
import shlex
import signal
import socket
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path
from typing import Final

import aiohttp_jinja2
import jinja2
import textual_serve
from aiohttp import web
from textual_serve.app_service import AppService
from textual_serve.server import Server, to_int

from inspect_tui.files.passing_folder import passing_folder
from inspect_tui.serve import pictures

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

PAGE: Final = Path(__file__).parent / "page"
_STATICS: Final = Path(textual_serve.__file__).parent / "static"
_OURS: Final = ("css/page.css", "js/page.js")
_THEIRS: Final = ("css/xterm.css", "js/textual.js")
HEADERS: Final = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}
HEARTBEAT: Final = 5
"""Seconds after which a tablet that no longer answers counts as gone."""
_GRACE: Final = 3
"""Seconds that the app may take to end."""
_SECOND: Final = 10
"""Tenths of a second after which a line that is still open is another tab's, not a reload's."""
_LONGEST_MESSAGE: Final = 1 << 16
_LOOPBACK: Final = ("127.0.0.1", "localhost", "::1")


def is_loopback(host: str) -> bool:
    """Whether only this computer reaches the address."""
    return host in _LOOPBACK


class Tablet(Server):
    """One app for one tab, and one that only reads for a second tab.

    Args:
        command: The app's command line; run without a shell between.
        reading: The command line of the app that only reads; none where a second tab is refused.
        host: The address to listen on.
        port: The port; 0 takes a free one.
    """

    def __init__(
        self, command: Sequence[str], host: str, port: int, reading: Sequence[str] = ()
    ) -> None:
        super().__init__(
            _without_shell(command), host=host, port=port,
            statics_path=str(_STATICS), templates_path=str(PAGE),
        )  # fmt: skip
        self.token = secrets.token_urlsafe(16)
        self._reading = reading
        self._open: dict[AppService, web.WebSocketResponse] = {}
        """The apps that run, and the line of each."""
        self._writer: AppService | None = None
        self._folder = Path()
        self._listening: socket.socket | None = None

    def listen(self) -> str:
        """Take the port; the address to open.

        Raises:
            OSError: the port or the address can't be had.
        """
        family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
        self._listening = socket.create_server((self.host, self.port), family=family)
        self.port = self._listening.getsockname()[1]
        names = {self.host, "localhost"} if is_loopback(self.host) else {self.host}
        self._hosts = {f"{_bracketed(name)}:{self.port}" for name in names}
        self._origins = {f"http://{host}" for host in self._hosts}
        return f"http://{_bracketed(self.host)}:{self.port}/{self.token}/"

    def run(self) -> None:
        """Serve until told to end: by Ctrl+C, or by the end of its terminal.

        Raises:
            OSError: there is no room for what passes through.
        """
        assert self._listening is not None, "listen first"
        signal.signal(signal.SIGTERM, _end_now)  # until the loop has its own
        if hasattr(signal, "SIGHUP"):
            signal.signal(signal.SIGHUP, lambda *_: signal.raise_signal(signal.SIGTERM))
        with contextlib.suppress(web.GracefulExit), passing_folder() as self._folder:
            # No access log: it would hold the token.
            web.run_app(
                self._app(), sock=self._listening, print=None, access_log=None,
                shutdown_timeout=4,
            )  # fmt: skip

    async def _app(self) -> web.Application:
        app = web.Application(middlewares=[self._guard])
        loader = jinja2.FileSystemLoader(self.templates_path)
        aiohttp_jinja2.setup(app, loader=loader, autoescape=True)
        app.add_routes(
            [
                web.get("/{token}/", self._index),
                web.get("/{token}/ws", self._tab),
                web.get("/{token}/static/{name:(js|css)/[a-z.]+}", self._static),
                web.get("/{token}/download/{key}", self.handle_download),
                web.post("/{token}/picture", self._picture),
            ]
        )
        app.on_shutdown.append(self._end_all)
        return app

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        origin = request.headers.get("Origin")
        token = request.match_info.get("token", "")
        response: web.StreamResponse
        if not hmac.compare_digest(token.encode(), self.token.encode()):
            response = web.Response(status=404)
        elif request.host not in self._hosts:
            response = web.Response(status=421)  # another name for this address: rebinding
        elif origin not in self._origins and (
            origin or request.method != "GET" or request.path.endswith("/ws")
        ):
            response = web.Response(status=403)
        else:
            try:
                response = await handler(request)
            except web.HTTPException as error:
                response = error
        if not response.prepared:
            response.headers.update(HEADERS)
        if isinstance(response, web.HTTPException):
            raise response
        return response

    async def _index(self, request: web.Request) -> web.StreamResponse:
        size = min(max(to_int(request.query.get("fontsize", ""), 20), 8), 60)
        known = {"font": size, "ws": f"ws://{request.host}/{self.token}/ws"}
        return aiohttp_jinja2.render_template("index.html", request, known)

    async def _static(self, request: web.Request) -> web.StreamResponse:
        name = request.match_info["name"]
        if name in _OURS:
            return web.FileResponse(PAGE / Path(name).name)
        if name not in _THEIRS:
            raise web.HTTPNotFound
        data = (_STATICS / name).read_bytes()
        # Its downloads go to the server's root, outside the token.
        data = data.replace(b"${window.location.origin}/download/", b"./download/")
        kind = "text/css" if name.endswith(".css") else "text/javascript"
        return web.Response(body=data, content_type=kind, charset="utf-8")

    async def _tab(self, request: web.Request) -> web.StreamResponse:
        """One tab's line to its app; a second one only reads, or is refused."""
        for tenth in range(40):  # a reload comes before the old app has ended
            if all(not line.closed and tenth >= _SECOND for line in self._open.values()):
                break
            await asyncio.sleep(0.1)
        writes = self._writing() is None
        if not writes and (not self._reading or len(self._open) > 1):
            return web.Response(status=503, text="The program is open in another tab.")
        line = web.WebSocketResponse(heartbeat=HEARTBEAT, max_msg_size=_LONGEST_MESSAGE)

        async def close() -> None:
            await line.close()

        service = AppService(
            self.command if writes else _without_shell(self._reading),
            write_bytes=line.send_bytes, write_str=line.send_str, close=close,
            download_manager=self.download_manager,
        )  # fmt: skip
        self._open[service] = line
        self._writer = service if writes else self._writer
        try:
            await line.prepare(request)
            await service.start(_cells(request, "width", 80), _cells(request, "height", 24))
            assert service._task is not None
            service._task.add_done_callback(lambda _: asyncio.ensure_future(line.close()))
            await self._process_messages(line, service)
        except (ValueError, TypeError, LookupError, AttributeError, AssertionError):
            await line.close(code=1008)  # a message of no known form
        finally:
            try:
                await asyncio.shield(self._end(service))
            finally:
                self._open.pop(service, None)
        return line

    def _writing(self) -> AppService | None:
        """The app that writes, as long as it runs."""
        return self._writer if self._writer in self._open else None

    async def _end(self, service: AppService) -> None:
        process = service._process
        if process is None:
            return
        with contextlib.suppress(Exception):  # a deaf app is killed below
            await asyncio.wait_for(service.stop(), _GRACE)
        if process.stdin is not None:
            process.stdin.close()
        try:
            await asyncio.wait_for(process.wait(), _GRACE)
        except TimeoutError:
            process.kill()
            await process.wait()

    async def _end_all(self, _: web.Application) -> None:
        for service in list(self._open):
            with contextlib.suppress(Exception):
                await service.remote_close()

    async def _picture(self, request: web.Request) -> web.StreamResponse:
        """A photo from the tablet's camera, handed to the app that writes."""
        if self._writing() is None:
            return web.Response(status=409)
        taken = await pictures.take(request.content, self._folder)
        if isinstance(taken, int):
            return web.Response(status=taken)
        writer = self._writing()
        if writer is None:
            taken.unlink(missing_ok=True)
            return web.Response(status=409)
        await writer.send_meta({"type": "picture", "path": str(taken)})
        return web.Response(status=204)


def _end_now(*_: object) -> None:
    raise web.GracefulExit


def _without_shell(command: Sequence[str]) -> str:
    """The shell that starts it must not stay between, or a kill would hit that alone."""
    return "exec " + shlex.join(command)


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def _cells(request: web.Request, name: str, usual: int) -> int:
    return min(max(to_int(request.query.get(name, ""), usual), 20), 400)
