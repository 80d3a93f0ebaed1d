"""The allowed-signers file: whose keys are believed, for what and when (`man ssh-keygen`).

A line is `PRINCIPALS [OPTIONS] KEYTYPE BASE64`. Read the way OpenSSH reads it: the first line that
allows the key counts, and one that can't be understood allows nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from inspect_tui.errors import BadInput
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.sshsig import NAMESPACE, fingerprint, key_of_line

LARGEST = 1_000_000
_KEY_TYPE = re.compile(r"(?:ssh|ecdsa|sk)-\S+")
_PRINCIPALS = re.compile(r'"([^"]*)"|([^\s"]+)')
_OPTION = re.compile(r'([A-Za-z-]+)(?:="((?:\\"|[^"])*)")?(,|$)')
_OPTIONS = re.compile(r'(?:"(?:\\"|[^"])*"|[^\s"])+')
_MOMENT = re.compile(r"(\d{8})(\d{4})?(\d{2})?(Z|UTC)?", re.IGNORECASE)
_KNOWN = ("cert-authority", "namespaces", "valid-after", "valid-before")


@dataclass(frozen=True, slots=True)
class Signers:
    """An allowed-signers file as it was read."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Answer:
    """Whose key it is."""

    principals: tuple[str, ...] = ()
    """As the line names them; empty where no line allows the key."""
    why_not: str = ""
    """What keeps the key out, as the end of a sentence."""


@dataclass(slots=True)
class _Line:
    """One line, taken apart."""

    principals: tuple[str, ...]
    key: bytes
    options: dict[str, str] = field(default_factory=dict)


def read(path: Path) -> Signers:
    """Read the file once.

    Raises:
        BadInput: there is none, it can't be read, or it is far too large.
    """
    data = bytes_of(path, "allowed-signers file", LARGEST + 1)
    if len(data) > LARGEST:
        raise BadInput(f"{path} is larger than {LARGEST // 1_000_000} MB: no allowed-signers file.")
    return Signers(str(path), data)


def who(signers: Signers, key: bytes, at: datetime) -> Answer:
    """Whose key it is, by the first line that allows it for our namespace at that time."""
    kept_out, unread = "", ""
    text = signers.data.decode("utf-8", "replace")
    for number, written in enumerate(text.split("\n"), 1):
        written = written.strip()
        if not written or written.startswith("#"):
            continue
        try:
            line = _line(written)
            if line.key != key:
                continue
            reason = _kept_out(line.options, at)
        except BadInput as error:
            unread = unread or f"; {signers.name}:{number} can't be understood: {error.message}"
            continue
        if not reason:
            return Answer(line.principals)
        kept_out = f"{signers.name}:{number}: {reason}"
    missing = f"{signers.name} does not list the key {fingerprint(key)}"
    return Answer(why_not=(kept_out or missing) + unread.rstrip("."))


def _line(written: str) -> _Line:
    found = _PRINCIPALS.match(written)
    if found is None:
        raise BadInput("it names nobody.")
    principals = tuple(name for name in (found[1] or found[2] or "").split(",") if name)
    rest = written[found.end() :].lstrip()
    options: dict[str, str] = {}
    if not _KEY_TYPE.match(rest):
        listed = _OPTIONS.match(rest)
        options = _options(listed[0] if listed else "")
        rest = rest[listed.end() :].lstrip() if listed else ""
    if not _KEY_TYPE.match(rest) or not principals:
        raise BadInput("a line is PRINCIPALS [OPTIONS] KEYTYPE BASE64.")
    return _Line(principals, key_of_line(rest), options)


def _options(text: str) -> dict[str, str]:
    options: dict[str, str] = {}
    at = 0
    while at < len(text):
        found = _OPTION.match(text, at)
        name = found[1].lower() if found else ""
        wanted = name != "cert-authority"
        if found is None or name not in _KNOWN or name in options or wanted != bool(found[2]):
            raise BadInput(
                f"of the option {text[at : at + 40]!a} (known are cert-authority, namespaces, "
                "valid-after and valid-before, each once)"
            )
        options[name] = (found[2] or "").replace('\\"', '"')
        at = found.end()
    after, before = (
        _moment(options[name]) if name in options else None
        for name in ("valid-after", "valid-before")
    )
    if after is not None and before is not None and after >= before:
        raise BadInput("valid-after is not earlier than valid-before.")
    return options


def _kept_out(options: dict[str, str], at: datetime) -> str:
    """Why the options of its line keep a key out; "" where they don't."""
    if "cert-authority" in options:
        return "the key is a certificate authority's (cert-authority), which signs no log itself"
    if "namespaces" in options and not _in_patterns(NAMESPACE, options["namespaces"]):
        return f"the key is not for the namespace {NAMESPACE}"
    if "valid-after" in options and at < _moment(options["valid-after"]):
        return "the key was not valid yet when the session was signed"
    if "valid-before" in options and at > _moment(options["valid-before"]):
        return "the key was not valid any more when the session was signed"
    return ""


def _moment(text: str) -> datetime:
    """`YYYYMMDD[HHMM[SS]]`, in local time, or in UTC with a Z behind it."""
    found = _MOMENT.fullmatch(text)
    try:
        if found is None:
            raise ValueError
        digits = found[1] + (found[2] or "0000") + (found[3] or "00")
        plain = datetime.strptime(digits, "%Y%m%d%H%M%S")  # noqa: DTZ007 - the zone comes next
        return plain.replace(tzinfo=UTC) if found[4] else plain.astimezone()
    except (ValueError, OverflowError):
        raise BadInput(
            f"{text[:40]!a} is no time such as YYYYMMDD, YYYYMMDDHHMM or YYYYMMDDZ"
        ) from None


def _in_patterns(text: str, patterns: str) -> bool:
    """Whether a text is in a list of patterns (`*`, `?`, `!` before one that keeps out)."""
    matched = False
    for pattern in patterns.split(","):
        negated = pattern.startswith("!")
        signs = {"*": ".*", "?": "."}
        expression = "".join(signs.get(sign, re.escape(sign)) for sign in pattern[negated:])
        if re.fullmatch(expression, text, re.DOTALL):
            if negated:
                return False
            matched = True
    return matched
