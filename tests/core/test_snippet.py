"""A hit of a search is shown with what stands around it, never with thousands of characters."""

from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.text.snippet import snippet


def test_what_stands_around_the_hit():
    text = f"{'before ' * 200}the glazed belt{' after' * 200}"
    shown = snippet(text, "GLAZED belt")
    assert shown.startswith("… before ") and shown.endswith(" after …")
    assert "the glazed belt" in shown and len(shown) < 150


def test_a_short_text_is_whole_and_a_hit_in_no_word_of_it_shows_its_beginning():
    assert snippet("the belt", "belt") == "the belt"
    assert snippet("Étrange " * 50, "etrange").startswith("Étrange Étrange")


@given(st.text(), st.text())
def test_never_longer_than_its_room(text, words):
    assert len(snippet(text, words)) <= max(2 * 70 + 4, len(text) if len(text) <= 140 else 0)
