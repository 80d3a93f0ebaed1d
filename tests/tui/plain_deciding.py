"""The findings screen without a screen: its state, what the app does for it, the keys counted."""

from __future__ import annotations

from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.screens.findings_state import FindingsState, Question


class Deciding:
    """The findings screen's part and the app's, by keys."""

    def __init__(self, inspection):
        self.inspection = inspection
        self.desk = Desk(inspection)
        self.state = FindingsState()
        self.presses = 0
        self.decisions = 0
        self.show()

    def show(self):
        self.state.show(self.desk.view(), self.desk.carried())

    def press(self, key):
        """One key of the list."""
        self.presses += 1
        decision = {"p": "put-right", "r": "run-as-found", "l": "later", "g": "get-part"}.get(key)
        if decision is None:
            self.state.mark()
            return None
        return self._go_on(self.state.decide(decision))

    def answer(self, text="", presses=1):
        """An answer to what is asked: a digit, or typed text with its Enter."""
        self.presses += presses
        return self._go_on(self.state.answer(text))

    def _go_on(self, following):
        if following is None or isinstance(following, Question):
            return following
        before = [line.id for line in self.state.lines]
        outcome = self.desk.submit(lambda held: held.decide_all(following))
        assert outcome.ok, outcome.error
        self.decisions += 1
        self.show()
        self.state.done()
        self.state.place_after(before)
        return None
