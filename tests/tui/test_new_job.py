"""What is asked before a session: a machine of one's own, and what the job takes in."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime

from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from inspect_tui.tui.screens.new_job import NewJob, by_letter, usual_name, why_words
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.workflow.catalogue import DefinitionLine, SectionLine, StepLine, checklists
from inspect_tui.workflow.session_line import SessionLine
from tests.tui.conftest import screen_text, settled

SECTIONS = (
    SectionLine("drive", "Drive", 4, 20, 1),
    SectionLine("engine", "Engine", 6, 25.4),
    SectionLine("end", "End", 1, 0),
)
LIST = DefinitionLine("bench", "Bench", "bench.toml", True, 11, 40, sections=SECTIONS)
SHORT = DefinitionLine("short", "Short", "short.toml", True, 4, 9, sections=SECTIONS[:1])


def test_a_session_of_a_machine_that_has_its_sheet():
    job = NewJob.begun(machine_first=False)
    assert job.questions == ("checklist", "machine", "scope", "by")
    job = job.with_checklist(LIST).with_machine("sled").scoped()
    assert job.question == "by" and (job.checklist, job.machine, job.only) == ("bench", "sled", ())


def test_the_name_is_that_of_the_machine_s_last_session():
    def session(machine, by, day):
        last = datetime(2026, 11, day, tzinfo=UTC) if day else None
        return SessionLine(f"s{day}", "Bench", machine, by, "open", 0, 1, last)

    stock = [
        session("Red", "Ada", 3), session("Blue", "Bo", 9), session("Red", "Cy", 5),
        session("Red", "", 0),
    ]  # fmt: skip
    assert usual_name(stock, "Red") == "Cy"
    assert usual_name(stock, "Green") == "Bo"  # a new machine: whoever did the last one
    assert usual_name([], "Red") == "" and usual_name(stock[-1:], "Red") == ""


async def test_the_name_stands_in_the_field_and_enter_takes_it(places, clock, session):
    app = make_app(places, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("n")
        await settled(pilot)
        for _ in range(8):
            if app.screen.job.question == "by":
                break
            await pilot.press("enter")
            await settled(pilot)
        assert app.screen.query_one("#new-by").value == "R. Tester"
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, WalkScreen)
        assert app.screen.view.session.by == "R. Tester"


def test_a_new_machine_is_named_before_or_between():
    job = NewJob.begun(machine_first=True)
    assert job.questions == ("name", "cylinders", "checklist", "scope", "by")
    job = job.named("Own").made("own")
    assert job.question == "checklist" and job.back() is None  # its sheet is written
    assert job.with_checklist(LIST).question == "scope"
    job = NewJob.begun(machine_first=False).with_checklist(LIST).with_new_machine()
    assert job.questions == ("checklist", "machine", "name", "cylinders", "scope", "by")
    assert job.back().with_machine("sled").question == "scope"  # thought better of it
    job = job.named("Own").made("own")
    assert (job.question, job.machine) == ("scope", "own") and job.back().question == "machine"


def test_a_name_that_has_its_sheet_goes_on_with_that_machine():
    job = NewJob.begun(machine_first=True).with_known("own")
    assert (job.question, job.machine) == ("checklist", "own")
    job = NewJob.begun(machine_first=False).with_checklist(LIST).with_new_machine()
    job = job.with_known("own")
    assert (job.question, job.machine) == ("scope", "own") and job.back().question == "machine"


def test_of_a_list_of_one_section_there_is_nothing_to_choose():
    job = NewJob.begun(machine_first=False).with_checklist(SHORT).with_machine("sled")
    assert job.question == "by" and job.back().question == "machine"


def test_sections_go_in_and_out_in_the_lists_order():
    job = NewJob.begun(machine_first=False).with_checklist(LIST)
    assert job.scope_words == "The whole list, 11 steps, about 45 min"
    assert all(job.takes_in(each.id) for each in SECTIONS)
    job = job.toggled("end").toggled("engine")
    assert job.only == ("engine", "end") and not job.takes_in("drive")
    assert job.scope_words == "2 of 3 sections, 7 steps, about 25 min, without 1 safety step"
    assert job.toggled("drive").only == ()  # all of them is the whole list
    assert job.toggled("end").toggled("engine").only == ()
    assert job.with_checklist(SHORT).only == () and job.with_checklist(LIST).only == job.only


def test_the_catalogue_counts_each_section_as_the_list_has_it(places):
    bench = next(each for each in checklists(places) if each.id == "bench")
    assert [(each.id, each.steps, each.safety) for each in bench.sections] == [
        ("drive", 2, 1),
        ("engine", 3, 0),
    ]


WITH_STEPS = (
    SectionLine("drive", "Drive", 3, 12, 2, (
        StepLine("belt", "Belt", 5, False, "It slips. And more."),
        StepLine("guard", "Guard", 2, True, "It flies off."),
        StepLine("brake", "Brake", 5, True),
    )),
    SectionLine("end", "End", 1, 3, 0, (StepLine("cover", "Cover", 3),)),
)  # fmt: skip


def test_single_steps_go_in_and_out_and_make_a_section_together():
    line = DefinitionLine("bench", "Bench", "bench.toml", True, 4, 9, sections=WITH_STEPS)
    job = NewJob.begun(machine_first=False).with_checklist(line).with_machine("sled")
    job = job.toggled("belt")
    assert job.only == ("belt",) and job.share(WITH_STEPS[0]) == "some"
    assert [step.title for _, step in job.safety_left] == [
        "Guard",
        "Brake",
    ] and "without" in job.questions
    assert job.scope_words == "1 single step, about 5 min, without 2 safety steps"
    job = job.toggled("guard").toggled("brake")
    assert job.only == ("drive",) and job.safety_left == () and "without" not in job.questions
    assert job.toggled("guard").only == ("belt", "brake")
    assert job.toggled("end").only == ()  # all of it
    assert job.toggled("guard").toggled("drive").only == ("drive",)  # some: the rest comes in
    assert job.toggled("drive").only == ()


def test_why_is_said_of_safety_first_in_a_sentence_each():
    steps = WITH_STEPS[0].lines
    assert why_words(steps) == "Guard: It flies off. Belt: It slips."
    assert why_words(steps[:1]) == "It slips. And more." and why_words(steps[2:]) == ""


def test_lines_of_ones_own_are_kept_and_can_go_again():
    job = NewJob.begun(machine_first=False).with_checklist(LIST).with_machine("sled")
    job = job.typing_item(typing=True)
    assert job.question == "item"
    job = job.with_item("Gap | mm").with_item("Look")
    assert job.back().question == "scope" and job.items == ("Gap | mm", "Look")
    assert "13 steps" in job.scope_words and job.without_item(0).items == ("Look",)


def test_a_letter_goes_to_the_next_title_that_begins_with_it():
    titles = ["After", "Before", "Bench", "Pre-season"]
    assert by_letter(titles, 0, "p") == 3 and by_letter(titles, 3, "P") == 3
    assert by_letter(titles, 1, "b") == 2 and by_letter(titles, 2, "b") == 1
    assert by_letter(titles, 0, "z") is None and by_letter([], -1, "a") is None


async def chosen(pilot, option):
    """Choose an option by its id."""
    answers = pilot.app.screen.query_one("#new-answers")
    answers.highlighted = answers.get_option_index(option)
    await pilot.press("enter")
    await pilot.pause()


async def test_a_machine_from_nothing_is_walked_at_once(tmp_path, clock):
    store = Store(tmp_path / "none")
    app = make_app(store, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        await pilot.press("m", "enter")
        await pilot.pause()
        assert "Type what you call the machine" in screen_text(app) and not store.store.exists()
        await pilot.press(*"Own x[", "enter")
        await pilot.pause()
        await pilot.press(*"1,1", "enter")
        await pilot.pause()
        assert "is named twice" in screen_text(app)
        assert not list(store.machines.glob("*.toml"))
        await pilot.press("backspace", "2", "enter")
        await settled(pilot)
        await settled(pilot)
        sheet = tomllib.loads((store.machines / "own-x.toml").read_text(encoding="utf-8"))
        assert (sheet["name"], sheet["cylinders"]) == ("Own x[", ["1", "2"])
        assert "Which checklist?" in screen_text(app)
        await pilot.press("p", "enter")
        await pilot.pause()
        assert app.screen.job.checklist == "pre-season"
        assert "The whole list" in screen_text(app)
        await pilot.press("enter")
        await pilot.press(*"Ada", "enter")
        await settled(pilot)
        assert isinstance(app.screen, WalkScreen)
        assert app.screen.walk.state.known.results.machine.cylinders == ("1", "2")


async def test_a_session_takes_in_the_chosen_sections_alone(places, clock):
    app = make_app(places, clock, by="Ada")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        await pilot.press("n")
        await pilot.pause()
        await chosen(pilot, "bench")
        await chosen(pilot, "test-bed")
        await pilot.press("space", "down", "space")  # what goes on is no section
        await pilot.pause()
        assert "Go on: 1 of 2 sections, 2 steps" in screen_text(app)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "Go on: The whole list, 5 steps" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "Go on: 1 of 2 sections, 3 steps" in screen_text(app)
        assert "without 1 safety step" in screen_text(app)
        await pilot.press("home", "enter")
        await pilot.pause()
        shown = screen_text(app)
        assert "LEFT OUT, 1 SAFETY STEP" in shown and "Guard  Drive" in shown
        await pilot.press("down", "enter")  # the first answer is no
        await pilot.pause()
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, WalkScreen)
        results = app.screen.walk.state.known.results
        left_out = [each.step.id for each in results.steps if each.state == "left-out"]
        assert left_out == ["belt", "guard"]


async def test_a_line_of_ones_own_is_walked_and_judged(places, clock):
    app = make_app(places, clock, by="Ada")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await settled(pilot)
        await pilot.press("n")
        await pilot.pause()
        await chosen(pilot, "bench")
        await chosen(pilot, "test-bed")
        await chosen(pilot, "/own-line")
        await pilot.press(*"Gap | mm | least 3", "enter")
        await pilot.pause()
        assert "is no limit" in screen_text(app)
        await pilot.press("ctrl+u", *"Gap | mm | min 3", "enter")
        await pilot.pause()
        assert "a number in mm, at least 3" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "6 steps" in screen_text(app)
        await pilot.press("home", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await settled(pilot)
        results = app.screen.walk.state.known.results
        own = results.step("own-1").step
        assert own.title == "Gap" and own.readings[0].unit == "mm"
