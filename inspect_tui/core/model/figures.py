"""The glossary of figures: what a manual calls each `spec.NAME`, and where one finds it.

Frozen models of `[figure.NAME]`, in a file of its own or in a checklist, and of `[fact.NAME]`, what
people are asked of a machine for each `machine.NAME`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import msgspec

from inspect_tui.core.model.declaration import key


class FigureDescription(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One figure that a machine's sheet can have, as manuals say it."""

    label: Annotated[
        str, key("What manuals call it.", "Drive belt width, least", filled=True, required=True)
    ]
    unit: Annotated[
        str, key("The unit in which manuals give it; left out of plain numbers and words.", "mm")
    ] = ""
    per: Annotated[
        Literal["", "cylinder"],
        key("The sheet has one value for each cylinder.", "cylinder"),
    ] = ""
    where: Annotated[
        str,
        key("Where one finds it.", "manual: drive belt, wear limit; often on the belt's sleeve"),
    ] = ""


Glossary = dict[str, FigureDescription]
"""By the figure's name."""


class FactDescription(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One fact that a machine's sheet can have, as people ask for it."""

    label: Annotated[str, key("What is asked.", "Cooling", filled=True, required=True)]
    kind: Annotated[
        Literal["check", "choice", "number", "text"], key("What its answer is.", "choice")
    ] = "check"
    options: Annotated[
        tuple[str, ...], key("The answers of a choice.", ["liquid", "fan", "air"])
    ] = ()
    where: Annotated[
        str, key("Where one sees it.", "look: hoses at the heads, or a fan with fins")
    ] = ""


Facts = dict[str, FactDescription]
"""By the fact's name."""


class Figures(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A file of figures."""

    id: Annotated[str, key("Its own name; the file's where it is left out.", "figures")] = ""
    title: Annotated[str, key("What the file is about.", "Figures of this engine")] = ""
    figure: Annotated[
        Glossary,
        key("A figure, headed `[figure.NAME]` with the name that `spec.NAME` asks for."),
    ] = {}
    fact: Annotated[
        Facts,
        key("A fact, headed `[fact.NAME]` with the name that `machine.NAME` asks for."),
    ] = {}


@dataclass(frozen=True, slots=True)
class MissingFigure:
    """A figure that a step asks for and the machine's sheet lacks."""

    name: str
    """As expressions write it."""
    label: str
    """What manuals call it; its name where nobody says."""
    unit: str = ""
    """In which manuals give it; "" of plain numbers, words, and where nobody says."""
    where: str = ""
    """Where one finds it; "" where nobody says."""
    per_cylinder: bool = False
    """Manuals may give one for each cylinder."""
    items: tuple[str, ...] = ()
    """The step's readings and derived values that rest on it, by their ids."""
