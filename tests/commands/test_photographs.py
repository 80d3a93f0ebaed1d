"""Photos at the prompt: taken, seen to be gone, and left bare in exports."""

from __future__ import annotations

import base64
import hashlib
import json
import stat

import pytest

from inspect_tui.files import photos
from tests import pictures
from tests.commands.conftest import CHECKLIST

SHOWN = """
[[section.step]]
id = "photos"
title = "Photos"
how = "Before anything is moved."
[[section.step.reading]]
id = "hoses"
label = "Hoses"
kind = "photo"
[[section.step.reading]]
id = "words"
label = "Words"
kind = "text"

[[inference]]
"""


@pytest.fixture
def session(definitions, run):
    text = CHECKLIST.replace("[[inference]]", SHOWN.strip() + "\n", 1)
    (definitions.checklists / "short.toml").write_text(text, encoding="utf-8")
    ran = run("new", "short", "test-bed", "--by", "R. Tester")
    assert ran.status == 0, ran.err
    return ran.out.strip()


@pytest.fixture
def picture(tmp_path):
    folder = tmp_path / "a private folder"
    folder.mkdir()
    path = folder / "IMG_1.jpg"
    path.write_bytes(pictures.with_metadata())
    return path


def row(status, session):
    return next(one for one in status(session)["readings"] if one["reading"] == "hoses")


def test_a_photo_reading_takes_the_file_and_holds_its_hash(
    session, run, status, picture, definitions
):
    ran = run("record", session, f"photos.hoses=file:{picture}")
    assert ran.status == 0, ran.err
    assert "place where it was taken" in ran.err
    digest = hashlib.sha256(picture.read_bytes()).hexdigest()
    found = row(status, session)
    assert (found["value"], found["entered"]) == (f"sha256:{digest}", "IMG_1.jpg")
    kept = definitions.photos / f"{digest}.jpg"
    assert kept.read_bytes() == picture.read_bytes()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert "a private folder" not in definitions.log(session).read_text()
    ran = run("verify", session)
    assert ran.status == 0
    assert "Its 1 photo are there" in ran.out or "photo" in ran.out


def test_words_stay_words_and_only_a_photo_is_a_file(session, run, status, picture):
    ran = run("record", session, f"photos.hoses={picture}", f"photos.words=file:{picture}")
    assert ran.status == 0, ran.err
    assert row(status, session)["value"] == str(picture)


@pytest.mark.parametrize("text", ["file:", "file:/no/such.jpg", "file:~nobody-here/x.jpg"])
def test_a_file_that_is_not_there(session, run, definitions, text):
    before = definitions.log(session).read_bytes()
    ran = run("record", session, f"photos.hoses={text}")
    assert ran.status == 2
    assert ran.err.count("\n") == 1
    assert definitions.log(session).read_bytes() == before


def test_nothing_is_kept_when_another_value_of_the_lot_is_wrong(session, run, definitions, picture):
    ran = run("record", session, f"photos.hoses=file:{picture}", "belt.width=nonsense")
    assert ran.status == 2
    assert not definitions.photos.exists()


def test_an_address_as_file_managers_give_it(session, run, status, picture):
    ran = run("record", session, f"photos.hoses={picture.as_uri()}")
    assert ran.status == 0, ran.err
    assert row(status, session)["entered"] == "IMG_1.jpg"


def test_a_photo_at_any_step_and_once_in_the_store(session, run, definitions, picture):
    for step in ("belt", "brake"):
        ran = run("photo", session, step, picture)
        assert ran.status == 0, ran.err
    ran = run("photo", session, "main-jet", picture, "--cylinder", "PTO", "--by", "A. Helper")
    assert ran.status == 0, ran.err
    assert [path.name for path in definitions.photos.iterdir()] == [ran.out.strip()]
    text = run("export", session, "--to", "md", "--with-log").out
    assert text.count("photo at") == 3
    assert run("photo", session, "nowhere", picture).status == 2
    assert run("photo", session, "belt", picture, "--cylinder", "PT0").status == 2


def test_a_renamed_executable_is_refused(session, run, tmp_path):
    path = tmp_path / "IMG_2.jpg"
    path.write_bytes(b"\x7fELF" + bytes(500))
    ran = run("photo", session, "belt", path)
    assert ran.status == 2
    assert "is no picture" in ran.err


def test_a_missing_and_a_changed_photo_are_noticed(session, run, definitions, picture):
    name = run("photo", session, "belt", picture).out.strip()
    assert run("verify", session).status == 0
    (definitions.photos / name).write_bytes(pictures.saved("JPEG"))
    ran = run("verify", session)
    assert ran.status == 1
    assert f"Entry 1: the photo {name} was changed." in ran.err
    (definitions.photos / name).unlink()
    ran = run("verify", session, "--json")
    assert ran.status == 1
    assert json.loads(ran.out)["problems"] == [f"Entry 1: the photo {name} is missing."]


def test_a_moved_photo_reading_keeps_its_picture(session, run, status, picture, definitions):
    from inspect_tui.commands.common import now
    from inspect_tui.workflow.inspection import Inspection, Target

    run("record", session, f"photos.hoses=file:{picture}")
    before = row(status, session)
    with Inspection.open(definitions, session, now) as held:
        held.move(Target("photos", "hoses"), "as-found")
    after = row(status, session)
    assert (after["phase"], after["value"]) == ("as-left", before["value"])
    assert run("verify", session).status == 0


def test_a_signed_session_takes_no_photo(session, run, picture):
    accepted = ("--accept-open", "as it is", "--accept", "brake=no")
    assert run("sign", session, "--by", "R. Tester", *accepted).status == 0
    assert run("photo", session, "belt", picture).status == 1


def test_exports_name_the_photo_and_keep_its_metadata_out(session, run, picture, tmp_path):
    run("record", session, f"photos.hoses=file:{picture}")
    run("photo", session, "main-jet", picture, "--cylinder", "PTO")
    digest = hashlib.sha256(picture.read_bytes()).hexdigest()
    for form in ("md", "html", "csv", "json"):
        text = run("export", session, "--to", form).out
        assert "IMG" in text and digest in text
        for secret in ("Invented Cameras", "Owner Of", "a private folder"):
            assert secret not in text
    page = run("export", session, "--to", "html").out
    copies = [
        base64.b64decode(part.partition('"')[0])
        for part in page.split("data:image/jpeg;base64,")[1:]
    ]
    assert len(copies) == 2
    for copy in copies:
        assert b"Owner" not in copy and b"Exif" not in copy
        assert photos.checked(copy, "copy").kind == "jpg"
    for more in ((), ("--photo-metadata",)):
        path = tmp_path / "report.html"
        assert run("export", session, "--to", "html", "-o", path, *more).status == 0
        assert (b"Owner Of" in base64.b64decode(
            path.read_text().split("base64,")[1].partition('"')[0])) == bool(more)  # fmt: skip
        ran = run("verify", path)
        assert ran.status == 0, ran.err


def test_an_export_without_its_photo_still_names_it(session, run, picture, definitions):
    name = run("photo", session, "belt", picture).out.strip()
    (definitions.photos / name).unlink()
    page = run("export", session, "--to", "html").out
    assert "<img" not in page
    assert name.partition(".")[0] in page
