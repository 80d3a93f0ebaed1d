"""A checklist or a machine as a choice of two lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, FAIL

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine


def definition_text(each: DefinitionLine) -> Text:
    """Its title; below it what it comes to, or what is wrong with it."""
    text = Text(one_line(each.title or each.id), style="bold")
    if each.trouble:
        text.append(f"\n  ✗ {one_line(each.trouble)}", style=FAIL)
        return text
    parts = []
    if each.steps:
        parts.append(f"{each.steps} steps, {each.readings} readings")
    if each.cylinders:
        parts.append(
            f"cylinder{'s' if len(each.cylinders) > 1 else ''} {', '.join(each.cylinders)}"
        )
    parts.append("own" if each.own else "ships with the program")
    text.append(f"\n  {one_line('; '.join(parts))}", style=DIM)
    return text
