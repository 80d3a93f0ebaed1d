"""The pictures as widgets: clicked, walked over, drawn anew for each size and each change."""

from __future__ import annotations

from dataclasses import replace

from textual.app import App

from inspect_tui.core.presentation.pictures.text_picture import Role
from inspect_tui.tui.widgets.block_figures import LargeFigure, TwoMetreView
from inspect_tui.tui.widgets.cylinder_bars import CylinderBars
from inspect_tui.tui.widgets.machine_drawing import MachineView
from inspect_tui.tui.widgets.picture import STYLES
from inspect_tui.tui.widgets.trend_plot import TrendView
from tests.core.pictures.picture_examples import BELT, COMPRESSION, FACES, VIEWS, shipped, systems

SLED = shipped("sled")


class Shown(App):
    def __init__(self, widget):
        super().__init__()
        self.widget = widget
        self.told = []

    def compose(self):
        yield self.widget

    def on_machine_view_moved(self, event):
        self.told.append(("moved", event.section, event.control))

    def on_machine_view_chosen(self, event):
        self.told.append(("chosen", event.section, event.control))

    def key_enter(self):
        self.told.append(("enter", "", None))

    def seen(self):
        strips = self.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in strip) for strip in strips)


async def test_the_machine_is_clicked_and_walked_over():
    view = MachineView(SLED, systems(SLED))
    app = Shown(view)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("enter")  # nothing is pointed at, so it is the screen's
        assert app.told == [("enter", "", None)]
        row = next(n for n, line in enumerate(view.picture.lines) if "throttle" in line)
        column = view.picture.lines[row].index("throttle")
        await pilot.click(MachineView, offset=(column, row))
        assert app.told[1:] == [("moved", "throttle", view), ("chosen", "throttle", view)]
        await pilot.press("down", "enter")
        assert app.told[3:] == [("moved", "brake", view), ("chosen", "brake", view)]
        assert view.chosen == "brake"
        await pilot.press("escape", "enter")
        assert app.told[5:] == [("moved", "", view), ("enter", "", None)]
        await pilot.click(MachineView, offset=(79, 12))  # where nothing is
        assert len(app.told) == 7

        view.point_at("track")
        await pilot.resize_terminal(40, 20)
        await pilot.pause()
        assert "Track" in app.seen() and "carbs" not in app.seen()  # a table now
        at = next(n for n, line in enumerate(view.picture.lines) if "Belt" in line)
        await pilot.click(MachineView, offset=(1, at))
        assert app.told[-1] == ("chosen", "belt", view)

        states = [replace(one, state="done", safety=False) for one in systems(SLED)]
        view.fill(SLED, states)
        await pilot.pause()
        assert "✗" not in app.seen() and view.chosen == "belt"
        view.fill(None, [one for one in states if one.section != "belt"])
        assert view.chosen == ""


async def test_the_other_pictures_show_what_they_are_filled_with():
    bars, trend = CylinderBars(COMPRESSION), TrendView()
    large, figure = TwoMetreView(FACES, VIEWS[0]), LargeFigure(FACES, "0:59")

    class All(Shown):
        def compose(self):
            yield from (bars, trend, large, figure)

    app = All(bars)
    async with app.run_test(size=(80, 60)) as pilot:
        await pilot.pause()
        assert "110 psi or more" in app.seen() and "Belt width" not in app.seen()
        assert "turns" in app.seen()
        before = app.seen()
        trend.fill(BELT)
        bars.fill(replace(COMPRESSION, limit_words="at least 110 psi"))
        large.fill(VIEWS[2])
        figure.fill("1:00")
        await pilot.pause()
        assert "Belt width" in app.seen() and "at least 110 psi" in app.seen()
        assert "no answer yet" in app.seen() and app.seen() != before
        for widget in (bars, trend, large):
            widget.fill(None)
        await pilot.pause()
        assert "psi" not in app.seen() and "Belt width" not in app.seen()


def test_every_role_has_its_look():
    assert set(STYLES) == set(Role.__args__)
