"""OpenSSH's own `ssh-keygen -Y`, where it is present: signing with a key or the agent, checking.

Run with a fixed list of arguments and no shell; what it reads lies in a private folder (0700, the
files 0600) that is gone afterwards.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.disk import reason_in_words
from inspect_tui.files.signing.sshsig import NAMESPACE

SIGNING = 180.0
"""Seconds: a person types a passphrase in them, or touches a token."""
CHECKING = 30.0


def program() -> str | None:
    """The path of `ssh-keygen`; None where it is not installed."""
    return shutil.which("ssh-keygen")


def sign(keygen: str, key: Path, message: bytes) -> str:
    """Sign with a private key's file, or with the agent where the file is a public key's.

    Raises:
        Refused: `ssh-keygen` did not sign, and why.
    """
    done = _run([keygen, "-Y", "sign", "-f", str(key), "-n", NAMESPACE], message, SIGNING)
    if done.returncode != 0:
        raise Refused(f"ssh-keygen did not sign with {key}: {_said(done)}.")
    return done.stdout.decode("ascii", "replace")


def refusal(keygen: str, armored: str, message: bytes) -> str:
    """Why the signature is not the key's own over this message; "" where it is."""
    with _folder() as folder:
        path = _private(Path(folder) / "signature", armored.encode("utf-8"))
        check = [keygen, "-Y", "check-novalidate", "-n", NAMESPACE, "-s", str(path)]
        return _why_not(_run(check, message, CHECKING))


def refusal_by_signers(
    keygen: str, armored: str, message: bytes, signers: bytes, principal: str, at: datetime
) -> str:
    """Why an allowed-signers file doesn't let this principal sign then; "" where it does."""
    with _folder() as folder:
        signature = _private(Path(folder) / "signature", armored.encode("utf-8"))
        allowed = _private(Path(folder) / "signers", signers)
        try:  # local time: older programs know no other
            when = at.astimezone().strftime("%Y%m%d%H%M%S")
        except ValueError:  # this computer's zone is none that can be
            when = at.astimezone(UTC).strftime("%Y%m%d%H%M%SZ")
        check = [
            keygen, "-Y", "verify", "-f", str(allowed), "-I", principal, "-n", NAMESPACE,
            "-s", str(signature), f"-Overify-time={when}",
        ]  # fmt: skip
        return _why_not(_run(check, message, CHECKING))


def _folder() -> tempfile.TemporaryDirectory[str]:
    try:
        return tempfile.TemporaryDirectory(prefix="inspect-tui-")
    except OSError as error:
        raise NotSaved(f"No folder for the check can be made: {reason_in_words(error)}.") from error


def _private(path: Path, data: bytes) -> Path:
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
    except OSError as error:
        raise NotSaved(f"{path} can't be written: {reason_in_words(error)}.") from error
    return path


def _run(
    arguments: list[str], message: bytes, seconds: float
) -> subprocess.CompletedProcess[bytes]:
    try:
        process = subprocess.Popen(
            arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            env={**os.environ, "LC_ALL": "C"},
        )  # fmt: skip
    except (OSError, ValueError) as error:  # ValueError: a NUL in a name
        raise BadInput(f"ssh-keygen can't be run: {error}.") from None
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


def _why_not(done: subprocess.CompletedProcess[bytes]) -> str:
    return "" if done.returncode == 0 else _said(done)


def _said(done: subprocess.CompletedProcess[bytes]) -> str:
    text = done.stderr.decode("utf-8", "replace")
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    said = [line for line in lines if not line.startswith(("Signing ", "@"))]
    return "; ".join(said)[:300].rstrip(".") or f"exit status {done.returncode}"
