"""Which session a word names: an id, a beginning, `last`; what is mistyped is answered."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import BadInput
from inspect_tui.files.index import path_of
from inspect_tui.files.log.peek import peek
from inspect_tui.files.store import Store
from inspect_tui.workflow.resolve import session_id

NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)


def write(store: Store, name: str, hour: int, *kinds: str) -> None:
    """A log whose newest entry is so many hours after noon; only what `peek` reads is in it."""
    seal, data = "", b""
    for n, kind in enumerate(("opened", *kinds)):
        at = (NOON + timedelta(hours=hour, minutes=n)).isoformat()
        block = f'[[entry]]\nn = {n}\nkind = "{kind}"\nat = {at}\nby = "A. Tester"\n'.encode()
        seal = hashlib.sha256(seal.encode() + block).hexdigest()
        data += block + f'seal = "{seal}"\n'.encode()
    store.log(name).write_bytes(data)


@pytest.fixture
def store(tmp_path):
    made = Store(tmp_path / "store")
    made.make()
    path_of(made).mkdir()  # no index: the logs themselves are asked
    write(made, "2026-01-05-sled-pre-season", 1, "note")
    write(made, "2026-01-05-sled-lay-up", 3, "note", "signed")
    write(made, "2026-01-06-other-pre-season", 2)
    write(made, "last-of-all", 9, "set-aside")
    return made


@pytest.mark.parametrize(
    ("word", "named"),
    [
        ("2026-01-05-sled-lay-up", "2026-01-05-sled-lay-up"),
        ("2026-01-06", "2026-01-06-other-pre-season"),
        ("2026-01-05-sled-p", "2026-01-05-sled-pre-season"),
        ("last", "2026-01-06-other-pre-season"),  # never the beginning of last-of-all
        ("last-", "last-of-all"),
    ],
)
def test_a_word_names_a_session(store, word, named):
    assert session_id(store, word) == named


def test_last_is_the_newest_signed_one_where_none_is_open(store):
    for name in ("2026-01-05-sled-pre-season", "2026-01-06-other-pre-season"):
        store.log(name).unlink()
    assert session_id(store, "last") == "2026-01-05-sled-lay-up"
    store.log("2026-01-05-sled-lay-up").unlink()
    with pytest.raises(BadInput, match="no session yet"):
        session_id(store, "last")


def test_a_beginning_of_several_names_them(store):
    with pytest.raises(BadInput) as caught:
        session_id(store, "2026-01-05")
    assert "2 sessions" in str(caught.value) and "2026-01-05-sled-lay-up" in str(caught.value)


def test_a_mistyped_id_is_answered_with_the_nearest(store):
    with pytest.raises(BadInput, match="Did you mean 2026-01-06-other-pre-season"):
        session_id(store, "2026-01-06-othr-pre-season")
    with pytest.raises(BadInput):
        session_id(store, "")


def test_what_was_typed_is_no_state(tmp_path, store):
    path = store.log("2026-01-06-other-pre-season")
    text = 'text = "kind = \\"signed\\"\\nkind = \\"set-aside\\"\\n"\n'
    path.write_bytes(path.read_bytes().replace(b'by = "A. Tester"\n', text.encode(), 1))
    assert peek(path).state == "open"


@given(st.binary(max_size=400))
def test_any_bytes_have_a_state(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("any") / "log.toml"
    path.write_bytes(data)
    assert peek(path).state in ("open", "signed", "set-aside", "unreadable")
