"""Where the person is in the walk, and recording in the order of what is typed.

It keeps the step, the reading, the phase and what the field asks for, and nothing else; what is
recorded stands in the view that the app hands it.
"""

from __future__ import annotations

from rich.text import Text
from textual import events
from textual.message import Message

from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.targets import Target
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.requests import Record, Request
from inspect_tui.tui.base.styling import FAIL, PASS, UNCERTAIN, one_line
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen
from inspect_tui.tui.walk import question_text
from inspect_tui.tui.walk.prompts import Prompt
from inspect_tui.tui.walk.type_ahead import Place, TypeAheadQueue, Typed
from inspect_tui.tui.widgets.caution_panel import Gate, gate_before
from inspect_tui.tui.widgets.entry_field import EntryOutcome
from inspect_tui.tui.widgets.question import Question

SCROLLS = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
"""Lines by which keys go on in a list or in the cautions."""


class WalkRecording(InspectionScreen):
    """The owner of the entry field; how it looks is the business of `WalkScreen`."""

    def __init__(self, desk: InspectionActions, opening: str = "") -> None:
        """Take the desk.

        Args:
            desk: Does what is asked.
            opening: What is being opened, in words.
        """
        super().__init__(desk)
        self.opening = opening
        self.at = ""
        self.target: Target | None = None
        self.phase: Phase = AS_FOUND
        self.mode: Prompt | None = None
        self.aside = ""
        self._answer_due = False
        self._under: tuple[Prompt, str, str] | None = None
        self.waiting = TypeAheadQueue()
        self.asked_to_begin: frozenset[str] = frozenset()
        self.gauge = ""
        self.state = ""
        self.panel = ""
        self.changed: tuple[str, ...] = ()
        self._last: tuple[Target, Target | None] | None = None
        self._follower: Target | None = None
        self._asked_again = 0.0
        self._said = Text("")
        self._asks: tuple[str, ...] = ()
        self._gate: Gate | None = None
        self.warned = False
        self.leaving_asked = False
        self.said_stands = False
        self.pick = 0
        self.question = Question(self)
        self.question.field.wait_for_session()

    def mode_entered(self, mode: Prompt, text: str) -> EntryOutcome:
        """Enter on words that were asked for."""
        raise NotImplementedError

    def sideways(self, key: str) -> bool:
        """Left, Right and Tab."""
        raise NotImplementedError

    def turn_over(self, key: str) -> None:
        """Read on in the open panel, or close it."""
        raise NotImplementedError

    def scroll_cautions(self, lines: int) -> None:
        """Read on in cautions that are longer than their panel."""
        raise NotImplementedError

    def read_on(self) -> bool:
        """Scroll on in the cautions; True as long as their end has not been shown."""
        raise NotImplementedError

    def command_early(self, key: str) -> bool:
        """A key while the session is opened."""
        raise NotImplementedError

    def stay_for_typed(self) -> bool:
        """Whether Ctrl+Q has to wait for what is typed."""
        raise NotImplementedError

    def draw_answer(self) -> None:
        """Draw the verdict of what is typed."""
        raise NotImplementedError

    def draw_waiting(self) -> None:
        """Draw what was typed ahead and waits."""
        raise NotImplementedError

    # What is known

    @property
    def held(self) -> list[Typed]:
        """What was typed ahead and waits here."""
        return self.waiting.held

    @property
    def place(self) -> Place:
        """Where the person is."""
        return self.at, self.target, self.phase

    def not_entered(self) -> list[str]:
        """Whatever was typed and is in no log."""
        field = self.question.field
        return [each for each in (*self.waiting.texts, one_line(field.value), field.early) if each]

    @property
    def known(self) -> View:
        """The view; the session is open when anything asks for it."""
        assert self.view is not None
        return self.view

    def show(self, view: View) -> None:
        """Take the view; the first one says where to begin."""
        first = self.view is None
        super().show(view)
        if first:
            start = reading_order.next_target(
                view.results, None, view.results.steps[0].step.id, AS_FOUND
            )
            self.go(start.step if start else view.results.steps[0].step.id, start)
            if view.said:
                self.tell(Text(one_line(" ".join(view.said)), style=UNCERTAIN))
            elif start is None:
                self.tell_all_asked()
            self._look_for_gate()
            self._go_on_as_typed()

    def _go_on_as_typed(self) -> None:
        """Do what was typed while the session was opened, in its order."""
        field = self.question.field
        if self.held and field.value:
            self.held.append((field.value, False))
            field.put("")
        self.drain()
        field.go_on()
        self.draw_waiting()
        self.refresh_bindings()

    def go(self, step: str, target: Target | None) -> None:
        """Be at another step or reading."""
        self.at, self.target, self._follower = step, target, None
        self._look_for_gate()
        self.take_up()
        self.draw_soon()

    def walk_to(self, step: str, target: Target | None) -> None:
        """Go where a key of the person leads; what waits stays with the place that it waits at."""
        self.waiting.set_aside(self.place)
        self.go(step, target)
        self.draw_waiting()

    def take_up(self) -> None:
        """Where something waits for this place, offer it: in the field, not entered."""
        field = self.question.field
        if field.value or not self.waiting.take_up(self.place):
            return
        if self._gate is None:
            text, _ = self.held.pop(0)
            field.put(text)
            field.refuse()
            said = f"'{one_line(text)}' waited for this reading: Enter records it, Esc clears it."
            self.tell(Text(said, style=UNCERTAIN))
        self.draw_waiting()

    def _look_for_gate(self) -> None:
        gate = gate_before(self.known, self.known.results.step(self.at), self.asked_to_begin)
        if gate != self._gate:
            self._gate = gate
            if gate is not None:
                self.question.field.unseen()

    # The field's owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter was pressed in the field."""
        if self.view is None:
            if text.strip():
                self.enqueue(text, complete=True)
            return "held"
        if self.mode is not None:
            return self.mode_entered(self.mode, text.strip())
        if self._gate is not None:
            return self._at_the_gate(self._gate, text, seen)
        if not text.strip():
            if self.held:
                self.tell(Text("Type this reading first, or Esc drops what waits.", UNCERTAIN))
            return "taken"
        taken = self._record(text)
        if taken == "taken":
            self.drain()
        return taken

    def _at_the_gate(self, gate: Gate, text: str, seen: bool) -> EntryOutcome:
        if text.strip():
            self.enqueue(text, complete=True)
            self.tell(Text("It waits: read the caution first, Enter on the empty field.", FAIL))
            return "held"
        if not seen:
            self.tell(Text("Read it first, then Enter on the empty field.", UNCERTAIN))
            return "taken"
        if self.read_on():
            self.tell(Text("Read on to the end: then Enter confirms.", UNCERTAIN))
            return "taken"
        outcome = self.desk.submit(gate.confirms)
        if not outcome.ok:
            self.tell(Text(one_line(outcome.error), style=FAIL))
            return "taken"
        if not gate.whole_list:
            self.asked_to_begin |= {self.at}
        self.tell(Text("Confirmed.", style=PASS))
        self._look_for_gate()
        self.draw_soon()
        self.drain()
        return "taken"

    def _record(self, text: str, *, ahead: bool = False) -> EntryOutcome:
        """Record one typed reading and move on.

        Args:
            text: What was typed.
            ahead: It waited in the queue.
        """
        if self._follower is not None and (ahead or self.question.field.begun < self._asked_again):
            # Typed before it was seen that the same reading is asked again after a move.
            self.go(self._follower.step, self._follower)
        target, view = self.target, self.known
        if view.signed or view.read_only:
            why, may = "The log is open for reading only", "Esc clears it."
            if view.signed:
                why, may = "The log is signed", "^n adds words to it."
            self.tell(Text(f"{why}: nothing was recorded. {may}", FAIL))
            return "refused"
        if target is None:
            self.tell(Text("No reading is asked here: choose one (Up, Down, ^g).", style=FAIL))
            return "refused"
        outcome = self.desk.submit(Record(target, text, self.phase, self.state, self.gauge))
        if not outcome.ok:
            self.tell(Text(f"✗ {one_line(outcome.error)}", style=FAIL))
            return "refused"
        if question_text.reading_of(self.known.results, target).condition:
            self.changed = outcome.said
        self._asks = outcome.said
        self.tell(question_text.recorded(self.known.results, target, self.phase, outcome.said))
        self.move_on(target)
        self._last = target, self.target
        return "taken"

    def move_on(self, after: Target | None) -> None:
        """Ask for the next open reading."""
        found = reading_order.next_target(self.known.results, after, self.at, self.phase)
        again = None
        if after is not None and self.phase == AS_LEFT:
            again = reading_order.measured_again(self.known.results, after)
        if again is not None:
            self.go(again.step, again)
            self._follower, self._asked_again = found, float("inf")
        elif found is not None:
            self.go(found.step, found)
        else:
            self.go(self.at, None)
            self.tell_all_asked(self._said)

    def asked_again_drawn(self) -> None:
        """That a reading is asked again was drawn: what is typed from now on is meant for it."""
        if self._asked_again == float("inf"):
            self._asked_again = Message().time

    def tell_all_asked(self, before: Text | None = None) -> None:
        """Nothing is open any more."""
        left = "No reading of this step is left for as left. F2: as found, ^g: another step."
        done = "Every step is done or skipped. F7: findings, F9: sign-off."
        said = Text(left if self.phase == AS_LEFT else done, style=PASS)
        self.tell(Text.assemble(before, "\n", said) if before else said)

    def drain(self) -> None:
        """Record what was typed ahead, in order, until something stops it; say what took what."""
        field, said, refusal = self.question.field, self._said, Text("")
        taken: list[Text] = []
        while self.held and self._gate is None and self.mode is None and not field.value:
            text, complete = self.held.pop(0)
            if not complete:
                field.put(text)
                self.typed(text)
                break
            target, phase = self.target, self.phase
            if self._record(text, ahead=True) != "taken":
                refusal = self._said
                field.put(text)
                field.refuse()
                break
            if target is not None:
                taken.append(
                    question_text.took(self.known.results, target, phase, text, self._asks)
                )
        if taken:
            said = question_text.took_all(said, taken)
        if taken or refusal:
            self.tell(Text("\n").join([each for each in (said, refusal) if each]))
        if taken and self.target is None:
            self.tell_all_asked(self._said)
        self.draw_waiting()

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Keep what was typed ahead."""
        self.held.append((text, complete))
        self.warned = False
        self.draw_waiting()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Until the session is open its actions are grey; their keys wait in the field."""
        mine = any(each.name == action for each in self.ACTIONS)
        return None if self.view is None and mine and action != "leave" else True

    @guarded(None)
    def typed(self, text: str) -> None:
        """The field's text changed: judge it after the keys of this burst."""
        self.warned = self.leaving_asked = self.said_stands = False
        if self.view is None:
            self.draw_waiting()
        if not self._answer_due:
            self._answer_due = True
            self.call_later(self._answer_now)  # sooner than after the next picture

    def _answer_now(self) -> None:
        self._answer_due = False
        self.draw_answer()

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, done at once and in its turn."""
        if self.view is None:
            return self.command_early(key)
        if self._gate is not None and self._gate.whole_list and key in SCROLLS:
            self.scroll_cautions(SCROLLS[key])
            return True
        if self.panel and self.mode is None and key in ("up", "down", "escape"):
            self.turn_over(key)
            return True
        if self.mode is not None and self.mode.name == "goto" and key in SCROLLS:
            self.pick += SCROLLS[key]
            self.draw_soon()
            return True
        for action in self.ACTIONS:
            if action.key == key:
                getattr(self, f"action_{action.name}")()
                return True
        if key in ("left", "right", "tab", "shift+tab"):
            return self.sideways(key)
        if key == "ctrl+q":
            return self.stay_for_typed()
        return False

    def on_key(self, event: events.Key) -> None:
        """A key that came before the field had the focus."""
        field = self.question.field
        if not field.has_focus and self.is_current:
            field.focus()
            field.post_message(event)
            event.stop()

    # Saying

    def tell(self, text: Text) -> None:
        """What came of the last thing done; it stands until something else is typed."""
        self._said = text
        self.question.answer(text)

    def say(self, text: str) -> None:
        """One line to the person."""
        self.tell(Text(one_line(text), style=FAIL))

    def submit(self, request: Request, done: str) -> bool:
        """Ask the app for something and say what came of it."""
        outcome = self.desk.submit(request)
        if not outcome.ok:
            self.tell(Text(f"✗ {one_line(outcome.error)}", style=FAIL))
            return False
        said = " ".join((done, *outcome.said)).strip()
        self.tell(Text(one_line(said), style=PASS))
        return True
