"""Where things lie."""

import stat
from datetime import date
from pathlib import Path

import pytest

from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files import store as places_module
from inspect_tui.files.log.writer import Writer
from inspect_tui.files.store import (
    HOME_VARIABLE,
    Store,
    list_sessions,
    new_session_id,
    shipped,
    store,
)
from tests.files.log_examples import opened

DAY = date(2026, 10, 3)


def test_what_is_given_comes_before_the_environment(tmp_path, monkeypatch):
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "environment"))
    assert store(str(tmp_path / "given")).store == tmp_path / "given"
    assert store().store == tmp_path / "environment"


def test_the_platforms_folder_is_last(monkeypatch):
    monkeypatch.setattr(
        places_module.platformdirs, "user_data_path", lambda *a, **k: Path("/data/inspect-tui")
    )
    for setting in (None, ""):
        if setting is None:
            monkeypatch.delenv(HOME_VARIABLE, raising=False)
        else:
            monkeypatch.setenv(HOME_VARIABLE, setting)
        assert store().store == Path("/data/inspect-tui")


def test_a_store_stays_where_it_is_when_the_folder_changes(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found = store("here")
    monkeypatch.chdir("/")
    assert found.store == tmp_path / "here"


def test_home_is_understood(monkeypatch, tmp_path):
    monkeypatch.setenv("HOME", str(tmp_path))
    assert store("~/shed").store == tmp_path / "shed"


@pytest.mark.parametrize("given", ["", "  ", "a\0b", "~nobody-of-this-name/x"])
def test_no_store_of_that_name(given):
    with pytest.raises(BadInput, match="Name a folder"):
        store(given)


def test_getters_write_nothing(tmp_path):
    places = store(str(tmp_path / "none"))
    assert places.log("a") == tmp_path / "none" / "sessions" / "a.toml"
    assert list_sessions(places) == []
    assert new_session_id(places, DAY, "m", "c") == "2026-10-03-m-c"
    assert (places.checklists, places.machines) == (
        tmp_path / "none" / "checklists",
        tmp_path / "none" / "machines",
    )
    assert list(tmp_path.iterdir()) == []


def test_the_folders_are_private(tmp_path):
    places = Store(tmp_path / "a" / "store")
    places.make()
    places.make()
    for folder in (places.store, places.sessions, places.checklists, places.machines):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_file_where_the_store_should_be(tmp_path):
    (tmp_path / "store").touch()
    with pytest.raises(NotSaved, match="is a file"):
        Store(tmp_path / "store").make()
    with pytest.raises(NotSaved, match="no folder"):
        Store(tmp_path / "store" / "below").make()


@pytest.mark.parametrize("session", ["a", "0", "2026-10-03-m-c", "A.b_c-d", "x" * 120])
def test_ids_of_sessions(tmp_path, session):
    assert Store(tmp_path).log(session) == tmp_path / "sessions" / f"{session}.toml"


@pytest.mark.parametrize(
    "session",
    ["", ".", "..", "../a", "a..b", "a/b", "a\\b", "/etc/passwd", "-a", ".a", "_a", "a b", "a\n",
     "a\0", "é", "x" * 121, "C:a", "\x1b[2Ja", "~a"],
)  # fmt: skip
def test_odd_ids_are_never_followed(tmp_path, session):
    with pytest.raises(BadInput, match="can't be a session's id") as refusal:
        Store(tmp_path).log(session)
    assert str(refusal.value).isprintable()


def test_sessions_in_order_and_nothing_else(tmp_path):
    places = Store(tmp_path)
    places.make()
    for name in ("b", "a", "2026-10-03-m-c"):
        Writer.create(places.log(name), opened()).close()
    (places.sessions / "..odd.toml").touch()
    (places.sessions / "notes.txt").touch()
    (places.sessions / "folder.toml").mkdir()
    assert [path.stem for path in list_sessions(places)] == ["2026-10-03-m-c", "a", "b"]


def test_a_new_id_is_not_taken(tmp_path):
    places = Store(tmp_path)
    places.make()
    ids = []
    for _ in range(3):
        ids.append(new_session_id(places, DAY, "m", "c"))
        places.log(ids[-1]).touch()
    assert ids == ["2026-10-03-m-c", "2026-10-03-m-c-2", "2026-10-03-m-c-3"]


def test_a_new_id_of_very_long_names(tmp_path):
    places = Store(tmp_path)
    places.make()
    for _ in range(2):
        name = new_session_id(places, DAY, "m" * 100, "c" * 100)
        assert not places.log(name).exists()
        places.log(name).touch()


def test_names_that_make_no_session(tmp_path):
    with pytest.raises(BadInput):
        new_session_id(Store(tmp_path), DAY, "../m", "c")


def test_the_shipped_lists_of_a_checkout_and_of_a_wheel(tmp_path, monkeypatch):
    assert shipped() == Path(places_module.__file__).parents[2] / "checklists"
    package = tmp_path / "inspect_tui"
    monkeypatch.setattr(places_module, "_PACKAGE", package)
    assert shipped() == tmp_path / "checklists"
    (package / "checklists").mkdir(parents=True)
    assert shipped() == package / "checklists"
