"""The page of a machine: what it needs in words, its readings over the years, the ways to it."""

from __future__ import annotations

from datetime import date

from inspect_tui.core.evaluation.job.parts import Part
from inspect_tui.core.seasons.carried import Carried
from inspect_tui.core.seasons.history import history_of
from inspect_tui.core.seasons.trend_picture import name_of, plot_of, plotted, words_of
from inspect_tui.tui.screens.machine import MachineScreen
from inspect_tui.tui.screens.machine_text import machine_text
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.workflow.inspection import Inspection, Target
from inspect_tui.workflow.machine_page import MachinePage
from inspect_tui.workflow.machine_parts import PartRow
from tests.seasons.machines import day, odometer, session, value
from tests.tui.conftest import screen_text, settled

# Two belts; the check values are those of the plan's section on wear (numpy's lstsq).
FIRST = ((100, 34.9), (900, 34.2), (1700, 33.6))
SECOND = ((2000, 35.0), (2900, 34.3))


def two_belts():
    rows = []
    for number, (km, width) in enumerate((*FIRST, *SECOND)):
        at = day(number * 300)
        phase = "as-left" if km == 2000 else "as-found"
        sure = 0.2 if km == 2900 else 0.1
        belt = value(
            "belt", "width", width, at, phase=phase, uncertainty=2 * sure / 2, low=33.0,
            title="Belt", label="Width",
        )  # fmt: skip
        rows.append(session(number * 300, values=(odometer(km, at), belt)))
    return rows


def test_the_plot_has_a_line_for_each_belt_and_the_limit_s_interval():
    (found,) = plotted(history_of(two_belts()))
    plot = plot_of(found)
    assert name_of(found) == "Belt: Width" and plot.across_unit == "km"
    first, second = plot.pieces
    slope = found.trend.line.slope
    for (x0, y0), (x1, y1) in (first, second):
        assert (y1 - y0) / (x1 - x0) - slope < 1e-12
    assert (first[0][0], first[1][0], second[0][0], second[1][0]) == (100, 1700, 2000, 2900)
    assert plot.crossing == (found.trend.reached.begin, found.trend.reached.end)
    assert plot.crossing_limit == "low" and plot.low == 33.0
    assert [point.phase for point in plot.points].count("as-left") == 1
    assert "19 times of 20" in words_of(found)[1]


def test_without_a_meter_it_goes_by_the_date_and_says_why_nothing_is_foretold():
    rows = [
        session(n, values=(value("belt", "width", 35.0 - n / 900, day(n), low=33.0),))
        for n in (0, 400)
    ]
    (found,) = plotted(history_of(rows))
    plot = plot_of(found)
    assert plot.across == "date" and plot.points[0].at == day(0).toordinal()
    assert plot.crossing is None and len(plot.lines()) == 1
    assert words_of(found) == ["When it reaches 33 mm can't be told: no meter was read."]


def test_one_session_the_meter_and_words_are_not_drawn():
    one = session(0, values=(value("belt", "width", 35.0, day(0)), odometer(9, day(0))))
    words = [
        session(n, values=(value("belt", "look", "good", day(n), kind="choice"),
                           odometer(n, day(n)))) for n in (0, 9)
    ]  # fmt: skip
    assert plotted(history_of([one])) == [] and plotted(history_of(words)) == []


async def test_what_went_on_is_read_anew(job, session):
    async with job(session) as pilot:
        read = []
        page = MachinePage("test-bed", "Test bed", date(2026, 11, 2), (), (), (), (), (), {})
        screen = MachineScreen(pilot.app, "Test bed", lambda: read.append(1) or page)
        await pilot.app.push_screen(screen)
        await settled(pilot)
        assert read == [1] and "nothing to draw yet" in screen_text(pilot.app)
        pilot.app.submit(lambda held: held.note("belt", "Said meanwhile."))
        await settled(pilot)
        await settled(pilot)
        assert read == [1, 1]


def test_the_page_in_words():
    carried = Carried(
        "carried:x", "s", "x", "belt", "width", None, "Width: too thin", "later", "rides well",
        "first-ride", "", "2026-11-02",
    )  # fmt: skip
    parts = tuple(
        PartRow(Part(name, 2, "", (), state), "sled", "s")
        for name, state in (("Slide", "to get"), ("Belt", "got"))
    )
    page = MachinePage(
        "sled", "Sled", date(2026, 12, 1), (), parts, (carried,), tuple(two_belts()), (),
        {"first-ride": "before the first ride"},
    )  # fmt: skip
    said = machine_text(page).plain
    assert "PUT OFF\n  Width: too thin; put right later, before the first ride: rides well" in said
    assert "PARTS TO GET\n  2 × Slide" in said and "PARTS TO FIT\n  2 × Belt" in said
    assert "5 SESSIONS" in said and "first-ride" not in said
    empty = MachinePage("sled", "Sled", date(2026, 12, 1), (), (), (), (), (), {})
    assert "Nothing is due, put off or on order." in machine_text(empty).plain


async def test_from_the_start_and_from_the_plan(job, places, session, clock):
    with Inspection.open(places, session, clock) as held:
        held.record([(Target("belt", "width"), "32 mm")])
    async with job(session, plan=True) as pilot:
        await pilot.press("s")
        await settled(pilot)
        assert isinstance(pilot.app.screen, MachineScreen)
        text = screen_text(pilot.app)
        assert "1 SESSION" in text and "nothing to draw yet" in text
        await pilot.press("escape", "escape", "f10")
        await settled(pilot)
        assert isinstance(pilot.app.screen, StartScreen)
        await pilot.press("s")
        await settled(pilot)
        assert isinstance(pilot.app.screen, MachineScreen)
