"""The sign-off without an app: three short lists, each safety step by itself, the log's words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.screens import sign_text
from inspect_tui.tui.screens.sign_state import SignState, shared_out
from inspect_tui.workflow.inspection import Inspection, Target
from tests.test_thirty_faults import recorded


@given(st.lists(st.integers(0, 60), min_size=1, max_size=3), st.integers(0, 80))
def test_the_room_is_shared_out_and_used(lengths, room):
    shown = shared_out(lengths, room)
    assert all(0 <= a <= b for a, b in zip(shown, lengths, strict=True))
    assert sum(shown) == min(room, sum(lengths))
    cut = [a for a, b in zip(shown, lengths, strict=True) if a < b]
    assert all(a >= max(shown) - 1 for a in cut)  # none is starved for another


@pytest.mark.parametrize("size", [(78, 15), (38, 12), (116, 30)])
def test_thirty_faults_fit_a_screen_and_say_how_many_more(tmp_path, clock, size):
    columns, rows = size
    with recorded(tmp_path / "story", clock) as held:
        desk, state = Desk(held), SignState()
        view = desk.view()
        state.show(view, desk.carried())
        shown = sign_text.sheet(view, state, columns, rows, whole=False).plain.split("\n")
        assert len(shown) <= rows and all(cell_len(line) <= columns for line in shown)
        assert shown[0].startswith(f"{len(state.lists.safety)} SAFETY STEPS NOT PASSED")
        whole = sign_text.sheet(view, state, columns, rows, whole=True).plain
        lines = [line for _, line in state.lists.safety]
        for line in (*lines, *state.lists.findings, *state.lists.steps):
            assert line in whole
        if state.lists.count > rows:
            assert "(PgDn" in "\n".join(shown)
        assert any("Engine boots: failed; PTO: Cracks: through" in line for line in lines)


def test_each_safety_step_is_accepted_by_itself_as_the_command_does(places, clock, session):
    with Inspection.open(places, session, clock) as held:
        held.record([(Target("guard", "on", None), "no"), (Target("belt", "width", None), "30")])
        desk, state = Desk(held), SignState()
        state.show(desk.view(), desk.carried())
        assert [line for _, line in state.lists.safety] == [
            "Guard: failed; Guard is on: no, wanted: yes"
        ]
        assert state.lists.findings == ("Belt x[/]y: Width: 30 mm, 1 mm under",)
        assert len(state.lists.steps) == 4
        assert state.asks("Ada")[0] == "Who signs?"
        assert state.take("Ada") and state.step == "guard"
        assert state.asks("Ada")[0].startswith("Safety 1 of 1: Guard: failed")
        assert state.take("bench only") and state.wants_rest
        assert state.back() == "bench only" and state.step == "guard"
        assert state.take("on the bench") and state.take("the rest waits") and state.ready
        assert not state.take("yes") and state.take("SIGN")
        held.sign(state.by, state.accepted, accept=state.words)
        signed = held.session.signed
        assert signed.accepted == "the rest waits"
        assert dict(signed.accepted_steps) == {"guard": "on the bench"}


def test_what_passes_meanwhile_wants_no_words_any_more(places, clock, session):
    with Inspection.open(places, session, clock) as held:
        desk, state = Desk(held), SignState()
        state.show(desk.view(), desk.carried())
        state.take("Ada")
        state.take("no guard here")
        held.record([(Target("guard", "on", None), "yes")])
        state.show(desk.view(), desk.carried())
        assert not state.words and not state.lists.safety and state.wants_rest


def test_one_answer_for_all_safety_steps_that_are_left_names_each_of_them(tmp_path, clock):
    with recorded(tmp_path / "story", clock) as held:
        desk, state = Desk(held), SignState()
        state.show(desk.view(), desk.carried())
        assert "name" in state.wanted and not state.take_for_all("no time")
        state.take("Ada")
        assert not state.take_for_all("") and "Words are wanted" in state.wanted
        ids = [step for step, _ in state.lists.safety]
        state.take("seen, it holds")
        assert "F6" in state.asks("Ada")[1]
        assert state.take_for_all("no time")
        assert state.words == {ids[0]: "seen, it holds"} | dict.fromkeys(ids[1:], "no time")
        assert state.wants_rest and not state.step
        whole = sign_text.sheet(desk.view(), state, 78, 20, whole=True).plain
        lines = dict(state.lists.safety)
        assert f"● {lines[ids[0]]} (seen, it holds)" in whole
        assert f"● {lines[ids[-1]]} (no time)" in whole
