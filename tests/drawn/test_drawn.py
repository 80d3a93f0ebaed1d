"""The pictures show what the program shows; the README's are among them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.drawn.draw import FOLDER, PICTURES, drawn, lines_of

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def colours(monkeypatch):
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.mark.parametrize("name", PICTURES)
async def test_a_picture_is_what_the_program_draws(name):
    kept = (FOLDER / f"{name}.svg").read_text(encoding="utf-8")
    assert lines_of(await drawn(name)) == lines_of(kept), "look, then: python -m tests.drawn.draw"


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_fetches_nothing(name):
    kept = (FOLDER / f"{name}.svg").read_text(encoding="utf-8")
    assert re.findall(r"url\((?!#)|href=", kept) == []


def test_the_readme_s_pictures_are_there():
    named = re.findall(r"!\[[^]]+\]\(([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert named
    assert all((ROOT / each).parent == FOLDER and (ROOT / each).is_file() for each in named)
