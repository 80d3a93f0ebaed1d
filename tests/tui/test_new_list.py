"""A list of one's own: lines, offered steps of other lists, an ordinary file, begun at once."""

from __future__ import annotations

import tomllib

import pytest

from inspect_tui.errors import BadInput
from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from inspect_tui.tui.screens.list_state import ListState, offers_of
from inspect_tui.tui.screens.new_list import NewListScreen
from inspect_tui.tui.screens.new_session import NewSessionScreen
from inspect_tui.workflow import catalogue
from inspect_tui.workflow.inspection import Inspection
from inspect_tui.workflow.own_lists import new_own_list
from tests.tui.conftest import screen_text, settled, type_in


@pytest.fixture(scope="module")
def known(tmp_path_factory):
    """The steps that the shipped lists offer."""
    return offers_of(catalogue.checklists(Store(tmp_path_factory.mktemp("store"))))


def test_steps_are_offered_while_one_types(known):
    state = ListState().titled("Saturday").typed("track tension", known)
    assert state.offers[0].place == "pre-season:track-sag"
    state = state.typed("belt", known)
    assert state.offers[0].title.startswith("Belt") and len(state.offers) == 5
    assert ListState().typed("drive belt", known).offers == ()  # that is the title
    assert state.typed("b", known).offers == () and state.typed("zzzz", known).offers == ()
    assert len({(each.step, each.title) for each in known}) == len(known)


def test_a_step_is_taken_once_and_a_line_once(known):
    state = ListState().titled("Saturday").typed("belt", known).beside(1)
    offer = state.offers[1]
    state = state.taking()
    assert state.lines[0].offer is offer and state.to_write == ((offer.title, offer.place),)
    assert offer not in state.typed("belt", known).offers
    state = state.entered("Gap | mm | min 3")
    assert state.lines[1].about == "a number in mm, at least 3"
    with pytest.raises(BadInput, match="already"):
        state.entered("Gap | mm | min 3")
    with pytest.raises(BadInput, match="no limit"):
        state.entered("Gap | mm | least 3")
    assert len(state.taken_back().lines) == 1 and "no line" in ListState().taken_back().said


def test_the_list_is_an_ordinary_file_with_the_steps_own_limits(tmp_path, known, clock):
    store = Store(tmp_path / "store")
    offer = next(each for each in known if each.place == "pre-season:belt-width")
    lines = [(offer.title, offer.place), ("Gap | mm | min 3", ""), ("Look", "")]
    made = new_own_list(store, "Every Saturday!", lines)
    again = new_own_list(store, "Every Saturday!", lines)
    assert (made.id, again.id) == ("every-saturday", "every-saturday-2")
    assert made.steps == 3 and made.own and not made.trouble
    text = (store.checklists / "every-saturday.toml").read_text(encoding="utf-8")
    steps = tomllib.loads(text)["section"][0]["step"]
    assert steps[0] == {"use": "pre-season:belt-width"} and steps[1]["id"] == "own-2"
    with Inspection.new(store, made.id, "ostrebek-440", "Ada", clock) as held:
        step = held.results.step("belt-width").step
        assert step.how and any(each.limit is not None for each in step.readings)


def test_nothing_is_written_of_a_list_with_a_problem(tmp_path):
    store = Store(tmp_path / "store")
    for title, lines in (("", [("Look", "")]), ("None", []), ("Odd", [("Gap | mm | least 3", "")])):
        with pytest.raises(BadInput):
            new_own_list(store, title, lines)
    assert not store.checklists.exists() or not list(store.checklists.glob("*.toml"))


async def test_from_the_start_a_list_is_typed_saved_and_begun(places, clock):
    app = make_app(places, clock, by="Ada")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        await pilot.press("l")
        await settled(pilot)
        assert isinstance(app.screen, NewListScreen)
        await type_in(pilot, "Mine", "enter")
        await type_in(pilot, "track ten")
        assert "▶ Tab " in screen_text(app)
        await pilot.press("tab")
        await type_in(pilot, "Gap | mm | min 3", "enter")
        assert "a number in mm, at least 3" in screen_text(app)
        await pilot.press("enter")
        await settled(pilot)
        assert "Saved. Begin it now?" in screen_text(app)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, NewSessionScreen)
        assert app.screen.job.checklist == "mine" and "Which machine?" in screen_text(app)
    text = (places.checklists / "mine.toml").read_text(encoding="utf-8")
    assert 'use = "' in text and "min = 3" in text
