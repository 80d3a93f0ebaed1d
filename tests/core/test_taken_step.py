"""A step of another list in a session: as it stands there, read again from the log alone."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

import pytest

from inspect_tui.core.definitions import of_log
from inspect_tui.core.definitions.taken_step import text_of
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from inspect_tui.workflow.take_step import take_step
from inspect_tui.workflow.verification import Asked, verify
from tests.builders import checklist, derived, reading, section, sheet, step

OTHER = checklist(
    section("hold"),
    step(
        "pump",
        reading("start", unit="kPa", label="Pumped to"),
        reading("end", unit="kPa", label="At the end"),
        derived("loss", "start - end", unit="kPa", label="Loss", limit="{ max = 2 }"),
        title="Pump it up",
        per="cylinder",
        caution='"Face away."',
        safety="true",
        after='["other"]',
        every='["12 months"]',
        only_if="\"machine.cooling == 'liquid'\"",
    ),
    step("width", reading("w", label="W")),
    step("other", reading("far", label="Far", limit='{ max = "width.w" }')),
    id_="other",
    title="Other list",
)
OWN = checklist(
    section("belt"),
    step("width", reading("w", label="W")),
    step("left", reading("x", label="X"), title="Left out"),
    id_="own",
)
MACHINE = sheet("PTO", "MAG", id_="sled", facts={"cooling": '"liquid"'})


@pytest.fixture
def store(tmp_path):
    made = Store(tmp_path / "store")
    made.make()
    for name, text in (("other", OTHER), ("own", OWN)):
        (made.checklists / f"{name}.toml").write_text(text, encoding="utf-8")
    (made.machines / "sled.toml").write_text(MACHINE, encoding="utf-8")
    return made


@pytest.fixture
def clock():
    seconds = itertools.count()
    return lambda: datetime(2026, 11, 2, tzinfo=UTC) + timedelta(seconds=next(seconds))


def test_a_taken_step_is_judged_as_in_its_own_list(store, clock):
    with Inspection.new(store, "own", "sled", "A. Tester", clock) as held:
        taken = take_step(held, "belt", "other:pump")
        assert taken == "added-1"
        found = held.results.step(taken)
        assert found.state == "open" and found.step.caution == "Face away." and found.step.safety
        assert not found.step.after and not found.step.every
        held.record([(Target(taken, "start", "PTO"), "20"), (Target(taken, "end", "PTO"), "10")])
        session = held.session.id
    (store.checklists / "other.toml").unlink()  # the log alone says what it is
    with Inspection.open(store, session, clock) as held:
        loss = next(row for row in held.results.derived if row.step == "added-1")
        assert loss.judged.verdict == "fail" and loss.value == 10
        assert [each.id for each in held.session.added] == ["added-1"]
    assert verify(store.log(session), Asked(store, clock)).whole


def test_what_the_job_leaves_out_of_its_own_list_is_taken_in(store, clock):
    with Inspection.new(store, "own", "sled", "A. Tester", clock, only=["width"]) as held:
        assert held.results.step("left").state == "left-out"
        assert take_step(held, "belt", "own:left") == "left"
        assert held.results.step("left").state == "open" and not held.session.added


def test_what_a_step_says_of_others_has_no_value(store, clock):
    with Inspection.new(store, "own", "sled", "A. Tester", clock) as held:
        taken = take_step(held, "belt", "other:other")
        held.record([(Target(taken, "far"), "12")])
        row = held.results.row(taken, "far", None, "as-found")
        assert row.value == 12 and row.judged.verdict == "none"


@pytest.mark.parametrize("place", ["other:none", "nothing:pump", "other", "", ":", "other:hold"])
def test_what_is_no_step_is_refused(store, clock, place):
    with Inspection.new(store, "own", "sled", "A. Tester", clock) as held:
        with pytest.raises(BadInput):
            take_step(held, "belt", place)
        with pytest.raises(BadInput):
            take_step(held, "no-such-section", "other:pump")
        assert not held.session.added
        held.job.set_aside("a trial")
        with pytest.raises(Refused):
            take_step(held, "belt", "other:pump")


@pytest.mark.parametrize(
    "text", ["", "no toml [", "x = 1", "[[section]]\n", '[[section]]\n[[section.step]]\nid = 1\n']
)  # fmt: skip
def test_a_text_that_is_no_step_leaves_its_title(store, clock, text):
    """Of a log that something else wrote: the step is there, with a field for words."""
    compiled = of_log.compile_trusted(OWN)
    made = of_log.add_step(compiled, "belt", "added-1", "Pump it up", text=text)
    assert made.steps["added-1"].title in ("Pump it up", "")
    assert made.steps["added-1"].readings


def test_each_kind_of_shipped_step_can_be_taken(tmp_path):
    store = Store(tmp_path / "store")
    library = definition_files.Lists(store, store.checklists)
    for place in ("pre-season:pressure-test", "pre-season:compression", "first-ride:diary",
                  "lay-up:fog", "carburettors-only:main-jet"):  # fmt: skip
        title, text = text_of(place, library)
        (only,) = of_log.compile_trusted(text).checklist.steps
        assert only.id == "own-1" and only.title == title and only.readings
