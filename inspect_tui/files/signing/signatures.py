"""A signature over the sign-off's seal: made, and checked, with the person's own SSH key.

OpenSSH's `ssh-keygen` makes it where it is present, `cryptography` otherwise. Both check it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.signing import allowed_signers, openssh, sshsig

LARGEST_KEY = 100_000


@dataclass(frozen=True, slots=True)
class Checked:
    """What one `signature` entry turned out to be."""

    n: int
    by: str
    fingerprint: str = ""
    """The key's, `SHA256:...`; "" where none could be read."""
    signers: tuple[str, ...] = ()
    """Whose key it is, by the allowed-signers file; empty without one."""
    problem: str = ""
    """One sentence; empty when the signature holds."""

    @property
    def words(self) -> str:
        """One sentence about a signature that holds."""
        good = f"Entry {self.n}: the sign-off carries a good signature by the key"
        if self.signers:
            return f"{good} of {', '.join(self.signers)} ({self.fingerprint})."
        return f"{good} {self.fingerprint}; whose key that is, only --signers FILE can tell."


def make(signed: Entry, key: Path) -> dict[str, Any]:
    """The keys of a `signature` entry over a `signed` entry.

    Args:
        signed: The sign-off, sealed.
        key: A private key's file, or a public key's whose other half the agent holds.

    Raises:
        BadInput: no such file, no ed25519 key, or one that can't be used without `ssh-keygen`.
        Refused: `ssh-keygen` did not sign.
    """
    message = sshsig.message(signed.seal)
    keygen = openssh.program()
    # Where ssh-keygen signs, the key is for it alone to read; here only whether it can be.
    data = bytes_of(key, "key", LARGEST_KEY if keygen is None else 0)
    if keygen is not None:
        armored = openssh.sign(keygen, key, message)
    elif data.startswith((b"ssh-", b"ecdsa-", b"sk-")):
        raise BadInput(
            f"{key} is a public key; only ssh-keygen can have the agent sign with it.",
            "Install the OpenSSH client, or name the private key's file.",
        )
    else:
        armored = sshsig.sign(data, message)
    made = sshsig.read(armored)
    if made.key_type != sshsig.ED25519:
        raise BadInput(
            f"{key} is a key of the type {made.key_type}; only ed25519 keys sign here.",
            "Make one: ssh-keygen -t ed25519.",
        )
    if made.namespace != sshsig.NAMESPACE or not sshsig.holds(made, message):
        raise Refused(f"The signature made with {key} does not hold, so nothing was recorded.")
    return {
        "of": signed.n, "of_seal": signed.seal, "namespace": sshsig.NAMESPACE,
        "public_key": sshsig.public_line(made.key), "signature": armored,
    }  # fmt: skip


def check(
    entries: Iterable[Entry], allowed: allowed_signers.Signers | None = None
) -> tuple[Checked, ...]:
    """Check every signature in a log.

    Raises:
        BadInput: a line of the allowed-signers file can't be understood.
    """
    entries = tuple(entries)
    signed = next((entry for entry in entries if entry.kind == "signed"), None)
    return tuple(_checked(entry, signed, allowed) for entry in entries if entry.kind == "signature")


def _checked(
    entry: Entry, signed: Entry | None, allowed: allowed_signers.Signers | None
) -> Checked:
    said = f"Entry {entry.n}: the signature"
    try:
        signature, armored = _parts(entry)
    except BadInput as error:
        return Checked(entry.n, entry.by, problem=f"{said} can't be read: {error.message}")
    mark = sshsig.fingerprint(signature.key)

    def no(problem: str) -> Checked:
        return Checked(entry.n, entry.by, mark, (), f"{said} {problem}.")

    if signed is None:
        return no("stands in a log without a sign-off")
    if entry.get("of") != signed.n or entry.get("of_seal") != signed.seal:
        return no(f"names another seal than that of the sign-off, entry {signed.n}")
    if signature.namespace != sshsig.NAMESPACE:
        return no(f"was made for {signature.namespace!a}, not for {sshsig.NAMESPACE}")
    if signature.key_type != sshsig.ED25519:
        return no(f"is by a key of the type {signature.key_type!a}; only ed25519 keys count here")
    message = sshsig.message(signed.seal)
    # Both have to say yes, so that no computer says another thing of it than the next.
    try:
        holds = sshsig.holds(signature, message)
    except BadInput as error:
        return no(f"can't be read: {error.message.rstrip('.')}")
    if not holds:
        return no(f"by the key {mark} does not hold for the sign-off, entry {signed.n}")
    keygen = openssh.program()
    if keygen is not None and (refused := openssh.refusal(keygen, armored, message)):
        return no(f"holds by its own arithmetic, but ssh-keygen says: {refused}")
    if allowed is None:
        return Checked(entry.n, entry.by, mark)
    answer = allowed_signers.who(allowed, signature.key, signed.at)
    if not answer.principals:
        return no(f"holds, but is by nobody who may sign: {answer.why_not}")
    if keygen is not None and (
        refused := openssh.refusal_by_signers(
            keygen, armored, message, allowed.data, answer.principals[0], signed.at
        )
    ):
        return no(f"holds, but ssh-keygen does not accept it by {allowed.name}: {refused}")
    return Checked(entry.n, entry.by, mark, answer.principals)


def _parts(entry: Entry) -> tuple[sshsig.Signature, str]:
    """The signature of an entry and its text. Raises BadInput."""
    texts = [entry.get(key) for key in ("signature", "public_key", "namespace")]
    if not all(isinstance(text, str) for text in texts):
        raise BadInput("it lacks its signature, public_key or namespace.")
    armored, public, namespace = texts
    signature = sshsig.read(armored)
    if sshsig.key_of_line(public) != signature.key:
        raise BadInput("its public_key is not the key inside the signature.")
    if namespace != sshsig.NAMESPACE:
        raise BadInput(f"its namespace is {namespace!a}, not {sshsig.NAMESPACE}.")
    return signature, armored
