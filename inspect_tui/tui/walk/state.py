"""Where the person is in the walk and what is typed and not recorded. Frozen; knows no terminal.

Every transition gives a new state; nothing here writes. What is recorded stands in `view`, which
is replaced whole after each entry. `controller.py` does what keys ask for and moves from one state
to the next, `screen.py` draws the one that stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from rich.text import Text

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import Results
from inspect_tui.core.model.targets import Target
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import FAIL, PASS, UNCERTAIN
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.walk import hold_test, one_press
from inspect_tui.tui.walk.gate import Gate, gate_before
from inspect_tui.tui.walk.prompts import Prompt
from inspect_tui.tui.walk.type_ahead import Place, TypeAheadQueue

Panel = Literal["", "why", "air", "details", "saved", "far", "bars"]
"""What is read in place of the readings."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What stands in the field and is in no log."""

    text: str = ""
    refused: bool = False
    """Whether the next character that is typed takes its place."""


@dataclass(frozen=True, slots=True)
class RunningTimer:
    """A timer that was started and not stopped yet."""

    target: Target
    phase: Phase
    started: float
    """By the clock of the keys [s]."""
    rings_at: float | None = None
    """After so many seconds the bell rings; None where no time is wanted."""
    rang: bool = False


@dataclass(frozen=True, slots=True)
class PutAside:
    """A prompt that another one lies over, with what was typed in it and under it."""

    prompt: Prompt
    text: str
    aside: str


@dataclass(frozen=True, slots=True)
class WalkState:
    """Place, phase, prompt, gate and what was typed ahead."""

    view: View | None = None
    """The inspection as it stands; None until its session is open."""
    step: str = ""
    target: Target | None = None
    """The reading that is asked; None where none is."""
    phase: Phase = AS_FOUND
    draft: Draft = field(default_factory=Draft)
    queue: TypeAheadQueue = field(default_factory=TypeAheadQueue)
    prompt: Prompt | None = None
    """What the field asks for instead of a reading."""
    aside: str = ""
    """What stood in the field before the prompt."""
    under: PutAside | None = None
    gate: Gate | None = None
    begun: frozenset[str] = frozenset()
    """Steps that begin a run or a move and were said yes to."""
    not_known: frozenset[str] = frozenset()
    """Figures of the sheet that were asked for and are not known."""
    source: str = ""
    """Where the last figure came from."""
    gauge: str = ""
    condition: str = ""
    """The state the readings are taken in: cold, warm."""
    paper: str = ""
    """When the readings were taken and by whom, while they are typed in from paper."""
    panel: Panel = ""
    changed: tuple[str, ...] = ()
    """What the last change of the air did to verdicts."""
    pick: int = 0
    """Which of the found steps Enter goes to."""
    last: tuple[Target, Target | None] | None = None
    """The reading that was recorded last, and the one that was asked after it."""
    passed: frozenset[Target] = frozenset()
    """Optional readings that were asked once and left out."""
    row_unit: tuple[str, str, str] = ("", "", "")
    """The unit typed last, for the row (step, reading) that it stays in."""
    own_units: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """By (step, reading): the unit that the person reads such figures in, by their settings."""
    timer: RunningTimer | None = None
    is_menu_open: bool = False
    """Whether the letters of the short menu are read instead of an answer."""
    follower: Target | None = None
    """What would have been asked had a move not wanted the same reading again."""
    said: Text = field(default_factory=Text)
    """What came of the last thing done; it stands until something else is typed."""
    said_stands: bool = False
    """Whether it stands although a text is in the field."""

    # What is known

    @property
    def known(self) -> View:
        """The view; the session is open when anything asks for it."""
        assert self.view is not None
        return self.view

    @property
    def results(self) -> Results:
        """What follows from the session as it stands."""
        return self.known.results

    @property
    def place(self) -> Place:
        """Where the person is."""
        return self.step, self.target, self.phase

    @property
    def reading(self) -> Reading | None:
        """The reading that is asked."""
        if self.target is None:
            return None
        return reading_order.reading_of(self.results, self.target)

    @property
    def unit(self) -> str:
        """The unit behind the cursor; "" where a bare number is in the reading's own."""
        reading = self.reading
        if reading is None or self.prompt is not None or reading.kind != "number":
            return ""
        step = self.results.step(self.step).step
        row = (self.step, hold_test.row_of(step, reading.id))
        if self.row_unit[:2] == row and hold_test.shares_gauge(step, reading.id):
            return self.row_unit[2]
        return self.own_units.get((self.step, reading.id), "")

    @property
    def entry(self) -> str:
        """What Enter would record: the draft, with the unit that the field shows behind it."""
        reading = self.reading
        if reading is None or self.prompt is not None:
            return self.draft.text
        return one_press.with_unit(self.draft.text, self.unit, reading)

    @property
    def is_asked_once(self) -> bool:
        """Whether Enter on the empty field leaves out what is asked."""
        if self.target is None or self.phase != AS_FOUND:
            return False
        return reading_order.is_left_to_choice(self.results, self.target)

    @property
    def not_entered(self) -> list[str]:
        """Whatever was typed and is in no log."""
        texts = (*self.queue.texts, one_line(self.draft.text))
        return [each for each in texts if each]

    # The inspection

    def opened(self, view: View) -> WalkState:
        """The session is there: be at its first open reading."""
        first = view.results.steps[0].step.id
        start = reading_order.next_target(view.results, None, first, AS_FOUND)
        here = replace(self, view=view, own_units=view.own_units).at(
            start.step if start else first, start
        )
        if view.said:
            return here.saying(Text(one_line(" ".join(view.said)), style=UNCERTAIN))
        return here if start is not None else here.all_asked()

    def with_view(self, view: View) -> WalkState:
        """The inspection as it stands after an entry."""
        return replace(self, view=view, own_units=view.own_units)._guarded()

    # Where the person is

    def at(self, step: str, target: Target | None) -> WalkState:
        """Be at another step or reading; what waits for it is offered, not entered."""
        moved = replace(self, step=step, target=target, follower=None, is_menu_open=False)
        if target is None or moved.row_unit[:2] != self._row(target):
            moved = replace(moved, row_unit=("", "", ""))
        return moved._guarded()._take_up()

    def walk_to(self, step: str, target: Target | None) -> WalkState:
        """Go where a key of the person leads; what is typed and what waits stay with the place.

        So does what was said of it: at another place it would be read as said of that one.
        """
        there = self.set_aside().at(step, target)
        is_old = there.said is self.said and (step, target) != (self.step, self.target)
        return there.saying(Text("")) if is_old else there

    def set_aside(self) -> WalkState:
        """What is in the field and what waits here stay with this place."""
        state = self
        if self.draft.text.strip() and self.prompt is None:
            place = len(self.queue.here) if self.gate is not None else 0
            here = list(self.queue.here)
            here.insert(place, (self.draft.text, False))
            state = replace(self, draft=Draft(), queue=replace(self.queue, here=tuple(here)))
        return replace(state, queue=state.queue.set_aside(state.place))

    def next_open(self, after: Target | None) -> WalkState:
        """Ask for the next open reading; after a move for the same one again, as left."""
        found = reading_order.next_target(self.results, after, self.step, self.phase, self.passed)
        if after is not None and self.phase == AS_LEFT:
            again = reading_order.measured_again(self.results, after)
            if again is not None:
                return replace(self.at(again.step, again), follower=found)
        if found is not None:
            return self.at(found.step, found)
        upset = reading_order.to_measure_again(self.results)
        if upset is not None and self.phase == AS_FOUND:
            return self.go_to_step(upset, self.said)
        return self.at(self.step, None).all_asked(self.said)

    def go_to_step(self, step: str, before: Text | None = None) -> WalkState:
        """Be at a step's first open reading; one that was upset since is measured as left."""
        result = self.results.step(step)
        if result.state != "again" or self.phase == AS_LEFT:
            return self.walk_to(step, reading_order.first_in(self.results, step, self.phase))
        state = replace(self.set_aside(), phase=AS_LEFT)
        titles = {each.step.id: each.step.title for each in self.results.steps}
        upset = one_line(titles.get(result.upset_by, result.upset_by))
        said = Text(f"Measure again, as left: '{upset}' upset it. Ctrl+R: unchanged.", UNCERTAIN)
        state = state.walk_to(step, reading_order.first_in(self.results, step, AS_LEFT))
        return state.saying(Text.assemble(before, "\n", said) if before else said)

    def left_out(self, target: Target) -> WalkState:
        """An optional reading was asked and is left out: on to the next one."""
        return replace(self, passed=self.passed | {target}).next_open(target)

    def turned(self) -> WalkState:
        """Record in the other phase; where nothing is being typed, at the reading it is about."""
        state = replace(self, queue=self.queue.set_aside(self.place))
        state = replace(state, phase=AS_LEFT if self.phase == AS_FOUND else AS_FOUND)
        if state.prompt is not None or state.draft.text or not state.step:
            return state
        moved = self.last[0] if self.last is not None and self.last[1] == self.target else None
        if state.phase == AS_LEFT:
            target = reading_order.to_be_left(state.results, state.step, moved)
        else:
            target = reading_order.first_in(state.results, state.step, state.phase)
        return state.at(target.step if target else state.step, target)

    def confirmed(self, gate: Gate) -> WalkState:
        """The person has read it; a step that begins a run or a move isn't asked about again."""
        begun = self.begun | ({gate.step} if gate.step else set())
        return replace(self, begun=begun)._guarded()

    def _guarded(self) -> WalkState:
        """With what has to be confirmed at this place."""
        if not self.step:
            return self
        gate = gate_before(self.known, self.results.step(self.step), self.begun)
        return self if gate == self.gate else replace(self, gate=gate)

    def _take_up(self) -> WalkState:
        """Where something waits for this place, offer it: in the field, not entered."""
        queue = self.queue.take_up(self.place)
        if self.draft.text or queue is self.queue:
            return self
        state = replace(self, queue=queue)
        if self.gate is not None:
            return state
        text, _ = queue.here[0]
        said = f"'{one_line(text)}' is not saved: Enter records it, Esc clears it."
        state = replace(state, queue=queue.without_first(), draft=Draft(text, refused=True))
        return state.saying(Text(said, style=UNCERTAIN))

    # What is typed

    def with_row_unit(self, target: Target, unit: str) -> WalkState:
        """This unit was typed: it stays in the row."""
        return replace(self, row_unit=(*self._row(target), unit))

    def _row(self, target: Target) -> tuple[str, str]:
        step = self.results.step(target.step).step
        return target.step, hold_test.row_of(step, target.reading)

    def typed(self, text: str, *, refused: bool = False) -> WalkState:
        """This stands in the field now."""
        return replace(self, draft=Draft(text, refused))

    def edited(self, text: str) -> WalkState:
        """The person changed the field's text."""
        return replace(self, draft=Draft(text), said_stands=False)

    def enqueued(self, text: str, *, complete: bool) -> WalkState:
        """Keep what was typed ahead."""
        return replace(self, queue=self.queue.add(text, complete=complete))

    # Words in the field

    def asking(self, prompt: Prompt) -> WalkState:
        """Let the field ask for words; what was typed is kept aside."""
        asked = replace(self, prompt=prompt, aside=self.draft.text, draft=Draft(), pick=0)
        return asked.saying(Text(""))

    def asking_over(self, prompt: Prompt) -> WalkState:
        """The same, over a prompt that goes on afterwards."""
        state = self
        if self.prompt is not None:
            under = PutAside(self.prompt, self.draft.text, self.aside)
            state = replace(self, under=under, prompt=None)
        return state.asking(prompt)

    def answered(self) -> WalkState:
        """Ask for what was asked before the prompt, with what was typed there."""
        back = replace(self, prompt=None, draft=Draft(self.aside), aside="")
        if self.under is None:
            return back
        under = self.under
        return replace(
            back, prompt=under.prompt, draft=Draft(under.text), aside=under.aside, under=None
        )

    def aside_left_here(self) -> WalkState:
        """What stood in the field before the prompt, and what waits, stay with the reading here."""
        state = replace(self, draft=Draft(self.aside), prompt=None, aside="")
        return replace(state.set_aside(), prompt=self.prompt)

    # What is said

    def saying(self, text: Text) -> WalkState:
        """With this below the field, until something else is typed."""
        return replace(self, said=text, said_stands=bool(text))

    def in_trouble(self, trouble: str) -> WalkState:
        """With a line of trouble below the field."""
        return self.saying(Text(one_line(trouble), style=FAIL))

    def all_asked(self, before: Text | None = None) -> WalkState:
        """Nothing is open any more."""
        left = "Everything here is recorded as left. F2: as found, Ctrl+G: another step."
        done = "Every step is done or skipped. F7: findings, F9: sign-off."
        said = Text(left if self.phase == AS_LEFT else done, style=PASS)
        return self.saying(Text.assemble(before, "\n", said) if before else said)

    def with_panel(self, panel: Panel) -> WalkState:
        """A panel in place of the readings; the one that is open is closed."""
        return replace(self, panel="" if self.panel == panel else panel)
