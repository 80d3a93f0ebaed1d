"""SSH keys and signatures for the tests, made by OpenSSH itself."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

needs_keygen = pytest.mark.skipif(
    shutil.which("ssh-keygen") is None, reason="ssh-keygen (OpenSSH's client) is not installed"
)


def make_key(path: Path, *, kind: str = "ed25519", passphrase: str = "") -> str:
    """A private key's file, and `.pub` beside it; the public line without its comment."""
    subprocess.run(
        ["ssh-keygen", "-q", "-t", kind, "-N", passphrase, "-C", "somebody", "-f", path],
        check=True, stdin=subprocess.DEVNULL, capture_output=True,
    )  # fmt: skip
    return " ".join(path.with_name(path.name + ".pub").read_text().split()[:2])


def ssh_sign(path: Path, message: bytes, namespace: str = "signature@inspect-tui") -> str:
    """An armored signature."""
    made = subprocess.run(
        ["ssh-keygen", "-Y", "sign", "-f", path, "-n", namespace],
        input=message, check=True, capture_output=True,
    )  # fmt: skip
    return made.stdout.decode("ascii")
