"""Set and check, the air of the day, the jet chart and photos, on the screens."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.workflow.inspection import Inspection
from tests import pictures
from tests.builders import band, checklist, reading, section, setting, sheet, step
from tests.tui.conftest import settled, type_in

CHECKLIST = checklist(
    section("work"),
    step(
        "pump",
        reading("offset", label="Offset", limit='{ min = "-0.5 mm", max = "0.5 mm" }'),
        reading("play", label="Play"),
        setting(
            "adjuster",
            "offset",
            "(0 - offset / '1 mm') / 2",
            "",
            more="Adjuster out",
            less="Adjuster in",
            least="0.25",
        ),
        title="Pump mark",
    ),
    step(
        "line",
        reading("left", label="Gap left"),
        reading("right", label="Gap right"),
        setting(
            "bolts",
            "left",
            "(right - left) / '4 mm'",
            "",
            more="Left bolt tighter",
            less="Right bolt tighter",
            least="0.125",
        ),
        title="Track line",
    ),
    step(
        "jets",
        reading("main", "count", label="Main jet", limit='{ min = "chart.main_jet" }'),
        title="Main jets",
        per="cylinder",
    ),
    step(
        "place",
        reading("cold", unit="degC", label="Temperature there", condition='"temperature"'),
        title="Where it rides",
    ),
    step("picture", reading("photo", "photo", label="How the hoses ran"), title="Pictures"),
    id_="tune",
)
MACHINE = sheet(
    id_="twin",
    name="Twin",
    spec={"main_jet": "[240, 250]"},
    rest=band('["-30 degC", "-10 degC"]', '["0 m", "600 m"]', main_jet="[250, 260]")
    + band('["-10 degC", "10 degC"]', '["0 m", "600 m"]', main_jet="[230, 240]"),
)


@pytest.fixture
def tune(places, clock):
    """A session of the tuning list."""
    (places.checklists / "tune.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "twin.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "tune", "twin", "R. Tester", clock) as inspection:
        return inspection.session.id


def test_the_next_move_stands_where_the_reading_is_asked(walk, tune):
    at = walk(tune)
    at.type("3", "enter", "enter")  # asked about first: a point may have been lost
    at.press("enter")
    assert "Adjuster in: 1.5" in at.text and "again as left (F2)" in at.text
    assert str(at.target) == "pump.play"  # as found is written down before anything is moved
    at.press("f2")
    assert str(at.target) == "pump.offset" and "AS LEFT" in at.text
    assert "Adjuster in: 1.5" in at.text


def test_the_reading_is_asked_again_as_left_until_it_is_in(walk, tune):
    at = walk(tune)
    at.type("3", "enter", "f2")
    at.type("1", "enter")
    assert str(at.target) == "pump.offset" and "Adjuster in: 0.5" in at.text
    at.type("0.2", "enter")
    assert str(at.target) == "pump.play"
    at.press("up")
    assert "in place: nothing to move" in at.text


def test_found_left_after_the_last_reading_of_a_step_goes_back_to_its_move(walk, tune):
    at = walk(tune, at="line")
    for text in ("10", "14"):
        at.type(text, "enter")
    assert "Left bolt tighter: 1" in at.text and at.state.step == "jets"
    at.press("f2")
    assert str(at.target) == "line.left"


def test_a_person_who_went_elsewhere_is_not_taken_back(walk, tune):
    at = walk(tune)
    at.type("3", "enter")
    at.go("picture")
    at.press("f2")
    assert str(at.target) == "picture.photo"


def test_a_move_that_rests_on_two_readings_wants_both_anew(walk, tune):
    at = walk(tune, at="line")
    for text in ("10", "14"):
        at.type(text, "enter")
    assert [row.rests_on for row in at.results.settings] == [("left", "right")]
    at.press("f2")
    asked = [str(at.target)]
    for text in ("11", "13", "12", "12"):
        at.type(text, "enter")
        asked.append(str(at.target))
    assert asked[:4] == ["line.left", "line.right", "line.left", "line.right"]
    assert at.results.row("line", "left", None, "as-left").entered == "12"
    assert at.results.row("line", "right", None, "as-left").entered == "12"
    assert not any(row.suggested for row in at.results.settings)


def test_what_was_typed_ahead_of_asking_again_lands_in_the_next_reading(walk, tune):
    at = walk(tune)
    at.type("3", "enter", "f2")
    at.burst("1\r7\r")
    assert at.results.row("pump", "offset", None, "as-left").entered == "1"
    assert at.results.row("pump", "play", None, "as-left").entered == "7"


def enter_air(at, *figures):
    """The air of the day, figure by figure."""
    at.press("ctrl+d")
    for figure in figures:
        at.type(figure, "enter")


def test_the_air_says_what_changed_its_verdict_and_stands_on_the_sheet(walk, tune):
    at = walk(tune, (100, 40), at="jets")
    assert "not entered yet; Ctrl+D asks for it" in at.text
    for text in ("240", "250"):
        at.type(text, "enter")
    enter_air(at, "-20 C", "1010 hPa", "100 m", "")
    assert "CHANGED ITS VERDICT" in at.text and "now fail" in at.text
    assert "Main jet PTO as found" in at.text
    assert "1010 hPa" in at.text and "worked out" in at.text and "kg/m³" in at.text
    assert "-30 °C to -10 °C" in at.text
    at.press("escape")
    at.go("jets")
    assert "-20 °C" in at.text and "at sea level 1010 hPa" in at.text


def test_a_reading_that_says_the_air_says_what_it_changed(walk, tune):
    at = walk(tune, (100, 40), at="jets")
    for text in ("240", "250"):
        at.type(text, "enter")
    enter_air(at, "0 C", "", "100 m", "")
    at.press("escape")
    at.go("place")
    at.type("-20", "enter")
    assert "± Main jet PTO as found: pass, now fail" in at.text


def test_leaving_the_air_writes_nothing(walk, tune):
    at = walk(tune)
    log = at.log
    at.press("ctrl+d")
    at.type("-5", "escape")
    assert at.log == log and at.state.panel == "" and at.state.prompt is None


async def test_the_jet_chart_beside_what_was_found(job, places, clock, tune):
    with Inspection.open(places, tune, clock) as inspection:
        inspection.record([(Target("jets", "main", "PTO"), "240")])
        inspection.record([(Target("jets", "main", "MAG"), "260")])
    async with job(tune, size=(120, 40)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        assert "No band: the temperature and altitude" in pilot.screen_text()
        await pilot.press("escape", "ctrl+d")
        for figure in ("-11 C", "", "100 m", ""):
            await type_in(pilot, figure, "enter")
        await pilot.press("f8")
        await settled(pilot)
        text = pilot.screen_text()
        assert "Band: -30 °C to -10 °C" in text and "Near the forecast: -10 °C" in text
        lean = next(row for row in text.splitlines() if "leaner" in row)
        assert "▲ 10 leaner than the chart" in lean and "250" in lean and "230" in lean
        assert "✓ as the chart" in text


async def test_a_photo_is_taken_from_the_field_and_looked_at(job, tune, tmp_path):
    file = tmp_path / "hoses x.jpg"
    file.write_bytes(pictures.saved("JPEG"))
    async with job(tune) as pilot:
        walk = pilot.app.screen.walk
        walk.go_to_step("picture")
        await pilot.press("ctrl+x")
        await pilot.pause()
        assert "No photo at this step" in pilot.screen_text()
        await type_in(pilot, f"file:{file}", "enter")
        assert 'entered = "hoses x.jpg"' in pilot.log() and "sha256:" in pilot.log()
        walk.go_to_step("picture")
        await pilot.press("ctrl+x")
        await settled(pilot)
        text = pilot.screen_text()
        assert "hoses x.jpg" in text and "photo 1 of 1" in text
        await pilot.press("right", "escape")
        await settled(pilot)
        assert walk.state.step == "picture"


def test_a_photo_put_at_any_step_and_one_that_is_none(walk, tune, tmp_path):
    good, bad = tmp_path / "a.jpg", tmp_path / "b.jpg"
    good.write_bytes(pictures.saved("JPEG"))
    bad.write_bytes(b"no picture")
    at = walk(tune)
    at.do("attach")
    at.type(str(bad), "enter")
    assert "no picture" in at.text and at.entries("photo") == 0
    at.press("escape")
    if at.state.prompt is not None:
        at.press("escape")  # the path is long: asked once before it goes
    at.do("attach")
    at.type(str(good), "enter")
    assert at.entries("photo") == 1 and "a.jpg" in at.log
    at.press("ctrl+x")
    assert at.opened == ["photos"]
