"""A signature over the sign-off's seal: made and checked with the person's own SSH key.

Both are OpenSSH's work (`openssh`); here is what its answers mean for an entry of the log. Without
it nothing is signed with a key, and a signature that is there is "not checked", never "good".
"""

from __future__ import annotations

import base64
import binascii
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.signing import openssh
from inspect_tui.files.signing.openssh import NAMESPACE, Signers

ED25519 = "ED25519"
LARGEST_SIGNERS = 1_000_000
_KEY_AT = len(b"SSHSIG") + 4
"""Where the key begins in a signature (OpenSSH's PROTOCOL.sshsig): behind magic and version."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What one `signature` entry turned out to be."""

    n: int
    by: str
    state: Literal["good", "false", "unchecked"] = "good"
    """`unchecked`: OpenSSH is missing, or couldn't work; whether it is good isn't known then."""
    fingerprint: str = ""
    """The key's, `SHA256:...`; "" where it isn't known."""
    signers: tuple[str, ...] = ()
    """Whose key it is, by the allowed-signers file; empty without one."""
    problem: str = ""
    """One sentence; empty when the signature is good."""

    @property
    def words(self) -> str:
        """One sentence, whatever the state."""
        if self.problem:
            return self.problem
        good = f"Entry {self.n}: the sign-off carries a good signature by the key"
        if self.signers:
            return f"{good} of {', '.join(self.signers)} ({self.fingerprint})."
        return f"{good} {self.fingerprint}; whose key that is, only --signers FILE can tell."


def message(seal: str) -> bytes:
    """What is signed for a seal: its 64 hex characters and a line end."""
    return seal.encode("ascii", "replace") + b"\n"


def fingerprint(public_key: str) -> str:
    """A public key's fingerprint, as `ssh-keygen -l` shows it: `SHA256:...`.

    Args:
        public_key: A line `ssh-ed25519 AAAA...`.

    Raises:
        BadInput: it is none.
    """
    parts = public_key.split()
    try:
        blob = base64.b64decode(parts[1], validate=True)
    except (IndexError, binascii.Error, ValueError):
        raise BadInput(
            "can't be read: its public_key is no line such as 'ssh-ed25519 AAAA...'"
        ) from None
    digest = base64.b64encode(hashlib.sha256(blob).digest()).decode("ascii")
    return f"SHA256:{digest.rstrip('=')}"


def read_signers(path: Path) -> Signers:
    """Read an allowed-signers file once.

    Raises:
        BadInput: there is none, it can't be read, or it is far too large.
    """
    data = bytes_of(path, "allowed-signers file", LARGEST_SIGNERS + 1)
    if len(data) > LARGEST_SIGNERS:
        raise BadInput(f"{path} is larger than 1 MB: no allowed-signers file.")
    return Signers(str(path), data)


def make(signed: Entry, key: Path) -> dict[str, Any]:
    """The keys of a `signature` entry over a `signed` entry.

    Args:
        signed: The sign-off, sealed.
        key: A private key's file, or a public key's whose other half the agent holds.

    Raises:
        BadInput: no such file, no ed25519 key, or `ssh-keygen` is not installed.
        Refused: `ssh-keygen` did not sign.
    """
    bytes_of(key, "key", 0)  # only whether it can be read: what is in it is for ssh-keygen alone
    made = openssh.sign(key, message(signed.seal))
    answer = openssh.check(made, message(signed.seal))
    if answer.state != "good":
        raise Refused(
            f"The signature made with {key} does not hold, so nothing was recorded: {answer.said}."
        )
    if answer.key_type != ED25519:
        raise BadInput(
            f"{key} is a key of the type {answer.key_type}; only ed25519 keys sign here.",
            "Make one: ssh-keygen -t ed25519.",
        )
    public_key = _key_inside(made)
    if fingerprint(public_key) != answer.fingerprint:
        raise Refused(f"The key in the signature made with {key} is not the one that signed.")
    return {
        "of": signed.n, "of_seal": signed.seal, "namespace": NAMESPACE, "public_key": public_key,
        "signature": made,
    }  # fmt: skip


def _key_inside(armored: str) -> str:
    """The public key that stands in a good signature, as a line."""
    data = base64.b64decode("".join(armored.split("\n")[1:-2]))
    key = _string(data[_KEY_AT:])
    kind = _string(key).decode("ascii", "replace")
    return f"{kind} {base64.b64encode(key).decode('ascii')}"


def _string(data: bytes) -> bytes:
    """A string in SSH's own form: four bytes of length before it."""
    return data[4 : 4 + int.from_bytes(data[:4], "big")]


def check(entries: Iterable[Entry], allowed: Signers | None = None) -> tuple[Checked, ...]:
    """Check every signature in a log."""
    entries = tuple(entries)
    signed = next((entry for entry in entries if entry.kind == "signed"), None)
    return tuple(_checked(entry, signed, allowed) for entry in entries if entry.kind == "signature")


def _parts(entry: Entry, signed: Entry) -> tuple[str, str]:
    """Signature and public key of an entry over this sign-off.

    Raises:
        BadInput: it is no such entry; the end of a sentence about the signature.
    """
    texts = [entry.get(key) for key in ("signature", "public_key", "namespace")]
    if not all(isinstance(text, str) for text in texts):
        raise BadInput("can't be read: it lacks its signature, public_key or namespace")
    armored, public_key, namespace = texts
    if namespace != NAMESPACE:
        raise BadInput(f"is for the namespace {namespace!a}, not for {NAMESPACE}")
    if entry.get("of") != signed.n or entry.get("of_seal") != signed.seal:
        raise BadInput(f"names another seal than that of the sign-off, entry {signed.n}")
    return armored, public_key


def _checked(entry: Entry, signed: Entry | None, allowed: Signers | None) -> Checked:
    said = f"Entry {entry.n}: the signature"

    def no(problem: str, mark: str = "") -> Checked:
        return Checked(entry.n, entry.by, "false", mark, (), f"{said} {problem}.")

    def unchecked(why: str, mark: str = "") -> Checked:
        hint = "" if openssh.program() else f" {openssh.INSTALL}"
        problem = f"{said} couldn't be checked: {why}.{hint}"
        return Checked(entry.n, entry.by, "unchecked", mark, (), problem)

    if signed is None:
        return no("stands in a log without a sign-off")
    try:
        armored, public_key = _parts(entry, signed)
        mark = fingerprint(public_key)
    except BadInput as error:
        return no(error.message)
    answer = openssh.check(armored, message(signed.seal))
    if answer.state == "unchecked":
        return unchecked(answer.said)
    if answer.state == "false":
        return no(f"does not hold for the sign-off, entry {signed.n}: {answer.said}")
    if answer.fingerprint != mark:
        return no(f"is by the key {answer.fingerprint}, not by its public_key", mark)
    if answer.key_type != ED25519:
        return no(f"is by a key of the type {answer.key_type}; only ed25519 keys count here", mark)
    if allowed is None:
        return Checked(entry.n, entry.by, "good", mark)
    names, why = openssh.principals(armored, message(signed.seal), public_key, allowed, signed.at)
    if names:
        return Checked(entry.n, entry.by, "good", mark, names)
    if why.state == "unchecked":
        return unchecked(why.said, mark)
    return no(f"holds, but is by nobody who may sign: {why.said}", mark)
