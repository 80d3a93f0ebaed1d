"""What the campaign of hostile input found, each once."""

import time
import warnings
from datetime import timedelta

import pytest

from inspect_tui.commands.common import now
from inspect_tui.core.definitions.load import load_checklist
from inspect_tui.core.definitions.of_log import compile_trusted
from inspect_tui.core.expressions.expression import parse
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.presentation.entry_words import entry_words
from inspect_tui.core.quantities import units
from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files import definition_files, photos
from inspect_tui.files.log.block import block
from inspect_tui.files.store import Store, list_sessions
from inspect_tui.workflow.inspection import Inspection
from tests import pictures
from tests.campaigns.changes import sealed
from tests.campaigns.targets import SHEETS, SHORT, START


@pytest.mark.parametrize("half", ("\ud800", "\udcff"))
def test_half_a_character_in_an_expression(half):
    with pytest.raises(BadInput):
        parse(f"1 + a{half}b", {})


def test_a_derived_value_that_rests_on_one_without_an_expression():
    sources = """
id = "x"
title = "X"
revision = 1
[[section]]
id = "s"
title = "S"
[[section.step]]
id = "plugs"
title = "Plugs"
[[section.step.derived]]
id = "gap"
label = "Gap"
unit = "mm"
[[section.step.derived]]
id = "wear"
label = "Wear"
value = "gap"
unit = "mm"
"""
    said = load_checklist(sources, "x.toml").problems
    assert any("value" in problem.message for problem in said)
    assert compile_trusted(sources).steps


def test_an_inference_of_a_log_that_says_nothing_of_when(tmp_path):
    checklist = (
        SHORT
        + """
[[inference]]
id = "slip"
says = "It slips."
[[inference]]
says = "It slips too."
"""
    )
    keys = {"format": 1, "session": "s", "checklist": checklist, "machine": SHEETS[0]}
    path = tmp_path / "s.toml"
    path.write_bytes(sealed((block(Entry(0, "opened", START, "A. Tester", keys)),)))
    with Inspection.open(Store(tmp_path), str(path), lambda: START, write=False) as inspection:
        assert inspection.results.findings == ()
        assert b"It slips" not in inspection.export("md")


@pytest.mark.parametrize("text", ("kdegC", "millidegF", "kdegC*mg"))
def test_a_prefix_before_a_temperature(text):
    with pytest.raises(BadInput):
        units.unit(text)


@pytest.mark.parametrize("said", (5, START, True, "two", {}))
def test_a_sign_off_whose_open_things_are_no_list(said):
    entry = Entry(1, "signed", START, "A. Tester", {"open": said, "accepted": "x"})
    assert " open" not in entry_words(entry)


def test_a_store_whose_name_is_too_long(tmp_path, run):
    places = Store(tmp_path / ("x" * 300))
    for look in (
        lambda: list_sessions(places),
        lambda: definition_files.list_all("machine", places),
    ):
        with pytest.raises(BadInput, match="can't be looked into: the name is too long"):
            look()
    with pytest.raises(NotSaved):
        places.make()
    ran = run("--store", places.store, "sessions")
    assert (ran.status, len(ran.err.splitlines())) == (2, 1)


def test_a_file_to_check_whose_name_is_too_long(run):
    ran = run("check", "a" * 300)
    assert (ran.status, ran.out, len(ran.err.splitlines())) == (2, "", 1)


def test_a_pictures_odd_metadata_warns_nobody(tmp_path):
    data = pictures.with_metadata()
    at = data.index(b"Exif")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for place in range(at + 14, at + 80):
            changed = bytearray(data)
            changed[place] ^= 0xFF
            try:
                picture = photos.checked(bytes(changed), "IMG_1.jpg")
                photos.keep(tmp_path, picture)
                photos.thumbnail(tmp_path, picture.file_name, 8, 8)
                photos.copy_for_export(tmp_path, picture.file_name, with_metadata=True)
            except BadInput as error:
                assert "damaged" in str(error)


@pytest.mark.parametrize(
    "command",
    [
        ["verify", "x.toml", "--signers", "~/signers"], ["sign", "x", "--by", "A", "--key", "~/k"],
        ["photo", "x", "belt", "~/x.jpg"], ["--store", "~/store", "sessions"],
    ],
)  # fmt: skip
def test_a_home_folder_that_is_none(run, monkeypatch, command):
    monkeypatch.setenv("HOME", "~")
    ran = run(*command)
    assert ran.status == 2
    assert "There is no home folder for" in ran.err


def test_a_zone_that_there_can_not_be_is_taken_for_utc(monkeypatch):
    monkeypatch.setenv("TZ", "UTC-167")
    time.tzset()
    try:
        assert now().utcoffset() == timedelta(0)
    finally:
        monkeypatch.undo()
        time.tzset()
