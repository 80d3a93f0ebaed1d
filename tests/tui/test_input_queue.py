"""What a terminal sends without end: bounded, dropped in words, and no key dead after it."""

from __future__ import annotations

import pytest
from textual import events
from textual._xterm_parser import XTermParser

from inspect_tui.tui.driver import input_queue, resilient_parser
from inspect_tui.tui.driver.input_queue import InputDropped, InputQueue, Intake
from inspect_tui.tui.driver.resilient_parser import Reports
from tests.tui.conftest import type_in


class Clock:
    """Time that passes when it is told to."""

    def __init__(self):
        self.at = 100.0

    def __call__(self):
        return self.at


class Line:
    """A terminal's line with an app at its end, which takes an event when it is told to."""

    def __init__(self):
        self.clock = Clock()
        self.got, self.before_it = [], []
        reports = Reports(XTermParser, self.deliver, self.clock)
        self.intake = Intake(reports, lambda: len(self.before_it), self.deliver, self.clock)

    def deliver(self, event):
        self.before_it.append(event)

    def sends(self, text):
        """What comes at once, in what one look reads."""
        for at in range(0, len(text), 4096):
            self.intake.arrived(text[at : at + 4096])
            self.intake.work()

    def takes_all(self):
        """The app works through what is before it."""
        while self.before_it or self.intake.waits:
            self.got += self.before_it
            self.before_it.clear()
            self.intake.work()

    def waits(self, seconds):
        """Nothing comes for so long."""
        self.clock.at += seconds
        self.intake.work()
        self.takes_all()

    def words(self):
        """What the app got: characters, pastes in brackets, what was dropped in angles."""
        parts = []
        for event in self.got:
            if isinstance(event, events.Key):
                parts.append("\n" if event.key == "enter" else event.character or event.key)
            elif isinstance(event, events.Paste):
                parts.append(f"[{event.text}]")
            elif isinstance(event, InputDropped):
                parts.append(f"<{event.count}{' of a paste' * event.paste}>")
            else:
                parts.append(f"{{{type(event).__name__}}}")
        return "".join(parts)


@pytest.fixture
def line():
    return Line()


def test_keys_come_in_order_however_slowly_the_app_takes_them(line):
    text = "".join(f"{n % 97}\r" for n in range(1000))[: input_queue.MOST]
    for at in range(0, len(text), 10):
        line.sends(text[at : at + 10])
        assert len(line.before_it) <= input_queue.ROOM
    line.takes_all()
    line.waits(1)
    assert line.words() == text.replace("\r", "\n")


def test_a_flood_is_bounded_and_what_was_dropped_is_told_behind_the_rest(line):
    line.sends("31.7\r" * 180_000)
    assert len(line.before_it) <= input_queue.ROOM
    line.takes_all()
    assert "<" not in line.words()  # not before it is over
    line.waits(1)
    line.sends("5")
    line.takes_all()
    kept, _, told = line.words().partition("<")
    assert len(kept) <= input_queue.MOST + input_queue.ROOM
    assert kept == ("31.7\n" * 9_999)[: len(kept)]
    assert told == f"{900_000 - len(kept)}>5"


def test_all_of_a_burst_is_dropped_from_where_it_got_too_much(line):
    """Else a part of a later reading would stand behind a part of an earlier one."""
    line.sends("x" * (input_queue.MOST + 100))
    line.takes_all()
    line.sends("more of the same burst")
    line.takes_all()
    line.waits(1)
    kept, _, told = line.words().partition("<")
    assert set(kept) == {"x"}
    assert told == f"{input_queue.MOST + 100 + 22 - len(kept)}>"


def test_a_report_that_was_cut_by_it_leaves_nothing_behind(line):
    line.sends("y" * (input_queue.MOST - 2) + "\x1b[1;5A" + "z" * 50)
    line.takes_all()
    line.waits(1)
    line.sends("a")
    line.takes_all()
    assert line.words().endswith(">a")


def test_what_waited_too_long_is_dropped(line):
    line.sends("31.7\r" * 100)
    line.clock.at += input_queue.OLDEST + 1
    line.takes_all()
    line.waits(1)
    assert len(line.words()) <= input_queue.ROOM + 5
    assert line.words().endswith(f"<{500 - input_queue.ROOM}>")


def test_a_paste_whose_end_is_lost_ends_by_itself_and_keys_live(line):
    line.sends("\x1b[200~31.7\n31.8\n")
    line.waits(resilient_parser.PASTE_PAUSE + 0.1)
    line.sends("5\r")
    line.takes_all()
    assert line.words() == "[31.7\n31.8\n]5\n"


def test_a_key_right_after_a_lost_end_is_no_part_of_the_paste(line):
    line.sends("\x1b[200~31.7\n")
    line.clock.at += resilient_parser.PASTE_PAUSE + 0.1  # nobody looked meanwhile
    line.sends("5")
    line.takes_all()
    assert line.words() == "[31.7\n]5"


def test_a_slow_paste_is_cut_in_two_and_reads_the_same(line):
    line.sends("\x1b[200~31.")
    line.waits(1)
    line.sends("7\r\x1b[201~5")
    line.takes_all()
    assert line.words() == "[31.]7\n5"


def test_of_a_paste_that_is_too_long_nothing_is_taken(line):
    for end in ("\x1b[201~", ""):
        line.got.clear()
        line.intake._reports.feed("\x1b[200~" + "31.7\n" * 20_000 + end)
        line.waits(1)
        line.sends("5")
        line.takes_all()
        assert line.words() == "<100000 of a paste>5"


def test_focus_and_mouse_are_told_once_for_all_that_came_together(line):
    line.sends("\x1b[I\x1b[O" * 1500 + "".join(f"\x1b[<35;{n % 70 + 1};5M" for n in range(300)))
    line.takes_all()
    line.waits(1)
    assert line.words().count("{") <= 4  # two looks, of 4096 signs each, with two things to say
    assert line.got[-1].x == 299 % 70
    line.got.clear()
    line.sends("a\x1b[<35;9;5Mb\x1b[I")
    line.takes_all()
    assert line.words() == "a{MouseMove}b{AppFocus}"


def test_a_queue_gives_no_more_than_it_is_asked_for():
    queue = InputQueue(Clock())
    queue.put("abcdef")
    assert (queue.take(2), queue.take(9), queue.take(1), len(queue)) == ("ab", "cdef", "", 0)


async def test_what_stands_half_typed_is_taken_out_and_said(job, session):
    async with job(session) as pilot:
        await pilot.press("enter")  # the list's caution
        await type_in(pilot, "31.")
        pilot.app.post_message(InputDropped(895_904, paste=False))
        await pilot.pause()
        (said,) = pilot.app._notifications
        assert "895 904 characters were dropped" in said.message.replace("\u202f", " ")
        assert "'31.', is taken out" in said.message
        assert pilot.app.focused.value == ""
