"""Standard output and error, so that what becomes of the words never changes what was done.

The rule, of every command: the exit status says what came of its work. A reader that left
(`| head`) is nobody's fault and changes nothing. Where stdout takes no more, stderr says so, and
the status is 1 only for a command whose whole work is what it prints. What stderr doesn't take is
lost.
"""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
from collections.abc import Iterator
from typing import Any, TextIO

from inspect_tui.files.disk import reason_in_words


class Stream(io.TextIOBase):
    """A stream that keeps its first error instead of raising it, and is silent from then on."""

    def __init__(self, inner: TextIO | None) -> None:
        self.error: OSError | None = None
        self._inner = inner
        self.buffer = _Bytes(self)
        """The same for bytes, as of any text stream."""

    def write(self, text: str) -> int:
        """Write, if there is still somebody to read it."""
        if self.error is None:
            with self.kept():
                self._open().write(text)
        return len(text)

    def flush(self) -> None:
        """Hand on what waits."""
        if self.error is None and self._inner is not None:
            with self.kept():
                self._inner.flush()

    def write_bytes(self, data: bytes) -> None:
        """Write bytes, behind whatever text waits."""
        if self.error is None:
            with self.kept():
                inner = self._open()
                inner.flush()
                inner.buffer.write(data)
                inner.buffer.flush()

    def isatty(self) -> bool:
        """Whether a person reads it."""
        return self._inner is not None and self._inner.isatty()

    def fileno(self) -> int:
        """The system's number of it."""
        return self._open().fileno()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._inner, name)

    @contextlib.contextmanager
    def kept(self) -> Iterator[None]:
        """Keep the first error; the interpreter's own last flush then goes nowhere."""
        try:
            yield
        except OSError as error:
            self.error = error
            with contextlib.suppress(OSError, ValueError):
                nowhere = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nowhere, self._open().fileno())
                os.close(nowhere)

    def _open(self) -> TextIO:
        if self._inner is None:  # closed before the program began
            raise OSError(errno.EBADF, os.strerror(errno.EBADF))
        return self._inner


class _Bytes:
    """What `sys.stdout.buffer` is for whoever writes bytes."""

    def __init__(self, stream: Stream) -> None:
        self._stream = stream

    def write(self, data: bytes) -> int:
        self._stream.write_bytes(data)
        return len(data)

    def flush(self) -> None:
        self._stream.flush()


@contextlib.contextmanager
def guarded() -> Iterator[tuple[Stream, Stream]]:
    """Put such streams in the place of stdout and stderr."""
    _occupy()
    before = sys.stdout, sys.stderr
    for stream in before:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    out, err = Stream(before[0]), Stream(before[1])
    sys.stdout, sys.stderr = out, err
    try:
        yield out, err
    finally:
        out.flush()
        err.flush()
        sys.stdout, sys.stderr = before


def _occupy() -> None:
    """Nothing that is opened may get the number of a standard stream that was closed.

    Else what the system itself says on stderr could land in a log.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            nowhere = os.open(os.devnull, os.O_RDWR)  # the lowest number that is free: this one
            os.set_inheritable(nowhere, True)


def status_after(out: Stream, status: int, prints: bool) -> int:
    """The exit status where stdout may have failed; stderr is told, unless a reader just left.

    Args:
        out: Standard output.
        status: What came of the command.
        prints: Whether what it prints is its whole work.
    """
    out.flush()
    if out.error is None or out.error.errno == errno.EPIPE:
        return status
    why = reason_in_words(out.error)
    if status == 0 and prints:
        print(f"What was to be shown was not written: {why}.", file=sys.stderr)
        return 1
    print(f"What was to be said on stdout was not written: {why}.", file=sys.stderr)
    if status == 0:
        print("What the command did stands.", file=sys.stderr)
    return status
