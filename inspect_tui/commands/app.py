"""Commands that open the screens: the app, walk, demo. The screens are imported here, late."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import now, places
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput


def app(given: argparse.Namespace) -> int:
    """The app at its start screen."""
    from inspect_tui.tui.app import run

    return run(places(given), now)


def walk(given: argparse.Namespace) -> int:
    """The app at a session, else at the last one left open."""
    from inspect_tui.tui.app import run

    store = places(given)
    session = given.session
    if session is None:
        from inspect_tui.workflow import catalogue

        left = [line for line in catalogue.sessions(store) if line.state == "open"]
        if not left:
            raise BadInput(
                "No session is open.", "'inspect-tui new CHECKLIST MACHINE --by NAME' begins one."
            )
        session = left[0].id
    else:
        if not store.log(session).is_file():
            raise BadInput(f"There is no session '{sanitize(session)}'.")
    return run(
        store, now, session=session, by=sanitize(given.by), read_only=given.read_only,
        despite_broken=given.despite_broken,
    )  # fmt: skip


def demo(given: argparse.Namespace) -> int:
    """The app on an invented machine, half-way through its inspection."""
    from inspect_tui.tui.app import run
    from inspect_tui.workflow.demo import prepare

    store, session = prepare(getattr(given, "store", None), now)
    return run(store, now, session=session, demo=True)
