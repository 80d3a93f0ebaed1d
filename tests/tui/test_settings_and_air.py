"""Set and check, the air of the day, the jet chart and photos, on the screens."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.workflow.inspection import Inspection
from tests import pictures
from tests.tui.conftest import settled, type_in

CHECKLIST = """
id = "tune"
title = "Tune"
revision = 1

[[section]]
id = "work"
title = "Work"

[[section.step]]
id = "pump"
title = "Pump mark"
[[section.step.reading]]
id = "offset"
label = "Offset"
kind = "number"
unit = "mm"
limit = { min = "-0.5 mm", max = "0.5 mm" }
[[section.step.reading]]
id = "play"
label = "Play"
kind = "number"
unit = "mm"
[[section.step.setting]]
id = "adjuster"
reading = "offset"
move = "(0 - offset / '1 mm') / 2"
least = 0.25
more = "Adjuster out"
less = "Adjuster in"

[[section.step]]
id = "line"
title = "Track line"
[[section.step.reading]]
id = "left"
label = "Gap left"
kind = "number"
unit = "mm"
[[section.step.reading]]
id = "right"
label = "Gap right"
kind = "number"
unit = "mm"
[[section.step.setting]]
id = "bolts"
reading = "left"
move = "(right - left) / '4 mm'"
least = 0.125
more = "Left bolt tighter"
less = "Right bolt tighter"

[[section.step]]
id = "jets"
title = "Main jets"
per = "cylinder"
[[section.step.reading]]
id = "main"
label = "Main jet"
kind = "count"
limit = { min = "chart.main_jet" }

[[section.step]]
id = "place"
title = "Where it rides"
[[section.step.reading]]
id = "cold"
label = "Temperature there"
kind = "number"
unit = "degC"
condition = "temperature"

[[section.step]]
id = "picture"
title = "Pictures"
[[section.step.reading]]
id = "photo"
label = "How the hoses ran"
kind = "photo"
"""
MACHINE = """
id = "twin"
name = "Twin"
cylinders = ["PTO", "MAG"]
[spec]
main_jet = [240, 250]
[[jet_chart]]
temperature = ["-30 degC", "-10 degC"]
altitude = ["0 m", "600 m"]
main_jet = [250, 260]
[[jet_chart]]
temperature = ["-10 degC", "10 degC"]
altitude = ["0 m", "600 m"]
main_jet = [230, 240]
"""


@pytest.fixture
def tune(places, clock):
    """A session of the tuning list."""
    (places.checklists / "tune.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "twin.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "tune", "twin", "R. Tester", clock) as inspection:
        return inspection.session.id


def at(pilot):
    """Which reading is asked."""
    return str(pilot.app.screen.target)


async def test_the_next_move_stands_where_the_reading_is_asked(job, tune):
    async with job(tune) as pilot:
        await type_in(pilot, "3", "enter")
        text = pilot.screen_text()
        assert "Adjuster in: 1.5" in text and "again as left" in text and "(F2)" in text
        assert at(pilot) == "pump.play"  # as found is written down before anything is moved
        await pilot.press("f2")
        await settled(pilot)
        assert at(pilot) == "pump.offset" and "AS LEFT" in pilot.screen_text()
        assert "Adjuster in: 1.5" in pilot.screen_text()


async def test_the_reading_is_asked_again_as_left_until_it_is_in(job, tune):
    async with job(tune) as pilot:
        await type_in(pilot, "3", "enter", "f2")
        await settled(pilot)
        await type_in(pilot, "1", "enter")
        await settled(pilot)
        assert at(pilot) == "pump.offset" and "Adjuster in: 0.5" in pilot.screen_text()
        await type_in(pilot, "0.2", "enter")
        assert at(pilot) == "pump.play"
        await pilot.press("up")
        await settled(pilot)
        assert "in place: nothing to move" in pilot.screen_text()


async def test_found_left_after_the_last_reading_of_a_step_goes_back_to_its_move(job, tune):
    async with job(tune) as pilot:
        pilot.app.screen.go_to_step("line")
        for text in ("10", "14"):
            await type_in(pilot, text, "enter")
        assert "Left bolt tighter: 1" in pilot.screen_text()
        assert pilot.app.screen.at == "jets"
        await pilot.press("f2")
        await settled(pilot)
        assert at(pilot) == "line.left"


async def test_a_person_who_went_elsewhere_is_not_taken_back(job, tune):
    async with job(tune) as pilot:
        await type_in(pilot, "3", "enter")
        pilot.app.screen.go_to_step("picture")
        await pilot.press("f2")
        await settled(pilot)
        assert at(pilot) == "picture.photo"


async def test_a_move_that_rests_on_two_readings_wants_both_anew(job, tune):
    async with job(tune) as pilot:
        pilot.app.screen.go_to_step("line")
        for text in ("10", "14"):
            await type_in(pilot, text, "enter")
        await pilot.press("f2")
        await settled(pilot)
        asked = [at(pilot)]
        for text in ("11", "13", "12", "12"):
            await type_in(pilot, text, "enter")
            await settled(pilot)
            asked.append(at(pilot))
        assert asked[:4] == ["line.left", "line.right", "line.left", "line.right"]
        rows = pilot.app.screen.known.results
        assert rows.row("line", "left", None, "as-left").entered == "12"
        assert rows.row("line", "right", None, "as-left").entered == "12"
        assert not any(row.suggested for row in rows.settings)


async def test_what_was_typed_ahead_of_asking_again_lands_in_the_next_reading(job, tune):
    from textual import events

    async with job(tune) as pilot:
        await type_in(pilot, "3", "enter", "f2")
        await settled(pilot)
        for sign in ("1", "enter", "7", "enter"):  # one burst
            pilot.app.post_message(events.Key(sign, sign if len(sign) == 1 else None))
        await settled(pilot)
        rows = pilot.app.screen.known.results
        assert rows.row("pump", "offset", None, "as-left").entered == "1"
        assert rows.row("pump", "play", None, "as-left").entered == "7"


async def enter_air(pilot, *figures):
    """The air of the day, figure by figure."""
    await pilot.press("ctrl+d")
    for figure in figures:
        await type_in(pilot, figure, "enter")
    await settled(pilot)


async def test_the_air_says_what_changed_its_verdict_and_stands_on_the_sheet(job, tune):
    async with job(tune, size=(100, 40)) as pilot:
        pilot.app.screen.go_to_step("jets")
        await settled(pilot)
        assert "not entered yet; ^d asks for it" in pilot.screen_text()
        for text in ("240", "250"):
            await type_in(pilot, text, "enter")
        await enter_air(pilot, "-20 C", "1010 hPa", "100 m", "")
        text = pilot.screen_text()
        assert "CHANGED ITS VERDICT" in text and "now fail" in text and "jets.main@PTO" in text
        assert "1010 hPa" in text and "worked out" in text and "kg/m³" in text
        assert "-30 degC to -10 degC" in text
        await pilot.press("escape")
        pilot.app.screen.go_to_step("jets")
        await settled(pilot)
        assert "-20 °C" in pilot.screen_text() and "QNH 1010 hPa" in pilot.screen_text()


async def test_a_reading_that_says_the_air_says_what_it_changed(job, tune):
    async with job(tune, size=(100, 40)) as pilot:
        pilot.app.screen.go_to_step("jets")
        for text in ("240", "250"):
            await type_in(pilot, text, "enter")
        await enter_air(pilot, "0 C", "", "100 m", "")
        await pilot.press("escape")
        pilot.app.screen.go_to_step("place")
        await type_in(pilot, "-20", "enter")
        text = pilot.screen_text()
        assert "± jets.main@PTO as found: pass, now fail" in text


async def test_leaving_the_air_writes_nothing(job, tune):
    async with job(tune) as pilot:
        log = pilot.log()
        await pilot.press("ctrl+d")
        await type_in(pilot, "-5", "escape")
        assert pilot.log() == log and pilot.app.screen.panel == ""


async def test_the_jet_chart_beside_what_was_found(job, places, clock, tune):
    with Inspection.open(places, tune, clock) as inspection:
        inspection.record([(Target("jets", "main", "PTO"), "240")])
        inspection.record([(Target("jets", "main", "MAG"), "260")])
    async with job(tune, size=(120, 40)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        assert "No band: the temperature and altitude" in pilot.screen_text()
        await pilot.press("escape")
        await enter_air(pilot, "-11 C", "", "100 m", "")
        await pilot.press("f8")
        await settled(pilot)
        text = pilot.screen_text()
        assert "Band: -30 degC to -10 degC" in text and "Near the forecast: -10 degC" in text
        lean = next(row for row in text.splitlines() if "leaner" in row)
        assert "▲ 10 leaner than the chart" in lean and "250" in lean and "230" in lean
        assert "✓ as the chart" in text


async def test_a_photo_is_taken_from_the_field_and_looked_at(job, tune, tmp_path):
    file = tmp_path / "hoses x.jpg"
    file.write_bytes(pictures.saved("JPEG"))
    async with job(tune) as pilot:
        pilot.app.screen.go_to_step("picture")
        await pilot.press("ctrl+x")
        await pilot.pause()
        assert "No photo at this step" in pilot.screen_text()
        await type_in(pilot, f"file:{file}", "enter")
        assert 'entered = "hoses x.jpg"' in pilot.log() and "sha256:" in pilot.log()
        pilot.app.screen.go_to_step("picture")
        await pilot.press("ctrl+x")
        await settled(pilot)
        text = pilot.screen_text()
        assert "hoses x.jpg" in text and "photo 1 of 1" in text
        await pilot.press("right", "escape")
        await settled(pilot)
        assert pilot.app.screen.at == "picture"


async def test_a_photo_put_at_any_step_and_one_that_is_none(job, tune, tmp_path):
    good, bad = tmp_path / "a.jpg", tmp_path / "b.jpg"
    good.write_bytes(pictures.saved("JPEG"))
    bad.write_bytes(b"no picture")
    async with job(tune) as pilot:
        pilot.app.screen.action_attach()
        await type_in(pilot, str(bad), "enter")
        assert "no picture" in pilot.screen_text() and 'kind = "photo"' not in pilot.log()
        await pilot.press("escape")
        pilot.app.screen.action_attach()
        await type_in(pilot, str(good), "enter")
        assert 'kind = "photo"' in pilot.log() and "a.jpg" in pilot.log()
        await pilot.press("ctrl+x")
        await settled(pilot)
        assert "Pump mark: a.jpg" in pilot.screen_text()
