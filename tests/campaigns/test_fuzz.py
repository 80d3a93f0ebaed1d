"""The campaign of hostile input in short; the long one is run by hand (see `fuzz`)."""

import pytest

from inspect_tui.errors import BadInput
from tests.campaigns import fuzz
from tests.campaigns.fuzz import run, shares, targets
from tests.campaigns.targets import Aim

HANGS = 60.0
"""Seconds of processor time after which an input counts as hanging; no measure of speed."""
NAMES = (
    "reading", "typed text", "clean", "unit", "quantity", "expression", "calculation", "checklist",
    "sheet", "log", "file", "session", "bundle", "photo", "signature", "signers", "environment",
    "command", "paste", "terminal bytes",
)  # fmt: skip


@pytest.fixture(scope="module")
def aims():
    with targets() as found:
        yield found


def test_every_target_is_tried_here(aims):
    assert set(aims) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_hostile_input_is_answered_or_refused(aims, name):
    inputs = shares(aims, 6000)[name] + 10
    outcome = run(name, aims[name], inputs, seed=20261105, limit=HANGS)
    assert outcome.faults == []
    assert outcome.inputs == inputs


def raises(error):
    def feed(_given):
        raise error

    return Aim(lambda rng: rng.random(), feed, 1)


def test_the_campaign_itself_sees_a_fault():
    outcome = run("x", raises(KeyError("a")), 3, seed=1, limit=HANGS)
    assert [fault.split(" of ")[0] for fault in outcome.faults] == [
        f"x, input {n}: KeyError: 'a'" for n in range(3)
    ]
    assert run("x", raises(BadInput("no")), 3, seed=1, limit=HANGS).refused == 3


def test_the_campaign_ends_what_hangs():
    def feed(_given):
        while True:
            pass

    (fault,) = run("x", Aim(lambda rng: 0, feed, 1), 1, seed=1, limit=0.05).faults
    assert "takes longer than" in fault


def test_an_input_is_made_again_from_its_number(aims):
    made = [aims["session"].make(fuzz.Random(f"session 1 {n}")) for n in (0, 1, 0)]
    assert made[0] == made[2] != made[1]
