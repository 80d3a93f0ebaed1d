"""Commands that open the screens: the app, walk, demo. The screens are imported here, late."""

from __future__ import annotations

import argparse
import gc
from collections.abc import Iterator
from contextlib import contextmanager

from inspect_tui.commands.common import now, places, readable
from inspect_tui.core.text.sanitize import sanitize


@contextmanager
def _collecting_later() -> Iterator[None]:
    """Leave Python's search for cycles off until the app is warm.

    While everything is being loaded nearly nothing is garbage, and looking for it takes a tenth of
    the time to the first question.
    """
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


@_collecting_later()
def app(given: argparse.Namespace) -> int:
    """The app at its start screen."""
    from inspect_tui.tui.app import run

    return run(places(given), now)


@_collecting_later()
def walk(given: argparse.Namespace) -> int:
    """The app at a session, else at the last one left open."""
    from inspect_tui.tui.app import run
    from inspect_tui.workflow.resolve import LAST, session_id

    store = readable(given)
    session = session_id(store, given.session or LAST)
    return run(
        store, now, session=session, by=sanitize(given.by), read_only=given.read_only,
        despite_broken=given.despite_broken,
    )  # fmt: skip


@_collecting_later()
def demo(given: argparse.Namespace) -> int:
    """The app on an invented machine, half-way through its inspection."""
    from inspect_tui.tui.app import run
    from inspect_tui.workflow.demo import prepare

    store, session = prepare(getattr(given, "store", None), now, fresh=given.fresh)
    return run(store, now, session=session, demo=True)
