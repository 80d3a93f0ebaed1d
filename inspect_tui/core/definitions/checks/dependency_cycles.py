"""What rests on what: circles in the order of steps, and how derived values follow each other."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from typing import TypeVar

from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import Expression

MAX_WORK = 50_000
"""Values that may be looked up for one derived value, through all that it rests on."""
DEEPEST = 50
"""Derived values that may rest on each other in a row."""
OF_MANY = 8
"""A list counts as this many values: more than a machine has cylinders."""


Id = TypeVar("Id", bound=Hashable)


def find_cycles(edges: Iterable[tuple[Id, Id, Path]]) -> Iterator[tuple[Path, list[Id]]]:
    """Each edge that closes a circle, with the circle from its start round to it."""
    leads: dict[Id, list[tuple[Id, Path]]] = {}
    for start, end, path in edges:
        leads.setdefault(start, []).append((end, path))
    done: set[Id] = set()
    for first in leads:
        if first in done:
            continue
        trail: dict[Id, None] = {first: None}
        ways = [iter(leads[first])]
        while ways:
            step = next(ways[-1], None)
            if step is None:
                ways.pop()
                done.add(trail.popitem()[0])
                continue
            end, path = step
            if end in trail:
                names = list(trail)
                yield path, [*names[names.index(end) :], end]
            elif end not in done:
                trail[end] = None
                ways.append(iter(leads.get(end, ())))


Place = tuple[str, str]
"""(step, derived value)."""


def too_deep(
    values: Mapping[Place, Expression], many: Mapping[Place, bool]
) -> Iterator[tuple[Place, str]]:
    """Derived values that can't be worked out, with the reason: circles, or far too much work.

    Args:
        values: The derived values of the whole checklist.
        many: Whether a value has one result per cylinder; one that is not in it hasn't.
    """
    inner = {
        place: [(name.step, name.id) for name in found.uses if (name.step, name.id) in values]
        for place, found in values.items()
    }
    edges = [
        (place, other, (*place, *other)) for place, others in inner.items() for other in others
    ]
    in_circle: set[Place] = set()
    for _, circle in find_cycles(edges):
        yield circle[0], f"goes in a circle, {' -> '.join('.'.join(one) for one in circle)}"
        in_circle.update(circle)
    work: dict[Place, tuple[int, int]] = {}
    for place in _inner_first(inner, in_circle):
        amount, depth = len(values[place].uses) + 1, 0
        for other in inner[place]:
            if other in work:
                times = OF_MANY if many.get(other) and not many.get(place) else 1
                amount += times * work[other][0]
                depth = max(depth, work[other][1] + 1)
        if amount > MAX_WORK or depth > DEEPEST:
            yield place, "rests on too many other derived values"
            amount, depth = 1, 0
        work[place] = amount, depth


def _inner_first(inner: Mapping[Place, list[Place]], without: set[Place]) -> Iterator[Place]:
    """Every derived value after those that it rests on."""
    waiting = {place: len(set(others) - without) for place, others in inner.items()}
    above: dict[Place, list[Place]] = {}
    for place, others in inner.items():
        for other in set(others):
            above.setdefault(other, []).append(place)
    ready = [place for place, left in waiting.items() if not left and place not in without]
    while ready:
        place = ready.pop()
        yield place
        for outer in above.get(place, ()):
            waiting[outer] -= 1
            if not waiting[outer] and outer not in without:
                ready.append(outer)
