"""All actions of a screen, by job; a part of a name finds one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen, Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.tui.base import themes
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.key_names import key_name
from inspect_tui.tui.base.look import ASKED, DIM, spanned
from inspect_tui.tui.widgets.choices import Choices


@dataclass(frozen=True, slots=True)
class Offered:
    """One thing that can be done."""

    job: str
    label: str
    words: str
    key: str
    do: Callable[[], None]


def offered_by(
    screen: Screen[object], use_theme: Callable[[str], None], open_settings: Callable[[], None]
) -> list[Offered]:
    """What can be done on a screen: its own actions, then the program's look and settings."""
    actions: Sequence[Action] = getattr(screen, "ACTIONS", ())
    run: Callable[[Action], None] | None = getattr(screen, "run", None)
    offered = []
    if run is not None and getattr(screen, "is_ready", True):
        offered = [
            Offered(each.job, each.label, each.words, each.key, partial(run, each))
            for each in actions
        ]
    for name, look in themes.THEMES.items():
        said = f"Theme: {look.label}"
        offered.append(Offered("Look", said, "Kept in the settings", "", partial(use_theme, name)))
    said = "Your name, the units you read gauges in, the theme"
    offered.append(Offered("Look", "Settings", said, "", open_settings))
    return offered


class AllActionsScreen(ModalScreen[Callable[[], None] | None]):
    """Gives back what was chosen, or None on Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,ctrl+p", "leave", "Back"),
        Binding("up", "up", "Up"),
        Binding("down", "down", "Down"),
        Binding("pageup", "page_up", "Page up"),
        Binding("pagedown", "page_down", "Page down"),
    ]

    def __init__(self, offered: Sequence[Offered]) -> None:
        super().__init__()
        jobs = list(dict.fromkeys(each.job for each in offered))
        self._offered = sorted(offered, key=lambda each: jobs.index(each.job))

    def compose(self) -> ComposeResult:
        """The field for a part of a name; the actions below their jobs."""
        with Vertical(id="all-actions") as box:
            box.border_title = spanned(Text(" All actions ", style=ASKED))
            box.border_subtitle = spanned(Text(" Enter does it, Esc closes ", style=DIM))
            yield Input(placeholder="a part of its name", id="action-words", compact=True)
            yield Choices(id="action-list")
            yield Static("", id="action-about", markup=False)

    def on_mount(self) -> None:
        """All of them."""
        self._list("")
        self.query_one(Input).focus()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._list(event.value)

    def _list(self, words: str) -> None:
        wanted = words.casefold().split()
        options = self.query_one(Choices)
        options.clear_options()
        job = ""
        for place, each in enumerate(self._offered):
            text = f"{each.label} {each.words} {each.job}".casefold()
            if not all(word in text for word in wanted):
                continue
            if each.job != job:
                job = each.job
                options.add_option(Option(spanned(Text(job.upper(), style=DIM)), disabled=True))
            line = Text.assemble(each.label, (f"  {key_name(each.key)}" if each.key else "", ASKED))
            options.add_option(Option(spanned(line), id=str(place)))
        named = [i for i, each in enumerate(options.options) if not each.disabled]
        begins = [i for i in named if wanted and self._at(options, i).startswith(wanted[0])]
        options.highlighted = next(iter((*begins, *named)), None)
        if not named:
            about = Text("No action has these letters.", style=DIM)
            self.query_one("#action-about", Static).update(spanned(about))

    def _at(self, options: Choices, place: int) -> str:
        return self._offered[int(options.options[place].id or 0)].label.casefold()

    @on(OptionList.OptionHighlighted)
    def _about(self, event: OptionList.OptionHighlighted) -> None:
        chosen = self._offered[int(event.option.id or 0)]
        self.query_one("#action-about", Static).update(spanned(Text(chosen.words, style=DIM)))

    @on(Input.Submitted)
    def _entered(self) -> None:
        self.query_one(Choices).action_select()

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._offered[int(event.option.id or 0)].do)

    def action_leave(self) -> None:
        """Do nothing."""
        self.dismiss(None)

    def action_up(self) -> None:
        """The one above."""
        self.query_one(Choices).action_cursor_up()

    def action_down(self) -> None:
        """The one below."""
        self.query_one(Choices).action_cursor_down()

    def action_page_up(self) -> None:
        """A page up."""
        self.query_one(Choices).run_page(-1)

    def action_page_down(self) -> None:
        """A page down."""
        self.query_one(Choices).run_page(1)
