"""A session with its log: what stands, and one way to write, after which all is worked out anew."""

from __future__ import annotations

from collections.abc import Callable

from inspect_tui.core.evaluation.evaluate_entries import Evaluated, LiveEvaluation
from inspect_tui.core.model.log_entry import Entry, NewEntry
from inspect_tui.errors import Refused
from inspect_tui.files.kept_definitions import KeptDefinitions
from inspect_tui.workflow.session_log import SessionLog


class OpenSession:
    """A log and what its entries come to; written first, shown second.

    Raises:
        Refused: what the log's entries say can't be used.
    """

    def __init__(self, log: SessionLog, by: str = "") -> None:
        self.log = log
        self._live = LiveEvaluation(log.entries, KeptDefinitions.of_this_computer())
        self.by = by or self.evaluated.session.by
        """Whose entries they are, where nobody else is named."""

    @property
    def evaluated(self) -> Evaluated:
        """What the entries come to; replaced after each."""
        return self._live.evaluated

    def refuse_unless_open(self) -> None:
        """Raises Refused where the session is signed or set aside, or open for reading only."""
        session, called = self.evaluated.session, self.log.path.stem
        if session.signed is not None:
            raise Refused(
                f"Session {called} was signed by {session.signed.by} on "
                f"{session.signed.at:%Y-%m-%d}; it can't be changed.",
                "Use 'addendum' to add words.",
            )
        if session.set_aside is not None:
            raise Refused(
                f"Session {called} was set aside by {session.set_aside.by}; it can't be changed.",
                "Begin another.",
            )
        if not self.log.writable:
            raise Refused("This session is open for reading only.")

    def write(
        self, *kinds: NewEntry, by: str = "", following: Callable[[Entry], Entry] | None = None
    ) -> None:
        """Append entries in one write; only then is anything shown.

        Args:
            kinds: What is written.
            by: Whose entries they are; else the session's.
            following: Makes one more entry of the last one, seal and all.

        Raises:
            Refused: open for reading only.
            NotSaved: the disk did not take it.
        """
        self._live.take(self.log.append(kinds, by or self.by, following))
