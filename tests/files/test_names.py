"""A log's name against its id, and against the log that lies under that id."""

from __future__ import annotations

import pytest

from inspect_tui.files.log.names import NameCheck, check_name
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import note, opened

FIRST, SECOND = "2026-10-03-bench-short", "2026-10-04-bench-short"


@pytest.fixture
def log(tmp_path):
    """Makes a log of a session under a name."""

    def made(session, name):
        path = tmp_path / f"{name}.toml"
        with Writer.create(path, opened(session=session)) as writer:
            writer.append([note("x")])
        return path

    return made


def checked(path):
    return check_name(path, read(path).entries)


def test_a_log_under_its_own_name_or_an_empty_one_is_as_it_should_be(log):
    assert checked(log(FIRST, FIRST)) == NameCheck()
    assert checked(log(SECOND, "kept")) == NameCheck()  # renamed, and nothing lies under its own


def test_of_two_whose_names_were_exchanged_each_is_told(log):
    one, other = log(SECOND, FIRST), log(FIRST, SECOND)
    for path in (one, other):
        found = checked(path)
        assert "the names of the two files were exchanged" in found.exchanged
        assert found.doubled == ""


def test_a_copy_beside_the_log_is_told_and_the_log_is_not(log, tmp_path):
    own = log(FIRST, FIRST)
    copy = tmp_path / "copy.toml"
    copy.write_bytes(own.read_bytes())
    assert "is a copy of the session" in checked(copy).doubled
    assert checked(own) == NameCheck()


def test_a_link_to_the_log_is_the_log(log, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(log(FIRST, FIRST))
    assert checked(link) == NameCheck()


def test_what_lies_under_its_name_and_is_no_log_is_no_other_session(log, tmp_path):
    (tmp_path / f"{FIRST}.toml").write_text("a list", encoding="utf-8")
    assert checked(log(FIRST, "kept")) == NameCheck()
