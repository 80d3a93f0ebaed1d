"""A caution that a command printed was not confirmed by anybody; one that a person saw was."""

from __future__ import annotations

import pytest

from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries
from inspect_tui.core.evaluation.job.acts import begin, caution_confirmed
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from tests.builders import checklist, reading, step
from tests.small_session import MACHINE, START

CHECKLIST = checklist(
    step("start", reading("runs", "check", label="Runs"), title="Start", begins='"start"',
         caution='"Track off the ground."'),
    step("drive", reading("moves", "check", label="Moves"), title="Drive", begins='"move"'),
    step("look", reading("done", "check", label="Done"), title="Look"),
)  # fmt: skip


def session(*cautions):
    keys = {"session": "s", "checklist": CHECKLIST, "machine": MACHINE, "program": "test"}
    entries = [Entry(0, "opened", START, "Ann", keys)]
    for said in cautions:
        entries.append(Entry(len(entries), "caution", START, "Ann", {"text": "Mind.", **said}))
    return evaluate_entries(entries)


@pytest.mark.parametrize(
    ("cautions", "confirmed"),
    [
        ([], False),
        ([{"step": "start", "printed": True}], False),
        ([{"step": "start"}], True),
        ([{"step": "start", "printed": True}, {"step": "start"}], True),
        ([{"step": "look"}], False),
        ([{}], False),
    ],
)
def test_only_what_a_person_confirmed_at_that_step_counts(cautions, confirmed):
    evaluated = session(*cautions)
    assert caution_confirmed(evaluated, "start") == confirmed
    texts = [keys["text"] for _, keys in begin(evaluated, "start")]
    assert ("Track off the ground." in texts) == (not confirmed)


def test_what_begins_is_named_where_nothing_is_open():
    for step_id, words in (("start", "the engine runs"), ("drive", "the machine moves")):
        *_, (kind, keys) = begin(session(), step_id)
        assert (kind, keys["step"]) == ("caution", step_id)
        assert keys["text"] == f"Before {words}: no safety step is open."
    with pytest.raises(BadInput, match="'look' starts and moves nothing"):
        begin(session(), "look")
