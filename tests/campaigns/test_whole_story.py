"""The whole story by keys: every reading is taken where it is asked."""

from tests.campaigns.whole_story import by_keys, typed


def test_what_is_asked_is_answered_in_the_order_of_the_list(tmp_path):
    counts = dict(by_keys(tmp_path / "store").rows)
    assert int(counts["readings"]) == sum(len(rows) for _, rows in typed())
    assert float(counts["presses a reading"]) < 3  # figures typed out and cautions among them
