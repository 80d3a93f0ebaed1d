"""The whole story by keys, from the blank sheets: found, left, decided, signed."""

from tests.campaigns.whole_story import by_keys, typed


def test_the_whole_job_by_keys(tmp_path):
    counts = dict(by_keys(tmp_path / "store", paper=True).rows)
    asked = sum(len(rows) for _, rows in typed())
    assert int(counts["readings"]) == int(counts["readings from paper"]) == asked
    assert float(counts["presses a reading"]) < 3  # figures typed out and cautions among them
    assert counts["state"] == "signed"
