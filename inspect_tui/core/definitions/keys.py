"""The keys of each table of a definition file, as the models declare them.

A model's field says its type, what it is and an example (`core/model/declaration.py`); from the
type follows a shape (`shapes`). Everything that has to know a file's keys asks here: decoding,
the check of a file's form, its JSON Schema, the tables of keys in the README.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import msgspec

from inspect_tui.core.definitions.shapes import (
    AmountShape,
    AnswerShape,
    EdgesShape,
    GoodShape,
    Json,
    PositiveShape,
    Shape,
    TextShape,
    TextsShape,
    ValuesShape,
    WholeShape,
    WordShape,
)
from inspect_tui.core.model.checklist import Checklist

Struct = type[msgspec.Struct]
Table = Mapping[str, Any]


@dataclass(frozen=True)
class TableShape(Shape):
    """Tables with keys of their own: one, a list of them, or one for each name."""

    model: Struct = msgspec.Struct
    how: Literal["one", "list", "named"] = "one"

    def fits(self, value: Any) -> bool:
        """What is in the tables is looked at by itself."""
        if self.how == "list":
            return isinstance(value, list) and all(isinstance(one, dict) for one in value)
        if self.how == "named":
            return isinstance(value, dict) and all(isinstance(one, dict) for one in value.values())
        return isinstance(value, dict)

    def of(self, value: Any, default: Any) -> Any:
        """What is no table counts as an empty one, so that every list keeps its length."""
        match self.how:
            case "list" if isinstance(value, list):
                return tuple(decoded(self.model, _table(one)) for one in value)
            case "named" if isinstance(value, dict):
                return {name: decoded(self.model, _table(one)) for name, one in value.items()}
            case "one" if isinstance(value, dict):
                return decoded(self.model, value)
        return default

    def schema(self) -> Json:
        """By reference: each model is described once."""
        one: Json = {"$ref": f"#/$defs/{self.model.__name__}"}
        if self.how == "list":
            return {"type": "array", "items": one}
        if self.how == "named":
            return {"type": "object", "additionalProperties": one}
        return one


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table."""

    name: str
    """In the file."""
    field: str
    """Of the model."""
    shape: Shape
    required: bool
    default: Any
    """Of the model, where the file has none."""
    what: str
    """What it is, one sentence."""
    examples: tuple[Any, ...]
    within: str = ""
    """The key in whose table it stands: `text` within `spec`."""
    rest: bool = False
    """It stands for every key of the table that has no other meaning."""


@cache
def keys_of(model: Struct) -> dict[str, Key]:
    """The keys of a model's table, in the order in which they are declared."""
    found = {}
    for field in msgspec.structs.fields(model):
        kind, meta = _declared(field.type)
        extra = meta.extra or {}
        required = field.required or bool(extra.get("required"))
        place = str(extra.get("place") or "")
        within, _, name = place.rpartition(".") if "." in place else ("", "", field.name)
        shape = _shape(kind, name, meta, required)
        default = field.default if field.default is not msgspec.NODEFAULT else _empty(shape)
        found[field.name] = Key(
            name, field.name, shape, required, default, meta.description or "",
            tuple(meta.examples or ()), within, place == "rest",
        )  # fmt: skip
    return found


@cache
def forms() -> dict[str, Struct]:
    """The model of each kind of table of a checklist, by its header; "" is the top."""
    found: dict[str, Struct] = {"": Checklist}

    def inside(model: Struct, header: str) -> None:
        for key in keys_of(model).values():
            if isinstance(key.shape, TableShape):
                inner = f"{header}.{key.name}" if header else key.name
                if key.shape.how == "one":
                    inner = key.name  # The same wherever it stands: `limit`.
                if inner not in found:
                    found[inner] = key.shape.model
                    inside(key.shape.model, inner)

    inside(Checklist, "")
    return found


def decoded(model: Struct, data: Table) -> Any:
    """The model of a table, as far as it has the form of one; nothing is judged."""
    given = {}
    keys = keys_of(model)
    for field, key in keys.items():
        if key.rest:
            names = {other.name for other in keys.values()}
            value: Any = {name: one for name, one in data.items() if name not in names}
        elif key.within:
            value = _table(data.get(key.within)).get(key.name)
        else:
            value = data.get(key.name)
        if value is not None:
            given[field] = key.shape.of(value, key.default)
        elif key.required:
            given[field] = key.default
    return model(**given)


def as_toml(value: Any) -> str:
    """An example as it is written in a file, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(as_toml, value))}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{name} = {as_toml(one)}' for name, one in value.items())} }}"
    return str(value)


def _declared(kind: Any) -> tuple[Any, msgspec.Meta]:
    """The type and the declaration of an annotated field."""
    inner, *about = typing.get_args(kind)
    (meta,) = (one for one in about if isinstance(one, msgspec.Meta))
    return inner, meta


def _empty(shape: Shape) -> Any:
    """What a required key counts as where it lacks."""
    match shape:
        case WordShape():
            return "text" if "text" in shape.words else shape.words[0]
        case TextsShape():
            return ()
        case ValuesShape():
            return {}
    return ""


def _shape(kind: Any, name: str, meta: msgspec.Meta, required: bool) -> Shape:
    """The shape that follows from a type."""
    extra = meta.extra or {}
    wanted = str(extra.get("wanted") or "")
    example = as_toml(meta.examples[0]) if meta.examples else ""
    origin, inside = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        return _either(inside, name, wanted)
    if origin is Literal:
        words = tuple(word for word in inside if word)
        known = f"one of {', '.join(words)}" if len(words) > 1 else f'"{words[0]}"'
        return WordShape(wanted or known, words)
    if origin is tuple and inside[0] is not str:
        return TableShape(f"a list of tables, each headed [[{name}]]", (), inside[0], "list")
    if origin is tuple and inside[1] is not Ellipsis:
        return EdgesShape(wanted or f"its lower and upper edge, such as {example}")
    if origin is tuple:
        return TextsShape(wanted or f"a list of texts, such as {example}")
    if origin is dict:
        return _named(inside[1], name, wanted)
    if kind is bool:
        return AnswerShape(wanted or "true or false")
    if kind is int:
        return WholeShape(wanted)
    filled = required or bool(extra.get("filled"))
    empty = ", not empty" if filled else ""
    pattern = str(extra.get("pattern") or "")
    return TextShape(wanted or f"a text in quotes{empty}", filled=filled, pattern=pattern)


def _either(inside: tuple[Any, ...], name: str, wanted: str) -> Shape:
    models = [one for one in inside if isinstance(one, type) and issubclass(one, msgspec.Struct)]
    if models:
        return TableShape(wanted or f"a table, headed [{name}]", (), models[0])
    if bool in inside:
        return GoodShape(wanted)
    return AmountShape(wanted) if str in inside else PositiveShape(wanted)


def _named(value: Any, name: str, wanted: str) -> Shape:
    if isinstance(value, type) and issubclass(value, msgspec.Struct):
        return TableShape(wanted or f"tables, each headed [{name}.NAME]", (), value, "named")
    single: list[type] = []
    lists = False
    for one in typing.get_args(value) or (value,):
        if typing.get_origin(one) is tuple:
            lists = True
        else:
            single.append(one)
    return ValuesShape(wanted or f"a table, headed [{name}]", (), tuple(single), lists)


def _table(value: Any) -> Table:
    return value if isinstance(value, dict) else {}
