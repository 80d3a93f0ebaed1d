"""`serve`: the app in a browser, for a tablet in the shed."""

from __future__ import annotations

import argparse
import sys

from inspect_tui.commands.common import readable, show, tell
from inspect_tui.commands.streams import Stream
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files.disk import reason_in_words

EVERY = ("", "0.0.0.0", "::", "::0", "*")
"""Hosts that are no address to be opened."""
OPENS = "Whoever has this address can read and write every session in {store}, as at this keyboard."
OTHERS = (
    "Anyone who reads along on this network can use the address: it is not encrypted. Serve only "
    "on a network of your own, and end it (Ctrl+C) when you are done."
)


def serve(given: argparse.Namespace) -> int:
    """Print the address, then serve one tab until Ctrl+C."""
    try:
        from inspect_tui.serve.server import Tablet, is_loopback
    except ImportError as error:
        raise BadInput(
            f"Serving wants the package {(error.name or 'textual-serve').partition('.')[0]}.",
            "Install it: pip install 'inspect-tui[serve]'.",
        ) from None
    store = readable(given)
    words = ["--store", str(store.store)]
    if given.session is not None:
        from inspect_tui.workflow.resolve import session_id

        words += ["walk", session_id(store, given.session)]
    if not 0 <= given.port <= 65535:
        raise BadInput(f"There is no port {given.port}.", "Name 1 to 65535; 0 takes a free one.")
    if given.host.strip("[]") in EVERY:
        raise BadInput(
            f"'{given.host}' is every address of this computer, and none that a tablet can open.",
            "Name the one that it reaches: --host 192.0.2.7, for instance.",
        )
    command = [sys.executable, "-m", "inspect_tui", *words]
    reading = [] if given.session is None else [*command, "--read-only"]
    tablet = Tablet(command, given.host, given.port, reading)
    try:
        address = tablet.listen()
    except OSError as error:
        raise BadInput(
            f"{given.host}:{given.port} can't be served: {reason_in_words(error)}.",
            "Name an address of this computer (--host) and a free port (--port).",
        ) from error
    show(address)
    sys.stdout.flush()
    if isinstance(sys.stdout, Stream) and (lost := sys.stdout.error) is not None:
        raise NotSaved(
            f"Its address can't be shown, so nothing is served: {reason_in_words(lost)}."
        )
    if sys.stdout.isatty():
        _show_as_code(address)
    if is_loopback(given.host):
        tell("Only this computer can open it. For a tablet name this computer's address: --host.")
    else:
        tell(OPENS.format(store=sanitize(str(store.store))))
        tell(OTHERS)
    sys.stdout.flush()
    try:
        tablet.run()
    except OSError as error:
        raise NotSaved(f"It can't be served any more: {reason_in_words(error)}.") from error
    return 0


def _show_as_code(address: str) -> None:
    """The address for a camera to read."""
    import segno

    segno.make(address, micro=False).terminal(compact=True, border=2)
