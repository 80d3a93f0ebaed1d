"""What an earlier session put off is decided, and named at the sign-off, in the app too."""

from __future__ import annotations

import pytest

from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.screens.findings_state import FindingsState
from inspect_tui.tui.screens.sign_state import SignState
from inspect_tui.workflow.inspection import Inspection, Target


@pytest.fixture
def later_session(places, clock):
    """The second session of a machine whose first one left two things open."""
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as held:
        held.record([(Target("belt", "width", None), "30"), (Target("guard", "on", None), "no")])
        held.decide("belt.width", "later", "no money", "bench")
        held.decide("guard.on", "run-as-found")
        held.sign("R. Tester", "on the bench", accept={"guard": "a bench has none"})
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as held:
        yield held


def test_it_stands_among_the_findings_and_is_decided_there(later_session):
    desk, state = Desk(later_session), FindingsState()
    state.show(desk.view(), desk.carried())
    (line,) = state.lines
    assert line.carried is not None and line.part == "to-decide"
    assert "earlier: put right later" in line.said and "Belt" in line.title
    state.go(line.id)
    state.decide("run-as-found")
    decided = state.answer("wide enough for this year")
    assert desk.submit(lambda held: held.decide_all(decided)).ok
    state.show(desk.view(), desk.carried())
    assert not state.lines and not desk.carried()


def test_the_sign_off_names_it_and_asks_for_words(later_session):
    desk, state = Desk(later_session), SignState()
    state.show(desk.view(), desk.carried())
    assert any("Width" in line and "earlier" in line for line in state.lists.findings)
    state.take("Ada")
    state.take("none on the bench")
    assert state.wants_rest
    state.take("as it is")
    later_session.sign(state.by, state.accepted, accept=state.words)
    assert any("belt.width" in each for each in later_session.session.signed.open)
