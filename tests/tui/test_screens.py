"""Start, new session, findings, comparing, sign-off, report, help, palette, sizes."""

from __future__ import annotations

from inspect_tui.core.evaluation.validate import Target
from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from inspect_tui.tui.screens.compare import CompareScreen
from inspect_tui.tui.screens.export import ExportScreen
from inspect_tui.tui.screens.findings import FindingsScreen
from inspect_tui.tui.screens.new_session import GO_ON
from inspect_tui.tui.screens.sign import SignScreen
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import resized, screen_text, settled, type_in


def record(places, clock, session, *values):
    """Record readings from outside the app."""
    with Inspection.open(places, session, clock) as inspection:
        for step, reading, cylinder, text in values:
            inspection.record([(Target(step, reading, cylinder), text)])


async def test_an_empty_store_says_what_to_do_first(tmp_path, clock):
    app = make_app(Store(tmp_path / "none"), clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        text = screen_text(app)
        assert "Nothing here yet" in text and "New session" in text and "demonstration" in text
        assert not (tmp_path / "none").exists()  # looking makes nothing


async def test_a_session_left_open_is_listed_and_resumed_with_enter(places, clock, session):
    app = make_app(places, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        text = screen_text(app)
        assert "Test bed x[/]y" in text and "Bench list x[/]y" in text and "0 of 5 steps" in text
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, WalkScreen)
        assert app.screen.walk.state.known.session.id == session
    assert 'kind = "resumed"' in places.log(session).read_text(encoding="utf-8")


async def test_a_new_session_is_asked_for_and_begun(places, clock):
    app = make_app(places, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        await pilot.press("n")
        await pilot.pause()
        for wanted in ("bench", "test-bed", GO_ON):
            options = app.screen.query_one("#new-answers")
            ids = [option.id for option in options.options]
            options.highlighted = ids.index(wanted)
            await pilot.press("enter")
            await pilot.pause()
        await pilot.press(*"Ada", "enter")
        await settled(pilot)
        assert isinstance(app.screen, WalkScreen)
        assert app.screen.walk.state.known.session.by == "Ada"
        assert "Outdoors only" in screen_text(app)
    assert len(list(places.sessions.glob("*.toml"))) == 1


async def test_a_finding_shows_its_evidence_and_takes_a_decision(job, places, clock, session):
    record(places, clock, session, ("belt", "width", None, "30"))
    async with job(session, size=(140, 40)) as pilot:
        await pilot.press("f7")
        await settled(pilot)
        assert isinstance(pilot.app.screen, FindingsScreen)
        text = pilot.screen_text()
        assert "WHAT IT RESTS ON" in text and "limit 31 to 35 mm" in text
        await pilot.press("l")
        await pilot.pause()
        assert "before the first ride" in pilot.screen_text()
        await pilot.press("7")  # another date
        await pilot.pause()
        await pilot.press(*"soon", "enter")
        await pilot.pause()
        assert "year-month-day" in pilot.screen_text()  # asked again, nothing decided
        await pilot.press("escape")
        await pilot.pause()
        assert 'kind = "decision"' not in pilot.log()
        await pilot.press("r")
        await pilot.pause()
        await pilot.press(*"known", "enter")
        await settled(pilot)
        log = pilot.log()
        assert 'decision = "run-as-found"' in log and 'why = "known"' in log
        assert "findings, 0 to decide" in pilot.screen_text()
        assert "SETTLED: 1" in pilot.screen_text()  # it stays listed


async def test_a_tap_marks_a_finding_and_enter_goes_to_its_step(job, places, clock, session):
    record(places, clock, session, ("belt", "width", None, "30"), ("guard", "on", None, "no"))
    async with job(session, size=(100, 30)) as pilot:
        await pilot.press("f7")
        await settled(pilot)
        screen = pilot.app.screen
        for _ in range(2):
            await pilot.click("#finding-list", offset=(8, 2))
            await settled(pilot)
        assert not screen.state.marked
        await pilot.click("#finding-list", offset=(8, 2))
        await settled(pilot)
        assert screen.state.marked == {"guard.on"} and "[x]" in pilot.screen_text()
        await pilot.press("p")
        await settled(pilot)
        assert 'decision = "put-right"' in pilot.log()
        await pilot.press("enter")
        await settled(pilot)
        assert pilot.app.screen.walk.state.step == "belt"


async def test_the_cylinders_are_compared(job, places, clock, session):
    record(
        places, clock, session,
        ("jets", "main", "PTO", "230"), ("jets", "main", "centre", "240"),
        ("jets", "main", "MAG", "240"), ("jets", "turns", "PTO", "1"),
        ("jets", "turns", "centre", "1"), ("jets", "turns", "MAG", "2"),
    )  # fmt: skip
    async with job(session, size=(100, 30)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        assert isinstance(pilot.app.screen, CompareScreen)
        text = pilot.screen_text()
        assert "240 / 230 / 240" in text and "spread" in text and "1 turn" in text
        kinds = {finding.kind for finding in pilot.app.screen.view.results.findings}
        assert ("exchanged" in text) == ("exchanged" in kinds)


async def test_signing_over_open_things_wants_words_and_then_only_addenda(job, places, session):
    async with job(session) as pilot:
        await pilot.press("f9")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SignScreen)
        text = pilot.screen_text()
        assert "1 SAFETY STEP NOT PASSED" in text and "Guard: was not done" in text
        assert "4 STEPS NOT DONE" in text
        await type_in(pilot, "Ada", "enter")
        assert "Safety 1 of 1: Guard: was not done" in pilot.screen_text()
        await type_in(pilot, "the bench has none", "enter")
        assert "● Guard" in pilot.screen_text()
        assert "What else stays open" in pilot.screen_text()
        await type_in(pilot, "not ridden yet", "enter")
        await type_in(pilot, "yes", "enter")
        assert 'kind = "signed"' not in pilot.log()
        await type_in(pilot, "sign", "enter")
        log = pilot.log()
        assert 'kind = "signed"' in log and 'accepted = "not ridden yet"' in log
        assert "Signed by Ada" in pilot.screen_text()
        await type_in(pilot, "rode 10 km", "enter")
        assert 'kind = "addendum"' in pilot.log() and "rode 10 km" in pilot.screen_text()
        await pilot.press("escape")
        await settled(pilot)
        await type_in(pilot, "32", "enter")
        assert 'kind = "reading"' not in pilot.log()
        assert "signed" in pilot.screen_text()


async def test_the_report_is_written_and_its_place_said(job, places, session):
    async with job(session) as pilot:
        pilot.app.screen.walk.do("export")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ExportScreen)
        await pilot.press("down", "down", "enter")
        await settled(pilot)
        assert "Written to" in pilot.screen_text()
        written = places.store / "reports" / f"{session}.md"
        assert "Bench list" in written.read_text(encoding="utf-8")


async def test_every_action_is_in_the_help_and_in_the_palette(job, session):
    async with job(session, size=(120, 100)) as pilot:
        screen = pilot.app.screen
        await pilot.press("f1")
        await settled(pilot)
        text = " ".join(pilot.screen_text().replace("│", " ").split())
        for action in screen.ACTIONS:
            assert " ".join(action.words.split()) in text
        await pilot.press("escape", "ctrl+p")
        await pilot.pause()
        text = pilot.screen_text()
        assert all(action.label in text for action in screen.ACTIONS)
        assert all(f"Theme: {each}" in text for each in ("Dark", "Paper", "High contrast", "Mono"))
        assert not any(each in text for each in ("Maximize", "Screenshot", "Keys"))


async def test_a_theme_is_remembered_in_the_store(job, places, session):
    async with job(session) as pilot:
        await pilot.press("ctrl+p", *"theme", "space", *"paper", "enter")
        await pilot.pause()
        assert pilot.app.theme == "inspect-paper"
    assert 'theme = "paper"' in places.settings.read_text(encoding="utf-8")
    async with job(session) as pilot:
        assert pilot.app.theme == "inspect-paper"


async def test_all_actions_run_one_by_a_part_of_its_name(job, session):
    async with job(session) as pilot:
        await pilot.press("ctrl+p", *"zzz")
        assert "No action has these letters" in pilot.screen_text()
        await pilot.press("ctrl+u", *"air", "enter")
        await pilot.pause()
        assert "air temperature" in pilot.screen_text()
        for typed in ("-12 C", "1018 hPa", "", "70 %"):
            await type_in(pilot, typed, "enter")
        assert 'temperature = "-12 C"' in pilot.log() and 'qnh = "1018 hPa"' in pilot.log()
        assert "altitude" not in pilot.log().split("resumed")[1]


SIZES = [(80, 24), (40, 20), (120, 40), (200, 60), (20, 6), (1, 1)]


async def test_every_screen_can_be_drawn_at_every_size(job, places, clock, session):
    record(places, clock, session, ("belt", "width", None, "30"), ("jets", "main", "PTO", "1"))
    async with job(session) as pilot:
        for key in ("", "f5", "f6", "f11", "slash", "f7", "f8", "f9", "f1", "ctrl+p", "f12"):
            if key == "slash":
                pilot.app.screen.walk.do("menu")
            elif key:
                await pilot.press(key)
            await settled(pilot)
            for size in SIZES if not key else SIZES[1::2]:
                await resized(pilot, size)
                assert pilot.app.is_running
            if key:
                await pilot.press(key if key in ("f5", "f6", "f11") else "escape")
                await settled(pilot)
        assert isinstance(pilot.app.screen, WalkScreen) and not pilot.app.screen.walk.state.panel


async def test_names_with_markup_are_literal_everywhere(job, session):
    async with job(session) as pilot:
        assert "Belt x[/]y" in pilot.screen_text() and "Test bed x[/]y" in pilot.screen_text()
        for key in ("ctrl+n", "ctrl+f"):
            await pilot.press(key)
            await type_in(pilot, "x[/]y [b]z", "enter")
        await pilot.press("f6")
        await settled(pilot)
        assert "x[/]y [b]z" in pilot.screen_text()
        await pilot.press("f7")
        await settled(pilot)
        assert "x[/]y [b]z" in pilot.screen_text()
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("enter")
        await settled(pilot)
        assert pilot.app.is_running


async def test_leaving_a_session_goes_back_to_the_list_and_gives_the_log_back(
    job, places, clock, session
):
    async with job(session) as pilot:
        await type_in(pilot, "32", "enter")
        await type_in(pilot, "no", "f10")
        assert isinstance(pilot.app.screen, WalkScreen)  # something typed is not thrown away
        await pilot.press("escape", "f10")
        await settled(pilot)
        await settled(pilot)
        assert "LEFT OPEN" in pilot.screen_text()
        Inspection.open(places, session, clock).close()
