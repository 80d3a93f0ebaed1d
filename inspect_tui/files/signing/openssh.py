"""OpenSSH's `ssh-keygen -Y`, which makes and checks every signature: nothing here does it itself.

Run with a fixed list of arguments and no shell; what it reads lies in a private folder (0700, the
files 0600) that is gone afterwards.

It ends with 0 for good and with 255 for everything else: a false signature, an account without a
name, a file that it can't read. What it says tells them apart: `Could not verify signature.` on
stdout comes only from where the checking is done. All else is "couldn't check", never "false".
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from inspect_tui.errors import BadInput, InspectError, NotSaved, Refused
from inspect_tui.files.disk import reason_in_words
from inspect_tui.files.passing_folder import passing_folder

NAMESPACE = "signature@inspect-tui"
"""What a signature is for; one made for mail, code or a log-in never counts here."""
INSTALL = (
    "Install the OpenSSH client: the package openssh-client or openssh-clients, on Windows the "
    "optional feature OpenSSH Client."
)
SIGNING = 180.0
"""Seconds: a person types a passphrase in them, or touches a token."""
CHECKING = 30.0
MAX_LINES = 50
"""Lines of an allowed-signers file that name one key and are asked one by one."""

_SIGNATURE, _ALLOWED = "signature", "allowed_signers"
"""What the files are called in the folder of a check."""
_BEGIN, _LAST = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
_LONGEST = 20_000
"""Characters of an armored signature; an ed25519 one has about 300."""
_GOOD = re.compile(r'Good "(.*)" signature .*with (\S+) key (SHA256:\S+)')
_FALSE = "Could not verify signature."
_NOBODY = "No principal matched"
_NOT_READ = ("Couldn't read signature file", "Unable to open")


@dataclass(frozen=True, slots=True)
class Answer:
    """What OpenSSH made of a signature."""

    state: Literal["good", "false", "unchecked"]
    said: str = ""
    """Why it is not good, in its words; the end of a sentence, without a full stop."""
    key_type: str = ""
    """Such as `ED25519`; "" unless good."""
    fingerprint: str = ""
    """The key's, `SHA256:...`; "" unless good."""


@dataclass(frozen=True, slots=True)
class Signers:
    """An allowed-signers file (`man ssh-keygen`) as it was read."""

    name: str
    data: bytes


def program() -> str | None:
    """The path of `ssh-keygen`; None where it is not installed."""
    return shutil.which("ssh-keygen")


def sign(key: Path, message: bytes) -> str:
    """Sign with a private key's file, or with the agent where the file is a public key's.

    The message goes by stdin: given a file beside which FILE.sig lies, `ssh-keygen` asks, and
    without an answer ends with 0 and writes nothing.

    Raises:
        BadInput: `ssh-keygen` is not installed.
        Refused: it did not sign, and why.
    """
    keygen = program()
    if keygen is None:
        raise BadInput("A key signs by OpenSSH's ssh-keygen, which is not installed.", INSTALL)
    done = _run([keygen, "-Y", "sign", "-f", str(key), "-n", NAMESPACE], message, SIGNING)
    made = done.stdout.decode("ascii", "replace")
    if done.returncode != 0 or not is_armor(made):
        raise Refused(f"ssh-keygen did not sign with {key}: {_said(done)}.")
    return made


def is_armor(text: str) -> bool:
    """Whether a text is one armored signature and nothing else.

    OpenSSH passes over what stands behind the armor, so that anything could be told there.
    """
    lines = text.split("\n")
    return (
        len(text) <= _LONGEST
        and len(lines) >= 4
        and (lines[0], lines[-2], lines[-1]) == (_BEGIN, _LAST, "")
        and all(re.fullmatch(r"[A-Za-z0-9+/=]+", line) for line in lines[1:-2])
    )


def check(armored: str, message: bytes) -> Answer:
    """Whether the key that stands in a signature made it over this message, for our purpose."""
    if not is_armor(armored):
        return Answer("false", f"it isn't one text from {_BEGIN} to {_LAST}")
    return _answer(armored, b"", message, ["check-novalidate", "-n", NAMESPACE])


def principals(
    armored: str, message: bytes, public_key: str, signers: Signers, at: datetime
) -> tuple[tuple[str, ...], Answer]:
    """By which names an allowed-signers file lets the key sign, at that time.

    `find-principals` looks at neither message nor purpose and prints patterns as they stand, so
    each name that it gives is put to `verify`. It stops at the first line with the key; the other
    lines are asked one by one.

    Args:
        armored: A signature that `check` found good.
        message: What was signed.
        public_key: The key as a line, to find the lines that name it.
        signers: The allowed-signers file.
        at: When the session was signed off.

    Returns:
        The names; and where there are none, why.
    """
    blob = public_key.split()[1].encode("ascii", "replace")
    lines = [line for line in signers.data.split(b"\n") if blob in line][:MAX_LINES]
    why = Answer("false", f"{signers.name} does not list its key")
    for part in (signers.data, *(lines if len(lines) > 1 else ())):
        found, answer = _named(armored, message, part, at)
        if answer.state == "unchecked":
            return (), answer
        if answer.said and part is signers.data:
            why = Answer("false", answer.said.replace(_ALLOWED, signers.name))
        good = []
        for name in found:
            asked = ["verify", "-f", _ALLOWED, "-I", name, "-n", NAMESPACE, _verify_time(at)]
            answer = _answer(armored, signers.data, message, asked)
            if answer.state == "unchecked":
                return (), answer
            if answer.state == "good":
                good.append(name)
            elif answer.said:
                why = Answer("false", answer.said.replace(_ALLOWED, signers.name))
        if good:
            return tuple(good), Answer("good")
    return (), why


def _named(
    armored: str, message: bytes, signers: bytes, at: datetime
) -> tuple[tuple[str, ...], Answer]:
    """The names of the first line with the signature's key; what is said where there is none."""
    asked = ["find-principals", "-f", _ALLOWED, _verify_time(at)]
    try:
        done = _asked(armored, signers, message, asked)
    except InspectError as error:
        return (), Answer("unchecked", error.message.rstrip("."))
    if done.returncode == 0:
        names = done.stdout.decode("utf-8", "replace").splitlines()
        return tuple(dict.fromkeys(name for name in names if name)), Answer("good")
    said = _said(done)
    if _NOBODY not in said:
        return (), Answer("unchecked", said)
    return (), Answer("false", said.replace(_NOBODY, "").rstrip("; "))


def _answer(armored: str, signers: bytes, message: bytes, asked: list[str]) -> Answer:
    try:
        done = _asked(armored, signers, message, asked)
    except InspectError as error:
        return Answer("unchecked", error.message.rstrip("."))
    out = done.stdout.decode("utf-8", "replace")
    said = _said(done)
    if done.returncode == 0 and (found := _GOOD.search(out)):
        return Answer("good", "", found[2], found[3])
    false = _FALSE in out and not any(words in said for words in _NOT_READ)
    return Answer("false" if false else "unchecked", said)


def _asked(
    armored: str, signers: bytes, message: bytes, asked: list[str]
) -> subprocess.CompletedProcess[bytes]:
    """Run `ssh-keygen -Y` beside the two files, in a folder of their own."""
    keygen = program()
    if keygen is None:
        raise BadInput("OpenSSH's ssh-keygen is not installed.", INSTALL)
    try:
        with passing_folder() as folder:
            _private(folder / _SIGNATURE, armored.encode("utf-8", "replace"))
            _private(folder / _ALLOWED, signers)
            arguments = [keygen, "-Y", *asked, "-s", _SIGNATURE]
            return _run(arguments, message, CHECKING, folder)
    except OSError as error:
        raise NotSaved(f"no folder for the check can be made: {reason_in_words(error)}") from error


def _private(path: Path, data: bytes) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(data)


def _verify_time(at: datetime) -> str:
    """A key's own validity is judged on the day of the sign-off."""
    try:  # local time: older programs know no other
        return f"-Overify-time={at.astimezone():%Y%m%d%H%M%S}"
    except (ValueError, OverflowError):  # this computer's zone is none that can be
        return f"-Overify-time={at.astimezone(UTC):%Y%m%d%H%M%S}Z"


def _run(
    arguments: list[str], message: bytes, seconds: float, folder: Path | None = None
) -> subprocess.CompletedProcess[bytes]:
    try:
        process = subprocess.Popen(
            arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            env={**os.environ, "LC_ALL": "C"}, cwd=folder,
        )  # fmt: skip
    except (OSError, ValueError) as error:  # ValueError: a NUL in a name
        why = reason_in_words(error) if isinstance(error, OSError) else error
        raise BadInput(f"ssh-keygen can't be run: {why}.") from None
    try:
        out, err = process.communicate(message, timeout=seconds)
    except subprocess.TimeoutExpired:
        raise Refused(f"ssh-keygen did not end within {seconds:.0f} seconds.") from None
    finally:
        _end(process)
    return subprocess.CompletedProcess(arguments, process.returncode, out, err)


def _end(process: subprocess.Popen[bytes]) -> None:
    """Asked first: it may have turned the terminal's echo off for a passphrase."""
    if process.poll() is None:
        process.terminate()
        with suppress(subprocess.TimeoutExpired):
            process.wait(2.0)
    if process.poll() is None:
        process.kill()
        process.wait()
    for pipe in (process.stdin, process.stdout, process.stderr):
        if pipe is not None:
            with suppress(OSError):  # what it did not read any more
                pipe.close()


def _said(done: subprocess.CompletedProcess[bytes]) -> str:
    text = done.stderr.decode("utf-8", "replace")
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    said = [line for line in lines if not line.startswith(("Signing ", "@"))]
    return "; ".join(said)[:300].rstrip(".") or f"exit status {done.returncode}"
