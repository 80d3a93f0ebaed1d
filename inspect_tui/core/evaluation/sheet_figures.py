"""Figures of the machine sheet that are entered in a session: typed, and taken into the sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import msgspec

from inspect_tui.core.definitions.spec_values import parsed_figure
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.session.replay import SheetFigure
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput

Single = int | float | str
Typed = Single | tuple[Single, ...]

_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(?:\.[0-9]{1,15})?")
_COMMAS = re.compile(r",\s+")


@dataclass(frozen=True, slots=True)
class GrownSheet:
    """A machine's sheet with the figures that were entered since."""

    machine: Machine
    partial: Mapping[str, Mapping[str, Single]]
    """By figure: by cylinder, those that not every cylinder has yet."""


def typed_figure(text: str) -> Typed:
    """A figure as a person typed it: a number, a quantity `12 mm`, words, or a list of them.

    A list stands with semicolons, or with commas that a blank follows; a comma inside a number is
    a decimal comma.

    Raises:
        BadInput: nothing is there, or a part of the list is empty.
    """
    text = sanitize(text)
    if not text:
        raise BadInput("The figure is missing.", "Write NAME=VALUE, such as gap='0.7 mm'.")
    parts = [part.strip() for part in (text.split(";") if ";" in text else _COMMAS.split(text))]
    if not all(parts):
        raise BadInput(f"'{text[:80]}' has an empty part.", "Write one value for each cylinder.")
    values = tuple(_single(part) for part in parts)
    return values[0] if len(values) == 1 else values


def _single(text: str) -> Single:
    if not _NUMBER.fullmatch(text):
        return text
    return float(text) if "." in text else int(text)


def with_figures(machine: Machine, figures: Iterable[SheetFigure]) -> GrownSheet:
    """The sheet with these figures, a later one for the same thing instead of an earlier.

    Args:
        machine: As the session was opened with it.
        figures: In the order in which they were entered.
    """
    spec, words, source = dict(machine.spec), dict(machine.spec_text), dict(machine.source)
    partial: dict[str, dict[str, Single]] = {}
    for figure in figures:
        value = figure.value
        if figure.cylinder is not None:
            if isinstance(value, tuple) or figure.cylinder not in machine.cylinders:
                continue  # a log may hold what can't be entered
            known = partial.setdefault(figure.name, {})
            if not known:
                known.update(_by_cylinder(machine, spec.get(figure.name, words.get(figure.name))))
            known[figure.cylinder] = value
            if len(known) < len(machine.cylinders):
                continue
            value = tuple(known[cylinder] for cylinder in machine.cylinders)
        elif isinstance(value, tuple) and len(value) != len(machine.cylinders):
            continue
        partial.pop(figure.name, None)
        spec.pop(figure.name, None)
        words.pop(figure.name, None)
        if parsed_figure(value) is not None:
            spec[figure.name] = value
        else:
            words[figure.name] = tuple(map(str, value)) if isinstance(value, tuple) else str(value)
        if figure.source:
            source[figure.name] = figure.source
    grown = msgspec.structs.replace(machine, spec=spec, spec_text=words, source=source)
    return GrownSheet(grown, partial)


def _by_cylinder(machine: Machine, figure: object) -> dict[str, Single]:
    """What a figure says for each cylinder; nothing where it says none."""
    if isinstance(figure, tuple | list):
        return dict(zip(machine.cylinders, figure, strict=False))
    if isinstance(figure, int | float | str):
        return dict.fromkeys(machine.cylinders, figure)
    return {}
