"""The pictures as they were looked at."""

import pytest

from tests.core.pictures.golden_pictures import GOLDEN, pictures

DRAWN = dict(pictures())


@pytest.mark.parametrize("name", sorted(DRAWN))
def test_it_is_drawn_as_it_was_looked_at(name):
    golden = (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")
    assert DRAWN[name].text + "\n" == golden, "python -m tests.core.pictures.golden_pictures"


def test_no_picture_is_left_over():
    assert {path.stem for path in GOLDEN.glob("*.txt")} == set(DRAWN)
