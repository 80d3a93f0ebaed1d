"""The view for two metres: everything in it at both sizes, as large as there is room."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.presentation.pictures.block_figures import (
    LargeView,
    capitals,
    draw,
    draw_figure,
    figure,
    fraction,
    half_blocks,
    quadrants,
    read_faces,
    word,
)
from tests.core.pictures.picture_examples import FACES, VIEWS, sizes, sound, texts

views = st.builds(
    LargeView, texts, texts, texts | st.from_regex(r"[0-9]{1,3}(-[1-7]/8)?", fullmatch=True),
    texts, st.sampled_from(["pass", "fail", "uncertain", "none"]), texts,
)  # fmt: skip


@settings(max_examples=60)
@given(views, sizes, st.booleans())
def test_any_view_at_any_size_has_that_size(view, size, plain):
    sound(draw(view, FACES, *size, ascii=plain), *size)
    sound(draw_figure(view.answer, FACES, *size), *size)


def rows_of(picture, text):
    """How many rows a text takes there in one of the faces, 0 where it isn't found."""
    for lines in _blocks(text):
        for number in range(len(picture.lines) - len(lines) + 1):
            there = [line.rstrip() for line in picture.lines[number : number + len(lines)]]
            wanted = [line.rstrip() for line in lines]
            if all(a.startswith(b) for a, b in zip(there, wanted, strict=True)):
                return len(lines)
    return 0


def _blocks(text):
    for scale in (6, 5, 4, 3, 2, 1):
        if (dots := figure(text, FACES, scale)) is not None:
            yield half_blocks(dots)
    for face in ("large", "small"):
        if (dots := word(capitals(text), FACES[face])) is not None:
            yield half_blocks(dots)
            yield quadrants(dots)


@pytest.mark.parametrize("size", [(80, 24), (40, 20), (120, 40)])
def test_question_cylinder_and_answer_are_in_blocks(size):
    for view in VIEWS[:2]:
        picture = draw(view, FACES, *size)
        assert rows_of(picture, view.cylinder) >= 3
        assert rows_of(picture, view.answer) >= 7
        assert rows_of(picture, view.question.split(",")[0].split()[0]) >= 3
        assert (view.unit in picture.text and view.said.split()[0] in picture.text) or size[0] > 80


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.question)
@pytest.mark.parametrize("size", [(80, 24), (40, 20)])
def test_nothing_is_cut(view, size):
    picture = draw(view, FACES, *size)
    assert "…" not in picture.text


def test_the_answer_grows_with_the_screen():
    small, large = (rows_of(draw(VIEWS[1], FACES, *size), "95") for size in ((40, 20), (120, 40)))
    assert large > small >= 7


def test_fail_and_pass_are_said_in_a_sign_and_a_word():
    lines = draw(VIEWS[0], FACES, 80, 24).lines
    (fail,) = [half_blocks(word("✗ FAIL", FACES["small"]))]
    assert any(line.startswith(fail[1].rstrip()) for line in lines)


def test_without_an_answer_that_is_said():
    assert "no answer yet" in draw(VIEWS[2], FACES, 40, 20).text


def test_what_the_faces_lack_stands_in_plain_type():
    picture = draw(LargeView("Зазор", "中", "0.4", "mm"), FACES, 60, 20)
    assert "Зазор" in picture.text and "中" in picture.text


def test_a_fraction_is_built_up():
    over = half_blocks(fraction("1", "4", FACES["small"]))
    assert over == (" ▄█  ", "  █  ", " ▀▀▀ ", "▀▀▀▀▀", " █ █ ", " ▀▀█ ", "   ▀ ")
    assert figure("1-1/4", FACES, 1) == figure("1¼", FACES, 1) == figure("1 1/4", FACES, 1)


@pytest.mark.parametrize(("typed", "shown"), [
    ("½", "1/2"), ("2¾", "2-3/4"), ("naïve", "NAIVE"), ("−3", "-3"), ("31.7", "31.7"),
])  # fmt: skip
def test_text_is_brought_to_what_the_faces_have(typed, shown):
    assert capitals(typed) == shown


def test_a_running_timer_fills_its_room():
    picture = draw_figure("1:23", FACES, 60, 7)
    assert sum(bool(line.strip()) for line in picture.lines) == 7
    left = min(len(line) - len(line.lstrip()) for line in picture.lines if line.strip())
    assert abs(left - (60 - max(len(line.rstrip()) for line in picture.lines))) <= 3


def test_both_faces_have_the_same_characters_of_one_height():
    assert {len(dots) for dots in FACES["small"].values()} == {5}
    assert {len(dots) for dots in FACES["large"].values()} == {7}
    assert set(FACES["small"]) == set(FACES["large"])
    assert set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,-+/:?'%°=<>()±✓✗") <= set(FACES["small"])


def test_an_uneven_letter_is_refused():
    with pytest.raises(ValueError, match="A"):
        read_faces('[small]\n"A" = "## #"\n[large]\n"A" = "#"')
