"""What keys do in the walk: record, wait at a caution, go elsewhere. Knows no terminal.

It holds the one `WalkState` that stands and the line of entry, asks the app for what is to be
recorded, and moves from state to state. What only a screen can do is asked of its `WalkPage`.
The actions behind command keys stand in `commands.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from rich.text import Text

from inspect_tui.core.model.targets import Target
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.entry_line import EntryLine, EntryOutcome
from inspect_tui.tui.base.error_guard import fault, guarded
from inspect_tui.tui.base.look import FAIL, PASS, UNCERTAIN
from inspect_tui.tui.base.screen_names import ScreenName
from inspect_tui.tui.base.view_model import InspectionActions, Request, View
from inspect_tui.tui.walk import answering, commands, one_press, question_text, words
from inspect_tui.tui.walk.actions import ACTIONS
from inspect_tui.tui.walk.gate import Gate
from inspect_tui.tui.walk.state import WalkState

SCROLLS = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
"""Lines by which keys go on in a list or in the cautions."""
ENTER_NOT_NEEDED = "One press was enough: that Enter did nothing."


class WalkPage(Protocol):
    """What the controller asks of the screen that shows the walk."""

    def changed(self) -> None:
        """Another state stands: draw it, once a burst."""
        ...

    def text_changed(self) -> None:
        """Only the field's text is another: judge it after the keys of this burst."""
        ...

    def read_on(self) -> bool:
        """Scroll on in the cautions; True as long as their end has not been shown."""
        ...

    def scroll_cautions(self, lines: int) -> None:
        """Read on in cautions that are longer than their panel."""
        ...

    def scroll_panel(self, lines: int) -> None:
        """Read on in the open panel."""
        ...

    def fold(self, step: str) -> None:
        """Fold or unfold the group of a step in the list."""
        ...

    def open(self, name: ScreenName) -> None:
        """Another screen over this one, or away from it."""
        ...

    def quit(self) -> None:
        """End the program."""
        ...


class WalkController:
    """The owner of the line of entry."""

    def __init__(
        self,
        actions: InspectionActions,
        page: WalkPage,
        now: Callable[[], float],
        line: EntryLine,
    ) -> None:
        """A walk that is handed its session next.

        Args:
            actions: Does what is asked.
            page: Shows the state that stands.
            now: The clock of the keys [s].
            line: The line of entry, with what was typed while the session was opened.
        """
        self.actions = actions
        self.page = page
        self.now = now
        self.state = WalkState()
        self.line = line
        self._asked_again = 0.0
        self._asks: tuple[str, ...] = ()
        self._asked_about: tuple[Target, str] | None = None
        self.warned = False
        """Whether the person was told that leaving loses what is typed."""
        self.clearing_asked = False
        """Whether the person was told that Esc clears long words."""

    # The state

    def set(self, state: WalkState) -> None:
        """Another state stands; the field holds its draft."""
        before, self.state = self.state, state
        if state.draft.text != self.line.text or state.draft.refused != self.line.is_refused:
            self.line.put(state.draft.text)
            if state.draft.refused:
                self.line.refuse()
        if state.gate is not None and state.gate != before.gate:
            self.line.unseen()
        self.page.changed()

    def tell(self, text: Text) -> None:
        """What came of the last thing done; it stands until something else is typed."""
        self.set(self.state.saying(text))

    def say(self, text: str) -> None:
        """One line to the person, although a text may stand in the field."""
        self.set(self.state.in_trouble(text))

    def trouble(self, error: Exception) -> None:
        """Say an unexpected error; the program goes on."""
        self.say(fault(error))

    def submit(self, request: Request, done: str, *, unsaved: str = "") -> bool:
        """Ask the app for something and say what came of it."""
        outcome = self.actions.submit(request, unsaved=unsaved)
        if not outcome.ok:
            self.tell(Text(f"✗ {one_line(outcome.error)}", style=FAIL))
            return False
        said = " ".join((done, *outcome.said)).strip()
        self.tell(Text(one_line(said), style=PASS))
        return True

    @property
    def not_entered(self) -> list[str]:
        """Whatever was typed and is in no log."""
        return self.state.not_entered

    # The inspection

    def show(self, view: View) -> None:
        """Take the view; the first one says where to begin, and what was typed is done then."""
        if self.state.view is not None:
            self.set(self.state.with_view(view))
            return
        self.line.hand_to(self)
        self.set(self.state.opened(view))
        self.line.go_on()

    def drawn(self) -> None:
        """The state that stands is on the screen: keys from now on may answer it."""
        self.line.drawn()
        if self._asked_again == float("inf"):
            self._asked_again = self.now()

    # The line's owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter was pressed in the field."""
        self.state = self.state.typed("")
        outcome = self._entered(text, seen)
        if outcome == "refused":
            self.state = self.state.typed(text, refused=bool(text))
        return outcome

    def _entered(self, text: str, seen: bool) -> EntryOutcome:
        state = self.state
        if state.prompt is not None:
            return words.entered(self, state.prompt, text.strip())
        if state.gate is not None:
            return self._at_the_gate(state.gate, text, seen)
        if not text.strip():
            answering.nothing(self, seen)
            return "taken"
        taken = self.record(text)
        if taken == "taken":
            self.drain()
        return taken

    @property
    def is_writable(self) -> bool:
        """Whether readings can be recorded at all."""
        view = self.state.view
        return view is not None and not (view.signed or view.read_only)

    @guarded(False)
    def answers(self, character: str, seen: bool) -> bool:
        """A character in the empty field: an answer by one press, or the short menu."""
        self.state = self.state.edited("")
        if (
            character == " "
            and seen
            and self.state.gate is not None
            and not self.state.is_menu_open
        ):
            self._at_the_gate(self.state.gate, "", seen)
            return True
        if character == " ":
            return True  # no answer begins with one: left standing it would hide the next key's
        return answering.by_one_press(self, character)

    @guarded(None)
    def answer(self, text: str) -> None:
        """An answer that was clicked."""
        answering.given(self, text)

    def _at_the_gate(self, gate: Gate, text: str, seen: bool) -> EntryOutcome:
        if text.strip():
            self.enqueue(text, complete=True)
            self.tell(Text("It waits: read the caution first, then Space or Enter confirms.", FAIL))
            return "held"
        if not seen:
            self.tell(Text("Read it first, then Space or Enter.", UNCERTAIN))
            return "taken"
        if self.page.read_on():
            self.tell(Text("Read on to the end: then it is confirmed.", UNCERTAIN))
            return "taken"
        outcome = self.actions.submit(gate.confirm())
        if not outcome.ok:
            self.tell(Text(one_line(outcome.error), style=FAIL))
            return "taken"
        self.set(self.state.confirmed(gate).saying(Text("Confirmed.", style=PASS)))
        self.drain()
        return "taken"

    def record(self, text: str, *, ahead: bool = False, condition: str = "") -> EntryOutcome:
        """Record one typed reading and move on.

        Args:
            text: What was typed.
            ahead: It waited in the queue.
            condition: In which state it was taken; else the one that was chosen.
        """
        follower = self.state.follower
        if follower is not None and (ahead or self.line.begun < self._asked_again):
            # Typed before it was seen that the same reading is asked again after a move.
            self.set(self.state.at(follower.step, follower))
        state = self.state
        target, view, phase = state.target, state.known, state.phase
        if view.signed or view.read_only:
            why, may = "The log is open for reading only", "Esc clears it."
            if view.signed:
                why, may = "The log is signed", "Ctrl+N adds words to it."
            self.tell(Text(f"{why}: nothing was recorded. {may}", FAIL))
            return "refused"
        if target is None:
            self.tell(Text("No reading is asked here: choose one (Up, Down, Ctrl+G).", style=FAIL))
            return "refused"
        gauge, paper, condition = state.gauge, state.paper, condition or state.condition
        entry = answering.as_entered(self, text, target)
        if self._asks_first(target, entry):
            return "refused"
        outcome = self.actions.submit(
            lambda held: held.record(
                [(target, entry)], phase, state=condition, gauge=gauge, paper=paper
            )
        )
        if not outcome.ok:
            error = question_text.in_words(view.results, outcome.error)
            self.tell(Text(f"✗ {one_line(error)}", style=FAIL))
            return "refused"
        unit = one_press.written_unit(entry, reading_order.reading_of(view.results, target))
        if unit:
            self.state = self.state.with_row_unit(target, unit)
        self._recorded(target, outcome.said)
        return "taken"

    def _asks_first(self, target: Target, entry: str) -> bool:
        """Ask about a value that is probably a slip, once, before it is saved."""
        asked, self._asked_about = self._asked_about, None
        question = self.actions.preview(target, entry, self.state.phase).question
        if not question or asked == (target, entry):
            return False
        self._asked_about = target, entry
        said = one_line(question_text.in_words(self.state.results, question))
        self.tell(Text(f"? {said} Enter again saves it as it is.", style=UNCERTAIN))
        return True

    def _recorded(self, target: Target, said: tuple[str, ...]) -> None:
        """A reading is on the disk: say so and ask for the next one."""
        state = self.state
        if state.timer is not None and state.timer.target == target:
            state = replace(state, timer=None)
        said = tuple(question_text.in_words(state.results, each) for each in said)
        if reading_order.reading_of(state.results, target).condition:
            state = replace(state, changed=said)
        self._asks = said
        text = question_text.recorded(state.known, target, state.phase, said)
        state = state.saying(text).next_open(target)
        if state.follower is not None:
            self._asked_again = float("inf")
        self.set(replace(state, last=(target, state.target)))

    def drain(self) -> None:
        """Record what was typed ahead, in order, until something stops it; say what took what."""
        said, refusal = self.state.said, Text("")
        taken: list[Text] = []
        while self._free_to_drain():
            state = self.state
            (text, complete), *_ = state.queue.here
            state = replace(state, queue=state.queue.without_first())
            self.set(state if complete else state.typed(text))
            if not complete:
                break
            target, phase = self.state.target, self.state.phase
            if self.record(text, ahead=True) != "taken":
                refusal = self.state.said
                self.set(self.state.typed(text, refused=True))
                break
            if target is not None:
                view = self.state.known
                taken.append(question_text.took(view, target, phase, text, self._asks))
        if taken:
            said = question_text.took_all(said, taken)
        if taken or refusal:
            self.tell(Text("\n").join([each for each in (said, refusal) if each]))
        if taken and self.state.target is None:
            self.set(self.state.all_asked(self.state.said))

    def _free_to_drain(self) -> bool:
        state = self.state
        stopped = state.gate is not None or state.prompt is not None or bool(state.draft.text)
        return bool(state.queue.here) and not stopped

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Keep what was typed ahead."""
        self.warned = False
        self.set(self.state.enqueued(text, complete=complete))

    @guarded(None)
    def enter_not_needed(self) -> None:
        """Say so behind what was saved; where words or a letter of the menu are asked, nothing."""
        state, said = self.state, self.state.said
        asks_else = state.prompt is not None or state.is_menu_open or not said
        if not asks_else and not said.plain.endswith(ENTER_NOT_NEEDED):
            self.tell(Text.assemble(said, "\n", (ENTER_NOT_NEEDED, UNCERTAIN)))

    @guarded(None)
    def typed(self, text: str) -> None:
        """The field's text changed."""
        self.warned = self.clearing_asked = False
        self.state = self.state.edited(text)
        self.page.text_changed()

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, done at once and in its turn."""
        state = self.state
        if state.gate is not None and state.gate.is_whole_list and key in SCROLLS:
            self.page.scroll_cautions(SCROLLS[key])
            return True
        if state.is_menu_open:
            self.set(replace(state, is_menu_open=False))
            if key == "escape":
                return True
            state = self.state
        if key == "backspace" and self._drop_unit():
            return True
        if state.panel and state.prompt is None and key in ("up", "down", "escape"):
            self._turn_over(key)
            return True
        if state.prompt is not None and state.prompt.purpose == "goto" and key in SCROLLS:
            hits = reading_order.matching(state.results, state.draft.text)
            pick = max(0, min(state.pick + SCROLLS[key], len(hits) - 1))
            self.set(replace(state, pick=pick))
            return True
        for action in ACTIONS:
            if action.key == key:
                self.do(action.name)
                return True
        return key in ("left", "right", "tab", "shift+tab") and commands.sideways(self, key)

    def _drop_unit(self) -> bool:
        """Backspace on the empty field: the list's own unit stands behind the cursor again."""
        state = self.state
        own = state.reading.unit if state.reading is not None else ""
        if state.draft.text or state.target is None or state.unit in ("", own):
            return False
        said = Text(f"In {own} again, no longer in {state.unit}.", style=UNCERTAIN)
        self.set(state.with_row_unit(state.target, own).saying(said))
        return True

    def _turn_over(self, key: str) -> None:
        if key == "escape":
            self.set(replace(self.state, panel=""))
        else:
            self.page.scroll_panel(SCROLLS[key])

    @guarded(None)
    def do(self, name: str) -> None:
        """Do an action of the table."""
        commands.COMMANDS[name](self)

    # Going somewhere

    def free_to_go(self) -> bool:
        """Whether nothing is asked in words that leaving would lose."""
        if self.state.prompt is None:
            return True
        title = self.state.prompt.title.lower()
        self.tell(Text(f"Finish the {title} first, or Esc.", UNCERTAIN))
        return False

    def go_to_step(self, step: str) -> None:
        """Be at a step's first open reading."""
        if self.free_to_go():
            self.set(self.state.go_to_step(step))

    def step_taken(self, step: str) -> None:
        """A step was taken into the session: be there; what asked for one is answered."""
        state = self.state if self.state.prompt is None else self.state.answered()
        title = one_line(state.results.step(step).step.title)
        said = Text(f"Taken in: {title}.", style=PASS)
        self.set(state.go_to_step(step).saying(said))

    def go_to_target(self, target: Target | None) -> None:
        """Be at a reading."""
        if target is not None and target != self.state.target and self.free_to_go():
            self.set(self.state.walk_to(target.step, target))
