"""The bench: every calculation, worked out while it is filled in. Sends nothing by itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.calc.registry import SUBJECTS
from inspect_tui.core.bench import prefill, worksheet
from inspect_tui.core.bench.prefill import Prefill
from inspect_tui.core.expressions import calculations
from inspect_tui.core.quantities import units
from inspect_tui.core.text.unit_text import with_units
from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import InspectError
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, spanned
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.bench_actions import ACTIONS, HELP
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.screens.common.prompt_dialog import AskScreen
from inspect_tui.tui.widgets import bench_panel
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock

Give = Callable[[str], tuple[Prefill, ...]]
"""What the session gives for a calculation."""


class BenchScreen(InspectionScreen):
    """The calculations by subject; the sheet of the chosen one; the one field for its inputs."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "The bench"
    HELP_TEXT = HELP

    def __init__(
        self, desk: InspectionActions, view: View | None, give: Give, at: str = ""
    ) -> None:
        """The bench.

        Args:
            desk: The app.
            view: The session; None where none is open.
            give: What the session gives for a calculation; nothing where none is open.
            at: The step from which the bench was opened.
        """
        super().__init__(desk, view)
        self.give = give
        self.at = at
        self.name_ = self._first()
        self.row = 0
        self.texts: dict[str, dict[str, str]] = {}
        self._units: dict[str, dict[str, str]] = {}
        self.offered: dict[str, int] = {}
        self.filled: dict[str, Mapping[str, str]] = {}
        self.to: dict[str, str] = {}
        self.field = EntryField.of(self)
        self._said = Text()
        self._worked: tuple[str, dict[str, str], worksheet.Sheet] | None = None

    def compose(self) -> ComposeResult:
        """The list; beside it (or, where it is narrow, in its place) the sheet and the field."""
        yield TitleBlock()
        with Horizontal(id="bench"):
            yield Choices(id="bench-list")
            with Vertical(id="bench-sheet"):
                with VerticalScroll(id="bench-page", can_focus=False):
                    yield Static("", id="bench-rows", markup=False)
                    yield Static("", id="bench-drawing", markup=False)
                    yield Static("", id="bench-rests", markup=False)
                with Vertical(id="bench-asks"):
                    yield Static("", id="bench-meaning", markup=False)
                    with Horizontal(id="entry-line"):
                        yield Static("▸", id="prompt", markup=False)
                        yield self.field
                    yield Static("", id="bench-said", markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """The list, at what the step uses."""
        options = self.query_one(Choices)
        known = [calculations.calculation(name) for name in calculations.names()]
        for subject in SUBJECTS:
            options.add_option(
                Option(spanned(Text(subject.upper(), style=DIM)), disabled=True, id=f"# {subject}")
            )
            options.add_options(
                Option(Text(with_units(each.title)), id=each.name)
                for each in known
                if each.subject == subject
            )
        options.highlighted = options.get_option_index(self.name_)
        options.focus()
        block = self.query_one(TitleBlock)
        block.set_cells([Cell("program", "inspect-tui"), Cell("sheet", "bench")])
        super().on_mount()
        self._choose(self.name_)

    def draw(self, view: View) -> None:
        """The title block; the sheet is drawn as it is filled in."""
        self.query_one(TitleBlock).fill(view, "bench")

    def _first(self) -> str:
        if self.view is not None and self.at:
            used = prefill.used_by(self.view.results.step(self.at).step)
            if used:
                return used[0]
        return min(calculations.names(), key=lambda name: SUBJECTS.index(
            calculations.calculation(name).subject))  # fmt: skip

    # The list

    @on(OptionList.OptionHighlighted)
    def _highlighted(self, event: OptionList.OptionHighlighted) -> None:
        if event.option.id is not None and event.option.id != self.name_:
            self._choose(event.option.id)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        if event.option.id is not None:
            if event.option.id != self.name_:
                self._choose(event.option.id)
            self.action_to_fields()

    def action_to_fields(self) -> None:
        """From the list into the fields."""
        self.add_class("-filling")
        self.field.focus()
        self._go(self.row)

    @guarded(None)
    def _choose(self, name: str) -> None:
        """Put a calculation on the bench, filled in where the session has the readings."""
        self.name_, self.row = name, 0
        self._said = Text()
        if name not in self.texts:
            self.texts[name] = {}
            self._fill(0)
        self.query_one("#bench-page").scroll_home(animate=False)
        self._go(0)

    # The sheet

    @property
    def sheet(self) -> worksheet.Sheet:
        """The calculation as it is filled in now."""
        texts = dict(self.texts.get(self.name_, {}))
        if self._worked is None or self._worked[:2] != (self.name_, texts):
            self._worked = self.name_, texts, worksheet.sheet(self.name_, texts)
        return self._worked[2]

    @property
    def note_step(self) -> str:
        """The step whose note takes the result; "" where none is chosen."""
        return self.to.get(self.name_, self.at)

    def _title(self, step: str) -> str:
        return "" if self.view is None else self.view.results.step(step).step.title

    @property
    def shown_in(self) -> dict[str, str]:
        """The units that were chosen for this calculation's results."""
        return self._units.setdefault(self.name_, {})

    def _draw_sheet(self) -> None:
        sheet = self.sheet
        rows = bench_panel.rows(sheet, self.row, self.shown_in)
        self.query_one("#bench-rows", Static).update(rows)
        self.query_one("#bench-drawing", Static).update(bench_panel.drawing(sheet))
        self.query_one("#bench-drawing").display = bool(bench_panel.drawing(sheet))
        self.query_one("#bench-rests", Static).update(spanned(bench_panel.rests_on(sheet)))
        name, meaning, hint = bench_panel.asked(sheet, self.row)
        asks = self.query_one("#bench-asks")
        asks.border_title = spanned(Text(f" {name.replace('_', ' ')} ", style=ASKED))
        self.query_one("#bench-meaning", Static).update(meaning)
        self.field.hint(hint)
        self._draw_said(sheet)

    def _draw_said(self, sheet: worksheet.Sheet) -> None:
        said = self._said
        if self.row < len(sheet.fields) and sheet.fields[self.row].trouble:
            said = Text(f"✗ {one_line(sheet.fields[self.row].trouble)}", style=FAIL)
        elif not said:
            said = bench_panel.state(sheet)
            if sheet.results and self.note_step and self.view is not None:
                title = one_line(self._title(self.note_step))
                said.append(f"   Ctrl+N: to the note of '{title}'", style=DIM)
        self.query_one("#bench-said", Static).update(spanned(said))

    def _tell(self, text: str, style: str = DIM) -> None:
        self._said = Text(one_line(text), style=style)

    def _go(self, row: int) -> None:
        """Be at a field or a result, with its text in the entry field."""
        sheet = self.sheet
        last = len(sheet.fields) + len(sheet.calculation.results) - 1
        self.row = max(0, min(row, last))
        self.field.put(sheet.fields[self.row].text if self.row < len(sheet.fields) else "")
        self.field.select_all()
        self._draw_sheet()
        self.call_after_refresh(self._bring_into_view)

    def _bring_into_view(self) -> None:
        """Scroll the sheet so that the line of the cursor is seen."""
        page, rows = self.query_one("#bench-page"), self.query_one("#bench-rows", Static)
        options = self.app.console.options.update(width=max(1, rows.size.width))
        picture = bench_panel.rows(self.sheet, self.row, self.shown_in)
        for y, row in enumerate(self.app.console.render_lines(picture, options)):
            if any(bench_panel.HERE in segment.text for segment in row):
                if not page.scroll_y < y < page.scroll_y + page.size.height - 1:
                    page.scroll_to(y=max(0, y - page.size.height // 2), animate=False)
                return

    # What the entry field asks of its owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter: the field is as typed; on to the next. On a result: the unit to show it in."""
        sheet = self.sheet
        if self.row < len(sheet.fields):
            self._write(text)
        elif text.strip():
            result = sheet.calculation.results[self.row - len(sheet.fields)]
            worked = next((each for each in sheet.results if each.key == result.key), None)
            try:
                if worked is None:
                    self._tell(f"There is no {result.key.replace('_', ' ')} yet.", FAIL)
                    self._draw_sheet()
                    return "refused"
                worksheet.in_words(worked, units.unit(text))
            except InspectError as error:
                self._tell(f"✗ {error}", FAIL)
                self._draw_sheet()
                return "refused"
            self.shown_in[result.key] = text.strip()
        self._go(self.row + 1)
        return "taken"

    def answers(self, character: str, seen: bool) -> bool:
        """Every figure here takes Enter."""
        return False

    @guarded(None)
    def typed(self, text: str) -> None:
        """What is typed counts at once."""
        if self.row < len(self.sheet.fields):
            self._write(text)
        self._draw_sheet()

    def _write(self, text: str) -> None:
        name = self.sheet.fields[self.row].entry.name
        if self.texts[self.name_].get(name, "") != text:
            self._said = Text()
        self.texts[self.name_][name] = text

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, done at once and in its turn."""
        for action in self.ACTIONS:
            if action.key == key:
                getattr(self, f"action_{action.name}")()
                return True
        if key in ("tab", "shift+tab"):
            self._go(self.row + (1 if key == "tab" else -1))
            return True
        return False

    def enqueue(self, text: str, *, complete: bool) -> None:
        """Typed ahead of a refusal: the bench takes no queue, so it is said and left out."""
        self._tell(f"✗ not taken: {text}", FAIL)
        self._draw_sheet()

    def enter_not_needed(self) -> None:
        """No answer takes one press here."""

    # Actions

    def action_up(self) -> None:
        """The field or result above."""
        self._go(self.row - 1)

    def action_down(self) -> None:
        """The field or result below."""
        self._go(self.row + 1)

    def action_page_down(self) -> None:
        """Scroll the sheet."""
        self.query_one("#bench-page").scroll_page_down(animate=False)

    def action_page_up(self) -> None:
        """Scroll the sheet."""
        self.query_one("#bench-page").scroll_page_up(animate=False)

    def action_back(self) -> None:
        """From the fields to the list, from the list to the screen before."""
        if self.focused is self.field:
            self.remove_class("-filling")
            self.query_one(Choices).focus()
        else:
            self.dismiss()

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))

    def action_clear(self) -> None:
        """Empty every field."""
        self.texts[self.name_] = {}
        self._said = Text()
        self._go(0)

    @guarded(None)
    def action_other_unit(self) -> None:
        """The next unit: of the result where the cursor is, else of all."""
        sheet = self.sheet
        at = self.row - len(sheet.fields)
        for place, worked in enumerate(sheet.results):
            if len(worked.units) > 1 and (at < 0 or at == place):
                now = self.shown_in.get(worked.key, worked.units[0])
                known = list(worked.units)
                here = known.index(now) if now in known else -1
                self.shown_in[worked.key] = known[(here + 1) % len(known)]
        if not sheet.results:
            self._tell("There is no result yet.")
        self._draw_sheet()

    @guarded(None)
    def action_fill(self) -> None:
        """The next place of the list that uses this calculation."""
        if not self._fill(self.offered.get(self.name_, -1) + 1):
            why = "No session is open" if self.view is None else "This session has nothing for it"
            self._tell(f"{why}; type the figures in.", FAIL)
        self._go(0)

    def _fill(self, number: int) -> bool:
        """Fill in what the session gives, beside what was typed.

        The step from which the bench was opened comes first.
        """
        given = sorted(self.give(self.name_), key=lambda each: each.step != self.at)
        if not given:
            return False
        number %= len(given)
        offer = given[number]
        self.offered[self.name_] = number
        before = self.filled.get(self.name_, {})
        typed = {
            key: text
            for key, text in self.texts[self.name_].items()
            if text.strip() and before.get(key) != text
        }
        self.texts[self.name_] = {**offer.texts, **typed}
        self.filled[self.name_] = offer.texts
        self.to[self.name_] = offer.step
        said = f"From '{offer.title}', {offer.label}"
        if offer.cylinder is not None:
            said += f", {offer.cylinder}"
        said += ", as left." if offer.as_left else "."
        if len(given) > 1:
            said += f" {number + 1} of {len(given)}; F4: the next."
        self._tell(said, PASS)
        return True

    # To a step's note

    def action_choose_step(self) -> None:
        """Ask whose note takes the result."""
        view = self.view
        if view is None:
            self._tell("No session is open.", FAIL)
            self._draw_sheet()
            return

        def chosen(words: str | None) -> None:
            hits = reading_order.matching(view.results, words) if words else []
            if hits:
                self.to[self.name_] = hits[0].step.id
                self._tell(f"Results go to '{hits[0].step.title}'; Ctrl+N sends.", PASS)
            elif words:
                self._tell("No step has these letters.", FAIL)
            self._draw_sheet()

        asks = "To which step's note? Type a part of its name."
        self.app.push_screen(AskScreen("Step", asks, needed=True), chosen)

    @guarded(None)
    def action_send(self) -> None:
        """Write the result into the step's note."""
        sheet = self.sheet
        if not sheet.results:
            self._tell("There is no result to send yet.", FAIL)
        elif self.view is None:
            self._tell("No session is open, so there is no note to send it to.", FAIL)
        elif self.view.signed or self.view.read_only:
            self._tell("This session can only be read; nothing was sent.", FAIL)
        elif not self.note_step:
            self.action_choose_step()
        else:
            words, step = worksheet.note_words(sheet, self.shown_in), self.note_step
            outcome = self.desk.submit(lambda held: held.note(step, words))
            if outcome.ok:
                self._tell(f"✓ In the note of '{self._title(self.note_step)}'.", PASS)
            else:
                self._tell(outcome.error, FAIL)
        self._draw_sheet()
