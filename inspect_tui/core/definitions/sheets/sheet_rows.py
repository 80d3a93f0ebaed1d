"""A machine's figures, a row each: label, value, unit, source, which steps ask for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inspect_tui.core.definitions.sheets.typed_figure import amount_of
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.model.figures import FigureDescription, MissingFigure
from inspect_tui.core.model.machine import UNKNOWN, Machine


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure of a sheet, or one cylinder's value of it."""

    name: str
    """As the sheet writes it."""
    cylinder: str | None
    label: str
    """What manuals call it; its name where nobody says."""
    unit: str
    """As the sheet has it; "" of plain numbers and words."""
    value: int | float | str
    """In that unit."""
    source: str
    used_by: tuple[str, ...]
    """Steps, by their ids."""


def sheet_rows(
    machine: Machine,
    glossary: Mapping[str, FigureDescription],
    asking: Mapping[str, Sequence[str]],
) -> tuple[FigureRow, ...]:
    """The figures of a sheet in its order: numbers and quantities first, then words.

    Args:
        machine: As its sheet has it.
        glossary: What manuals call figures, by their names as expressions write them.
        asking: The steps that ask for a figure, by the same.
    """
    sources = {written(name): source for name, source in machine.source.items()}
    rows: list[FigureRow] = []
    for name, value in (*machine.spec.items(), *machine.spec_text.items()):
        key = written(name)
        about = glossary.get(key)
        word = name in machine.spec_text
        parts: list[tuple[str | None, int | float | str]] = [(None, value)]  # type: ignore[list-item]
        if isinstance(value, tuple):
            parts = list(zip(machine.cylinders, value, strict=False))
        for cylinder, part in parts:
            if part == UNKNOWN:
                continue
            amount, unit = (part, "") if word else amount_of(part)
            rows.append(
                FigureRow(
                    name, cylinder, about.label if about else name.replace("_", " "), unit, amount,
                    sources.get(key, ""), tuple(asking.get(key, ())),
                )
            )  # fmt: skip
    return tuple(rows)


def lacking(machine: Machine, asking: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """The figures that are asked for and that the sheet lacks, or has for some cylinders alone.

    By their names as expressions write them, in the order in which they are asked for; a setting
    that the jet chart has is there.
    """
    charted = {written(name) for band in machine.jet_chart for name in band.settings}
    there = _whole(machine) | charted
    return tuple(name for name in asking if name not in there)


def missing_at(
    machine: Machine,
    glossary: Mapping[str, FigureDescription],
    resting: Mapping[str, Mapping[str, Sequence[str]]],
) -> dict[str, tuple[MissingFigure, ...]]:
    """By step: the figures that it asks for and that the sheet lacks, or has in part alone.

    Args:
        machine: As its sheet has it by now.
        glossary: What manuals call figures, by their names as expressions write them.
        resting: By step and figure, what rests on it.
    """
    there = _whole(machine)
    found: dict[str, tuple[MissingFigure, ...]] = {}
    for step, figures in resting.items():
        missing = tuple(
            _missing(name, glossary.get(name), items)
            for name, items in figures.items()
            if name not in there
        )
        if missing:
            found[step] = missing
    return found


def _missing(name: str, about: FigureDescription | None, items: Sequence[str]) -> MissingFigure:
    if about is None:
        return MissingFigure(name, name.replace("_", " "), items=tuple(items))
    per = about.per == "cylinder"
    return MissingFigure(name, about.label, about.unit, about.where, per, tuple(items))


def _whole(machine: Machine) -> set[str]:
    """The figures that the sheet has for every cylinder."""
    return {
        written(name)
        for name, value in (*machine.spec.items(), *machine.spec_text.items())
        if not (isinstance(value, tuple) and UNKNOWN in value)
    }
