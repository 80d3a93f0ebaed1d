"""A file is prepared beside its place and then put there, whole: nobody ever sees a part of it.

Private to its owner from the first moment. A name of ours that a program left when it was killed
is known by its lock, which the system gave back, and is swept by the next one that brings a file
into that folder.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from inspect_tui.files.disk import (
    NOT_THERE,
    flush_folder,
    is_our_plain_file,
    open_flags,
    open_plain,
    put_in_place,
    write_all,
)

try:
    import fcntl
except ImportError:  # Windows, which lets nobody delete a file that is open
    fcntl = None  # type: ignore[assignment]

_BEGINS, _ENDS = ".inspect-tui-", ".new"
_EARLIER = ".photo-"
"""How earlier programs began the names of pictures that they prepared."""
_OLD = 86_400.0
"""Seconds after which a name is nobody's any more, on a disk without locks."""
_WAIT, _LEFT, _PAUSE = 10.0, 4.0, 0.01
"""Seconds: for a claim on a name, which is held for one rename; until one that no lock tells of
counts as left; between two looks."""
_NO_LINKS = NOT_THERE | {errno.EPERM, errno.EXDEV, errno.EMLINK, errno.EACCES}


class NewFile:
    """A file on its way: `write`, then `put`; or `discard`."""

    def __init__(self, path: Path) -> None:
        """Make it, beside the place where it will stand.

        Raises:
            OSError: as the system says it.
        """
        self.path = path
        self.descriptor, self._beside = _made(path)
        self._replaces = False

    def write(self, data: bytes) -> None:
        """Write bytes at its end. Raises OSError."""
        write_all(self.descriptor, data)

    def put(self, *, replace: bool, flush: bool = True) -> None:
        """Give it its name, in one step.

        Args:
            replace: Whether it takes the place of a file of that name; a link there is replaced
                too, and never followed.
            flush: Make the file and its name lasting.

        Raises:
            FileExistsError: not `replace`, and something stands there.
            OSError: as the system says it.
        """
        if flush:
            os.fsync(self.descriptor)
        if replace:
            self._replaces = True
            put_in_place(self._beside, self.path)
        else:
            _put_where_nothing_is(self._beside, self.path)
        _unlock(self.descriptor)
        if flush:
            flush_folder(self.path.parent)

    def discard(self) -> None:
        """Take it away and close it; silent where it is gone.

        Where it took the place of another file it stays: that one is gone.
        """
        with contextlib.suppress(OSError):
            self._beside.unlink()
        with contextlib.suppress(OSError):
            if not self._replaces and os.path.samestat(
                os.fstat(self.descriptor), os.lstat(self.path)
            ):
                self.path.unlink()
        with contextlib.suppress(OSError):
            os.close(self.descriptor)


def write_new(path: Path, data: bytes, *, replace: bool, flush: bool = True) -> None:
    """Write a file, whole or not at all.

    Raises:
        FileExistsError: not `replace`, and something stands there.
        OSError: as the system says it; nothing is left behind.
    """
    with closed(NewFile(path)) as file:
        file.write(data)
        file.put(replace=replace, flush=flush)


@contextlib.contextmanager
def closed(file: NewFile) -> Iterator[NewFile]:
    """The file; closed at the end, and taken away where anything was raised."""
    try:
        yield file
    except BaseException:
        file.discard()
        raise
    os.close(file.descriptor)


def sweep(folder: Path, only_for: Path | None = None) -> None:
    """Delete what programs that run no more left in the middle of preparing; silent.

    Args:
        folder: A folder that this program writes in.
        only_for: Only what was to become this file: in a folder that isn't ours.
    """
    begins = (_BEGINS, _EARLIER) if only_for is None else (_begin_of(only_for),)
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(begins) and (
                entry.name.endswith(_ENDS) or entry.name.startswith(_EARLIER)
            ):
                _delete_if_left(Path(entry.path))


def put_aside(path: Path) -> str:
    """Rename what stands where a file of ours belongs and is no plain file; its new name.

    Returns:
        "" where nothing stands there, or a plain file that has no second name elsewhere.

    Raises:
        OSError: as the system says it.
    """
    if not os.path.lexists(path) or is_our_plain_file(path):
        return ""
    aside = free_name(path.with_name(f"{path.name}.in-the-way"))
    path.rename(aside)
    return aside.name


def free_name(path: Path) -> Path:
    """This path, or the first of `PATH-2`, `PATH-3` ... where nothing stands."""
    found, number = path, 1
    while os.path.lexists(found):
        number += 1
        found = path.with_name(f"{path.name}-{number}")
    return found


def _begin_of(path: Path) -> str:
    """How the names begin that are prepared for a path; short, however long its own is."""
    mark = hashlib.sha256(os.fsencode(path.name)).hexdigest()[:12]
    return f"{_BEGINS}{mark}-"


def _made(path: Path) -> tuple[int, Path]:
    while True:
        beside = path.with_name(f"{_begin_of(path)}{os.urandom(4).hex()}{_ENDS}")
        descriptor = os.open(
            beside, open_flags() | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0), 0o600
        )
        _lock(descriptor)
        try:  # one that was swept before its lock was taken is made again
            if _is_at(descriptor, beside):
                return descriptor, beside
        except BaseException:
            with contextlib.suppress(OSError):
                beside.unlink()
            os.close(descriptor)
            raise
        os.close(descriptor)


def _put_where_nothing_is(beside: Path, path: Path) -> None:
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        with _claimed(path):
            if os.path.lexists(path):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from None
            beside.rename(path)
        return
    beside.unlink()


@contextlib.contextmanager
def _claimed(path: Path) -> Iterator[None]:
    """Nobody else of ours gives this name meanwhile: where only a look tells whether it's free.

    A file beside it is the claim: held by its lock, and where there are no locks, by being there.

    Raises:
        OSError: as the system says it; EAGAIN: somebody holds it, and doesn't let go.
    """
    if fcntl is None:  # on Windows a rename never takes another file's place
        yield
        return
    claim = path.with_name(f"{_begin_of(path)}claim{_ENDS}")
    descriptor = _claim(claim)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            if _is_at(descriptor, claim):
                claim.unlink()
        os.close(descriptor)


def _claim(claim: Path) -> int:
    """The descriptor of a claim that is ours."""
    end = time.monotonic() + _WAIT
    found: os.stat_result | None = None
    since = time.monotonic()
    while True:
        try:
            descriptor = os.open(
                claim, open_flags() | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0), 0o600
            )
            made = True
        except FileExistsError:
            try:
                descriptor, made = open_plain(claim, os.O_RDWR), False
            except FileNotFoundError:
                continue
        held = _lock(descriptor)
        if (held or (held is None and made)) and _is_at(descriptor, claim):
            return descriptor
        now, seen = time.monotonic(), os.fstat(descriptor)
        os.close(descriptor)
        if found is None or not os.path.samestat(found, seen):
            found, since = seen, now
        elif held is None and now - since > _LEFT:  # whoever made it was killed
            claim.unlink(missing_ok=True)
        if now > end:
            raise OSError(errno.EAGAIN, "another program is making it")
        time.sleep(_PAUSE)


def _is_at(descriptor: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(descriptor), os.lstat(path))
    except FileNotFoundError:
        return False


def _lock(descriptor: int) -> bool | None:
    """Take the file's own lock, without waiting; None where the disk has none."""
    if fcntl is None:
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _unlock(descriptor: int) -> None:
    if fcntl is not None:
        with contextlib.suppress(OSError):
            fcntl.flock(descriptor, fcntl.LOCK_UN)


def _delete_if_left(path: Path) -> None:
    with contextlib.suppress(OSError):
        if fcntl is None:
            path.unlink()
            return
        descriptor = open_plain(path, os.O_RDONLY)
        try:
            free = _lock(descriptor)
            old = time.time() - os.fstat(descriptor).st_mtime > _OLD
            # What an earlier program prepares has no lock: time alone tells.
            ours = path.name.startswith(_BEGINS)
            if (free and ours) or (free is not False and old):
                path.unlink()
        finally:
            os.close(descriptor)
