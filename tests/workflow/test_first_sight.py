"""What a session shows first: held to its log byte for byte, and to nothing that was planted."""

from __future__ import annotations

import os

import pytest

from inspect_tui.files.store import Store
from inspect_tui.workflow import first_sight

SEAL = "a1" * 32
LOG = b'[[entry]]\nn = 0\nseal = "%s"\n' % SEAL.encode()
CONTENT = [["a", "✓ Belt"], None, {"x": 1}]


@pytest.fixture
def places(tmp_path):
    store = Store(tmp_path / "store")
    store.make()
    store.log("s").write_bytes(LOG)
    return store


def keep(places, session="s"):
    state = first_sight.state_of(places, session, SEAL)
    assert state is not None
    first_sight.write(places, session, state, CONTENT)


def file_of(places, session="s"):
    return places.store / first_sight.FOLDER / f"{session}.json"


def test_it_comes_back_as_it_was_kept_private_to_its_owner(places):
    assert first_sight.read(places, "s") is None
    keep(places)
    assert first_sight.read(places, "s") == CONTENT
    assert file_of(places).stat().st_mode & 0o077 == 0


def test_another_byte_in_the_log_or_in_what_was_kept_and_it_is_gone(places):
    keep(places)
    log, kept = places.log("s").read_bytes(), file_of(places).read_bytes()
    for place in range(len(log)):
        places.log("s").write_bytes(log[:place] + bytes([log[place] ^ 1]) + log[place + 1 :])
        assert first_sight.read(places, "s") is None
    places.log("s").write_bytes(log + b"x")
    assert first_sight.read(places, "s") is None
    places.log("s").write_bytes(log)
    for place in range(len(kept)):
        file_of(places).write_bytes(kept[:place] + bytes([kept[place] ^ 1]) + kept[place + 1 :])
        assert first_sight.read(places, "s") is None
        file_of(places).write_bytes(kept[:place])
        assert first_sight.read(places, "s") is None
    file_of(places).write_bytes(kept)
    assert first_sight.read(places, "s") == CONTENT


def test_another_program_draws_its_own(places, monkeypatch):
    keep(places)
    monkeypatch.setattr(first_sight, "__version__", "99.0")
    assert first_sight.read(places, "s") is None


def test_what_it_was_of_counts_not_what_the_log_became_meanwhile(places):
    state = first_sight.state_of(places, "s", SEAL)
    with places.log("s").open("ab") as log:
        log.write(b"more\n")
    first_sight.write(places, "s", state, CONTENT)
    assert first_sight.read(places, "s") is None


def test_links_pipes_and_folders_in_its_place_are_not_followed(places, tmp_path):
    keep(places)
    data = file_of(places).read_bytes()
    elsewhere = tmp_path / "elsewhere.json"
    elsewhere.write_bytes(data)
    file_of(places).unlink()
    file_of(places).symlink_to(elsewhere)
    assert first_sight.read(places, "s") is None
    keep(places)  # a file of its own takes the link's place
    assert elsewhere.read_bytes() == data and not file_of(places).is_symlink()
    assert first_sight.read(places, "s") == CONTENT
    file_of(places).unlink()
    os.mkfifo(file_of(places))
    assert first_sight.read(places, "s") is None
    file_of(places).unlink()
    file_of(places).mkdir()
    keep(places)
    assert first_sight.read(places, "s") is None and file_of(places).is_dir()


def test_a_folder_that_is_a_link_is_left_alone(places, tmp_path):
    theirs = tmp_path / "theirs"
    theirs.mkdir()
    (places.store / first_sight.FOLDER).symlink_to(theirs)
    keep(places)
    assert not list(theirs.iterdir())


def test_the_oldest_go_and_a_file_that_is_not_ours_stays(places):
    folder = places.store / first_sight.FOLDER
    folder.mkdir()
    (folder / "mine.json").write_text("{}")
    os.utime(folder / "mine.json", (1, 1))
    for number in range(first_sight.MOST + 5):
        places.log(f"s{number}").write_bytes(LOG)
        keep(places, f"s{number}")
        os.utime(file_of(places, f"s{number}"), (100 + number, 100 + number))
    assert (folder / "mine.json").exists()
    kept = {path.stem for path in folder.glob("s*.json")}
    assert len(kept) <= first_sight.MOST and f"s{first_sight.MOST + 4}" in kept
    assert "s0" not in kept


def test_nothing_that_can_be_no_session_is_looked_for(places):
    assert (
        first_sight.read(places, "../s") is None and first_sight.state_of(places, "", SEAL) is None
    )


def test_a_log_that_took_the_place_of_the_one_that_was_seen_is_none(places):
    assert first_sight.state_of(places, "s", SEAL) is not None
    assert first_sight.state_of(places, "s", "b1" * 32) is None
    places.log("s").unlink()
    assert first_sight.state_of(places, "s", SEAL) is None
