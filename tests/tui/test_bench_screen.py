"""The bench on the screen: choosing, filling in, units, what the session gives, the note."""

from __future__ import annotations

import pytest
from textual import events
from textual.widgets import OptionList

from inspect_tui.calc import REGISTER
from inspect_tui.calc.registry import SUBJECTS
from inspect_tui.tui.app import make_app
from inspect_tui.tui.screens.bench import BenchScreen
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.workflow.inspection import Inspection, Target
from tests.tui.conftest import CHECKLIST, resized, screen_text, settled, type_in

TIMING = """
[[section.step]]
id = "timing"
title = "Timing x[/]y"
per = "cylinder"
[[section.step.reading]]
id = "distance"
label = "Distance"
kind = "number"
unit = "mm"
uncertainty = "0.05 mm"
[[section.step.derived]]
id = "angle"
label = "Crank [/] angle"
value = "timing_angle(stroke=spec.stroke, rod='120 mm', distance=distance)"
unit = "degree"
"""


async def bench(pilot, name):
    """Open the bench and put a calculation on it, the cursor in its first field."""
    await pilot.press("f12")
    await settled(pilot)
    options = pilot.app.screen.query_one(OptionList)
    options.highlighted = options.get_option_index(name)
    await pilot.pause()
    await pilot.press("enter")
    await settled(pilot)
    return pilot.app.screen


@pytest.fixture
def timed(places, clock):
    """A session whose list uses a calculation per cylinder; one cylinder is measured."""
    (places.checklists / "bench.toml").write_text(CHECKLIST + TIMING, encoding="utf-8")
    sheet = places.machines / "test-bed.toml"
    sheet.write_text(sheet.read_text(encoding="utf-8") + 'stroke = "60 mm"\n', encoding="utf-8")
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        inspection.cautions.confirm()
        inspection.record([(Target("timing", "distance", "centre"), "2.0 mm")])
        return inspection.session.id


async def test_a_calculation_is_filled_in_and_worked_out_at_each_size(job, session):
    async with job(session) as pilot:
        screen = await bench(pilot, "toe")
        assert isinstance(screen, BenchScreen)
        assert "still wanted: front, rear, base" in " ".join(pilot.screen_text().split())
        await type_in(pilot, "1006 +/- 1 mm", "enter")
        await type_in(pilot, "1000", "enter")
        await type_in(pilot, "1 m")  # live: no Enter yet
        for size in ((80, 24), (40, 20), (120, 40)):
            await resized(pilot, size)
            text = pilot.screen_text()
            assert "= 6.0 ± 1.0 mm" in text and "= 0.344 ± 0.057°" in text
            assert "front ────" in text  # the drawing
        said = screen.query_one("#bench-rests").content.plain
        assert "atan((front - rear)/base)" in said and "Source: geometry" in said
        assert "note" not in pilot.log()


async def test_every_calculation_stands_under_its_subject(job, session):
    async with job(session) as pilot:
        await bench(pilot, "toe")
        options = pilot.app.screen.query_one(OptionList).options
        wanted = []
        for subject in SUBJECTS:
            wanted.append(f"# {subject}")
            wanted += [each.name for each in REGISTER.values() if each.subject == subject]
        assert [each.id for each in options] == wanted


async def test_a_result_is_shown_in_the_next_unit_or_in_one_that_is_typed(job, session):
    async with job(session) as pilot:
        await bench(pilot, "belt_length")
        for text in ("250 mm", "200 mm", "270 mm"):
            await type_in(pilot, text, "enter")
        assert "= 1249.2 mm" in pilot.screen_text()
        await pilot.press("f2")
        assert "= 124.92 cm" in pilot.screen_text()
        await type_in(pilot, "ft", "enter")
        assert "= 4.0983 ft" in pilot.screen_text()
        await type_in(pilot, "kPa", "enter")
        assert "a length" in pilot.screen_text()  # said, and the old unit stays
        assert "= 4.0983 ft" in pilot.screen_text()


async def test_a_wrong_text_is_said_and_stays_to_be_mended(job, session):
    async with job(session) as pilot:
        screen = await bench(pilot, "oil_ratio")
        await type_in(pilot, "18 kg")
        assert "a volume is wanted" in " ".join(pilot.screen_text().split())
        await type_in(pilot, "", "enter")
        assert "can't be read" in pilot.screen_text()
        await pilot.press("up", "ctrl+u")
        await type_in(pilot, "18 l", "enter")
        await type_in(pilot, "0.45 l")
        assert "= 40" in pilot.screen_text()
        assert screen.texts["oil_ratio"] == {"fuel": "18 l", "oil": "0.45 l"}


async def test_what_is_typed_in_one_burst_lands_field_by_field(job, session):
    async with job(session) as pilot:
        screen = await bench(pilot, "chain_sag")
        for text in ("180 mm", "7 mm"):
            for sign in text:
                pilot.app.post_message(events.Key("space" if sign == " " else sign, sign))
            pilot.app.post_message(events.Key("enter", None))
        await settled(pilot)
        assert screen.texts["chain_sag"] == {"span": "180 mm", "slack": "7 mm"}


async def test_a_paste_of_lines_lands_field_by_field(job, session):
    async with job(session) as pilot:
        screen = await bench(pilot, "chain_sag")
        screen.field.post_message(events.Paste("180 mm\n7 mm\nx[/]y\n\x1b[31mz"))
        await settled(pilot)
        assert screen.texts["chain_sag"] == {"span": "180 mm", "slack": "7 mm"}
        assert "= 3.8889 %" in pilot.screen_text()


async def test_the_session_fills_the_fields_per_cylinder(job, timed):
    async with job(timed) as pilot:
        pilot.app.screen.walk.go_to_step("timing")
        await settled(pilot)
        await pilot.press("f12")
        await settled(pilot)
        screen = pilot.app.screen
        assert screen.name_ == "timing_angle"  # what the step uses
        await pilot.press("enter")
        await pilot.press("f4")  # PTO isn't measured; the next is
        said = screen.query_one("#bench-said").content.plain
        assert "'Timing x[/]y', Crank [/] angle, centre. 2 of 3" in said
        assert screen.texts["timing_angle"] == {
            "stroke": "60 mm", "rod": "120 mm", "distance": "2 ± 0.05 mm",
        }  # fmt: skip
        # dy/dt = r sin t (1 + r cos t / sqrt(l^2 - r^2 sin^2 t)) is 11.99 mm a radian there.
        assert "= 18.84 ± 0.24°" in pilot.screen_text()
        await pilot.press("f4")
        assert "distance" not in screen.texts["timing_angle"]  # MAG's own is missing


async def test_typed_figures_stay_when_the_session_fills_the_rest(job, timed):
    async with job(timed) as pilot:
        screen = await bench(pilot, "timing_angle")
        await pilot.press("down", "down")
        await type_in(pilot, "1.5 mm")
        await pilot.press("f4", "f4")
        assert screen.texts["timing_angle"]["distance"] == "1.5 mm"
        await pilot.press("f6")
        assert screen.texts["timing_angle"] == {}


async def test_a_result_goes_to_the_steps_note_only_when_it_is_sent(job, timed):
    async with job(timed) as pilot:
        screen = await bench(pilot, "timing_angle")
        await pilot.press("f4")
        before = pilot.log()
        assert 'kind = "note"' not in before
        await pilot.press("ctrl+n")
        await settled(pilot)
        assert "In the note of 'Timing x[/]y'" in pilot.screen_text()
        added = pilot.log().removeprefix(before)
        assert 'step = "timing"' in added and added.count('kind = "note"') == 1
        assert "Crank angle from piston position: 18.84 ± 0.24°; from stroke 60 mm" in added
        assert screen.view.session.notes[-1].step == "timing"


async def test_another_step_can_be_chosen_for_the_note(job, session):
    async with job(session) as pilot:
        await bench(pilot, "chain_sag")
        for text in ("180 mm", "7 mm"):
            await type_in(pilot, text, "enter")
        await pilot.press("ctrl+g")
        await pilot.pause()
        await pilot.press(*"first", "enter")
        await settled(pilot)
        await pilot.press("ctrl+n")
        await settled(pilot)
        assert 'step = "first-start"' in pilot.log()


async def test_a_signed_session_takes_no_result(job, places, clock, session):
    with Inspection.open(places, session, clock) as inspection:
        inspection.sign("R. Tester", "tried only", accept={"guard": "tried only"})
    async with job(session) as pilot:
        await bench(pilot, "chain_sag")
        for text in ("180 mm", "7 mm"):
            await type_in(pilot, text, "enter")
        before = pilot.log()
        await pilot.press("ctrl+n")
        await settled(pilot)
        said = pilot.app.screen.query_one("#bench-said").content.plain
        assert "nothing was sent" in said and pilot.log() == before


async def test_escape_goes_to_the_list_and_back_to_the_walk(job, session):
    async with job(session, size=(40, 20)) as pilot:
        screen = await bench(pilot, "toe")
        assert not screen.query_one(OptionList).display
        await pilot.press("escape")
        await settled(pilot)
        assert screen.query_one(OptionList).has_focus and "Toe of the skis" in pilot.screen_text()
        await pilot.press("escape")
        await settled(pilot)
        assert isinstance(pilot.app.screen, WalkScreen)


async def test_the_bench_opens_from_the_start_without_a_session(places, clock):
    app = make_app(places, clock)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settled(pilot)
        await pilot.press("b")
        await settled(pilot)
        assert isinstance(app.screen, BenchScreen)
        options = app.screen.query_one(OptionList)
        options.highlighted = options.get_option_index("oil_for_fuel")
        await pilot.press("enter")
        for text in ("20 l", "50"):
            await type_in(pilot, text, "enter")
        assert "= 400 mL" in screen_text(app)
        await pilot.press("ctrl+n")
        assert "No session is open" in screen_text(app)
        await pilot.press("f4")
        assert "No session is open" in screen_text(app)
        await pilot.press("escape", "escape")
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)


async def test_help_and_palette_know_the_bench(job, session):
    async with job(session, size=(120, 50)) as pilot:
        await pilot.press("ctrl+p", *"bench")
        await pilot.pause()
        assert "Bench" in pilot.screen_text()
        await pilot.press("escape")
        screen = await bench(pilot, "toe")
        await pilot.press("f1")
        await settled(pilot)
        text = " ".join(pilot.screen_text().split())
        assert all(action.words in text for action in screen.ACTIONS)
        await pilot.press("escape", "ctrl+p")
        await pilot.pause()
        text = pilot.screen_text()
        assert all(action.label in text for action in screen.ACTIONS)
