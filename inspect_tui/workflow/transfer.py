"""Sessions that come from another laptop: received, or two copies combined.

Everything that comes in is checked before the first byte is written here, and nothing that is
here is written over.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.core.evaluation.log_check import rejudged
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import entry_words
from inspect_tui.core.session.merge import plan_merge, taken
from inspect_tui.core.text.sanitize import required_text
from inspect_tui.errors import AlreadyThere, BadInput, InspectError, NotSaved, Refused
from inspect_tui.files import definition_files, photos
from inspect_tui.files.bundle import bundle as bundles
from inspect_tui.files.disk import bytes_of, is_file, make_folder, reason_in_words
from inspect_tui.files.log import compare, replace
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.compare import Compared, Copy
from inspect_tui.files.log.reader import contents_of, first_seal
from inspect_tui.files.new_file import sweep, write_new
from inspect_tui.files.store import Store, free_session_id, list_sessions

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
    said = [*(one.said for one in coming.logs if one.said), *said, *bundles.differences(coming)]
    by_seal = cache(lambda: _by_first_seal(places))
    for one in coming.logs:  # whatever is refused is refused before anything is written
        _act_for(places, one, str(path), by_seal)
    places.make()
    for folder in (places.sessions, places.checklists, places.machines, places.photos):
        sweep(folder)  # what a receiving that was killed left on its way
    made: list[Path] = []
    done: list[str] = []
    try:
        said += _bring_photos(places, coming, made)
        said += _bring_definitions(places, coming, made)
        for one in coming.logs:
            done.append(_act_for(places, one, str(path), by_seal)())
    except BaseException as error:
        if not done:  # else a log that was taken names them
            for file in _nobodys(places, made):
                with suppress(OSError):
                    file.unlink(missing_ok=True)
        if done and isinstance(error, InspectError):
            before = f"Before that: {' '.join(done)} For the rest receive {path.name} again."
            raise type(error)(error.message, f"{error.hint} {before}".strip()) from error
        raise
    return (*said, *done)


def _nobodys(places: Store, made: Sequence[Path]) -> list[Path]:
    """Those files that no log here names: another program may have recorded a picture meanwhile,
    and found it there."""
    with suppress(OSError, InspectError):
        logs = [path.read_bytes() for path in list_sessions(places)]
        return [file for file in made if not any(file.name.encode() in each for each in logs)]
    return []  # better left lying than lost


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


def _by_first_seal(places: Store) -> dict[str, Path]:
    return {seal: path for path in list_sessions(places) if (seal := first_seal(path))}


def _here(places: Store, one: Copy, by_seal: Callable[[], dict[str, Path]]) -> Here | None:
    """The log here of the same session, whatever its file is called."""
    try:
        path = places.log(one.session)
    except BadInput as error:
        raise Refused(error.message, error.hint) from None
    seal = one.entries[0].seal
    if not is_file(path) or first_seal(path) != seal:
        found = by_seal().get(seal)
        if found is None or not is_file(found):
            return None
        path = found
    data = bytes_of(path, "log")
    contents = contents_of(data, path.name)
    if contents.problems:
        raise Refused(
            f"The log {path.name} that is here doesn't verify: {contents.problems[0]}",
            "Nothing was received.",
        )
    return Here(path, data[: len(data) - len(contents.torn)], contents.entries)


def _act_for(
    places: Store, one: Copy, name: str, by_seal: Callable[[], dict[str, Path]]
) -> Callable[[], str]:
    """What receiving this log comes to, decided before anything is written."""
    here = _here(places, one, by_seal)
    if here is None:
        return lambda: _bring(places, one, by_seal())
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


def _bring(places: Store, one: Copy, by_seal: dict[str, Path]) -> str:
    """Bring a session in: under its own id, or where another one has that, beside it."""
    passed: set[str] = set()
    while True:
        name = free_session_id(places, one.session, passed)
        try:
            replace.import_log(places.log(name), one.data)
        except AlreadyThere:
            passed.add(name)
            continue
        by_seal[one.entries[0].seal] = places.log(name)
        said = f"{name} was received: {_count(len(one.entries))}."
        if name == one.session:
            return said
        return (
            f"{said} Another computer began it under the id {one.session}, which another "
            f"session has here; it lies beside that as {name}."
        )


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
        new = not os.path.lexists(path)
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
        make_folder(path.parent)
        write_new(path, data, replace=False)
        made.append(path)
    except FileExistsError:
        raise Refused(f"There is a file {path} already; it is never written over.") from None
    except OSError as error:
        raise NotSaved(f"{path} was not saved: {reason_in_words(error)}.") from error


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
