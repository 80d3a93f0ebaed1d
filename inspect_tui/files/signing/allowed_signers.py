"""The allowed-signers file: whose keys are believed, for what and when (`man ssh-keygen`).

A line is `PRINCIPALS [OPTIONS] KEYTYPE BASE64`. Read the way OpenSSH reads it: the first line that
allows the key counts, and one that can't be understood allows nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.errors import BadInput
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.signing.sshsig import NAMESPACE, fingerprint, key_of_line

LARGEST = 1_000_000
_KEY_TYPE = re.compile(r"(?:ssh|ecdsa|sk)-\S+")
_LONGEST_PATTERN = 1022
"""Characters; OpenSSH gives up a list that has a longer one."""
_BLANK = " \t\r\n"
"""What OpenSSH takes for blanks, and nothing else."""
_PRINCIPALS = re.compile(r'([^ \t\r\n"]*)(?:"([^"]*)")?')
_OPTION = re.compile(r'([A-Za-z-]+)(?:="((?:\\"|[^"])*)")?(,|$)')
_OPTIONS = re.compile(r'(?:"(?:\\"|[^"])*"|[^ \t"])+')
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
    """The names by which the line lets the key sign; empty where no line allows it."""
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
        written = written.partition("\0")[0].strip(_BLANK)  # OpenSSH's lines end at a NUL
        if not written or written.startswith("#"):
            continue
        try:
            line = _line(written)
            if line.key != key:
                continue
            names = tuple(name for name in line.principals if _in_patterns(name, line.principals))
            reason = _kept_out(line.options, at) if names else "its line lets nobody sign"
        except BadInput as error:
            unread = unread or f"; {signers.name}:{number} can't be understood: {error.message}"
            continue
        if not reason:
            return Answer(names)
        kept_out = f"{signers.name}:{number}: {reason}"
    missing = f"{signers.name} does not list the key {fingerprint(key)}"
    return Answer(why_not=(kept_out or missing) + unread.rstrip("."))


def _line(written: str) -> _Line:
    found = _PRINCIPALS.match(written)
    assert found is not None  # it may be empty
    principals = tuple(name for name in (found[1] + (found[2] or "")).split(",") if name)
    rest = written[found.end() :].lstrip(_BLANK)
    options: dict[str, str] = {}
    if not _KEY_TYPE.match(rest):
        listed = _OPTIONS.match(rest)
        options = _options(listed[0] if listed else "")
        rest = rest[listed.end() :].lstrip(_BLANK) if listed else ""
    if not _KEY_TYPE.match(rest) or not principals:
        raise BadInput("a line is PRINCIPALS [OPTIONS] KEYTYPE BASE64.")
    kind, _, written = rest.partition(" " if " " in rest.partition("\t")[0] else "\t")
    blob = re.split("[ \t]", written.lstrip(" \t"), maxsplit=1)[0]
    if "\r" in kind:
        raise BadInput("a CR stands in the key's type.")
    # OpenSSH takes what follows a CR for more of the key, and passes over the CR itself.
    return _Line(principals, key_of_line(f"{kind} {blob.replace(chr(13), '')}"), options)


def _options(text: str) -> dict[str, str]:
    options: dict[str, str] = {}
    at = int(len(text) > 1 and text.startswith(","))  # OpenSSH passes over one
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
        if found[3] and at == len(text):
            raise BadInput("its options end in a comma")
    after, before = (
        _moment(options[name]) if name in options else None
        for name in ("valid-after", "valid-before")
    )
    if after is not None and before is not None and after >= before:
        raise BadInput("valid-after is not earlier than valid-before.")
    return options


def _kept_out(options: dict[str, str], at: datetime) -> str:
    """Why the options of its line keep a key out; "" where they don't."""
    at = at.replace(microsecond=0)  # OpenSSH counts in whole seconds
    if "cert-authority" in options:
        return "the key is a certificate authority's (cert-authority), which signs no log itself"
    namespaces = options.get("namespaces")
    if namespaces is not None and not _in_patterns(NAMESPACE, namespaces.split(",")):
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
        day, clock, seconds = found[1], found[2] or "0000", int(found[3] or "0")
        if seconds > 61 or not 1 <= int(day[6:]) <= 31:
            raise ValueError
        # As in C, days past a month's end and leap seconds run over into what follows.
        first = datetime.strptime(f"{day[:6]}01{clock}", "%Y%m%d%H%M")  # noqa: DTZ007
        plain = first + timedelta(days=int(day[6:]) - 1, seconds=seconds)
        moment = plain.replace(tzinfo=UTC) if found[4] else plain.astimezone()
        if moment.timestamp() <= 0:  # OpenSSH knows no time before 1970
            raise ValueError
    except (ValueError, OverflowError):
        raise BadInput(
            f"{text[:40]!a} is no time such as YYYYMMDD, YYYYMMDDHHMM or YYYYMMDDZ"
        ) from None
    return moment


def _in_patterns(text: str, patterns: Iterable[str]) -> bool:
    """Whether a text is in a list of patterns (`*`, `?`, `!` before one that keeps out)."""
    matched = False
    for pattern in patterns:
        if len(pattern) > _LONGEST_PATTERN:
            return False
        negated = pattern.startswith("!")
        signs = {"*": ".*", "?": "."}
        expression = "".join(signs.get(sign, re.escape(sign)) for sign in pattern[negated:])
        if re.fullmatch(expression, text, re.DOTALL):
            if negated:
                return False
            matched = True
    return matched
