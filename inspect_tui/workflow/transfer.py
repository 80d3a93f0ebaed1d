"""Sessions carried from one laptop to another: packed, received, two copies combined.

Everything that comes in is checked before the first byte is written here, and nothing that is
here is written over.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui import __version__
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.evaluation.log_check import rejudged
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import entry_words
from inspect_tui.core.session.merge import plan_merge, taken
from inspect_tui.core.text.sanitize import required_text
from inspect_tui.errors import BadInput, InspectError, NotSaved, Refused
from inspect_tui.files import definition_files, photos
from inspect_tui.files.bundle import bundle as bundles
from inspect_tui.files.disk import bytes_of, flush_folder, is_file, open_flags, write_all
from inspect_tui.files.log import compare, replace
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.compare import Compared, Copy
from inspect_tui.files.log.reader import contents_of
from inspect_tui.files.store import Store, list_sessions

if TYPE_CHECKING:
    from inspect_tui.files.signing import signatures

MAX_SHOWN = 30
"""Entries of a side that are shown where two copies part."""


@dataclass(frozen=True, slots=True)
class Here:
    """The log of a session in this store."""

    path: Path
    data: bytes
    """Without a torn end."""
    entries: tuple[Entry, ...]


# --- packing --------------------------------------------------------------------------------


def pack(places: Store, what: str, out: Path) -> tuple[str, ...]:
    """Put a session, or all sessions of a machine, into one file; what has to be said about it.

    Raises:
        BadInput: there is no such session or machine.
        Refused: a log doesn't verify, or the file exists.
        NotSaved: the disk did not take it.
    """
    said: list[str] = []
    logs = [_log_to_carry(path, said) for path in _meant(places, what)]
    texts = {f"sessions/{one.session}.toml": one.data for one in logs}
    texts.update(_definitions_of(places, logs))
    pictures, tells_place = [], 0
    for photo in bundles.photos_of(logs):
        fault = photos.fault(places.photos, photo)
        if fault:
            said.append(f"The photo {photo} {fault}, so it is not packed.")
            continue
        pictures.append((f"photos/{photo}", places.photos / photo))
        tells_place += photos.look_at(places.photos / photo).tells_place
    count = bundles.write(out, f"inspect-tui {__version__}", texts, pictures)
    if tells_place:
        holds = "photo holds its place" if tells_place == 1 else "photos hold their places"
        said.append(
            f"{tells_place} {holds} on the map, and goes as it is: the log has its hash. Mind who "
            "gets the file."
        )
    sessions = f"{len(logs)} session{'s' * (len(logs) > 1)}"
    shown = f"{len(pictures)} photo{'s' * (len(pictures) != 1)}"
    said.append(f"Written to {out}: {sessions}, {shown}, {count} files.")
    return tuple(said)


def _meant(places: Store, what: str) -> list[Path]:
    """The logs of a session id, else of every session of a machine."""
    with contextlib.suppress(BadInput):
        path = places.log(what)
        if is_file(path):
            return [path]
    found = []
    for path in list_sessions(places):
        with contextlib.suppress(InspectError):
            sheet = str(log.read(path).entries[0].get("machine", ""))
            if definitions.trusted_machine(sheet).id == what:
                found.append(path)
    if not found:
        raise BadInput(
            f"There is no session and no machine with sessions called {what[:80]!a}.",
            "'inspect-tui sessions' lists them.",
        )
    return found


def _log_to_carry(path: Path, said: list[str]) -> Copy:
    data = bytes_of(path, "log")
    contents = contents_of(data, path.name)
    if contents.torn:
        said.append(f"{path.name}: {contents.torn_in_words} They are not packed.")
        data = data[: len(data) - len(contents.torn)]
    return compare.copy_of(data, path.name)


def _definitions_of(places: Store, logs: Iterable[Copy]) -> dict[str, bytes]:
    """The checklists and sheets of these sessions: the files of today, else as logged."""
    found: dict[str, bytes] = {}
    for one in logs:
        opened = one.entries[0]
        for kind, name in bundles.definitions_used(one):
            data = str(opened.get(kind, "")).encode()
            try:
                now = definition_files.find(kind, name, places)  # type: ignore[arg-type]
                today = definition_files.read_text(now).encode()
            except InspectError:
                today = b""  # not here any more: the log has it
            # What says that it is something else could be received by nobody.
            fit = [each for each in (today, data) if bundles.id_in(each) == name]
            if fit and bundles.belongs(f"{kind}s/{name}.toml"):
                found[f"{kind}s/{name}.toml"] = fit[0]
    return found


# --- receiving ----------------------------------------------------------------------------------


def receive(places: Store, path: Path) -> tuple[str, ...]:
    """Bring what was packed, or a log that came alone, in; what was done, a sentence each.

    Raises:
        BadInput: there is no such file.
        Refused: it doesn't hold, or was continued in both places (each side's entries named).
        NotSaved: the disk did not take it.
            With either, the sentence names the sessions that were received before; those are whole.
    """
    coming, said = incoming(path)
    said = [*(one.said for one in coming.logs if one.said), *said]
    acts = [_act_for(places, one, str(path)) for one in coming.logs]
    places.make()
    made: list[Path] = []
    done: list[str] = []
    try:
        said += _bring_photos(places, coming, made)
        said += _bring_definitions(places, coming, made)
        for act in acts:
            done.append(act())
    except BaseException as error:
        if not done:  # else a log that was taken names them
            for file in made:
                file.unlink(missing_ok=True)
        if done and isinstance(error, InspectError):
            before = f"Before that: {' '.join(done)} For the rest receive {path.name} again."
            raise type(error)(error.message, f"{error.hint} {before}".strip()) from error
        raise
    return (*said, *done)


def incoming(path: Path) -> tuple[bundles.Bundle, list[str]]:
    """What a file brings, checked whole, and what could not be checked on this computer.

    Raises:
        BadInput: there is no such file.
        Refused: it is neither packed sessions nor a log, or doesn't hold.
    """
    if bundles.is_bundle(path):
        coming = bundles.read(path)
    else:
        copy = compare.copy_of(bytes_of(path, "file", bundles.LARGEST["sessions"] + 1), path.name)
        if wrong := compare.problems(copy.entries):
            raise Refused(f"{path.name}: {wrong[0]}", "Nothing was received.")
        coming = bundles.Bundle(path, (copy,))
    said = []
    for one in coming.logs:
        for each in _signatures_of(one):
            words = f"{one.session}: {each.problem}"
            if each.state == "false":
                raise Refused(f"{path.name}, {words}", "Nothing was received.")
            if each.state == "unchecked":  # no reason to leave a log where it is
                said.append(words)
    return coming, said


def _signatures_of(copy: Copy) -> tuple[signatures.Checked, ...]:
    """What came of each signature in a log, in the copies that it carries too."""
    whole = (copy.entries, *(entries for _, entries in compare.copies(copy.entries)))
    if not any(entry.kind == "signature" for entries in whole for entry in entries):
        return ()
    from inspect_tui.files.signing import signatures

    return tuple(one for entries in whole for one in signatures.check(entries))


def _here(places: Store, one: Copy) -> Here | None:
    """The log here of the same session, also where its file was renamed."""
    try:
        path = places.log(one.session)
    except BadInput as error:
        raise Refused(error.message, error.hint) from None
    if not is_file(path):
        renamed = next((each for each in list_sessions(places) if _begins_alike(each, one)), None)
        if renamed is None:
            return None
        path = renamed
    data = bytes_of(path, "log")
    contents = contents_of(data, path.name)
    if contents.problems:
        raise Refused(
            f"The log {path.name} that is here doesn't verify: {contents.problems[0]}",
            "Nothing was received.",
        )
    return Here(path, data[: len(data) - len(contents.torn)], contents.entries)


def _begins_alike(path: Path, one: Copy) -> bool:
    rest = compare.rest_after(one.data, one.entries[0])
    first = one.data[: len(one.data) - len(rest)]
    return bytes_of(path, "log", len(first)) == first


def _act_for(places: Store, one: Copy, name: str) -> Callable[[], str]:
    """What taking this log comes to, decided before anything is written."""
    here = _here(places, one)
    if here is None:
        return lambda: _bring(places.log(one.session), one)
    session = here.path.stem
    compared = compare.compare(here.entries, one.entries)
    match compared.relation:
        case "same":
            return lambda: f"{session} is here already, entry for entry."
        case "longer here" | "carried here":
            more = len(compared.here)
            return lambda: f"{session} is here already, with {_count(more)} more."
        case "longer there":
            return lambda: _extend(here.path, one)
        case "carried there" if not _signed(one.entries):
            return lambda: _give_way(here, one)
        case "carried there":
            raise Refused(
                f"{session} was signed off there before it was combined with what is here, so "
                "what is here would count for nothing in it; nothing was received.",
                f"To go on from both: inspect-tui combine {session} {name} --by NAME",
            )
    raise Refused(
        "\n".join(
            (
                *parting(session, compared, name),
                f"To make one log of both: inspect-tui combine {session} {name} --by NAME",
            )
        )
    )


def _signed(entries: Sequence[Entry]) -> Entry | None:
    return next((entry for entry in entries if entry.kind == "signed"), None)


def _count(entries: int) -> str:
    return "1 entry" if entries == 1 else f"{entries} entries"


def _bring(path: Path, one: Copy) -> str:
    replace.import_log(path, one.data)
    return f"{one.session} was received: {_count(len(one.entries))}."


def _extend(path: Path, one: Copy) -> str:
    with log.Writer.open(path) as writer:
        count = writer.extend(one.data)
        mended = f" {writer.mended}" if writer.mended else ""
    return f"{path.stem} goes on with {_count(count)} more.{mended}"


def _give_way(here: Here, one: Copy) -> str:
    aside = replace.replace_with_superset(here.path, here.data, one.data)
    return (
        f"{here.path.stem} was combined elsewhere with all that is here, and goes on as the "
        f"combined log; what stood here is kept in {aside.name}."
    )


def parting(session: str, compared: Compared, name: str) -> list[str]:
    """Where two copies part and what each has since, a line each."""
    common = compared.common
    return [
        f"{session} went on in both places after entry {common.n} "
        f"({wording.when(common.at)}: {entry_words(common)}), so nothing was received.",
        "Here since:",
        *_side(compared.here),
        f"In {name} since:",
        *_side(compared.there),
    ]


def _side(entries: Sequence[Entry]) -> list[str]:
    lines = [
        f"  {entry.n}. {wording.when(taken(entry))} {entry.by}: {entry_words(entry)}"
        for entry in entries[:MAX_SHOWN]
    ]
    more = len(entries) - MAX_SHOWN
    return [*lines, f"  and {more} more"] if more > 0 else lines


def _bring_photos(places: Store, coming: bundles.Bundle, made: list[Path]) -> list[str]:
    for picture in coming.pictures():
        path = places.photos / picture.file_name
        new = not path.exists()
        photos.keep(places.photos, picture)
        if new:
            made.append(path)
    missing = sum(
        bool(photos.fault(places.photos, photo)) for photo in bundles.photos_of(coming.logs)
    )
    if not missing:
        return []
    are = "photo is" if missing == 1 else "photos are"
    return [f"{missing} {are} named in the log and neither in {coming.path.name} nor here."]


def _bring_definitions(places: Store, coming: bundles.Bundle, made: list[Path]) -> list[str]:
    said = []
    for kind, name, data in coming.definitions:
        words = "checklist" if kind == "checklist" else "machine sheet"
        try:
            known = definition_files.find(kind, name, places)  # type: ignore[arg-type]
        except BadInput:
            folder = places.checklists if kind == "checklist" else places.machines
            _new_text(folder / f"{name}.toml", data, made)
            said.append(f"The {words} {name} was received.")
            continue
        if definition_files.read_text(known).encode() != data.removeprefix(b"\xef\xbb\xbf"):
            said.append(
                f"There is another {words} {name} here, which stays; the sessions hold their own."
            )
    return said


def _new_text(path: Path, data: bytes, made: list[Path]) -> None:
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        descriptor = os.open(path, open_flags() | os.O_CREAT | os.O_EXCL, 0o600)
        made.append(path)
        try:
            write_all(descriptor, data)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        flush_folder(path.parent)
    except FileExistsError:
        raise Refused(f"There is a file {path} already; it is never written over.") from None
    except OSError as error:
        raise NotSaved(f"{path} was not saved: {error.strerror}.") from error


# --- combining -----------------------------------------------------------------------------------


def combine(
    places: Store, session: str, path: Path, by: str, now: Callable[[], datetime]
) -> tuple[str, ...]:
    """Make one log of two copies that went on apart; what was done, a sentence each.

    Raises:
        BadInput: no such session or file, or nobody named.
        Refused: the other copy doesn't hold, isn't of this session, or there is no fork.
        NotSaved: the disk did not take it; the log is then as it was.
    """
    by = required_text("who combines them", by)
    coming, unchecked = incoming(path)
    with log.Writer.open(places.log(session)) as writer:
        here = writer.contents.entries
        other = next((one for one in coming.logs if one.session == here[0].get("session")), None)
        if other is None:
            raise Refused(f"{path.name} holds no copy of the session {session}.")
        compared = compare.compare(here, other.entries)
        if compared.relation in ("same", "longer here", "carried here"):
            return (f"Nothing to combine: {session} here has all that is in {path.name}.",)
        if compared.relation != "fork" and not (
            compared.relation == "carried there" and _signed(compared.there)
        ):
            raise Refused(
                f"{path.name} only goes on from what is here, so there is nothing to combine.",
                f"Receive it: inspect-tui receive {path}",
            )
        said = [*(text for text in (writer.mended, other.said) if text), *unchecked]
        said += _bring_photos(places, coming, [])
        said += _combine(writer, compared, other, by, now())
    return tuple(said)


def _combine(
    writer: log.Writer, compared: Compared, other: Copy, by: str, at: datetime
) -> list[str]:
    common = compared.common
    combined = Entry(
        -1, "combined", at, by,
        {
            "common": common.n, "common_seal": common.seal, "entries": len(compared.there),
            "last_seal": compared.there[-1].seal,
            "log": compare.rest_after(other.data, common).decode(),
        },
    )  # fmt: skip
    plan = plan_merge(writer.contents.entries, common.n, compared.there)
    again = rejudged(
        (*writer.contents.entries, combined),
        [Entry(-1, one.kind, at, one.by, one.keys) for one in plan.entries],
    )
    writer.append([combined, *again])
    said = [
        f"Combined after entry {common.n}: {_count(len(compared.here))} here, "
        f"{len(compared.there)} there; written again: {len(again)}."
    ]
    if _signed(writer.contents.entries):
        said.append(
            "This log was signed off, so what was signed stays as it is: the other side's entries "
            "are kept and shown in its history, and count for nothing."
        )
    elif signed := _signed(compared.there):
        said.append(
            f"The other side was signed off by {signed.by}. That holds for what stood there, and "
            "is kept; the combined log is open and wants its own sign-off."
        )
    return [*said, *plan.said]


def missing_photos(entries: Sequence[Entry], folder: Path) -> list[str]:
    """Photos that entries name and that are missing or changed, one sentence each."""
    found = []
    for photo, n in bundles.photos_named(entries).items():
        if fault := photos.fault(folder, photo):
            found.append(f"Entry {n}: the photo {photo} {fault}.")
    return found
