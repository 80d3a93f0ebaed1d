"""The report: choose a form, and be told where it was written."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("enter", "make", "Make it", "Write the report in the chosen form", True),
    Action("escape", "back", "Back", "Back to the screen before", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
)
FORMS = {
    "pdf": "a sheet to print and sign",
    "html": "a page for any browser",
    "md": "plain text to read or send",
    "csv": "readings for a spreadsheet",
    "json": "everything, for another program",
}


class ExportScreen(InspectionScreen):
    """Five forms of one report."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "Report"
    HELP_TEXT = "Choose a form and press Enter. The file goes into the store's folder 'reports'."

    def compose(self) -> ComposeResult:
        """The forms, and what came of it."""
        yield TitleBlock()
        with Vertical(id="export"):
            yield Static(Text("The report, in which form?", style=ASKED), markup=False)
            yield Choices(
                *(
                    Option(Text.assemble((f"{form:<6}", "bold"), (said, DIM)), id=form)
                    for form, said in FORMS.items()
                ),
                id="forms",
            )
            yield Static("", id="exported", markup=False)
        yield KeyLine(ACTIONS)

    def draw(self, view: View) -> None:
        """The title block alone changes."""
        self.query_one(TitleBlock).fill(view, "report")

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        form = event.option.id or "pdf"
        outcome = self.desk.submit(lambda held: (f"Written to {held.save_report(form)}",))
        said = Text(one_line(" ".join(outcome.said)), style=PASS)
        if not outcome.ok:
            said = Text(one_line(outcome.error), style=FAIL)
        self.query_one("#exported", Static).update(said)

    def action_make(self) -> None:
        """Enter where the list has no focus."""
        self.query_one(Choices).action_select()

    def action_back(self) -> None:
        """Back to the screen before."""
        self.dismiss()

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))
