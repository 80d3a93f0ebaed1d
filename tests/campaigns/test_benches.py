"""The campaign of several benches at one shared folder, in short."""

from __future__ import annotations

import pytest

from inspect_tui.files.store import Store
from tests.campaigns import benches
from tests.campaigns.killed import quietly


@pytest.mark.parametrize("meddled", [False, True])
def test_nothing_collides_and_nothing_acknowledged_is_lost(tmp_path, meddled):
    heard = benches.campaign(tmp_path, 3, 8, 5, meddled=meddled)
    assert heard.faults == []
    assert heard.counts["begun"] >= 3 and heard.counts["noted"] and heard.counts["asked"]


def test_the_campaign_sees_a_loss_and_an_index_that_lies(tmp_path):
    heard = benches.campaign(tmp_path, 1, 8, 5, meddled=False)
    store = Store(tmp_path / "shared")
    session, texts = next((name, texts) for name, texts in heard.kept.items() if texts)
    heard.kept[session] = texts | {"never said"}
    heard.kept["nowhere"] = set()
    assert benches._lost(store, heard.kept) == [f"{session} lost never said", "nowhere is gone"]
    real, said = benches.quietly, iter(range(99))
    benches.quietly = lambda *words: (0, f"{next(said)}")
    try:
        faults = benches._index_faults(store, 1)
    finally:
        benches.quietly = real
    assert len(faults) == 3 and "differs from a fresh one" in faults[0]
    assert quietly("sessions", "--store", str(store.store))[0] == 0
