"""A machine's page in words: what it needs, its sessions. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from inspect_tui.core.presentation.entry_words import part_words
from inspect_tui.core.seasons.carried import Carried
from inspect_tui.core.seasons.due_words import line_of
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, FAIL, UNCERTAIN
from inspect_tui.tui.base.styling import carried_words
from inspect_tui.workflow.machine_page import MachinePage

_FIRST = 12
"""Lines of a kind that are named before the rest is counted."""


def machine_text(page: MachinePage) -> Text:
    """What the machine needs, the late things first, then its sessions."""
    text = Text()
    late = [each for each in page.due if each.late]
    rest = [each for each in page.due if not each.late]
    _named(text, "LATE", [line_of(each, page.today) for each in late], FAIL)
    _named(text, "DUE", [line_of(each, page.today) for each in rest], UNCERTAIN)
    put_off = [_put_off(each, page.put_off) for each in page.carried]
    _named(text, "PUT OFF", put_off, UNCERTAIN)
    for state, heading in (("to get", "PARTS TO GET"), ("got", "PARTS TO FIT")):
        rows = [
            part_words(row.part.part, row.part.quantity, row.part.number)
            for row in page.parts
            if row.part.state == state
        ]
        _named(text, heading, rows, UNCERTAIN)
    if not text:
        text.append("Nothing is due, put off or on order.\n")
    text.append(f"\n{pluralize(len(page.sessions), 'session').upper()}\n", style="bold")
    for each in page.sessions[:_FIRST]:
        open_ones = sum(finding.put_off for finding in each.findings)
        text.append(f"  {each.last:%Y-%m-%d}  {one_line(each.title or each.checklist)}")
        text.append(f"  {each.state}", style=DIM)
        if open_ones:
            text.append(f"  {open_ones} put off", style=UNCERTAIN)
        text.append("\n")
    if len(page.sessions) > _FIRST:
        text.append(f"  and {len(page.sessions) - _FIRST} more\n", style=DIM)
    return text


def _put_off(each: Carried, put_off: Mapping[str, str]) -> str:
    """What was put off, with the step that it was found at."""
    said = carried_words(each, put_off)
    return said if not each.title or said.startswith(each.title) else f"{each.title}: {said}"


def _named(text: Text, heading: str, names: Sequence[str], style: str) -> None:
    if not names:
        return
    text.append(f"{chr(10) if text else ''}{heading}\n", style=style)
    for name in names[:_FIRST]:
        text.append(f"  {one_line(name)}\n")
    if len(names) > _FIRST:
        text.append(f"  and {len(names) - _FIRST} more\n", style=DIM)
