"""The one family of errors that the program raises on purpose.

Each carries one clear sentence for the person and the exit status that a command ends with.
Nothing else in the package defines an exception; calculations raise ``ValueError``.
"""

from __future__ import annotations


class InspectError(Exception):
    """Something a person can mend, said in one sentence.

    Args:
        message: One sentence that names the file, line, field or key and what is wrong.
        hint: What would be right, or the next thing to do; may be empty.
    """

    status = 2
    """Exit status of a command that ends with this error."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.message} {self.hint}".strip()


class BadInput(InspectError):
    """What was typed or named can't be taken: nonsense, a wrong unit, an unknown name."""

    status = 2


class Refused(InspectError):
    """The input was understood and the answer is no: something is open, signed or broken."""

    status = 1


class AlreadyThere(Refused):
    """There is a file of that name, which is never written over; another name may be free."""


class NotSaved(InspectError):
    """The disk did not take what was to be written; nothing of it may be called saved."""

    status = 1


class Damaged(Exception):
    """A row of an index isn't what was written: the index is made anew. Never shown."""


class NoPlainFile(OSError):
    """A link, pipe, device or folder stands where only a file of ours may; the system's kind."""


class BrokenOff(KeyboardInterrupt):
    """A person broke off what takes long; its text says how far it came."""
