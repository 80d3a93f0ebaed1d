"""A compiled list, or a sheet, as bytes that open faster than their text: data, never code.

What it says is taken from the text once, by the ordinary way; so it is only ever as true as the
place that it is kept in, and whoever verifies reads the text. Of each expression it holds the
text and the names in it; the parts are made anew, from that text, when the value is first wanted.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from functools import lru_cache, partial
from typing import Any, Protocol, TypeVar

import msgspec

from inspect_tui.core.definitions import of_log
from inspect_tui.core.definitions.compile import NO_VALUE, Remade
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.expressions.expression import Expression, Name
from inspect_tui.core.expressions.nodes import Node
from inspect_tui.core.model.checklist import Checklist, Derived, Reading, Step
from inspect_tui.core.model.figures import Figures
from inspect_tui.core.model.machine import Machine

Place = tuple[str, str]
Sound = TypeVar("Sound")


class Keeper(Hashable, Protocol):
    """Where it is kept, by the text that it was made of."""

    def read(self, kind: str, text: str) -> bytes | None:
        """What was kept for a text; None where there is nothing, or nothing to be trusted."""

    def write(self, kind: str, text: str, data: bytes) -> None:
        """Keep it; silent where it can't be."""


class _Kept(msgspec.Struct, array_like=True, frozen=True, gc=False):
    """An expression: its text, and its names by their number, each as often as it is used."""

    text: str
    uses: tuple[int, ...]
    needs_all: bool
    needs_one: bool


class _Limits(msgspec.Struct, array_like=True, frozen=True):
    step: str
    value: str
    sides: dict[str, _Kept]


class _List(msgspec.Struct, array_like=True, frozen=True):
    checklist: Checklist
    names: tuple[Name, ...]
    only_if: dict[str, _Kept]
    value: tuple[tuple[str, str, _Kept], ...]
    limits: tuple[_Limits, ...]
    inference: dict[str, _Kept]
    moves: tuple[tuple[str, str, tuple[str, ...]], ...]
    explains: dict[str, tuple[Place, ...]]


# Sessions of one store have the same few lists and sheets, and what is made of them is frozen.
@lru_cache(maxsize=4)
def compiled_list(text: str, keeper: Keeper) -> Compiled:
    """The checklist text of a log, as it was kept, else compiled and kept for the next time.

    Raises:
        Refused: the text is no checklist any more.
    """
    data = keeper.read("checklist", text)
    known = None if data is None else unpack_list(data)
    if known is not None:
        return known
    compiled = of_log.compile_trusted(text)
    packed = pack_list(compiled)
    if packed is not None:
        keeper.write("checklist", text, packed)
    return compiled


@lru_cache(maxsize=4)
def machine_of(text: str, keeper: Keeper) -> Machine:
    """The machine text of a log, as it was kept, else read and kept. Raises Refused: no sheet."""
    found = _kept_or_made("machine", Machine, text, keeper, lambda: of_log.trusted_machine(text))
    assert found is not None
    return found


def figures_of(text: str, keeper: Keeper, make: Callable[[], Figures | None]) -> Figures | None:
    """A file of figures as it was kept, else made and kept; None of one that is not sound.

    Args:
        text: The file's.
        keeper: Where it is kept.
        make: Reads and checks it.
    """
    return _kept_or_made("figures", Figures, text, keeper, make)


def _kept_or_made(
    kind: str, model: type[Sound], text: str, keeper: Keeper, make: Callable[[], Sound | None]
) -> Sound | None:
    data = keeper.read(kind, text)
    known = None if data is None else _decoded(_decoder(model), data)
    if known is not None:
        return known
    made = make()
    packed = None if made is None else _exactly(made, _decoder(model))
    if packed is not None:
        keeper.write(kind, text, packed)
    return made


def pack_list(compiled: Compiled) -> bytes | None:
    """A list as bytes; None of one that has a fault, or an id twice, or can't be held exactly."""
    checklist = compiled.checklist
    if not compiled.is_sound or not _ids_are_single(checklist):
        return None
    numbers: dict[Name, int] = {}

    def kept(expression: Expression) -> _Kept:
        uses = (numbers.setdefault(name, len(numbers)) for name in expression.uses)
        return _Kept(expression.text, tuple(uses), expression.needs_all, expression.needs_one)

    made = _List(
        checklist, (),
        {step: kept(one) for step, one in compiled.only_if.items()},
        tuple((*place, kept(one)) for place, one in compiled.value.items()),
        tuple(
            _Limits(*place, {side: kept(one) for side, one in sides.items()})
            for place, sides in compiled.limits.items()
        ),
        {inference: kept(one) for inference, one in compiled.inference.items()},
        tuple((*place, moved) for place, moved in compiled.moves.items()),
        dict(compiled.explains),
    )  # fmt: skip
    if any(one is NO_VALUE for one in (*compiled.value.values(), *compiled.inference.values())):
        return None
    return _exactly(msgspec.structs.replace(made, names=tuple(numbers)), _decoder(_List))


def unpack_list(data: bytes) -> Compiled | None:
    """The list that these bytes hold; None where they hold none."""
    kept = _decoded(_decoder(_List), data)
    if kept is None:
        return None
    steps = {step.id: step for step in kept.checklist.steps}
    inferences = {one.id: one for one in kept.checklist.inference}
    again = Remade(kept.checklist)
    names = kept.names

    def later(one: _Kept, make: Callable[[], Node]) -> Expression:
        return Expression(
            one.text, tuple(names[number] for number in one.uses), make,
            needs_all=one.needs_all, needs_one=one.needs_one,
        )  # fmt: skip

    try:
        return Compiled(
            kept.checklist, steps,
            {step: later(one, partial(again.only_if, steps[step]))
             for step, one in kept.only_if.items()},
            {(step, value): later(one, _value(again, steps[step], value))
             for step, value, one in kept.value},
            {(each.step, each.value): {
                side: later(one, partial(again.side, steps[each.step], item, side))
                for side, one in each.sides.items()
             } for each in kept.limits for item in [_item(steps[each.step], each.value)]},
            {inference: later(one, partial(again.inference, inferences[inference]))
             for inference, one in kept.inference.items()},
            {(step, setting): moved for step, setting, moved in kept.moves},
            kept.explains, is_sound=True,
        )  # fmt: skip
    except (LookupError, StopIteration):
        return None  # of another list than it says


_decoders: dict[type[Any], msgspec.msgpack.Decoder[Any]] = {}


def _decoder(model: type[Sound]) -> msgspec.msgpack.Decoder[Sound]:
    if model not in _decoders:
        _decoders[model] = msgspec.msgpack.Decoder(model)
    return _decoders[model]


def _exactly(made: Sound, decoder: msgspec.msgpack.Decoder[Sound]) -> bytes | None:
    try:
        data = msgspec.msgpack.encode(made)
    except (OverflowError, TypeError, ValueError, RecursionError):
        return None  # a number of more than 64 bits
    return data if _decoded(decoder, data) == made else None


def _decoded(decoder: msgspec.msgpack.Decoder[Sound], data: bytes) -> Sound | None:
    try:
        return decoder.decode(data)
    except (msgspec.DecodeError, RecursionError, UnicodeDecodeError):
        return None


def _value(again: Remade, step: Step, value: str) -> Callable[[], Node]:
    for number, derived in enumerate(step.derived):
        if derived.id == value:
            return partial(again.derived, step, number)
    return partial(again.move, step, next(one for one in step.setting if one.id == value))


def _item(step: Step, value: str) -> Reading | Derived:
    return next(one for one in _items(step) if one.id == value)


def _items(step: Step) -> Iterator[Reading | Derived]:
    yield from step.reading
    yield from step.derived
    yield from (setting.as_derived for setting in step.setting)


def _ids_are_single(checklist: Checklist) -> bool:
    steps = [step.id for step in checklist.steps]
    inferences = [one.id for one in checklist.inference]
    lists = [steps, inferences, *([one.id for one in _items(step)] for step in checklist.steps)]
    return all(len(set(ids)) == len(ids) for ids in lists)
