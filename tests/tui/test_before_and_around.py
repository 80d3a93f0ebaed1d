"""What is told before an engine runs, the demonstration, a store that isn't there, the start."""

from __future__ import annotations

import argparse
import gc
import subprocess
import sys

import pytest

from inspect_tui import commands
from inspect_tui.commands import app as app_commands
from inspect_tui.errors import BadInput
from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from inspect_tui.tui.opening_screens import OVER_THE_WALK
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.workflow.demo import prepare
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import screen_text, settled, type_in


async def test_going_on_before_the_engine_runs_is_logged_with_the_open_gates(job, session):
    async with job(session) as pilot:
        pilot.app.screen.walk.go_to_step("first-start")
        await settled(pilot)
        before = pilot.log()
        await pilot.press("enter")
        await settled(pilot)
        new = pilot.log().removeprefix(before)
        assert new.count('kind = "caution"') == 1 and 'step = "first-start"' in new
        assert 'text = "Before the engine runs: ' in new and "guard" in new.casefold()
        assert "AS FOUND" in pilot.screen_text()
        log = pilot.log()
        await pilot.press("enter")
        assert pilot.log() == log  # asked once


def test_with_every_gate_shut_the_log_says_so(places, clock, session):
    with Inspection.open(places, session, clock) as inspection:
        from inspect_tui.core.model.targets import Target

        inspection.record([(Target("guard", "on"), "yes")])
        inspection.cautions.begin("first-start")
        text = inspection.entries[-1].get("text")
        assert text == "Before the engine runs: no safety step is open."
        with pytest.raises(BadInput, match="starts and moves nothing"):
            inspection.cautions.begin("belt")


async def test_a_caution_that_waits_is_shown_once(job, session):
    for size in ((80, 24), (200, 60)):
        async with job(session, size=size) as pilot:
            pilot.app.screen.walk.go_to_step("guard")
            await settled(pilot)
            assert pilot.screen_text().count("Engine off.") == 1
            pilot.app.screen.walk.go_to_step("first-start")
            await settled(pilot)
            told = pilot.app.screen.walk.state.known.results.step("first-start").advice
            assert len(told) == 1 and told[0].endswith("was not done.")
            assert pilot.screen_text().count("'Guard'") == 1


async def test_the_demonstration_says_what_it_is(tmp_path, clock):
    places, session = prepare(str(tmp_path / "demo"), clock)
    app = make_app(places, clock, session=session, demo=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        text = screen_text(app)
        assert "state demonstration" in text and "in a store of its own" in " ".join(
            text.replace("│", " ").split()
        )


async def test_after_the_demonstration_the_own_store_is_back(places, clock, session, monkeypatch):
    monkeypatch.setenv("INSPECT_TUI_HOME", str(places.store))
    app = make_app(places, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        await pilot.press("d")
        await settled(pilot)
        assert app.places != places and "demonstration" in screen_text(app)
        await pilot.press("escape")
        app.screen.walk.do("leave")
        await settled(pilot)
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
        assert app.places == places and "Test bed" in screen_text(app)


async def test_a_store_that_cannot_be_read_still_shows_what_ships(tmp_path, clock):
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    app = make_app(Store(tmp_path / "file" / "store"), clock)
    async with app.run_test(size=(80, 30)) as pilot:
        await settled(pilot)
        await settled(pilot)
        text = screen_text(app)
        assert "New session" in text and "can't be read" not in text and "Nothing here yet" in text
        assert "ships with the program" in text


def test_every_command_has_its_function():
    for name in commands.COMMANDS:
        assert callable(commands.command(name))


def test_the_first_picture_waits_for_no_work(tmp_path):
    """What `walk SESSION` has loaded when the app begins to run, up to its session's id."""
    (tmp_path / "sessions").mkdir()
    (tmp_path / "sessions" / "2026-01-02-first.toml").write_bytes(b"")
    code = (
        "import sys\n"
        "from inspect_tui.tui import app\n"
        "app.run = lambda *_, session, **__: print(session, *sys.modules) or 0\n"
        "from inspect_tui.cli import main\n"
        "sys.exit(main(['walk', '2026-01-02', '--store', sys.argv[1]]))\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True
    )
    session, *modules = ran.stdout.split()
    assert session == "2026-01-02-first"
    late = {
        "pint", "tomli_w", "fpdf", "PIL", "sqlite3", "multiprocessing",
        "inspect_tui.core.evaluation", "inspect_tui.core.seasons", "inspect_tui.calc",
        "inspect_tui.core.definitions.load", "inspect_tui.core.expressions",
        "inspect_tui.workflow.inspection", "inspect_tui.workflow.store_index",
        "inspect_tui.files.index", "inspect_tui.files.log.reader", "inspect_tui.files.log.writer",
        "inspect_tui.tui.screens.bench",
        *(f"inspect_tui.tui.screens.{name}" for name in OVER_THE_WALK),
    }  # fmt: skip
    assert not late & set(modules)


def test_an_index_that_is_up_to_date_is_asked_without_working_anything_out():
    code = "import inspect_tui.workflow.store_index, sys; print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    late = {
        "multiprocessing", "concurrent.futures.process", "inspect_tui.calc",
        "inspect_tui.core.evaluation.evaluate", "inspect_tui.core.definitions.load",
        "inspect_tui.core.expressions", "inspect_tui.files.log.reader",
    }  # fmt: skip
    assert not late & set(ran.stdout.split())


def test_a_session_is_opened_without_the_checks_of_lists():
    code = "import inspect_tui.workflow.inspection, sys; print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    late = {
        "pint", "sqlite3", "multiprocessing", "inspect_tui.core.definitions.load",
        "inspect_tui.core.definitions.compose", "inspect_tui.workflow.begin",
        "inspect_tui.workflow.drawings", "inspect_tui.report",
        "inspect_tui.core.definitions.checks.check_checklist",
    }  # fmt: skip
    assert not late & set(ran.stdout.split())


def test_no_garbage_is_looked_for_until_the_app_is_warm(monkeypatch, tmp_path):
    seen = []
    monkeypatch.setattr(
        "inspect_tui.tui.app.run", lambda *_, **__: seen.append(gc.isenabled()) or 0
    )
    assert app_commands.app(argparse.Namespace(store=str(tmp_path))) == 0
    assert seen == [False] and gc.isenabled()


async def test_warming_up_looks_for_garbage_again(places, clock):
    app = make_app(places, clock)
    gc.disable()
    try:
        async with app.run_test() as pilot:
            await app._warm_up().wait()
            assert gc.isenabled()
            await pilot.pause()
    finally:
        gc.enable()
        gc.unfreeze()


async def test_type_after_the_gate_is_asked(job, session):
    async with job(session) as pilot:
        pilot.app.screen.walk.go_to_step("first-start")
        await settled(pilot)
        await pilot.press("enter")
        await type_in(pilot, "yes", "enter")
        assert 'step = "first-start"\nreading = "ran"' in pilot.log()
