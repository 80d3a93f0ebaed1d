"""The first picture of a session that was left: there before it is opened, and the same then."""

from __future__ import annotations

import subprocess
import sys

import pytest

from inspect_tui.tui.app import make_app
from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.loading.next_opening import keep_sight, kept_sight
from inspect_tui.tui.walk.first_sight import as_data, first_sight, from_data
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import screen_text, settled
from tests.tui.test_opening import ENTER, at_the_opening, slow, type_now, until  # noqa: F401


def kept(places, session, clock):
    with Inspection.open(places, session, clock) as held:
        view = Desk(held).view()
        keep_sight(held, view)
        return first_sight(view)


@pytest.fixture
def unread(places, clock):
    """A session just begun: its cautions are not confirmed."""
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        return inspection.session.id


def test_it_is_the_same_from_its_file(places, session, unread, clock):
    for each in (session, unread):
        sight = kept(places, each, clock)
        assert kept_sight(places, each) == sight == from_data(as_data(sight))
        assert sight.sections[0].steps[0].title == "Belt x[/]y"


@pytest.mark.parametrize(
    "data", [None, 1, [], {}, [1, 2, 3, 4, 5, 6, 7], [[[1, 2]], [], [], "a", "b", None, "c"],
             [[], [], [["a", "b", 1, 2, True, [["x"]]]], "a", "b", None, "c"],
             [[], [], [], "a", "b", ["odd", "", "", [], ""], "c"]],
)  # fmt: skip
def test_anything_else_is_none(data):
    assert from_data(data) is None


@pytest.mark.parametrize("size", [(80, 24), (40, 20), (120, 40)])
async def test_the_question_stands_there_while_the_session_is_opened(
    places, clock, unread, slow, size  # noqa: F811
):  # fmt: skip
    kept(places, unread, clock)
    async with at_the_opening(places, clock, unread, slow, size) as pilot:
        before = screen_text(pilot.app)
        assert "Outdoors only [/]." in before and "0 of 5" in before
        assert "OPENING" in before and "Opening the session" not in before
        slow.let_go.set()
        await until(pilot, lambda: pilot.app.screen.view is not None)
        await settled(pilot)
        after = screen_text(pilot.app)
    assert [line[:30] for line in before.splitlines()[:5]] == [
        line[:30] for line in after.splitlines()[:5]
    ]


async def test_what_is_typed_at_it_waits_and_its_enter_confirms_nothing(
    places, clock, unread, slow  # noqa: F811
):  # fmt: skip
    kept(places, unread, clock)
    async with at_the_opening(places, clock, unread, slow) as pilot:
        screen = pilot.app.screen
        type_now(pilot.app, ENTER, "32", ENTER)
        await until(pilot, lambda: "32" in screen.not_entered)
        slow.let_go.set()
        await until(pilot, lambda: screen.view is not None)
        await settled(pilot)
        state = screen.walk.state
        assert state.gate is not None and not state.results.readings
        assert list(state.queue.texts) == ["32"]


async def test_leaving_keeps_what_comes_next(places, clock, session):
    app = make_app(places, clock, session=session)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("3", "2", "enter")
        await settled(pilot)
    sight = kept_sight(places, session)
    assert sight is not None and sight.asked.startswith("Cracks")


def test_nothing_that_a_session_needs_is_imported_before_it_is_there():
    code = (
        "import sys; from inspect_tui.commands import app; import inspect_tui.tui.app;"
        "print(*(m for m in sys.modules if m.startswith(('inspect_tui.core.evaluation',"
        "'inspect_tui.core.model', 'inspect_tui.core.quantities', 'inspect_tui.core.session',"
        "'inspect_tui.workflow.inspection', 'inspect_tui.tui.base.view_model', "
        "'inspect_tui.tui.base.styling', 'inspect_tui.tui.screens.start', 'inspect_tui.calc',"
        "'msgspec', 'pint', 'uncertainties', 'tomllib', 'tomlkit', 'sqlite3'))))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.split() == []
