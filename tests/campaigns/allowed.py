"""A campaign of allowed-signers files: who may sign by our own reading, and by OpenSSH's.

    python -m tests.campaigns.allowed --cases 1000

Wants `ssh-keygen`. A key that counts here must count there, by the name that is given for it; one
that is kept out here must be kept out there by every name that the file could mean.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
)

from inspect_tui.files.signing import allowed_signers, sshsig

Random = random.Random
AT = datetime(2026, 11, 2, 18, tzinfo=UTC)
MESSAGE = sshsig.message("ab" * 32)
NAMES = ("kari", "ola", "kari, the elder", "kar*", "kar?", "*", "!kari", "KARI", "k", "kári", "a")
PRINCIPALS = (
    "kari", "kari", "ola", "kari,ola", '"kari, the elder"', "*", "kar*", "kar?", "!kari", "*,!kari",
    "!*", "kari,!kari", '"kari"', 'ka"ri"', '"kari', "kari,", ",kari", ",", "", '""', "KARI",
    '"kari"x', "kári", "#kari", "k" * 1100,
)  # fmt: skip
OPTIONS = (
    "", "", "", 'namespaces="signature@inspect-tui"', 'namespaces="git"', 'namespaces="*"',
    'namespaces="*,!signature@inspect-tui"', 'namespaces="!git"', 'namespaces=""', "namespaces",
    'namespaces="SIGNATURE@inspect-tui"', "namespaces=signature@inspect-tui", 'NAMESPACES="*"',
    'namespaces="a\\"b,*"', 'namespaces="*""', 'namespaces=" *"', 'namespaces="s*@i*"', ",",
    'namespaces="?ignature@inspect-tui"', 'namespaces="[s]*"', 'namespaces="*",', ',namespaces="*"',
    'namespaces="a,,s*"', 'valid-after="20261101"', 'valid-after="20261103"', 'valid-after="2026"',
    'valid-before="20261101"', 'valid-before="20271101Z"', 'valid-after="20261102180000Z"',
    'valid-before="20261102180000Z"', 'valid-before="20261102175959Z"', 'valid-after="20261301"',
    'valid-after=""', 'valid-after="20261101UTC"', 'valid-after="19700101Z"', 'valid-after="0"',
    'valid-before="20261102235960Z"', 'valid-before="20261131"', 'valid-before="20261132"',
    'valid-after="20261102240000"', 'valid-before="99991231"', "valid-after=20261101",
    'valid-after="20261104",valid-before="20261031"', 'valid-after=" 20261101"', "cert-authority",
    'cert-authority="x"', "CERT-AUTHORITY", "nonsense", 'nonsense="x"', "no-touch-required",
)  # fmt: skip
BLANKS = (" ", " ", " ", "\t", "  ", "\x0c", "\u00a0")
ENDS = ("\n", "\n", "\n", "\r\n", "\r")


@dataclass
class Outcome:
    """What a run came to."""

    cases: int = 0
    allowed: int = 0
    faults: list[str] = field(default_factory=list)


class Bench:
    """A key, a signature by it, and `ssh-keygen`, in a folder of their own."""

    def __init__(self, folder: Path, keygen: str) -> None:
        self.folder, self.keygen = folder, keygen
        key = Ed25519PrivateKey.generate()
        self.line = _line(key)
        self.other = _line(Ed25519PrivateKey.generate())
        own = key.private_bytes(Encoding.PEM, PrivateFormat.OpenSSH, NoEncryption())
        (folder / "signature").write_text(sshsig.sign(own, MESSAGE))

    def lets_in(self, data: bytes, name: str) -> bool:
        """Whether OpenSSH lets this name sign."""
        (self.folder / "signers").write_bytes(data)
        ran = subprocess.run(
            [
                self.keygen, "-Y", "verify", "-f", "signers", "-I", name, "-n", sshsig.NAMESPACE,
                "-s", "signature", f"-Overify-time={AT.astimezone():%Y%m%d%H%M%S}",
            ],
            input=MESSAGE, capture_output=True, cwd=self.folder, env=os.environ | {"LC_ALL": "C"},
        )  # fmt: skip
        return ran.returncode == 0

    def keys(self) -> tuple[str, ...]:
        """The key as it may be written, and what is none."""
        kind, blob = self.line.split()
        return (
            self.line, self.line, self.line, f"{self.line} words of comment", self.other,
            kind, f"{kind} {blob[:-4]}", f"{kind} {blob}AAAA", f"ssh-rsa {blob}", f"{kind}\t{blob}",
            f"{kind}  {blob}", f"{kind.upper()} {blob}", blob, f"{self.line}=", f"{self.line}#x",
            f"{kind} {blob[:20]} {blob[20:]}", f"{kind} {blob[:20]}\r{blob[20:]}", f'"{self.line}"',
            f"{kind}\r {blob}", f"{self.line}\0x", f"{kind}-cert-v01@openssh.com {blob}", "",
        )  # fmt: skip


def _line(key: Ed25519PrivateKey) -> str:
    return key.public_key().public_bytes(Encoding.OpenSSH, PublicFormat.OpenSSH).decode()


def a_file(rng: Random, keys: tuple[str, ...]) -> bytes:
    """One to three lines, most of them odd."""
    return rng.choice(ENDS).join(
        _a_line(rng, keys) for _ in range(rng.choice((1, 1, 2, 3)))
    ).encode() + rng.choice((b"", b"\n", b"\r\n"))  # fmt: skip


def _a_line(rng: Random, keys: tuple[str, ...]) -> str:
    if rng.random() < 0.08:
        return rng.choice(("", "# x", "broken", f"# kari {keys[0]}", "\0", f"\ufeffkari {keys[0]}"))
    options = rng.choice(OPTIONS)
    if rng.random() < 0.15:
        options += f",{rng.choice(OPTIONS)}"
    parts = [rng.choice(PRINCIPALS), *([options] if options else []), rng.choice(keys)]
    made = rng.choice(("", "", " ", "\t"))
    return made + "".join(part + rng.choice(BLANKS) for part in parts[:-1]) + parts[-1]


def fault_of(bench: Bench, data: bytes, outcome: Outcome) -> str:
    """What the two say otherwise of a file; "" where they agree."""
    ours = allowed_signers.who(
        allowed_signers.Signers("signers", data),
        sshsig.key_of_line(bench.line),
        AT.replace(microsecond=1),
    )
    if ours.principals:
        outcome.allowed += 1
        name = ours.principals[0]
        return "" if bench.lets_in(data, name) else f"OpenSSH keeps {name!a} out"
    let_in = [name for name in NAMES if bench.lets_in(data, name)]
    return f"OpenSSH lets {let_in} in; here: {ours.why_not}" if let_in else ""


def run(cases: int, seed: int, keygen: str, say: Callable[[str], None] = print) -> Outcome:
    """So many files."""
    outcome = Outcome()
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder), keygen)
        keys = bench.keys()
        for number in range(cases):
            data = a_file(Random(f"allowed {seed} {number}"), keys)
            outcome.cases += 1
            if fault := fault_of(bench, data, outcome):
                outcome.faults.append(f"case {number}: {fault}: {data!a}")
                say(outcome.faults[-1][:600])
    return outcome


def main() -> int:
    """Run the campaign and print what it came to."""
    given = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    given.add_argument("--cases", type=int, default=1000)
    given.add_argument("--seed", type=int, default=1)
    asked = given.parse_args()
    keygen = shutil.which("ssh-keygen")
    if keygen is None:
        raise SystemExit("ssh-keygen is not installed.")
    found = run(asked.cases, asked.seed, keygen)
    print(
        f"allowed signers: {found.cases} cases, {found.allowed} let in, {len(found.faults)} faults"
    )
    return 1 if found.faults else 0


if __name__ == "__main__":
    sys.exit(main())
