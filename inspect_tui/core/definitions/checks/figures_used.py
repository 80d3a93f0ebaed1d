"""Which figures of a sheet a list asks for, at which steps, and what each has to be there."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.expressions.expression import Expression, Name
from inspect_tui.core.model.checklist import Derived, Reading

_OF_SHEET = ("spec", "chart")
_WORDS = ("text", "choice")


def steps_asking(compiled: Compiled) -> dict[str, list[str]]:
    """By figure, as expressions write it: the steps that ask for it, in the list's order.

    A figure that only an inference asks for has no step.
    """
    found: dict[str, list[str]] = {}
    for step, expression, _ in _expressions(compiled):
        for name in sorted(name.id for name in expression.names if name.where in _OF_SHEET):
            steps = found.setdefault(name, [])
            if step and step not in steps:
                steps.append(step)
    return found


def items_resting(compiled: Compiled) -> dict[str, dict[str, list[str]]]:
    """By step and figure of the sheet: the readings and derived values that rest on it.

    A figure that only the step's `only_if` asks for has none. Figures of the jet chart are not
    among them.
    """
    found: dict[str, dict[str, list[str]]] = {}
    for step in compiled.checklist.steps:
        asked: dict[str, list[str]] = {}
        if step.id in compiled.only_if:
            _note(asked, compiled.only_if[step.id], "")
        items: list[Reading | Derived] = [*step.readings, *step.derived]
        items += [setting.as_derived for setting in step.setting]
        for item in items:
            value = compiled.value.get((step.id, item.id))
            limits = compiled.limits.get((step.id, item.id), {}).values()
            for expression in (*limits, *([value] if value is not None else [])):
                _note(asked, expression, item.id)
        if asked:
            found[step.id] = asked
    return found


def _note(asked: dict[str, list[str]], expression: Expression, item: str) -> None:
    for name in sorted(name.id for name in expression.names if name.where == "spec"):
        items = asked.setdefault(name, [])
        if item and item not in items:
            items.append(item)


def compared_with(compiled: Compiled, name: str) -> Reading | Derived | None:
    """What a figure is held against as it stands: the first limit that is nothing but it."""
    for _, expression, item in _expressions(compiled):
        bare = expression.bare_name
        if item is not None and bare is not None and bare == Name("spec", id=name):
            return item
    return None


def is_word(item: Reading | Derived) -> bool:
    """Whether what is held against a figure is a word, so that the figure is one."""
    return isinstance(item, Reading) and item.kind in _WORDS


def _expressions(
    compiled: Compiled,
) -> Iterator[tuple[str, Expression, Reading | Derived | None]]:
    """Each expression with its step; of a limit's side also whose limit it is."""
    for step in compiled.checklist.steps:
        if step.id in compiled.only_if:
            yield step.id, compiled.only_if[step.id], None
        items: list[Reading | Derived] = [*step.readings, *step.derived]
        items += [setting.as_derived for setting in step.setting]
        for item in items:
            value = compiled.value.get((step.id, item.id))
            if value is not None:
                yield step.id, value, None
            for side, expression in compiled.limits.get((step.id, item.id), {}).items():
                yield step.id, expression, None if side == "tolerance" else item
    for expression in compiled.inference.values():
        yield "", expression, None


def facts_asked(compiled: Compiled) -> list[str]:
    """The facts that a list asks for, as expressions write them, in the list's order."""
    found: dict[str, None] = {}
    for _, expression, _ in _expressions(compiled):
        found |= dict.fromkeys(
            sorted(name.id for name in expression.names if name.where == "machine")
        )
    return list(found)


def charted(compiled: Compiled) -> list[str]:
    """The settings that a list asks of the jet chart, as expressions write them, in its order."""
    found: dict[str, None] = {}
    for _, expression, _ in _expressions(compiled):
        found |= dict.fromkeys(
            sorted(name.id for name in expression.names if name.where == "chart")
        )
    return list(found)
