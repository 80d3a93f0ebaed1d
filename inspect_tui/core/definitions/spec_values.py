"""Figures of a machine sheet as the values that expressions see."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import cast

import msgspec

from inspect_tui.core.expressions.values import Value
from inspect_tui.core.model.machine import UNKNOWN, Figure, Machine, Words
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.readings import parse as readings
from inspect_tui.errors import InspectError


def written(name: str) -> str:
    """A name as expressions write it: `-` as `_`."""
    return name.replace("-", "_")


def facts(machine: Machine) -> dict[str, Value]:
    """Everything that `machine.NAME` finds."""
    return {
        written(name): fact if isinstance(fact, bool | str) else Quantity(Fraction(str(fact)))
        for name, fact in machine.machine.items()
    }


def figures(machine: Machine) -> Mapping[str, Value]:
    """Everything that `spec.NAME` finds: numbers, quantities, words, lists of them."""
    return _Figures(machine)


class _Figures(Mapping[str, Value]):
    """The figures of a sheet, each read when it is first asked for."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._names: dict[str, list[str]] = {}
        self._known: dict[str, Value | None] = {}
        for name in (*machine.spec, *machine.spec_text):
            self._names.setdefault(written(name), []).append(name)

    def __getitem__(self, key: str) -> Value:
        if key not in self._known:
            self._known[key] = self._read(key)
        found = self._known[key]
        if found is None:
            raise KeyError(key)
        return found

    def _read(self, key: str) -> Value | None:
        """Words before quantities; of two names that are written alike the last."""
        spec, words = self._machine.spec, self._machine.spec_text
        names = self._names.get(key, [])[::-1]
        for name in names:
            if name in words and not (_is_list(words[name]) and UNKNOWN in words[name]):
                return _words(words[name])
        values = (parsed_figure(spec[name]) for name in names if name in spec)
        return next((value for value in values if value is not None), None)

    def __iter__(self) -> Iterator[str]:
        return (key for key in self._names if self.get(key) is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def _is_list(value: object) -> bool:
    return isinstance(value, list | tuple)


def known_in_part(machine: Machine) -> dict[tuple[str, str], Value]:
    """By (name, cylinder): the values of lists in which other cylinders' are `?` still.

    As lists they are not there: `figures` leaves them out.
    """
    found: dict[tuple[str, str], Value] = {}
    for name, figure in (*machine.spec.items(), *machine.spec_text.items()):
        if not isinstance(figure, list | tuple) or UNKNOWN not in figure:
            continue
        for cylinder, part in zip(machine.cylinders, figure, strict=False):
            value = str(part) if name in machine.spec_text else parsed_figure(part)
            if part != UNKNOWN and value is not None:
                found[written(name), cylinder] = value
    return found


def with_figure(
    machine: Machine,
    name: str,
    value: Figure | list[int | float | str],
    cylinder: str | None = None,
    *,
    words: bool | None = None,
) -> Machine:
    """The machine with one more figure, or with another value of one that it has.

    Args:
        machine: As its sheet has it.
        name: As a sheet writes it, or as expressions do.
        value: A number, a quantity in its words, a word, or a list with one for each cylinder.
        cylinder: Whose value it is; None for all. Of a cylinder that the machine doesn't have
            nothing is taken.
        words: Whether it is a word (`6K` can be a needle or a temperature); None where nobody
            knows, and then what can be read as a quantity is one.
    """
    if isinstance(value, list):
        value = tuple(value)
    names = {written(each): each for each in (*machine.spec, *machine.spec_text)}
    name = names.get(written(name), name)
    if cylinder is not None:
        if cylinder not in machine.cylinders:
            return machine
        old = machine.spec.get(name, machine.spec_text.get(name, UNKNOWN))
        parts: list[int | float | str] = (
            list(old) if isinstance(old, tuple) else [old] * len(machine.cylinders)
        )
        at = machine.cylinders.index(cylinder)
        if at < len(parts) and not isinstance(value, tuple):
            parts[at] = value
        value = tuple(parts)
    spec = {key: one for key, one in machine.spec.items() if key != name}
    texts = {key: one for key, one in machine.spec_text.items() if key != name}
    if words is None:
        words = name in machine.spec_text or not _is_quantities(value)
    if words:
        texts[name] = cast(Words, value)
    else:
        spec[name] = value
    return msgspec.structs.replace(machine, spec=spec, spec_text=texts)


def _is_quantities(value: Figure) -> bool:
    parts = value if isinstance(value, tuple) else (value,)
    return all(part == UNKNOWN or parsed_figure(part) is not None for part in parts)


def words_of(words: Figure | Words) -> Value | None:
    """A figure that is words, or a list of them; None where it isn't."""
    parts = words if isinstance(words, list | tuple) else (words,)
    return _words(cast(Words, words)) if all(isinstance(one, str) for one in parts) else None


def _words(words: Words) -> Value:
    return tuple(words) if isinstance(words, list | tuple) else words


def parsed_figure(figure: Figure) -> Value | None:
    """A number, a quantity or a list of them; None where it can't be read."""
    if isinstance(figure, list | tuple):
        parts = [parsed_figure(part) for part in figure]
        return None if any(part is None for part in parts) else tuple(parts)
    try:
        return readings.quantity(figure if isinstance(figure, str) else str(figure))
    except InspectError:
        return None
