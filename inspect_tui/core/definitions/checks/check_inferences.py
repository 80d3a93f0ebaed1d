"""Whether an inference rests on two independent readings, and an `only_if` on other steps."""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.core.definitions.compile import Parsed, items
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.expressions.expression import Name
from inspect_tui.core.model.checklist import Derived
from inspect_tui.core.text.sanitize import ellipsize

Leaf = tuple[str, str, int]
"""(step, reading, 1); of a reading that is seen as a list also (step, reading, 2)."""


def check_grounds(parsed: Parsed, complaints: ProblemCollector) -> None:
    """What each `when` rests on."""
    leaves = _Leaves(parsed)
    for placed in parsed.placed:
        if not complaints.sound(*placed.path):
            continue
        names = placed.expression.names
        if placed.purpose == "inference":
            found = leaves.of(names, placed.per_cylinder)
            if len(found) < 2:
                only = ", ".join(sorted(f"{step}.{reading}" for step, reading, _ in found))
                complaints.add(
                    placed.path,
                    f"An inference rests on two or more readings, and this one on "
                    f"{'only ' + ellipsize(only) if only else 'none'}; write a limit instead, or "
                    "add what would confirm it.",
                )
        elif placed.purpose == "only_if" and placed.step is not None:
            own = [name for name in names if name.step == placed.step.id and name.where == "value"]
            if own:
                complaints.add(
                    placed.path,
                    f"'{ellipsize(placed.expression.text)}' asks for this step's own "
                    f"'{ellipsize(own[0].id)}'; a step can only be hidden by the sheet or by other "
                    "steps.",
                )


class _Leaves:
    """The readings that expressions rest on, through derived values too."""

    def __init__(self, parsed: Parsed) -> None:
        self._values = parsed.value
        self._steps = {step.id: step for step in parsed.checklist.steps}
        self._across = {
            (step.id, item.id): isinstance(item, Derived) and item.across
            for step in parsed.checklist.steps
            for item in items(step)
        }
        self._known: dict[tuple[str, str, bool], frozenset[Leaf]] = {}

    def of(self, names: Iterable[Name], per_cylinder: bool) -> frozenset[Leaf]:
        """Of several names, seen for one cylinder or for all."""
        found: set[Leaf] = set()
        for name in names:
            if name.where == "value":
                found |= self._one(name, per_cylinder)
        return frozenset(found)

    def _one(self, name: Name, per_cylinder: bool) -> frozenset[Leaf]:
        key = (name.step, name.id, per_cylinder)
        known = self._known.get(key)
        if known is None:
            self._known[key] = frozenset()
            known = self._known[key] = self._work_out(name, per_cylinder)
        return known

    def _work_out(self, name: Name, per_cylinder: bool) -> frozenset[Leaf]:
        step = self._steps.get(name.step)
        if step is None:  # of a list that was not taken in whole
            return frozenset({(name.step, name.id, 1)})
        inner = self._values.get((name.step, name.id))
        each = step.per_cylinder and not self._across[name.step, name.id]
        if inner is None:
            found = {(name.step, name.id, 1)}
            if each and not per_cylinder:
                found.add((name.step, name.id, 2))
            return frozenset(found)
        return self.of(inner.names, per_cylinder if each else False)
