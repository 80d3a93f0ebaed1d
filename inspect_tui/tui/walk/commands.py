"""What the keys of the walk screen do, beside entering a reading."""

from __future__ import annotations

from rich.text import Text

from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation import wording
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.requests import Move, RecordAll
from inspect_tui.tui.base.styling import FAIL, UNCERTAIN, one_line
from inspect_tui.tui.screens.common.inspection_screen import Open
from inspect_tui.tui.walk import prompts
from inspect_tui.tui.walk.prompts import Prompt
from inspect_tui.tui.walk.recording import WalkRecording
from inspect_tui.tui.widgets.entry_field import EntryOutcome
from inspect_tui.tui.widgets.step_list import StepList

SOON_TYPED = 20
"""Letters of words that one Esc clears; longer ones are asked about first."""


class WalkCommands(WalkRecording):
    """The actions."""

    def draw_question(self) -> None:
        """Draw what the field asks for."""
        raise NotImplementedError

    # Going somewhere

    def free_to_go(self) -> bool:
        """Whether nothing is typed or waits that leaving would join to another reading."""
        if self.mode is not None:
            self.tell(Text(f"Finish the {self.mode.title.lower()} first, or Esc.", UNCERTAIN))
            return False
        typed = self.question.field.value
        if typed.strip():
            said = f"'{one_line(typed)}' is typed and not entered: Enter records it, Esc clears it."
            self.tell(Text(said, style=UNCERTAIN))
            self.question.field.refuse()
            return False
        return True

    def go_to_step(self, step: str) -> None:
        """Be at a step's first open reading."""
        if self.free_to_go():
            self.walk_to(step, reading_order.first_in(self.known.results, step, self.phase))

    def go_to_target(self, target: Target | None) -> None:
        """Be at a reading."""
        if target is not None and self.free_to_go():
            self.walk_to(target.step, target)

    def action_next_open(self) -> None:
        """The next reading without a value."""
        if self.free_to_go():
            self.waiting.set_aside(self.place)
            self.move_on(self.target)
            self.draw_waiting()

    def action_next_finding(self) -> None:
        """The next step with an open finding."""
        found = reading_order.next_finding(self.known.results, self.at)
        if found is None:
            self.tell(Text("No open finding.", style="green"))
        else:
            self.go_to_step(found)

    def action_up(self) -> None:
        """The reading before; in a grid the one above."""
        self._vertical(-1)

    def action_down(self) -> None:
        """The reading after; in a grid the one below."""
        self._vertical(1)

    def _vertical(self, by: int) -> None:
        results, at = self.known.results, self.target
        inside = reading_order.in_grid(results, at, by, 0) if at is not None else None
        if inside is None and at is not None and results.step(at.step).step.per_cylinder:
            other = reading_order.step_beside(results, at.step, by)
            inside = None if other == at.step else reading_order.end_of(results, other, last=by < 0)
        self.go_to_target(inside or reading_order.beside(results, at, self.at, by))

    def sideways(self, key: str) -> bool:
        """Left and Right across the cylinders, Tab along the readings, on an empty field."""
        if self.view is None or self.mode is not None or self.question.field.value:
            return key in ("tab", "shift+tab")
        by = 1 if key in ("right", "tab") else -1
        if key in ("tab", "shift+tab"):
            self.go_to_target(reading_order.beside(self.known.results, self.target, self.at, by))
        elif self.target is not None:
            self.go_to_target(reading_order.in_grid(self.known.results, self.target, 0, by))
        return True

    def action_step_before(self) -> None:
        """The step before."""
        self.go_to_step(reading_order.step_beside(self.known.results, self.at, -1))

    def action_step_after(self) -> None:
        """The step after."""
        self.go_to_step(reading_order.step_beside(self.known.results, self.at, 1))

    def action_fold(self) -> None:
        """Fold this group in the list."""
        self.query_one(StepList).fold(self.at)
        self.draw_soon()

    # Words in the field

    def begin(self, mode: Prompt) -> None:
        """Let the field ask for words; what was typed is kept aside."""
        if self.mode is not None:
            self.free_to_go()
            return
        self.aside = self.question.field.value
        self.question.field.put("")
        self.mode, self.leaving_asked = mode, False
        self.tell(Text(""))
        self.draw_soon()
        self.draw_question()

    def end_mode(self) -> None:
        """Ask for readings again, with what was typed before."""
        self.mode = None
        self._put_back()
        self.draw_soon()

    def mode_entered(self, mode: Prompt, text: str) -> EntryOutcome:
        """Enter on the words that were asked for."""
        if mode.name.startswith("air-"):
            return self._air_entered(mode, text)
        if not text and mode.name != "goto":
            self.tell(Text("Nothing typed: nothing changed. Esc leaves this.", style=UNCERTAIN))
            return "taken"
        if mode.make is not None:
            if not self.submit(mode.make(text), mode.done):
                return "refused"
        elif mode.name == "goto":
            return self._went(text)
        else:
            setattr(self, mode.name, "" if text == "-" else text)
            self.tell(Text(f"{mode.title.capitalize()}: {one_line(text)}", style="green"))
        self._close(mode)
        return "taken"

    def _close(self, mode: Prompt) -> None:
        self.mode = None
        if mode.moves_on:
            self._leave_typed()
        self._put_back()
        if mode.moves_on:
            self.move_on(self.target)
        self.said_stands = True
        self.draw_soon()
        self.drain()

    def _leave_typed(self) -> None:
        """What waits and what was in the field before the words stay with the reading here."""
        if self.aside.strip():
            # At a caution the field comes behind what waits, after a refusal before it.
            place = len(self.held) if self._gate is not None else 0
            self.held.insert(place, (self.aside, False))
        self.aside = ""
        self.waiting.set_aside(self.place)

    def _put_back(self) -> None:
        """What was typed, or asked, before the words that the field asked for last."""
        self.question.field.put(self.aside)
        self.aside = ""
        if self._under is not None:
            (self.mode, text, self.aside), self._under = self._under, None
            self.question.field.put(text)

    def _went(self, text: str) -> EntryOutcome:
        hits = reading_order.matching(self.known.results, text)
        if not hits:
            self.tell(Text("No step has these letters.", style=FAIL))
            return "refused"
        self.end_mode()
        step = hits[min(self.pick, len(hits) - 1)].step.id
        self.walk_to(step, reading_order.first_in(self.known.results, step, self.phase))
        return "taken"

    def _air_entered(self, mode: Prompt, text: str) -> EntryOutcome:
        if text and mode.make is not None:
            outcome = self.desk.submit(mode.make(text))
            if not outcome.ok:
                self.tell(Text(f"✗ {one_line(outcome.error)}", style=FAIL))
                return "refused"
            self.changed += outcome.said
            said = Text(mode.done, style="green")
            for each in outcome.said:
                said.append(f"\n± {one_line(each)}", style=UNCERTAIN)
            self.tell(said)
        names = list(wording.CONDITIONS)
        place = names.index(mode.name.removeprefix("air-")) + 1
        if place == len(names):
            self.panel = "air" if self.changed else ""
            self._close(mode)
        else:
            self.mode = prompts.conditions(names[place], self.known.results)
            self.draw_soon()
        return "taken"

    def action_note(self) -> None:
        """A note at this step; an addendum once the log is signed."""
        step = self.known.results.step(self.at).step
        self.begin(prompts.addendum() if self.known.signed else prompts.note(step.id, step.title))

    def action_skip_reading(self) -> None:
        """This reading can't be taken."""
        if self.target is None:
            self.tell(Text("No reading is asked here; ^t skips the step.", style=UNCERTAIN))
            return
        step = self.known.results.step(self.target.step).step
        label = next(r.label for r in step.readings if r.id == self.target.reading)
        self.begin(prompts.skip_reading(self.target, label))

    def action_skip_step(self) -> None:
        """The whole step isn't done."""
        step = self.known.results.step(self.at).step
        self.begin(prompts.skip_step(step.id, step.title))

    def action_finding(self) -> None:
        """A finding in one's own words, at the cylinder where one is being read."""
        step = self.known.results.step(self.at).step
        cylinder = self.target.cylinder if self.target else None
        self.begin(prompts.finding(step.id, step.title, cylinder))

    def action_photos(self) -> None:
        """Look at the photos of this step."""
        if not self.known.session.photos_at(self.at):
            self.tell(Text("No photo at this step; 'Attach photo' (^p) puts one.", UNCERTAIN))
            return
        self.post_message(Open("photos"))

    def action_attach(self) -> None:
        """Put a photo at this step, at the cylinder where one is being read."""
        step = self.known.results.step(self.at).step
        cylinder = self.target.cylinder if self.target else None
        self.begin(prompts.photo(step.id, step.title, cylinder))

    def action_keep_copy(self) -> None:
        """The session on another disk, with what is typed and in no log."""
        text, unsaved = self.question.field.value, self.waiting.texts
        where = self.mode.title if self.mode else f"{self.target}, {self.phase}"
        unsaved[:0] = [f"{where}: {one_line(text)}"] if text.strip() else []
        if self.aside.strip():
            unsaved.append(f"{self.target}, {self.phase}: {one_line(self.aside)}")
        if self.mode is not None:
            self._under, self.mode = (self.mode, text, self.aside), None
        self.begin(prompts.keep_copy(tuple(unsaved)))

    def action_add_step(self) -> None:
        """A step that was forgotten."""
        section = self.known.results.step(self.at).section
        title = prompts.section_title(self.known.results, section)
        self.begin(prompts.add_step(section, title))

    def action_go_to(self) -> None:
        """Another step by typing."""
        if self.free_to_go():
            self.pick = 0
            self.begin(prompts.go_to())

    def action_gauge(self) -> None:
        """The gauge in hand."""
        self.begin(prompts.gauge(self.gauge))

    def action_state(self) -> None:
        """Cold, warm, loaded."""
        self.begin(prompts.state(self.state))

    def action_air(self) -> None:
        """The air of the day, one figure after the other."""
        if self.mode is None:
            self.panel, self.changed = "air", ()
        self.begin(prompts.conditions(next(iter(wording.CONDITIONS)), self.known.results))

    def action_escape(self) -> None:
        """Leave what the field asks for, or clear it, or drop what waits."""
        if self.mode is not None:
            self._leave_mode(self.mode, one_line(self.question.field.value))
        elif self.question.field.value:
            said = f"Cleared: {one_line(self.question.field.value)}"
            self.question.field.put("")
            self.tell(Text(said, style=UNCERTAIN))
        elif self.waiting:
            said = "Dropped, not recorded: " + " · ".join(self.waiting.drop())
            self.draw_waiting()
            self.tell(Text(said, style=UNCERTAIN))

    def _leave_mode(self, mode: Prompt, words: str) -> None:
        """Leave what the field asks for; words that can't be typed anew at once only when asked."""
        if len(words) > SOON_TYPED and not self.leaving_asked:
            self.leaving_asked = True
            self.tell(Text("These words are not saved: Esc again clears them.", style=FAIL))
            return
        if mode.name.startswith("air-"):
            self.panel = ""
        self.end_mode()
        cleared = f" Cleared: {words}" if words else ""
        self.tell(Text(f"Left; nothing was written.{cleared}", style=UNCERTAIN))
        self.said_stands = True

    # Phases

    def action_phase(self) -> None:
        """Record as found or as left."""
        self.waiting.set_aside(self.place)
        self.phase = AS_LEFT if self.phase == AS_FOUND else AS_FOUND
        self.tell(Text(f"Now recording {wording.PHASES[self.phase].word}.", style=UNCERTAIN))
        if self.mode is None and not self.question.field.value and self.at:
            results, last = self.known.results, None
            if self._last is not None and self._last[1] == self.target:
                last = self._last[0]
            if self.phase == AS_LEFT:
                target = reading_order.to_be_left(results, self.at, last)
            else:
                target = reading_order.first_in(results, self.at, self.phase)
            self.go(target.step if target else self.at, target)
        self.draw_waiting()
        self.draw_soon()

    def action_left_as_found(self) -> None:
        """As left equals as found for the rest of this step."""
        results = self.known.results
        values = []
        for target in reading_order.targets(results.step(self.at).step, results.machine.cylinders):
            found = results.row(target.step, target.reading, target.cylinder, AS_FOUND)
            if found is not None and reading_order.wants_as_left(results, target):
                values.append((target, found.entered))
        if not values:
            self.tell(Text("Nothing here that has only an as-found value.", style=UNCERTAIN))
            return
        self.submit(RecordAll(tuple(values), AS_LEFT), f"Left as found: {len(values)} readings.")

    def action_move(self) -> None:
        """Move this reading's value to the other phase."""
        if self.target is None or self.mode is not None:
            return
        at, results = self.target, self.known.results
        have = [
            phase
            for phase in (AS_FOUND, AS_LEFT)
            if results.row(at.step, at.reading, at.cylinder, phase) is not None
        ]
        if not have:
            self.tell(Text("This reading has no value to move.", style=UNCERTAIN))
            return
        phase = self.phase if self.phase in have else have[0]
        other = AS_LEFT if phase == AS_FOUND else AS_FOUND
        words = f"Moved from {wording.PHASES[phase].word} to {wording.PHASES[other].word}."
        self.submit(Move(at, phase), words)

    # Panels and other screens

    def action_why(self) -> None:
        """Show or hide why and tools."""
        self.turn_panel("why")

    def action_details(self) -> None:
        """Show or hide formulas, sources, earlier values."""
        self.turn_panel("details")

    def turn_panel(self, name: str) -> None:
        """Open a panel in place of the readings; the same key closes it."""
        self.panel = "" if self.panel == name else name
        self.draw_soon()

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))

    def action_findings(self) -> None:
        """Decide about findings."""
        self.post_message(Open("findings"))

    def action_compare(self) -> None:
        """Compare the cylinders."""
        self.post_message(Open("compare"))

    def action_bench(self) -> None:
        """The calculations, filled in from this session."""
        self.post_message(Open("bench"))

    def action_sign_off(self) -> None:
        """See what is open, and sign."""
        self.post_message(Open("sign"))

    def action_export(self) -> None:
        """Make a report."""
        self.post_message(Open("export"))

    def action_leave(self) -> None:
        """Back to the sessions."""
        if self.view is not None and not self.free_to_go():
            return
        if self.not_entered() and not self.warned:
            self.warned = True
            self.tell(Text("Something typed waits: F10 again leaves without it.", style=FAIL))
            return
        self.post_message(Open("sessions"))

    def command_early(self, key: str) -> bool:
        """A key while the session is opened: clear, leave, quit; the palette has its own."""
        if key == "escape" and self.question.field.forget_early():
            self.draw_waiting()
        elif key == "escape":
            self.action_escape()
        elif key == "f10":
            self.action_leave()
        elif key == "ctrl+q":
            return self.stay_for_typed()
        return key != "ctrl+p"

    def stay_for_typed(self) -> bool:
        """Ctrl+Q with something typed: say so once, then let it through."""
        if not self.not_entered() or self.warned:
            return False
        self.warned = True
        self.tell(Text("Something typed is not entered. ^q again leaves without it.", FAIL))
        return True
