"""The keys of a definition file as JSON Schema (draft 2020-12), for editors.

Editors show the help and the examples of a key as it is typed, and mark what has the wrong form.
What a file means beyond its form `check` alone can say.
"""

from __future__ import annotations

import inspect

from inspect_tui.core.definitions.checks.check_form import ALONE
from inspect_tui.core.definitions.keys import Key, Struct, TableShape, keys_of
from inspect_tui.core.definitions.shapes import Json, ValuesShape
from inspect_tui.core.model.checklist import Checklist
from inspect_tui.core.model.figures import Figures
from inspect_tui.core.model.machine import Machine

DRAFT = "https://json-schema.org/draft/2020-12/schema"
MODELS: dict[str, Struct] = {"checklist": Checklist, "sheet": Machine, "figures": Figures}
"""What a schema can be asked for."""


def schema(what: str) -> Json:
    """The schema of one kind of file; `what` is a key of MODELS."""
    found: dict[str, Json] = {}
    _describe(MODELS[what], found)
    top = found.pop(MODELS[what].__name__)
    definitions = {"$defs": dict(sorted(found.items()))} if found else {}
    return {"$schema": DRAFT, "title": f"inspect-tui {what}", **top, **definitions}


def _describe(model: Struct, found: dict[str, Json]) -> None:
    """One model, and every model inside of it."""
    keys = keys_of(model)
    properties: Json = {}
    rest: bool | Json = False
    found[model.__name__] = {}
    for key in keys.values():
        if isinstance(key.shape, TableShape) and key.shape.model.__name__ not in found:
            _describe(key.shape.model, found)
        if key.within:
            continue
        if key.rest:
            assert isinstance(key.shape, ValuesShape)
            rest = key.shape.value_schema()
        else:
            properties[key.name] = _about(key)
    for key in keys.values():
        if key.within:
            properties[key.within].setdefault("properties", {})[key.name] = _about(key)
    # A jet chart's band without a setting says nothing.
    least = {"minProperties": len(properties) + 1} if rest else {}
    found[model.__name__] = {
        "description": inspect.cleandoc(model.__doc__ or ""),
        "type": "object",
        "properties": properties,
        **_required([key.name for key in keys.values() if key.required and not key.rest], keys),
        "additionalProperties": rest,
        **least,
    }


def _about(key: Key) -> Json:
    """One key: its shape, what it is, examples."""
    examples = {"examples": list(key.examples)} if key.examples else {}
    return {**key.shape.schema(), "description": key.what, **examples}


def _required(names: list[str], keys: dict[str, Key]) -> Json:
    """Which keys must be there; in place of all of them one that stands alone will do."""
    if ALONE not in keys:
        return {"required": names} if names else {}
    return {
        "if": {"required": [ALONE]},
        "then": {"maxProperties": 1},
        "else": {"required": names},
    }
