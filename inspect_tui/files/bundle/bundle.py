"""Packed sessions: logs, definitions and photos in one zip file with a manifest of their hashes.

What comes in is checked whole before anything of it is used. Names are held against the few that
a packed file can have, so that none leads out of a folder; nothing in it is compressed, so nothing
can grow; and every byte has one value that it can have (`manifest`). The manifest shows damage on
the way; who packed it, it can't show.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import tomllib
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.photo import named
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files import photos
from inspect_tui.files.bundle.manifest import Directory, as_written, listed_count, put
from inspect_tui.files.disk import is_file, is_folder, kind_in_words, reason_in_words
from inspect_tui.files.log.compare import Copy, all_carried, copy_of, problems
from inspect_tui.files.new_file import NewFile, closed, sweep
from inspect_tui.files.photos import Picture

FORMAT = 1
MANIFEST = "manifest.json"
MAX_FILES = 2_000
MAX_BYTES = 2_000_000_000
"""Of all that is in it, unpacked."""
LARGEST = {"sessions": 32_000_000, "checklists": 5_000_000, "machines": 5_000_000,
           "photos": photos.LARGEST, MANIFEST: 1_000_000}  # fmt: skip
"""Bytes of one file, unpacked, by folder."""
MAX_TEXT = 64_000_000
"""Bytes of all logs and definitions together, which are held in memory."""
LONGEST_PROGRAM = 100
"""Characters of the program's name and version in the manifest."""

_NAME = re.compile(
    r"manifest\.json"
    r"|sessions/[A-Za-z0-9][A-Za-z0-9._-]{0,119}\.toml"
    r"|(?:checklists|machines)/[A-Za-z][A-Za-z0-9_-]{0,99}\.toml"
    r"|photos/[0-9a-f]{64}\.(?:jpg|png|webp|heic)"
)
_ENCRYPTED = 0x1


@dataclass(frozen=True, slots=True)
class Bundle:
    """A packed file that was checked whole, or a log that came alone."""

    path: Path
    logs: tuple[Copy, ...]
    definitions: tuple[tuple[str, str, bytes], ...] = ()
    """(`checklist` or `machine`, id, text)."""
    photos: dict[str, int] = field(default_factory=dict)
    """File names, each with its size."""

    def pictures(self) -> Iterator[Picture]:
        """Its photos, one after the other, each looked at again."""
        if not self.photos:
            return
        with _opened(self.path) as (archive, _):
            for photo, size in self.photos.items():
                data = _bytes(archive, f"photos/{photo}", size)
                yield _picture(data, photo, self.path.name)


def is_bundle(path: Path) -> bool:
    """Whether a file begins as a zip does."""
    if not is_file(path):  # a pipe would never answer
        return False
    try:
        with path.open("rb") as file:
            return file.read(4) in (b"PK\x03\x04", b"PK\x05\x06")
    except (OSError, ValueError):
        return False


def write(
    path: Path,
    program: str,
    texts: dict[str, bytes],
    pictures: Iterable[tuple[str, Path]],
) -> int:
    """Write a packed file, whole or not at all; the same content makes the same bytes.

    Args:
        path: The file; an existing one is never written over.
        program: Who wrote it, for the manifest.
        texts: Logs and definitions by name, such as `sessions/ID.toml`.
        pictures: Photos: name in the packed file, and file.

    Returns:
        How many files are in it.

    Raises:
        Refused: there is a file of that name, or so much would be in it that `read` refused it.
        BadInput: its folder is missing.
        NotSaved: the disk did not take it.
    """
    if not is_folder(path.parent):
        raise BadInput(f"'{path}' can't be written: its folder is missing.")
    pictures = sorted(pictures)
    listed: list[dict[str, Any]] = []
    try:
        if too_much := _too_much(texts, [source.stat().st_size for _, source in pictures]):
            raise Refused(f"'{path}' was not written: {too_much}.", "Pack one session at a time.")
        sweep(path.parent, path)
        with closed(NewFile(path)) as made, os.fdopen(os.dup(made.descriptor), "wb") as file:
            directory = Directory()
            for name in sorted(texts):
                _put(file, directory, name, texts[name], listed)
            for name, source in pictures:
                _put(file, directory, name, source.read_bytes(), listed)
            put(file, directory, MANIFEST, _manifest_of(program, listed))
            file.write(directory.end())
            file.flush()
            made.put(replace=False)
    except FileExistsError:
        there = kind_in_words(path.lstat().st_mode)
        raise Refused(f"There is {there} {path} already; it is never written over.") from None
    except OSError as error:
        raise NotSaved(f"'{path}' was not written: {reason_in_words(error)}.") from error
    return len(listed)


def _too_much(texts: dict[str, bytes], pictures: Sequence[int]) -> str:
    """What no packed file may hold of these files, by their sizes; empty where all is well."""
    count = len(texts) + len(pictures) + 1
    if count > MAX_FILES:
        return f"it would hold {count} files, and {MAX_FILES} at most are received"
    for name, data in texts.items():
        most = LARGEST[name.partition("/")[0]]
        if len(data) > most:
            return f"{name} has more than {most // 1_000_000} MB"
    words = sum(map(len, texts.values()))
    if words > MAX_TEXT - LARGEST[MANIFEST]:
        return f"its logs have more than {(MAX_TEXT - LARGEST[MANIFEST]) // 10**6} MB"
    if words + sum(pictures) > MAX_BYTES - LARGEST[MANIFEST]:
        return f"it would have more than {MAX_BYTES / 10**9:.1f} GB"
    return ""


def _put(
    out: IO[bytes], directory: Directory, name: str, data: bytes, listed: list[dict[str, Any]]
) -> None:
    put(out, directory, name, data)
    digest = hashlib.sha256(data).hexdigest()
    listed.append({"name": name, "size": len(data), "sha256": digest})


def _manifest_of(program: str, files: list[dict[str, Any]]) -> bytes:
    manifest = {"format": FORMAT, "program": program, "files": files}
    return json.dumps(manifest, indent=2).encode("ascii") + b"\n"


def read(path: Path) -> Bundle:
    """Check a packed file whole: its names, sizes and hashes, every log's seals, every picture.

    Raises:
        Refused: anything is wrong with it, in words; nothing of it may be used then.
    """
    with _opened(path) as (archive, listed):
        sizes = _manifest(archive, listed, path.name)
        logs: list[Copy] = []
        definitions: list[tuple[str, str, bytes]] = []
        pictures: dict[str, int] = {}
        for name, (size, digest) in sizes.items():
            data = _bytes(archive, name, size)
            if hashlib.sha256(data).hexdigest() != digest:
                raise _refused(path.name, f"{name} isn't what the manifest says: it was changed")
            folder, _, file_name = name.partition("/")
            if folder == "sessions":
                logs.append(_log(data, file_name, path.name))
            elif folder == "photos":
                _picture(data, file_name, path.name)
                pictures[file_name] = size
            else:
                kind = folder.removesuffix("s")
                definitions.append((kind, file_name.removesuffix(".toml"), data))
    if not logs:
        raise _refused(path.name, "there is no session in it")
    wanted = photos_of(logs)
    for photo in pictures:
        if photo not in wanted:
            raise _refused(path.name, f"no session in it names photos/{photo}")
    used = {pair for log in logs for pair in definitions_used(log)} if definitions else set()
    for kind, name, data in definitions:
        if (kind, name) not in used:
            raise _refused(path.name, f"no session in it uses {kind}s/{name}.toml")
        if (said := id_in(data)) != name:
            what = "is no TOML text" if said is None else "gives itself another id"
            raise _refused(path.name, f"{kind}s/{name}.toml {what}")
    return Bundle(path, tuple(logs), tuple(definitions), pictures)


def definitions_used(log: Copy) -> tuple[tuple[str, str], ...]:
    """Kind and id of the checklist and the machine sheet of a session, by its own texts."""
    texts = ((kind, str(log.entries[0].get(kind, ""))) for kind in ("checklist", "machine"))
    ids = ((kind, id_in(text.encode())) for kind, text in texts)
    return tuple((kind, name) for kind, name in ids if name)


def differences(coming: Bundle) -> tuple[str, ...]:
    """Definitions in it that are not those which its sessions were opened with, a sentence each."""
    said = []
    for kind, name, data in coming.definitions:
        for log in coming.logs:
            if (kind, name) not in definitions_used(log):
                continue
            own = str(log.entries[0].get(kind, "")).encode("utf-8", "surrogatepass")
            if data.removeprefix(b"\xef\xbb\xbf") != own:
                opened = f"the session {log.session} was opened"
                if kind == "checklist":
                    other = f"The checklist {name} in it is another one than {opened} with"
                else:  # which every figure that is added changes
                    other = f"The machine sheet {name} in it was changed since {opened}"
                said.append(f"{other}; the session holds its own and is judged by it.")
    return tuple(said)


def belongs(name: str) -> bool:
    """Whether a file of this name can be in a packed file."""
    return _NAME.fullmatch(name) is not None and ".." not in name


def id_in(data: bytes) -> str | None:
    """The id that a definition's text gives itself; None where it is no TOML text."""
    try:
        found = tomllib.loads(data.decode("utf-8").removeprefix("\ufeff")).get("id", "")
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, str) else ""


def photos_of(logs: Iterable[Copy]) -> dict[str, int]:
    """The photos that logs name."""
    found: dict[str, int] = {}
    for log in logs:
        found.update(photos_named(log.entries))
    return found


def photos_named(entries: Sequence[Entry]) -> dict[str, int]:
    """The photos that entries name, those of the copies that they carry too."""
    return named((*entries, *all_carried(entries)))


def _log(data: bytes, file_name: str, bundle: str) -> Copy:
    copy = copy_of(data, f"{file_name} in {bundle}")
    if copy.data != data:
        raise _refused(bundle, f"{file_name} is no log as this program writes it")
    numbered = re.fullmatch(rf"{re.escape(copy.session)}(?:-[1-9]\d*)?\.toml", file_name)
    if numbered is None:
        raise _refused(bundle, f"{file_name} holds another session, {sanitize(copy.session)[:80]}")
    if wrong := problems(copy.entries):
        raise Refused(f"{file_name} in {bundle}: {wrong[0]}", "Nothing was received.")
    return copy


def _picture(data: bytes, photo: str, bundle: str) -> Picture:
    try:
        picture = photos.checked(data, photo)
    except BadInput as error:
        raise _refused(bundle, error.message.rstrip(".")) from None
    if picture.file_name != photo:
        raise _refused(bundle, f"photos/{photo} isn't the picture of that hash and kind")
    return picture


@contextmanager
def _opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, zipfile.ZipInfo]]]:
    """The archive, and what it lists by name: nothing of it was read yet."""
    try:
        count = listed_count(path, MAX_FILES)
        if count > MAX_FILES:
            raise _refused(path.name, f"it holds {count} files; {MAX_FILES} at most are received")
        with zipfile.ZipFile(path) as archive:
            listed = _listed(archive, path.name)
            if not as_written(path, archive.infolist()):
                raise _refused(path.name, "it was changed: it isn't as this program writes one")
            yield archive, listed
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as error:
        raise _refused(path.name, f"it is cut short or damaged ({error})") from None
    except OSError as error:
        raise BadInput(f"{path} can't be read: {reason_in_words(error)}.") from error


def _listed(archive: zipfile.ZipFile, bundle: str) -> dict[str, zipfile.ZipInfo]:
    entries = archive.infolist()
    if archive.comment or min((one.header_offset for one in entries), default=0):
        raise _refused(bundle, "there is something before or after the archive")
    found: dict[str, zipfile.ZipInfo] = {}
    for one in entries:
        # The name as it stands: the module itself cuts at a NUL and turns backslashes round.
        name = one.orig_filename
        if name.lower() in found:
            raise _refused(bundle, f"the name {_shown(name)} is in it twice")
        if fault := _fault_of_entry(name, one):
            raise _refused(bundle, fault)
        found[name.lower()] = one
    if sum(one.file_size for one in entries) > MAX_BYTES:
        raise _refused(bundle, f"it has more than {MAX_BYTES // 10**9} GB")
    texts = (one for one in entries if not one.filename.startswith("photos/"))
    if sum(one.file_size for one in texts) > MAX_TEXT:
        raise _refused(bundle, f"its logs have more than {MAX_TEXT // 10**6} MB")
    return {one.filename: one for one in found.values()}


def _fault_of_entry(name: str, one: zipfile.ZipInfo) -> str:
    if name.startswith(("/", "\\")) or ".." in re.split(r"[/\\]", name) or name[1:2] == ":":
        return f"the name {_shown(name)} leads out of its folder"
    kind = stat.S_IFMT(one.external_attr >> 16)
    if kind not in (0, stat.S_IFREG):
        what = "a link" if kind == stat.S_IFLNK else "no plain file"
        return f"{_shown(name)} is {what}"
    if not belongs(name):
        return f"{_shown(name)} does not belong in a packed file"
    if one.flag_bits & _ENCRYPTED:
        return f"{name} is encrypted"
    if one.compress_type != zipfile.ZIP_STORED:
        return f"{name} is compressed, and nothing in a packed file is, so that nothing can grow"
    most = LARGEST[name.partition("/")[0]]
    if one.file_size > most:
        return f"{name} has more than {most // 1_000_000} MB"
    return ""


def _bytes(archive: zipfile.ZipFile, name: str, size: int) -> bytes:
    """A file's bytes, never more than it may have."""
    with archive.open(name) as file:
        data = file.read(size + 1)
    if len(data) != size:
        raise zipfile.BadZipFile(f"{name} has another size than it says")
    return data


def _manifest(
    archive: zipfile.ZipFile, listed: dict[str, zipfile.ZipInfo], bundle: str
) -> dict[str, tuple[int, str]]:
    """Size and hash of each file, by name; just those files are in the archive."""
    if MANIFEST not in listed:
        raise _refused(bundle, f"it holds no {MANIFEST}, so this program did not pack it")
    try:
        written = _bytes(archive, MANIFEST, listed[MANIFEST].file_size)
        data = json.loads(written)
        number, files = data["format"], data["files"]
        sizes = {one["name"]: (one["size"], one["sha256"]) for one in files}
        if type(number) is not int or number < 1 or len(sizes) != len(files):
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError):
        raise _refused(bundle, f"its {MANIFEST} can't be read") from None
    if number > FORMAT:
        raise _refused(bundle, f"it is of format {number}, newer than the {FORMAT} known here")
    there = set(listed) - {MANIFEST}
    for name in sorted(there ^ set(sizes), key=str):
        where = "is in it but not in its manifest" if name in there else "is missing from it"
        raise _refused(bundle, f"{_shown(str(name))} {where}")
    for name, (size, _) in sizes.items():
        if size != listed[name].file_size:
            raise _refused(bundle, f"{name} isn't what the manifest says: it has another size")
    program = str(data.get("program", ""))
    rows = [{"name": name, "size": size, "sha256": seal} for name, (size, seal) in sizes.items()]
    if len(program) > LONGEST_PROGRAM or _manifest_of(program, rows) != written:
        raise _refused(bundle, f"its {MANIFEST} was changed: it isn't as this program writes one")
    return sizes


def _refused(bundle: str, why: str) -> Refused:
    return Refused(f"{sanitize(bundle)} is not received: {why}.", "Nothing of it was used.")


def _shown(name: str) -> str:
    return ascii(name if len(name) <= 80 else name[:80] + "...")
