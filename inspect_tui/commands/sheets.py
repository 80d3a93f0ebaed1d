"""Commands about a person's own lists and sheets: new-list, new-sheet, sheet, figure."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import opened, places, readable, show, show_json, tell
from inspect_tui.core.text.formatting import format_value, join_words
from inspect_tui.workflow import sheet_figures, sheets
from inspect_tui.workflow.resolve import machine_or_session


def new_list(given: argparse.Namespace) -> int:
    """A checklist made of lines; its id alone on stdout."""
    path = sheets.new_list(places(given), given.id, given.title, given.item)
    tell(f"Written to {path}.")
    show(given.id)
    return 0


def new_sheet(given: argparse.Namespace) -> int:
    """A machine's sheet that holds its name and cylinders; its id alone on stdout."""
    path = sheets.new_sheet(places(given), given.id, given.name, given.cylinders or "", given.fact)
    tell(f"Written to {path}.")
    show(given.id)
    return 0


def sheet(given: argparse.Namespace) -> int:
    """A machine's figures, and what it lacks for a list."""
    view = sheets.sheet_view(readable(given), given.machine, given.checklist or "")
    if given.json:
        show_json(
            {
                "machine": view.machine.id,
                "figures": [
                    {
                        "name": row.name, "cylinder": row.cylinder, "label": row.label,
                        "unit": row.unit, "value": row.value, "source": row.source,
                        "used_by": list(row.used_by),
                    }
                    for row in view.figures
                ],
                "missing": list(view.missing),
            }
        )  # fmt: skip
        return 0
    cylinders = join_words(view.machine.cylinders) or "none"
    show(f"{view.machine.id}: {view.machine.name}, cylinders {cylinders}")
    for name, fact in view.machine.machine.items():
        answer = ("yes" if fact else "no") if isinstance(fact, bool) else fact
        show(f"  {name}: {answer}")
    for row in view.figures:
        whose = "" if row.cylinder is None else f"@{row.cylinder}"
        value = row.value if isinstance(row.value, str) else format_value(row.value, row.unit)
        source = f" ({row.source})" if row.source else ""
        show(f"  {row.name}{whose} = {value}: {row.label}{source}")
    for name in view.missing:
        about = view.glossary.get(name)
        where = f": {about.label}" + (f", {about.where}" if about.where else "") if about else ""
        show(f"  missing: {name}{where}")
    return 0


def figure(given: argparse.Namespace) -> int:
    """Figures into a machine's sheet; of a session into its log too."""
    store = readable(given)
    kind, name = machine_or_session(store, given.what)
    if kind == "machine":
        taken, said = sheet_figures.set_figures(store, name, given.values, given.source)
    else:
        given.session = name
        with opened(given) as inspection:
            taken, said = sheet_figures.set_figures_of_session(
                store, inspection, given.values, given.source
            )
    for one in taken:
        whose = "" if one.cylinder is None else f"@{one.cylinder}"
        value = one.figure.value
        values = value if isinstance(value, tuple) else (value,)
        show(f"{one.name}{whose} = {'; '.join(map(str, values))}")
    for text in said:
        tell(text)
    return 0
