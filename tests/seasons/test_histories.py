"""Invented histories whose truth is known: what the program foretells is held to it."""

from __future__ import annotations

from random import Random

import pytest

from inspect_tui.core.seasons.history import history_of
from inspect_tui.files.store import Store
from inspect_tui.workflow import store_index
from tests.seasons import histories


@pytest.fixture
def store(tmp_path):
    made = Store(tmp_path / "store")
    made.make()
    return made


def belt(store: Store, machine: str):
    figures = history_of(store_index.summaries(store, machine))
    return next(each for each in figures if each.reading == "width")


def test_the_logs_verify_and_say_what_was_judged(store, run):
    histories.machine(store, "sled-1", 3, Random(5))
    for path in store.sessions.glob("*.toml"):
        ran = run("verify", path)
        assert ran.status == 0, ran.err


def test_wear_is_foretold_within_its_interval(store):
    # 95 % each: of 40 machines about two lie outside, six or more in 1 of 100 such runs (binomial).
    told = missed = 0
    for number in range(40):
        truth = histories.machine(store, f"sled-{number}", 9, Random(number))
        figure = belt(store, f"sled-{number}")
        assert figure.trend is not None
        line, reached = figure.trend.line, figure.trend.reached
        if line is not None:
            told += 1
            missed += not line.low <= truth.wear <= line.high
        if reached.begin is not None and reached.end is not None:
            assert reached.begin < truth.thin_at() + 3000
    assert told >= 30 and missed <= 5


def test_a_new_belt_begins_its_own_piece(store):
    truth = histories.machine(store, "sled-1", 16, Random(3))
    figure = belt(store, "sled-1")
    pieces = [point.piece for point in figure.points]
    assert len(truth.replaced) >= 1 and max(pieces) == len(truth.replaced)
