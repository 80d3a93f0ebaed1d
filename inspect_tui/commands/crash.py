"""What is said when the program itself failed."""

from __future__ import annotations

import argparse
import contextlib

from inspect_tui.commands.common import now, places
from inspect_tui.errors import InspectError
from inspect_tui.files import crash_report


def in_words(error: Exception, given: argparse.Namespace) -> str:
    """One sentence: what failed, where all that was entered is, and where the details are."""
    store = None
    with contextlib.suppress(InspectError, OSError):
        store = places(given).store
    details = crash_report.keep(error, store, now())
    where = "" if store is None else f" in the logs under {store}"
    return (
        f"The program failed ({type(error).__name__}: {error}); all that was said to be saved "
        f"is{where}" + ("." if details is None else f", and the details are in {details}.")
    )
