"""The command verify: whether a log, or an export of one, still is what was written."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import now, places, readable, show, show_json, tell
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput
from inspect_tui.files.disk import is_file

if TYPE_CHECKING:
    from inspect_tui.workflow.verification import Verified


def verify(given: argparse.Namespace) -> int:
    """Whether it holds: its seals, its signatures, and the seal that was written down."""
    # Late: it brings subprocess, which no other command should wait for.
    from inspect_tui.workflow import verification

    asked = verification.asked(places(given), now, given.seal, given.signers)
    path = _path(given)
    found = verification.verify(path, asked)
    # `last` and a beginning are said as the session that they meant.
    name = given.session if is_file(Path(given.session)) else path.stem
    if given.json:
        show_json(_as_data(found))
    elif found.whole:
        if found.kind == "log":
            count = pluralize(found.entries, "entry", "entries")
            show(f"{name}: whole, {count}, last seal {found.seal}")
        for text in found.said:
            show(f"{name}: {text}")
    else:
        for text in found.problems:
            tell(f"{name}: {text}")
    return 0 if found.whole else 1


def _as_data(found: Verified) -> dict[str, object]:
    return {
        "file": found.file, "kind": found.kind, "whole": found.whole, "entries": found.entries,
        "seal": found.seal, "signed_seal": found.signed_seal, "problems": list(found.problems),
        "said": list(found.said),
        "signatures": [
            {
                "n": one.n, "by": one.by, "fingerprint": one.fingerprint,
                "signers": list(one.signers), "good": one.state == "good",
                "checked": one.state != "unchecked",
            }
            for one in found.signatures
        ],
    }  # fmt: skip


def _path(given: argparse.Namespace) -> Path:
    """A session's log, or a file: an id of the store comes first."""
    name = given.session
    found = Path(name)
    try:
        log = places(given).log(name)
    except BadInput:
        log = found
    for path in (log, found):
        if is_file(path):
            return path
    from inspect_tui.workflow.resolve import session_id

    try:
        store = readable(given)
        return store.log(session_id(store, name))
    except BadInput as error:
        raise BadInput(f"There is no session and no file '{name}'.", error.hint) from error
