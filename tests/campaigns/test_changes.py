"""The campaign against the seals in short; the long one is run by hand (see `changes`)."""

from itertools import count

import pytest

from inspect_tui.files.log.reader import contents_of
from tests.campaigns.changes import (
    CHANGES,
    Change,
    Random,
    make_log,
    pieces,
    run,
    unnoticed,
    wrong_place,
)
from tests.readme_verifier import first_fault


def test_no_change_goes_unnoticed():
    outcome = run(3000, 20261103, first_fault)
    assert outcome.faults == []
    assert outcome.cases == 3000
    assert set(outcome.of) == {kind.__name__ for kind in CHANGES}


@pytest.mark.parametrize("by", ["log", "seal"])
def test_the_campaign_itself_sees_what_was_not_noticed(by):
    log = make_log(Random(7))
    assert unnoticed(log, Change(log.data, by), first_fault)


def test_the_campaign_sees_wrong_words_and_a_wrong_place():
    log = next(each for each in map(make_log, map(Random, count())) if len(each.blocks) > 3)
    first, *rest = pieces(log)
    changed = first.replace(b"A. T", b"B. T") + b"".join(rest)
    assert not unnoticed(log, Change(changed), first_fault)
    assert "never said" in unnoticed(log, Change(changed, says="never said"), first_fault)
    last = log.data[:-200] + log.data[-200:].replace(b'"A. T', b'"B. T')
    assert "the first thing said is" in wrong_place(log, Change(changed), contents_of(last, "x"))
