"""SSH signatures over the seal of a sign-off, as entries of the log."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from inspect_tui.core.model.log_entry import Entry, NewEntry
from inspect_tui.errors import Refused


def signer(by: str, key: Path) -> Callable[[Entry], Entry]:
    """What signs a sign-off that is just being written, seal and all."""
    # Late: it brings subprocess, which no start of the program should wait for.
    from inspect_tui.files.signing import signatures

    def follow(signed: Entry) -> Entry:
        return Entry(-1, "signature", signed.at, by, signatures.make(signed, key))

    return follow


def signature(session: str, entries: Iterable[Entry], key: Path) -> NewEntry:
    """A signature over the sign-off that is there already.

    Raises:
        Refused: there is none, or the key did not sign.
        BadInput: a key that can't sign here.
    """
    from inspect_tui.files.signing import signatures

    signed = next((entry for entry in entries if entry.kind == "signed"), None)
    if signed is None:
        raise Refused(f"Session {session} is not signed off yet.", "Sign it off first.")
    return "signature", signatures.make(signed, key)
