"""`paper` and `tag` at the prompt."""

import re


def test_blank_sheets_are_written_and_written_anew(run, definitions, tmp_path):
    path = tmp_path / "blank.pdf"
    for _ in range(2):
        ran = run("paper", "short", "test-bed", "-o", path)
        assert (ran.status, ran.out) == (0, "")
        assert f"Written to {path}." in ran.err
    assert path.read_bytes().startswith(b"%PDF-")


def test_a_list_that_is_not_there_is_a_wrong_input(run, definitions, tmp_path):
    ran = run("paper", "shrot", "test-bed", "-o", tmp_path / "blank.pdf")
    assert ran.status == 2
    assert "short" in ran.err
    assert not (tmp_path / "blank.pdf").exists()


def test_a_file_of_somebody_elses_is_never_replaced(run, session, tmp_path):
    path = tmp_path / "mine.pdf"
    path.write_bytes(b"%PDF-1.4 of mine")
    for command in (("paper", "short", "test-bed"), ("tag", session)):
        ran = run(*command, "-o", path)
        assert ran.status == 2
        assert path.read_bytes() == b"%PDF-1.4 of mine"


def test_the_tag_is_one_small_sheet_and_writes_nothing_into_the_log(run, session, tmp_path):
    run("record", session, "brake.holds=no")
    before = run("status", session, "--json").out
    ran = run("tag", session, "-o", tmp_path / "tag.pdf")
    assert ran.status == 0, ran.err
    data = (tmp_path / "tag.pdf").read_bytes()
    assert len(re.findall(rb"/Type /Page\b", data)) == 1
    assert run("status", session, "--json").out == before


def test_the_file_must_be_named(run, session):
    assert run("tag", session).status == 2
    assert run("paper", "short", "test-bed").status == 2
