"""What files of figures and lists say of the figures that sheets have: `[figure.NAME]`."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping

from inspect_tui.core.definitions.checks.check_ids import check_names
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.figures import FactDescription, FigureDescription
from inspect_tui.core.quantities import units
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

_ASKED = re.compile(r"\b(?:spec|chart)[ \t]*\.[ \t]*([A-Za-z_]\w*)")


def asked_in(text: str) -> set[str]:
    """The figures that a checklist's text asks for, by the names that expressions use."""
    return set(_ASKED.findall(text))


def check_figures(figures: Mapping[str, FigureDescription], complaints: ProblemCollector) -> None:
    """The names and units of figures that are described."""
    check_names("a figure", [(("figure", name), name) for name in figures], complaints)
    for name, about in figures.items():
        place: Path = ("figure", name, "unit")
        if name == "text":
            complaints.add(
                ("figure", name), "'text' is the table of figures that are words; write another "
                "name.",
            )  # fmt: skip
        if about.unit and complaints.sound(*place):
            try:
                units.unit(about.unit)
            except BadInput as error:
                complaints.add(place, error)


def check_facts(facts: Mapping[str, FactDescription], complaints: ProblemCollector) -> None:
    """The names and options of facts that are described."""
    check_names("a fact", [(("fact", name), name) for name in facts], complaints)
    for name, about in facts.items():
        place: Path = ("fact", name, "options")
        if about.kind == "choice" and len(set(about.options)) < 2:
            complaints.add(place, "A choice wants two options or more.")
        elif about.kind != "choice" and about.options:
            complaints.add(place, 'Only a choice has options; write kind = "choice" too.')


def check_asked(
    names: Mapping[str, Path], asked: Collection[str], complaints: ProblemCollector, whose: str
) -> None:
    """Notes the figures that nobody asks for, each with the nearest name that somebody does.

    Args:
        names: The figures, each with its place.
        asked: What lists ask for, as expressions write it.
        complaints: Takes the notes.
        whose: Who might have asked: `no list asks`, `this list does not ask`.
    """
    for name, path in names.items():
        if written(name) not in asked and complaints.sound(*path):
            hint = suggest(written(name), sorted(asked))
            complaints.add(
                path, f"{whose} for '{ellipsize(name)}'{f'; {hint}' if hint else '.'}", note=True
            )
