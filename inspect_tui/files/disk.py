"""What the disk says, in words, and the few steps that make a file's name lasting."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from inspect_tui.errors import BadInput, NoPlainFile

_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "this person's share of the disk is used up",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "no permission",
    errno.EPERM: "no permission",
    errno.EIO: "the disk reported an error of its own (input/output error)",
    errno.ENODEV: "the disk is gone",
    errno.ENXIO: "the disk is gone",
    errno.ENOENT: "the file or its folder is gone",
    errno.ENOTDIR: "a part of its path is no folder",
    errno.EISDIR: "it is a folder",
    errno.EBADF: "it is closed",
    errno.EPIPE: "nobody reads it",
    errno.ELOOP: "it is a link",
    errno.EFBIG: "the file would get too large for this disk",
    errno.EMFILE: "too many files are open",
    errno.ENFILE: "too many files are open",
    errno.ENAMETOOLONG: "the name is too long for this disk",
    errno.EINTR: "the disk's work was interrupted",
    errno.ESTALE: "the network folder is gone or was changed on its server",
    errno.ETIMEDOUT: "the network folder does not answer",
    errno.EHOSTDOWN: "the network folder's computer does not answer",
    errno.ENOTCONN: "the disk or the network folder is gone",
}

NOT_THERE = frozenset({errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EINVAL})
"""What a disk says that can't do a thing at all: network folders, sticks."""
_READING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_NO_RENAME = NOT_THERE | {errno.EPERM, errno.EXDEV}


def reason_in_words(error: OSError) -> str:
    """Why the disk refused, as the end of a sentence."""
    if isinstance(error, NoPlainFile):
        return str(error.strerror)
    known = _REASONS.get(error.errno) if error.errno is not None else None
    return known or (error.strerror or type(error).__name__).lower()


def companion(log: Path, suffix: str) -> Path:
    """The file beside a log: of `NAME.toml` it is `NAME.torn`, and never the log itself."""
    return log.with_suffix(suffix) if log.suffix == ".toml" else log.with_name(log.name + suffix)


def is_file(path: Path) -> bool:
    """Whether a file, or a link to one, is there; no name is too odd to ask for."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):  # ValueError: a NUL in the name
        return False


def is_folder(path: Path) -> bool:
    """Whether a folder, or a link to one, is there; no name is too odd to ask for."""
    try:
        return stat.S_ISDIR(path.stat().st_mode)
    except (OSError, ValueError):
        return False


def all_but_newest(paths: Iterable[Path], most: int) -> list[Path]:
    """The files of a folder of ours that go when so many are kept; raises OSError.

    Args:
        paths: The files.
        most: How many stay, those that were written last.
    """
    oldest_first = sorted(paths, key=lambda path: path.lstat().st_mtime_ns)
    return oldest_first[: max(0, len(oldest_first) - most)]


def is_plain_file(path: Path) -> bool:
    """Whether a file stands there, and no link to one."""
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except (OSError, ValueError):
        return False


def is_our_plain_file(path: Path) -> bool:
    """Whether a file stands there that is no link and has no second name elsewhere."""
    try:
        found = path.lstat()
    except (OSError, ValueError):
        return False
    return stat.S_ISREG(found.st_mode) and found.st_nlink <= 1


def open_plain(path: Path, flags: int, mode: int = 0o600) -> int:
    """Open a plain file: no link is followed, and what is no file never makes the program wait.

    Raises:
        NoPlainFile: something else stands there.
        OSError: as the system says it.
    """
    with contextlib.suppress(FileNotFoundError):
        _wants_plain(path.lstat().st_mode)
    never_wait = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
    descriptor = os.open(
        path, flags | never_wait | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0), mode
    )
    try:
        _wants_plain(os.fstat(descriptor).st_mode)
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor


def _wants_plain(mode: int) -> None:
    if not stat.S_ISREG(mode):
        raise NoPlainFile(errno.ELOOP, f"it is {kind_in_words(mode)}, and no plain file")


def kind_in_words(mode: int) -> str:
    """What a file's mode says that it is: `a pipe`."""
    kinds = {
        stat.S_IFREG: "a file", stat.S_IFDIR: "a folder", stat.S_IFLNK: "a link",
        stat.S_IFIFO: "a pipe", stat.S_IFSOCK: "a socket",
    }  # fmt: skip
    return kinds.get(stat.S_IFMT(mode), "a device")


def bytes_of(path: Path, what: str, most: int = -1) -> bytes:
    """The bytes of a file.

    Args:
        path: The file.
        what: What it should be, for the error's sentence: `log`, `checklist`.
        most: How many bytes at most; -1 for all.

    Raises:
        BadInput: there is none, it is no file, or it can't be read.
    """
    with opened(path, what) as file:
        return file.read(most)


@contextlib.contextmanager
def opened(path: Path, what: str) -> Iterator[BinaryIO]:
    """A file for reading; raises BadInput as `bytes_of` does, while it is read too."""
    if not is_file(path):
        there = "\0" not in str(path) and os.path.lexists(path)
        raise BadInput(f"{path} is no file." if there else f"There is no {what} {path}.")
    try:
        # A pipe that took the file's place meanwhile answers at once, with nothing.
        descriptor = os.open(path, os.O_RDONLY | _READING)
        with os.fdopen(descriptor, "rb") as file:
            yield file
    except OSError as error:
        raise BadInput(f"{path} can't be read: {reason_in_words(error)}.") from error


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte; a short write is gone on with (Python itself repeats after a signal).

    Raises:
        OSError: as the system says it.
    """
    rest = memoryview(data)
    while rest:
        try:
            written = os.write(descriptor, rest)
        except InterruptedError:  # nothing was written
            continue
        if written <= 0:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        rest = rest[written:]


def flush_folder(folder: Path) -> None:
    """Make the names in a folder lasting, where its disk can do that.

    Raises:
        OSError: as the system says it.
    """
    # Windows can't open folders and needs no such step.
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        # Some network folders and sticks flush files alone.
        if error.errno not in NOT_THERE:
            raise
    finally:
        os.close(descriptor)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, private to their owner (0700), all names lasting.

    Raises:
        OSError: as the system says it; FileExistsError where a file stands there.
    """
    missing = []
    above = folder
    while not above.exists() and above != above.parent:
        missing.append(above)
        above = above.parent
    for each in reversed(missing):
        each.mkdir(mode=0o700, exist_ok=True)
        if os.access(each.parent, os.R_OK):  # some may be entered and not read
            flush_folder(each.parent)
    if not folder.is_dir():
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(folder))


def put_in_place(fresh: Path, path: Path) -> None:
    """Give a flushed new file its name in one step; where a disk can't rename, by copying it.

    Raises:
        OSError: as the system says it.
    """
    try:
        fresh.replace(path)
    except OSError as error:
        if error.errno not in _NO_RENAME or path.is_dir():
            raise
        descriptor = open_plain(path, open_flags() | os.O_CREAT | os.O_TRUNC)
        try:
            write_all(descriptor, fresh.read_bytes())
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        fresh.unlink()


def open_flags() -> int:
    """Flags for every file that is written here: bytes as they are, not inherited."""
    return os.O_RDWR | os.O_APPEND | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
