"""Three seasons by hand: foretold wear, a new belt, what was put off, what was ordered."""

from __future__ import annotations

import shutil

import pytest

from inspect_tui.core.seasons.history import history_of
from inspect_tui.files.store import Store
from inspect_tui.workflow import store_index
from inspect_tui.workflow.inspection import Inspection, Target
from inspect_tui.workflow.machine_page import machine_page
from tests.seasons.three_seasons import MACHINE, WORN_OUT, Season, third_autumn, two_seasons

AUTUMN = "2026-11-04-tindrak-600-pre-season"
"""The third autumn's session."""


@pytest.fixture(scope="module")
def typed_once(tmp_path_factory):
    made = Store(tmp_path_factory.mktemp("seasons") / "store")
    made.make()
    assert third_autumn(two_seasons(made)) == AUTUMN
    return made


@pytest.fixture
def season(typed_once, tmp_path):
    """The third autumn, in a store of its own."""
    shutil.copytree(typed_once.store, tmp_path / "store")
    return Season(Store(tmp_path / "store"))


def page(season):
    return machine_page(season.store, MACHINE, "", season().date())


def narrowest(season):
    (found,) = (
        each
        for each in history_of(store_index.summaries(season.store, MACHINE), worked_out=True)
        if (each.step, each.reading) == ("belt-width", "narrowest")
    )
    return found


def first_ride(season, then, sign=False):
    typed = {"air-place.odometer": "3300 km"}
    return season.session(
        "2026-12-01", "first-ride", typed, only=("air-place", "chain-25"), then=then, sign=sign
    )


def test_a_worn_belt_is_foretold_within_its_interval_by_both_lists(season):
    found = narrowest(season)
    assert [point.meter for point in found.points] == [1000, 2100, 2100, 3300, 3300]
    reached = found.trend.reached
    assert reached.begin < WORN_OUT < reached.end and reached.limit == 33.5
    assert found.trend.line.low < -0.0003 < found.trend.line.high
    first, *_ = page(season).trends
    assert first == found  # what reaches its limit soonest is drawn first


def test_a_new_belt_begins_its_own_piece(season):
    with Inspection.open(season.store, AUTUMN, season, write=True) as held:
        held.job.part("Drive belt", "got")
        held.job.part("Drive belt", "fitted")
    season.look("2027-11-02", 4400, 0.81)  # 35.0 mm: it is another belt
    found = narrowest(season)
    assert [point.piece for point in found.points] == [0, 0, 0, 0, 0, 1]
    assert found.trend.line.low < -0.0003 < found.trend.line.high
    assert found.trend.reached.begin > WORN_OUT  # the new one lasts longer


def test_what_was_put_off_shows_up_in_the_first_ride_and_is_closed_by_its_reading(season):
    seen = {}

    def ride(held):
        seen["before"] = {(each.step, each.reading): each.why for each in held.carried}
        held.record([(Target("chain-25", "slack"), "8 mm")])
        seen["after"] = {(each.step, each.reading) for each in held.carried}

    first_ride(season, ride)
    place = "chain-slack", "slack"
    assert seen["before"][place] == "a new chain beds in"
    assert place not in seen["after"]


def test_signing_over_what_was_put_off_is_refused(season):
    session = first_ride(season, lambda held: None)
    with Inspection.open(season.store, session, season, write=False) as held:
        assert any("chain" in each.text for each in held.results_to_sign.blockers)


def test_an_ordered_part_stays_on_the_list_until_it_is_fitted(season):

    def states():
        return [(row.part.part, row.part.state) for row in page(season).parts]

    assert states() == [("Drive belt", "to get")]
    first_ride(season, lambda held: None)
    assert states() == [("Drive belt", "to get")]
    for state, left in (("got", [("Drive belt", "got")]), ("fitted", [])):
        with Inspection.open(season.store, AUTUMN, season) as held:
            held.job.part("Drive belt", state)
        assert states() == left


@pytest.mark.parametrize("form", ["html", "pdf", "md"])
def test_a_report_draws_the_seasons_up_to_its_own_session(season, form):
    with Inspection.open(season.store, AUTUMN, season, write=False) as held:
        before = held.export(form)
    season.look("2027-11-02", 4400, -0.05)
    with Inspection.open(season.store, AUTUMN, season, write=False) as held:
        assert held.export(form) == before
    if form != "pdf":
        said = before.decode()
        assert said.count("Over the seasons") == 1 and "between 5214 km and 10111 km" in said
        assert "4 other readings of two sessions or more" in said
    first = sorted(season.store.sessions.glob("2024*.toml"))[0].stem
    with Inspection.open(season.store, first, season, write=False) as held:
        assert b"Over the seasons" not in held.export("md")
