"""Whether a file still is what was written: a session's log, an export of one, or a packed file.

One door for every kind of file; a kind is known by how the file begins.
"""

from __future__ import annotations

import glob
import string
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain
from pathlib import Path

from inspect_tui.core.evaluation import log_check
from inspect_tui.core.model.log_entry import AFTER_SIGNED, EARLIER_KINDS, KINDS, Entry, is_time
from inspect_tui.core.presentation import wording
from inspect_tui.core.session.replay import replay
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput, InspectError, Refused
from inspect_tui.files.bundle import bundle
from inspect_tui.files.disk import bytes_of, is_file
from inspect_tui.files.log import compare
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.names import check_name
from inspect_tui.files.log.reader import Contents, contents_of, first_entry
from inspect_tui.files.signing import openssh, signatures
from inspect_tui.files.store import Store, list_sessions, typed_path
from inspect_tui.report import read_export
from inspect_tui.workflow.inspection import Inspection
from inspect_tui.workflow.session_log import SessionLog
from inspect_tui.workflow.transfer import missing_photos

SHORTEST_SEAL = 16
"""Characters: what `sign` and the exports show to be written on paper."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be held against the file, beside its own seals."""

    places: Store
    now: Callable[[], datetime]
    signers: openssh.Signers | None = None
    seal: str = ""
    """The noted seal, in hex; "" when none was given."""


@dataclass(frozen=True, slots=True)
class Verified:
    """What came of it."""

    file: str
    kind: str
    """`log`, `packed`, or the export's format."""
    entries: int = 0
    seal: str = ""
    """The log's last."""
    signed_seal: str = ""
    """The sign-off's; "" where there is none."""
    problems: tuple[str, ...] = ()
    """One sentence each, the first that doesn't hold first; empty when all holds."""
    said: tuple[str, ...] = ()
    """What holds beside the log's own seals, one sentence each."""
    signatures: tuple[signatures.Checked, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether everything that was asked holds."""
        return not self.problems


Check = Callable[[Path, bytes, Asked], Verified]


def verify(path: Path, asked: Asked) -> Verified:
    """Check a file of any kind; writes nothing.

    Raises:
        BadInput: there is no such file.
        Refused: it holds no session.
    """
    if bundle.is_bundle(path):
        return _packed(path, asked)
    data = bytes_of(path, "file")
    return _check_for(data)(path, data, asked)


def _check_for(data: bytes) -> Check:
    return _export if read_export.form_of(data) else _log


def asked(
    places: Store, now: Callable[[], datetime], seal: str | None, signers_file: str | None
) -> Asked:
    """What the command line asks.

    Raises:
        BadInput: the seal is none, or there is no such allowed-signers file.
    """
    allowed = None if signers_file is None else signatures.read_signers(typed_path(signers_file))
    return Asked(places, now, allowed, "" if seal is None else noted_seal(seal))


def noted_seal(text: str) -> str:
    """A seal as a person wrote it down, as hex digits alone.

    Raises:
        BadInput: other signs are in it, or too few or too many.
    """
    noted = "".join(text.split()).replace("-", "").lower()
    if set(noted) - set(string.hexdigits) or not SHORTEST_SEAL <= len(noted) <= 64:
        raise BadInput(
            f"'{sanitize(text)[:80]}' is no seal.",
            f"A seal is 64 of the signs 0-9 and a-f; the first {SHORTEST_SEAL} are enough.",
        )
    return noted


def _log(path: Path, data: bytes, asked: Asked) -> Verified:
    contents = _contents(data, path.name)
    found = _of_log(path, contents, asked)
    wrong, said = _photos(path, contents.entries, asked.places)
    said = _renamed(path, contents.entries) + said
    return replace(found, problems=found.problems + wrong, said=found.said + said)


def _renamed(path: Path, entries: tuple[Entry, ...]) -> tuple[str, ...]:
    session = sanitize(str(entries[0].get("session", "")))
    if not session or session == path.stem:
        return ()
    if exchanged := check_name(path, entries).exchanged:
        return (exchanged,)
    return (
        f"The file is called {path.name}, the log itself is of the session {session}: it was "
        "renamed, which changes nothing in it.",
    )


def _photos(
    path: Path, entries: tuple[Entry, ...], places: Store
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is wrong with the photos that a log names, and what to say of them."""
    named = bundle.photos_named(entries)
    if not named:
        return (), ()
    in_store = path.resolve().parent == places.sessions.resolve()
    folder = places.photos if in_store else path.resolve().parent.parent / "photos"
    are = pluralize(len(named), "photo")
    one = len(named) == 1
    lie, were = ("doesn't lie", "was") if one else ("don't lie", "were")
    if not in_store and not folder.is_dir():
        return (), (f"It names {are}, which {lie} beside it and {were} not checked.",)
    wrong = tuple(missing_photos(entries, folder))
    return wrong, () if wrong else (f"Its {are} {'is' if one else 'are'} there, unchanged.",)


def _packed(path: Path, asked: Asked) -> Verified:
    """A packed file, checked as for being received, and each log in it as on its own."""
    try:
        coming = bundle.read(path)
    except Refused as error:
        return Verified(str(path), "packed", problems=(error.message,))
    problems: list[str] = []
    said: list[str] = []
    checked: list[signatures.Checked] = []
    several = len(coming.logs) > 1
    # Of several logs the noted seal is one's; the others are not held against it.
    noted = [one for one in coming.logs if not several or _holds(one.entries, asked.seal)]
    for one in coming.logs:
        found = _of_log(path, one.contents, asked if one in noted else replace(asked, seal=""))
        problems += [f"{one.session}: {text}" for text in found.problems]
        count = pluralize(found.entries, "entry", "entries")
        said.append(f"{one.session}: whole, {count}, last seal {found.seal}")
        said += [f"{one.session}: {text}" for text in found.said]
        checked += found.signatures
    said += bundle.differences(coming)
    if asked.seal and not noted:
        problems.append("The noted seal is in none of its logs.")
    last = coming.logs[0].entries[-1].seal if not several else ""
    return Verified(
        str(path), "packed", sum(len(one.entries) for one in coming.logs), last, "",
        tuple(problems), tuple(said), tuple(checked),
    )  # fmt: skip


def _contents(data: bytes, name: str) -> Contents:
    try:
        return contents_of(data, name)
    except BadInput as error:
        raise Refused(error.message, error.hint) from None


def _of_log(path: Path, contents: Contents, asked: Asked) -> Verified:
    entries = contents.entries
    problems = [*contents.problems, *([contents.torn_in_words] if contents.torn else [])]
    problems += compare.problems(entries)
    wrong, said = _clocks(entries)
    problems += wrong
    wrong, more = _worked_out_again(entries)
    problems += wrong
    said += more
    signed = next((entry for entry in entries if entry.kind == "signed"), None)
    if signed is not None:
        short = wording.short_seal(signed.seal)
        said.append(f"Entry {signed.n}: signed off by {signed.by}, seal {short}.")
    checked = signatures.check(entries, asked.signers)
    problems += [one.problem for one in checked if one.problem]
    said += [one.words for one in checked if not one.problem]
    for combined, whole in compare.copies(entries):
        wrong, more = _worked_out_again(whole)
        problems += [f"In the copy that entry {combined.n} carries: {text}" for text in wrong]
        said += [f"In the copy that entry {combined.n} carries: {text}" for text in more]
        theirs = signatures.check(whole, asked.signers)
        where = f"In the copy that entry {combined.n} carries: "
        problems += [where + one.problem for one in theirs if one.problem]
        said += [where + one.words for one in theirs if not one.problem]
        checked += theirs
    if asked.signers is not None and not checked:
        problems.append("The log carries no signature that could be checked.")
    if asked.seal:
        holds, words = compared(entries, signed, asked.seal)
        for combined, whole in () if holds else compare.copies(entries):
            theirs_signed = next((entry for entry in whole if entry.kind == "signed"), None)
            if theirs_signed is not None and _holds(whole, asked.seal):
                holds, words = compared(whole, theirs_signed, asked.seal)
                words = f"In the copy that entry {combined.n} carries: {words}"
        (said if holds else problems).append(words)
    return Verified(
        str(path), "log", len(entries), entries[-1].seal, "" if signed is None else signed.seal,
        tuple(problems), tuple(said), checked,
    )  # fmt: skip


_WORKED_OUT = ("reading",)
"""What is wrong with one of these is a fault."""


def _worked_out_again(entries: tuple[Entry, ...]) -> tuple[list[str], list[str]]:
    """Each value and verdict by the entries up to it: what is wrong, and what is only to be said.

    A verdict by an older program's decision rule is no fault, nor is a kind of entry that a later
    program may have written.
    """
    wrong: list[str] = []
    said = [
        f"Entry {entry.n} is of the kind '{ellipsize(entry.kind)}', which this program doesn't "
        "know; it is kept as it stands."
        for entry in entries
        if entry.sound and entry.kind not in KINDS and entry.kind not in EARLIER_KINDS
    ]
    try:
        said += _not_understood(entries)
        for each in log_check.differences(entries):
            (said if each.by_earlier_rule else wrong).append(each.text)
    except InspectError as error:
        wrong.append(f"Its readings can't be worked out again: {error.message}")
    return wrong, said


def _not_understood(entries: tuple[Entry, ...]) -> list[str]:
    session = replay(entries)
    return [
        f"Entry {entry.n} ('{entry.kind}') can't be understood as it stands, so it counts for "
        "nothing; it is kept."
        for entry in session.unknown
        if entry.sound and entry.kind in KINDS and entry.kind not in _WORKED_OUT
        if session.signed is None or entry.kind in AFTER_SIGNED
    ]


def _clocks(entries: tuple[Entry, ...]) -> tuple[list[str], list[str]]:
    """Entries that were written by a clock that ran behind the log: what is wrong, what to say."""
    wrong: list[str] = []
    behind: list[Entry] = []
    for entry in entries:
        clock = entry.get("clock")
        if clock is None:
            continue
        if is_time(clock) and clock < entry.at:
            behind.append(entry)
        else:
            wrong.append(
                f"Entry {entry.n} says that its clock ran behind the log, and its 'clock' is no "
                "time before its own."
            )
    if not behind:
        return wrong, []
    first = behind[0]
    more = f", and of {len(behind) - 1} more" if len(behind) > 1 else ""
    return wrong, [
        f"Entry {first.n}{more}: the computer's clock ran backwards; it said "
        f"{first.get('clock').isoformat()}, and the log holds the time of the entry before."
    ]


def _holds(entries: tuple[Entry, ...], noted: str) -> bool:
    return any(entry.seal.startswith(noted) for entry in entries)


def compared(entries: tuple[Entry, ...], signed: Entry | None, noted: str) -> tuple[bool, str]:
    """Whether the noted seal is the sign-off's or a later one; without a sign-off, the last."""
    place = next((at for at, entry in enumerate(entries) if entry.seal.startswith(noted)), None)
    if place is None:
        due = entries[-1] if signed is None else signed
        what = "last entry's" if signed is None else "sign-off's"
        return False, (
            f"The noted seal {wording.short_seal(noted)} is in no entry: the {what} (entry "
            f"{due.n}) is {wording.short_seal(due.seal)}. This is not the log that was noted, or "
            "it was rebuilt."
        )
    after = len(entries) - 1 - place
    more = f"{after} {'entry' if after == 1 else 'entries'} came after it"
    words = f"The noted seal is that of entry {entries[place].n}"
    first = entries.index(signed) if signed is not None else len(entries) - 1
    if place >= first:
        return True, f"{words}{'; ' + more if after else ''}."
    until = "the last" if signed is None else f"the sign-off, entry {signed.n}"
    return False, f"{words}, not of {until}: {more}."


def _export(path: Path, data: bytes, asked: Asked) -> Verified:
    """An export against the log that it names: made of it anew, it must be the same bytes."""
    form = read_export.form_of(data)
    try:
        named = read_export.printed(data)
        source = _log_of(named, path, asked.places)
    except BadInput as error:
        return Verified(str(path), form, problems=(error.message,))
    if source is None:
        return Verified(
            str(path), form, seal=named.seal,
            problems=(
                f"It says that it is of the session {named.session}, last seal "
                f"{wording.short_seal(named.seal)}; the log of that session is neither in this "
                "store nor beside it, so what it says can't be checked.",
            ),
        )  # fmt: skip
    contents = _contents(bytes_of(source, "log"), source.name)
    found = _of_log(source, contents, asked)
    fault, said = _against(data, named, contents, source, asked)
    wrong, _ = _photos(source, contents.entries, asked.places)
    return Verified(
        str(path), form, found.entries, found.seal, found.signed_seal,
        tuple(f"The log {source.name}: {text}" for text in found.problems + wrong)
        + ((fault,) if fault else ()),
        (said, *found.said) if said else found.said, found.signatures,
    )  # fmt: skip


def _log_of(named: read_export.Printed, export: Path, places: Store) -> Path | None:
    """The log of an export: in the store, also beside another session of its id; else beside it.

    Where several could be it, the one that holds the export's seal; where none does, a log of that
    id that was renamed.
    """
    in_store = places.log(named.session)
    beside = export.parent / in_store.name
    numbered = places.sessions.glob(f"{glob.escape(in_store.stem)}-*.toml")
    there = [path for path in (in_store, beside, *sorted(numbered)) if is_file(path)]
    renamed = (path for path in list_sessions(places) if _own_id(path) == named.session)
    holding = (path for path in chain(there, renamed) if _holds_seal(path, named.seal))
    return next(holding, there[0] if there else None)


def _own_id(path: Path) -> str:
    try:
        return str(first_entry(path).get("session", ""))
    except BadInput:
        return ""


def _holds_seal(path: Path, short: str) -> bool:
    try:
        return any(one.seal.startswith(short) for one in log.read(path).entries)
    except BadInput:
        return False


def _against(
    data: bytes, named: read_export.Printed, contents: Contents, source: Path, asked: Asked
) -> tuple[str, str]:
    """What is wrong with the export; and what to say where nothing is."""
    place = next(
        (at for at, one in enumerate(contents.entries) if one.seal.startswith(named.seal)), None
    )
    if place is None:
        return (
            f"Its last seal, {wording.short_seal(named.seal)}, is in no entry of {source.name}: "
            "it is of another log, or one of the two was changed."
        ), ""
    if not contents.whole:
        return "", ""
    then = log.Contents(contents.entries[: place + 1], b"", ())
    inspection = Inspection(asked.places, SessionLog(source, then, None, asked.now))
    made = inspection.export(
        named.form, read_export.keeps_photo_metadata(data), read_export.has_log(data)
    )
    if made != data:
        return (
            f"{_first_difference(data, made, named.form)} is not what this program makes of "
            f"{source.name}: the export was changed, or another version of the program made it."
        ), ""
    after = len(contents.entries) - 1 - place
    since = "" if not after else f", and {after} {'entry' if after == 1 else 'entries'} came after"
    return "", (
        f"Held against the log {source}: it says what that said at entry "
        f"{contents.entries[place].n}{since}."
    )


def _first_difference(data: bytes, made: bytes, form: str) -> str:
    """Where two files part: a line, or a byte of a PDF."""
    same = next(
        (at for at, (a, b) in enumerate(zip(data, made, strict=False)) if a != b),
        min(len(data), len(made)),
    )
    line = data.count(b"\n", 0, same) + 1
    return f"Byte {same + 1}" if form == "pdf" else f"Line {line}"
