"""What a checklist asks of a machine's sheet, and the sheet does not have."""

from __future__ import annotations

from inspect_tui.core.definitions.checks.check_types import Types
from inspect_tui.core.definitions.compile import Parsed
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.spec_values import known_in_part, written
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import NOT_MEASURED, Expression, Missing, Name, Value
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.text.formatting import join_words, pluralize
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest

_NO_VERDICT = "its readings are not judged."
_NO_MOVE = "no next move is said for it."
ALIKE = 0.85
"""How like a name must be to be a slip: many a sheet simply lacks the figure."""


def check_names(
    parsed: Parsed, types: Types, machine: Machine, complaints: ProblemCollector
) -> None:
    """Figures and facts that lack, as notes; lists that don't fit the cylinders, as problems."""
    places: dict[Name, list[Path]] = {}
    hidden = {step for step, only_if in parsed.only_if.items() if _is_false(only_if, types)}
    for placed in parsed.placed:
        if placed.step is not None and placed.step.id in hidden and placed.purpose != "only_if":
            continue
        for name in placed.expression.names:
            if name.where not in ("value", "conditions"):
                places.setdefault(name, []).append(placed.path)
    for name, paths in places.items():
        value = types.figure(name)
        if value is None:
            then = _NO_MOVE if "setting" in paths[0] else _NO_VERDICT
            complaints.add(paths[0], _lacking(name, machine, len(paths), then), lacking=name.id)
        elif isinstance(value, tuple) and len(value) != len(machine.cylinders):
            complaints.add(
                paths[0],
                f"{name.where}.{ellipsize(name.id)} has {pluralize(len(value), 'value')} in the "
                f"sheet '{ellipsize(machine.id)}', and its machine "
                f"{pluralize(len(machine.cylinders), 'cylinder')}.",
            )


def _is_false(only_if: Expression, types: Types) -> bool:
    """Whether a step's `only_if` is settled by this sheet alone, and hides the step."""

    def known(name: Name) -> Value | Missing:
        value = types.figure(name)
        return NOT_MEASURED if value is None else value

    return only_if.evaluate(known) is False


def _lacking(name: Name, machine: Machine, times: int, then: str) -> str:
    sheet = f"the sheet '{ellipsize(machine.id)}'"
    often = f" (asked for {times} times)" if times > 1 else ""
    shown = f"{name.where}.{ellipsize(name.id)}"
    if name.where == "chart":
        what = "whose chart lacks" if machine.jet_chart else "has no jet chart for"
        return f"{sheet} {what} {shown}{often}; {then}"
    if name.where == "machine":
        hint = suggest(name.id, map(written, machine.machine), ALIKE)
        return f"{sheet} does not say {shown}{often}; {hint or 'what asks for it stays shown.'}"
    known = [cylinder for each, cylinder in known_in_part(machine) if each == name.id]
    if known:
        return f"{sheet} has {shown} for {join_words(known)} alone{often}."
    hint = suggest(name.id, map(written, (*machine.spec, *machine.spec_text)), ALIKE)
    return f"{sheet} has no {shown}{often}; {hint or then}"
