"""What an export says of its log: which session it is of, and the seal that the log ended with."""

from __future__ import annotations

import csv
import io
import json
import re
from contextlib import suppress
from dataclasses import dataclass

from inspect_tui.errors import BadInput

_WORDS = r"The log (?:verifies|does NOT verify): \d+ entries, last seal begins ([0-9a-f ]+)\."
_MARKDOWN_SESSION = re.compile(r"^\| Session \| (.+) \|$", re.MULTILINE)
_MARKDOWN_SEAL = re.compile(rf"^## Log\n\n{_WORDS}$", re.MULTILINE)
_HTML_SESSION = re.compile(r"<dt>Session</dt><dd>([^<]+)</dd>")
_HTML_SEAL = re.compile(rf"^<h2>Log</h2>\n<p[^>]*>{_WORDS}</p>$", re.MULTILINE)
_OUR_PDF = re.compile(rb"/Producer \(inspect-tui")
_WITH_LOG = ", with its log"
_PDF = re.compile(
    rb"/Keywords \(session ([^\s()\\]+), last seal ([0-9a-f]{64})(?:"
    + _WITH_LOG.encode()
    + rb")?\)"
)


@dataclass(frozen=True, slots=True)
class Printed:
    """What an export names."""

    form: str
    """md, html, csv, json or pdf."""
    session: str
    seal: str
    """In hex: all 64 characters, or the beginning where only that is printed."""


def form_of(data: bytes) -> str:
    """Which format an export has, by how it begins; "" where it is none."""
    start = data[:200].lstrip()
    if start.startswith(b"%PDF-"):
        return "pdf"
    if start.startswith(b"{"):
        return "json"
    if start[:9].lower() == b"<!doctype":
        return "html"
    if start.startswith(b"row,section,"):
        return "csv"
    return "md" if start.startswith(b"# ") else ""


def keeps_photo_metadata(data: bytes) -> bool:
    """Whether an HTML export was asked to keep what the camera wrote into its photos."""
    return b'<p class="photo-metadata">' in data


def has_log(data: bytes) -> bool:
    """Whether an export has the log at its end, entry by entry."""
    form = form_of(data)
    if form == "pdf":
        found = _PDF.search(data)
        return found is not None and found[0].endswith(_WITH_LOG.encode() + b")")
    text = data.decode("utf-8", "replace")
    if form == "json":
        try:
            return "history" in json.loads(text)["report"]
        except (ValueError, KeyError, TypeError, RecursionError):
            return False
    if form == "csv":
        rows = csv.reader(io.StringIO(text, newline=""))
        with suppress(csv.Error):
            return any(row[:1] == ["event"] for row in rows)
        return False
    # No text from elsewhere is a line of these: it is escaped.
    heading = {"md": "## Who did what, when", "html": "<h2>Who did what, when</h2>"}.get(form)
    return heading in text.split("\n")


def pdf_words(session: str, seal: str, with_log: bool = False) -> str:
    """What a PDF carries among its keywords, since its text can't be read without drawing it."""
    return f"session {session}, last seal {seal}{_WITH_LOG if with_log else ''}"


def printed(data: bytes) -> Printed:
    """Find the session and the seal in an export.

    Raises:
        BadInput: it names none; it is no export, or was changed there.
    """
    form = form_of(data)
    found = None
    if form == "pdf":
        match = _PDF.search(data)
        found = None if match is None else (match[1].decode("ascii", "replace"), match[2].decode())
    elif form:
        text = data.decode("utf-8", "replace")
        found = {"md": _markdown, "html": _html, "csv": _csv, "json": _json}[form](text)
    seal = "" if found is None else "".join(found[1].split())
    if found is None or not re.fullmatch(r"[0-9a-f]{16,64}", seal):
        raise BadInput("It names no session and seal, so it is no export, or was changed there.")
    return Printed(form, found[0], seal)


def is_export(data: bytes) -> bool:
    """Whether a file is one that this program made, so that an export may take its place."""
    if form_of(data) == "pdf":
        return _OUR_PDF.search(data) is not None
    try:
        printed(data)
    except BadInput:
        return False
    return True


def _markdown(text: str) -> tuple[str, str] | None:
    session, seals = _MARKDOWN_SESSION.search(text), _MARKDOWN_SEAL.search(text)
    if session is None or seals is None:
        return None
    return re.sub(r"\\(.)", r"\1", session[1]), seals[1]


def _html(text: str) -> tuple[str, str] | None:
    session, seals = _HTML_SESSION.search(text), _HTML_SEAL.search(text)
    return None if session is None or seals is None else (session[1], seals[1])


def _csv(text: str) -> tuple[str, str] | None:
    session = seal = ""
    try:
        for row in csv.DictReader(io.StringIO(text, newline="")):
            if row.get("row") == "title" and row.get("label") == "Session":
                session = session or row.get("text") or ""
            if row.get("row") == "log":
                seal = row.get("text") or ""
    except csv.Error:
        return None
    return session, seal


def _json(text: str) -> tuple[str, str] | None:
    try:
        data = json.loads(text)
        session, seal = data["session"], data["report"]["log"]["last_seal"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    return (session, seal) if isinstance(session, str) and isinstance(seal, str) else None
