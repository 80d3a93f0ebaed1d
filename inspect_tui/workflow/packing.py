"""Sessions packed into one file for another computer, with their definitions and photos."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from inspect_tui import __version__
from inspect_tui.core.definitions import of_log
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput, InspectError
from inspect_tui.files import definition_files, photos
from inspect_tui.files.bundle import bundle as bundles
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.log import compare
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.compare import Copy
from inspect_tui.files.log.names import check_name
from inspect_tui.files.log.reader import contents_of
from inspect_tui.files.store import Store, list_sessions
from inspect_tui.workflow.resolve import machine_or_session

_TAKES = re.compile(r"^[ \t]*use[ \t]*=", re.MULTILINE)
"""A line of a list that takes a step or section from another one."""


def pack(places: Store, what: str, out: Path) -> tuple[str, ...]:
    """Put a session, or all sessions of a machine, into one file; what has to be said about it.

    Raises:
        BadInput: there is no such session or machine.
        Refused: a log doesn't verify, or the file exists.
        NotSaved: the disk did not take it.
    """
    said: list[str] = []
    logs = [_log_to_carry(path, said) for path in _meant(places, what)]
    texts = _named_once(logs)
    lists = _definitions_of(places, logs)
    texts |= {f"{kind}s/{name}.toml": data for kind, name, data in lists}
    said += bundles.differences(bundles.Bundle(out, tuple(logs), lists))
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
            f"{tells_place} {holds} on the map, and goes as it is, since the log is sealed over "
            "it. Mind who gets the file."
        )
    sessions = f"{len(logs)} session{'s' * (len(logs) > 1)}"
    shown = f"{len(pictures)} photo{'s' * (len(pictures) != 1)}"
    said.append(f"Written to {out}: {sessions}, {shown}, {count} files.")
    return tuple(said)


def _named_once(logs: Sequence[Copy]) -> dict[str, bytes]:
    """The logs by their name in the packed file; those of one id get numbers behind it."""
    named: dict[str, bytes] = {}
    for one in logs:
        name, number = one.session, 1
        while f"sessions/{name}.toml" in named:
            number += 1
            name = f"{one.session}-{number}"
        named[f"sessions/{name}.toml"] = one.data
    return named


def _meant(places: Store, what: str) -> list[Path]:
    """The logs of every session of a machine, or of the one session that a word names."""
    logs: list[Path] = []

    def has_sessions(machine: str) -> bool:
        logs.extend(_of_machine(places, machine))
        return bool(logs)

    kind, name = machine_or_session(places, what, also=has_sessions)
    if kind == "session":
        return [places.log(name)]
    if not logs and not has_sessions(name):
        raise BadInput(
            f"The machine {ellipsize(name)} has no session.", "'inspect-tui sessions' lists them."
        )
    return logs


def _of_machine(places: Store, machine: str) -> Iterator[Path]:
    """The logs that were opened with a machine's sheet, whether it has one here or not."""
    for path in list_sessions(places):
        with contextlib.suppress(InspectError):
            sheet = str(log.read(path).entries[0].get("machine", ""))
            if of_log.trusted_machine(sheet).id == machine:
                yield path


def _log_to_carry(path: Path, said: list[str]) -> Copy:
    data = bytes_of(path, "log")
    contents = contents_of(data, path.name)
    if exchanged := check_name(path, contents.entries).exchanged:
        said.append(f"{exchanged} It is packed under its own.")
    if contents.torn:
        said.append(f"{path.name}: {contents.torn_in_words} They are not packed.")
        data = data[: len(data) - len(contents.torn)]
    return compare.copy_of(data, path.name)


def _definitions_of(places: Store, logs: Iterable[Copy]) -> tuple[tuple[str, str, bytes], ...]:
    """The checklists and sheets of these sessions: the files of today, else as logged."""
    found: dict[tuple[str, str], bytes] = {}
    for one in logs:
        opened = one.entries[0]
        for kind, name in bundles.definitions_used(one):
            data = str(opened.get(kind, "")).encode()
            try:
                now = definition_files.find(kind, name, places)  # type: ignore[arg-type]
                today = _alone(kind, definition_files.read_text(now)).encode()
            except InspectError:
                today = b""  # not here any more: the log has it
            # What says that it is something else could be received by nobody.
            fit = [each for each in (today, data) if bundles.id_in(each) == name]
            if fit and bundles.belongs(f"{kind}s/{name}.toml"):
                found[kind, name] = fit[0]
    return tuple((kind, name, data) for (kind, name), data in found.items())


def _alone(kind: str, text: str) -> str:
    """A definition that can be read without others; "" for a list that takes steps from them.

    The session holds such a list as it was composed, and that is what goes.
    """
    return "" if kind == "checklist" and _TAKES.search(text) else text
