"""What each action of the walk does; the table of keys and words stands in `actions.py`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from rich.text import Text

from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import FAIL, PASS, UNCERTAIN
from inspect_tui.tui.base.screen_names import ScreenName
from inspect_tui.tui.base.styling import shown_value
from inspect_tui.tui.walk import (
    figures,
    one_press,
    pictures,
    prompts,
    question_text,
    timing,
    type_ahead,
    words,
)
from inspect_tui.tui.walk.state import Panel

if TYPE_CHECKING:
    from inspect_tui.tui.walk.controller import WalkController

Command = Callable[["WalkController"], None]


# Going somewhere


def next_open(walk: WalkController) -> None:
    """The next reading without a value; where the one that is asked is open, it is that one."""
    if not walk.free_to_go():
        return
    state, at = walk.state, walk.state.target
    if at is not None and state.phase == AS_FOUND and reading_order.waits(state.results, at):
        said = "This one is open. Down goes past it, Ctrl+S skips it with a reason."
        walk.tell(Text(said, style=UNCERTAIN))
    else:
        walk.set(state.set_aside().next_open(at))


def next_finding(walk: WalkController) -> None:
    """The next step with an open finding."""
    found = reading_order.next_finding(walk.state.results, walk.state.step)
    if found is None:
        walk.tell(Text("No open finding.", style=PASS))
    else:
        walk.go_to_step(found)


def up(walk: WalkController) -> None:
    """The reading before; in a grid the one above."""
    _vertical(walk, -1)


def down(walk: WalkController) -> None:
    """The reading after; in a grid the one below."""
    _vertical(walk, 1)


def _vertical(walk: WalkController, by: int) -> None:
    results, at, step = walk.state.results, walk.state.target, walk.state.step
    inside = reading_order.in_grid(results, at, by, 0) if at is not None else None
    if inside is None and at is not None and results.step(at.step).step.per_cylinder:
        other = reading_order.step_beside(results, at.step, by)
        inside = None if other == at.step else reading_order.end_of(results, other, last=by < 0)
    walk.go_to_target(inside or reading_order.beside(results, at, step, by))


def sideways(walk: WalkController, key: str) -> bool:
    """Tab along the readings; Left and Right across the cylinders, on an empty field."""
    state = walk.state
    tab = key in ("tab", "shift+tab")
    if key == "tab" and state.prompt is not None and state.prompt.purpose == "add":
        take_step(walk)
        return True
    if state.prompt is not None or (state.draft.text and not tab):
        return tab
    by = 1 if key in ("right", "tab") else -1
    if tab:
        walk.go_to_target(reading_order.beside(state.results, state.target, state.step, by))
    elif state.target is not None:
        walk.go_to_target(reading_order.in_grid(state.results, state.target, 0, by))
    return True


def step_before(walk: WalkController) -> None:
    """The step before."""
    walk.go_to_step(reading_order.step_beside(walk.state.results, walk.state.step, -1))


def step_after(walk: WalkController) -> None:
    """The step after."""
    walk.go_to_step(reading_order.step_beside(walk.state.results, walk.state.step, 1))


def fold(walk: WalkController) -> None:
    """Fold this section in the list."""
    walk.page.fold(walk.state.step)


def go_to(walk: WalkController) -> None:
    """Another step by typing."""
    words.begin(walk, prompts.go_to())


# Words in the field


def note(walk: WalkController) -> None:
    """A note at this step; an addendum once the log is signed."""
    step = walk.state.results.step(walk.state.step).step
    signed = walk.state.known.signed
    words.begin(walk, prompts.addendum() if signed else prompts.note(step.id, step.title))


def skip_reading(walk: WalkController) -> None:
    """This reading can't be taken."""
    target, reading = walk.state.target, walk.state.reading
    if target is None or reading is None:
        walk.tell(Text("No reading is asked here; Ctrl+T skips the step.", style=UNCERTAIN))
        return
    words.begin(walk, prompts.skip_reading(target, reading.label))


def skip_step(walk: WalkController) -> None:
    """The whole step isn't done."""
    step = walk.state.results.step(walk.state.step).step
    words.begin(walk, prompts.skip_step(step.id, step.title))


def finding(walk: WalkController) -> None:
    """A finding in one's own words, at the cylinder where one is being read."""
    step = walk.state.results.step(walk.state.step).step
    cylinder = walk.state.target.cylinder if walk.state.target else None
    words.begin(walk, prompts.finding(step.id, step.title, cylinder))


def photos(walk: WalkController) -> None:
    """Look at the photos of this step."""
    if not walk.state.known.session.photos_at(walk.state.step):
        said = "No photo at this step; 'Attach photo' (Ctrl+P) puts one."
        walk.tell(Text(said, UNCERTAIN))
        return
    walk.page.open("photos")


def attach(walk: WalkController) -> None:
    """Put a photo at this step, at the cylinder where one is being read."""
    step = walk.state.results.step(walk.state.step).step
    cylinder = walk.state.target.cylinder if walk.state.target else None
    words.begin(walk, prompts.photo(step.id, step.title, cylinder))


def keep_copy(walk: WalkController) -> None:
    """The session on another disk, with what is typed and in no log."""
    state = walk.state
    unsaved = state.queue.texts
    where = state.prompt.title if state.prompt else f"{state.target}, {state.phase}"
    typed = one_line(state.draft.text)
    unsaved[:0] = [f"{where}: {typed}"] if typed else []
    if state.aside.strip():
        unsaved.append(f"{state.target}, {state.phase}: {one_line(state.aside)}")
    walk.set(state.asking_over(prompts.keep_copy(tuple(unsaved))))


def add_step(walk: WalkController) -> None:
    """A step that was forgotten."""
    results = walk.state.results
    section = results.step(walk.state.step).section
    words.begin(walk, prompts.add_step(section, prompts.section_title(results, section)))


def take_step(walk: WalkController) -> None:
    """A step of another list."""
    view = walk.state.known
    if view.signed or view.read_only:
        walk.tell(Text("The log takes no more steps.", style=FAIL))
    elif walk.state.prompt is None or walk.state.prompt.purpose == "add":
        walk.page.open("take_step")
    else:
        walk.free_to_go()


def gauge(walk: WalkController) -> None:
    """The gauge in hand."""
    words.begin(walk, prompts.gauge(walk.state.gauge))


def figure(walk: WalkController) -> None:
    """A figure that the machine's sheet lacks, as the manual has it."""
    asked = figures.to_ask(walk.state)
    if asked is None:
        walk.tell(Text(figures.none_to_ask(walk.state), style=UNCERTAIN))
    else:
        words.begin(walk, figures.value(asked, walk.state.results.machine.cylinders))


def condition(walk: WalkController) -> None:
    """Cold, warm, loaded."""
    words.begin(walk, prompts.state(walk.state.condition))


def from_paper(walk: WalkController) -> None:
    """Type in what was written on blank sheets, from the first step on; again: no more."""
    if walk.state.paper:
        walk.set(replace(walk.state, paper="").saying(Text("No more from paper.", style=PASS)))
    else:
        words.begin(walk, prompts.paper_date())


def air(walk: WalkController) -> None:
    """The air of the day, one figure after the other."""
    if walk.free_to_go():
        walk.state = replace(walk.state, panel="air", changed=())
        first = next(iter(wording.CONDITIONS))
        words.begin(walk, prompts.conditions(first, walk.state.results))


def escape(walk: WalkController) -> None:
    """Leave what the field asks for, or clear it, let a timer go, or drop what waits."""
    state = walk.state
    if state.prompt is not None:
        words.leave(walk, state.prompt)
    elif state.draft.text:
        said = Text(f"Cleared: {one_line(state.draft.text)}", style=UNCERTAIN)
        walk.set(state.typed("").saying(said))
    elif state.timer is not None and state.timer.target == state.target:
        timing.let_go(walk)
    elif state.queue:
        queue = state.queue.dropped()
        gone = state.queue.texts[: len(state.queue.texts) - len(queue.texts)]
        said = Text("Dropped, not recorded: " + " · ".join(gone), style=UNCERTAIN)
        walk.set(replace(state, queue=queue).saying(said))


# Phases


def phase(walk: WalkController) -> None:
    """Record as found or as left."""
    state = walk.state.turned()
    word = wording.PHASES[state.phase].word
    walk.set(state.saying(Text(f"Now recording {word}.", style=UNCERTAIN)))


def left_as_found(walk: WalkController) -> None:
    """As left equals what stands, for the rest of this step and for what was upset since."""
    results = walk.state.results
    step = results.step(walk.state.step).step
    if walk.state.gate is not None:
        walk.tell(Text("Confirm the caution first: Space or Enter.", style=UNCERTAIN))
        return
    values = []
    for target in reading_order.targets(step, results.machine.cylinders):
        rows = [
            results.row(target.step, target.reading, target.cylinder, phase)
            for phase in (AS_LEFT, AS_FOUND)
        ]
        stands = next((row for row in rows if row is not None), None)
        if stands is not None and reading_order.wants_as_left(results, target):
            values.append((target, stands.entered))
    if not values:
        walk.tell(Text("No reading of this step waits for its value as left.", style=UNCERTAIN))
        return
    done = f"Left as found: {pluralize(len(values), 'reading')}."
    recorded = walk.submit(lambda held: held.record(values, AS_LEFT), done)
    if recorded and walk.state.phase == AS_LEFT:
        walk.set(walk.state.next_open(walk.state.target))


def take_back(walk: WalkController) -> None:
    """The last reading is taken back and asked again; what stood before it stands again.

    What is typed and not saved is the last thing that was done: it goes first, alone.
    """
    state = walk.state
    waiting = [state.draft.text, *(text for text, _ in state.queue.here)]
    unsaved = " · ".join(one_line(text) for text in waiting if text.strip())
    if state.prompt is None and unsaved:
        cleared = f"Cleared, not saved: {unsaved}. Ctrl+Z takes a saved one back."
        left = replace(state.typed(""), queue=replace(state.queue, here=()))
        walk.set(left.saying(Text(cleared, style=UNCERTAIN)))
        return
    stands = state.known.session.readings.values()
    last = max(stands, key=lambda recorded: recorded.n, default=None)
    if last is None:
        walk.tell(Text("There is no reading to take back.", style=UNCERTAIN))
        return
    target = Target(last.step, last.reading, last.cylinder)
    if not walk.submit(lambda held: (held.take_back(),), ""):
        return
    state = walk.state
    name = one_line(question_text.name_of(state.results, target))
    said = Text(f"Taken back: {name} {one_line(last.entered)}", style=UNCERTAIN)
    before = state.results.row(target.step, target.reading, target.cylinder, last.phase)
    said.append(f"; {shown_value(before)} stands again." if before is not None else ".")
    state = replace(state.set_aside(), phase=last.phase, passed=state.passed - {target})
    reading = reading_order.reading_of(state.results, target)
    unit = one_press.written_unit(last.entered, reading)  # what is typed again is in it too
    state = state.at(target.step, target)
    if unit and not reading.condition:  # of the air a bare number is in the list's unit
        state = state.with_row_unit(target, unit)
    walk.set(state.saying(said))


def move(walk: WalkController) -> None:
    """Move this reading's value to the other phase."""
    state, at = walk.state, walk.state.target
    if at is None or state.prompt is not None:
        return
    have = [
        each
        for each in (AS_FOUND, AS_LEFT)
        if state.results.row(at.step, at.reading, at.cylinder, each) is not None
    ]
    if not have:
        walk.tell(Text("This reading has no value to move.", style=UNCERTAIN))
        return
    source = state.phase if state.phase in have else have[0]
    other = AS_LEFT if source == AS_FOUND else AS_FOUND
    done = f"Moved from {wording.PHASES[source].word} to {wording.PHASES[other].word}."
    walk.submit(lambda held: held.move(at, source), done)


# Panels, other screens, leaving


def _panel(name: Panel) -> Command:
    def turn(walk: WalkController) -> None:
        walk.set(walk.state.with_panel(name))

    return turn


def open_menu(walk: WalkController) -> None:
    """The letters of the short menu."""
    walk.set(replace(walk.state, is_menu_open=True))


def bars(walk: WalkController) -> None:
    """The cylinders of the asked reading side by side, drawn; again: back to the readings."""
    if walk.state.panel != "bars" and pictures.bars(walk.state, walk.actions) is None:
        said = "Only a number that is taken per cylinder can be drawn."
        walk.tell(Text(said, style=UNCERTAIN))
    else:
        walk.set(walk.state.with_panel("bars"))


def _screen(name: ScreenName) -> Command:
    def turn(walk: WalkController) -> None:
        walk.page.open(name)

    return turn


def widen(walk: WalkController) -> None:
    """What the job leaves out."""
    if any(each.state == "left-out" for each in walk.state.results.steps):
        walk.page.open("widen")
    else:
        walk.tell(Text("This job takes in the whole list.", style=UNCERTAIN))


def leave(walk: WalkController) -> None:
    """Back to the sessions."""
    if not walk.free_to_go():
        return
    if walk.not_entered and not walk.warned:
        walk.warned = True
        typed = type_ahead.named(walk.not_entered)
        said = f"Typed and not saved: {typed}. Once more leaves without it."
        walk.tell(Text(said, style=FAIL))
        return
    walk.page.open("sessions")


def end(walk: WalkController) -> None:
    """Quit; what is typed and not entered is said once before."""
    if walk.not_entered and not walk.warned:
        walk.warned = True
        typed = type_ahead.named(walk.not_entered)
        said = f"Typed and not entered: {typed}. Once more leaves without it."
        walk.tell(Text(said, style=FAIL))
    else:
        walk.page.quit()


COMMANDS: Final[dict[str, Command]] = {
    "help": _screen("help"), "findings": _screen("findings"), "compare": _screen("compare"),
    "bench": _screen("bench"), "sign_off": _screen("sign"), "export": _screen("export"),
    "plan": _screen("plan"), "take_step": take_step,
    "all_figures": _screen("figures"), "widen": widen,
    "why": _panel("why"), "details": _panel("details"),
    "saved": _panel("saved"),
    "far": _panel("far"), "bars": bars,
    "next_open": next_open, "next_finding": next_finding, "up": up, "down": down,
    "step_before": step_before, "step_after": step_after, "fold": fold, "go_to": go_to,
    "note": note, "skip_reading": skip_reading, "skip_step": skip_step, "finding": finding,
    "photos": photos, "attach": attach, "keep_copy": keep_copy, "add_step": add_step,
    "gauge": gauge, "figure": figure, "condition": condition,
    "from_paper": from_paper, "air": air, "escape": escape,
    "phase": phase, "left_as_found": left_as_found, "move": move, "leave": leave,
    "quit": end, "take_back": take_back, "menu": open_menu,
}  # fmt: skip
"""By the action's name."""
