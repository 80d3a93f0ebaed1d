"""The cautions of a list and its steps: what they say, and that a person read them."""

from __future__ import annotations

from collections.abc import Callable

from inspect_tui.core.evaluation.job import acts
from inspect_tui.workflow.open_session import OpenSession


class Cautions:
    """The cautions of one session. A step "" is the whole list."""

    def __init__(
        self, session: OpenSession, before: Callable[[str], tuple[str, ...]] = lambda _: ()
    ) -> None:
        """The cautions of a session.

        Args:
            session: Which.
            before: What earlier sessions left to be said before a step that begins something.
        """
        self._session = session
        self._before = before

    def text(self, step: str) -> str:
        """The caution of a step; of the whole list for ""."""
        return acts.caution_text(self._session.evaluated, step)

    def confirmed(self, step: str = "") -> bool:
        """Whether a person confirmed it in this session."""
        return acts.caution_confirmed(self._session.evaluated, step)

    def confirm(self, step: str = "") -> None:
        """It was read. Written once a session.

        Raises:
            Refused: signed, set aside, or open for reading only.
        """
        if self.confirmed(step):
            return
        self._session.refuse_unless_open()
        self._session.write(("caution", {"step": step or None, "text": self.text(step)}))

    def begin(self, step: str) -> None:
        """The person goes on at a step that starts the engine or moves the machine.

        Raises:
            BadInput: the step begins nothing.
            Refused: signed, set aside, or open for reading only.
        """
        self._session.refuse_unless_open()
        self._session.write(*acts.begin(self._session.evaluated, step, self._before(step)))
