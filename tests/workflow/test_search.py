"""Whatever is typed as a search finds entries or none: it is never read as a query language."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui import cli
from inspect_tui.workflow import store_index
from tests.seasons.histories import LogText, club

ODD = (
    "", " ", '"', '""', '"belt', "belt*", "*", "belt OR glazed", "NOT belt", "belt AND",
    "NEAR(a b)", "text:belt", "-belt", "^belt", "belt + glazed", "(belt", "{text}: x",
    "'; drop table log; --", "_", "a_b", "\0", "belt\0glazed",
    "\udcff", "\ud800x", "e\u0301te\u0301", "ÉTÉ", "ǅ", "ß", "SS",
    "\u202ebelt", "𝔟elt", "👍🏽", "İstanbul", "１２", "x" * 100_000, "belt " * 5_000,
    "[bold]", "%s%n", "\x1b[31m", "../../etc", "ﬁt", "٣", "क्षि", "1e999",
    "\n\n", "\u00a0", "belt\u200bworn",
)  # fmt: skip
WORDS = ("glazed", "été", "Straße", "belt_worn", "NOT", "or", "calliper 7", "ﬁne", "Ａ", "5%")


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    """A few sessions, one of them with odd words."""
    made = club(tmp_path_factory.mktemp("found") / "store", 8, 2)
    path = max(made.sessions.glob("*.toml"))
    text = LogText("A. Tester")
    source = path.read_bytes()
    text.data, text._n = source, source.count(b"[[entry]]")
    text._seal = source.rsplit(b'"', 2)[1]
    for word in WORDS:
        text.add("note", datetime(2026, 1, 1, tzinfo=UTC), step="belt", text=f"the {word} here")
    path.write_bytes(text.data)
    return made


def both(store, words: str):
    """What the index finds, and what the logs themselves do."""
    by_index = store_index.asked(store, lambda index: index.search(words), lambda: None)
    return by_index, store_index.search_logs(store, words)


@pytest.mark.parametrize("words", ODD, ids=range(len(ODD)))
def test_odd_words_end_in_an_answer(store, capsys, words):
    assert cli.main(["search", "--store", str(store.store), "--json", "--", words]) == 0
    printed = capsys.readouterr()
    assert printed.out.startswith("[") and "Traceback" not in printed.err
    by_index, by_logs = both(store, words)
    assert by_index == by_logs


@pytest.mark.parametrize("word", WORDS)
def test_a_word_that_stands_there_is_found(store, word):
    by_index, by_logs = both(store, word)
    assert by_index == by_logs
    assert any(text.endswith(f"the {word} here") for *_, text in by_index)


@settings(max_examples=60)
@given(st.data())
def test_the_index_finds_what_the_logs_hold(store, data):
    letters = st.text("abelt _-\"'*():^é\u0301ÉSs7%", max_size=20)
    several = st.lists(st.sampled_from([*WORDS, *ODD[:20]])).map(" ".join)
    by_index, by_logs = both(store, data.draw(letters | several))
    assert by_index == by_logs


@settings(max_examples=200)
@given(words=st.text(max_size=60))
def test_nothing_that_is_typed_is_a_query_language(store, words):
    found = store_index.asked(store, lambda index: index.search(words), lambda: None)
    assert isinstance(found, list)
