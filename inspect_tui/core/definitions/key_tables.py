"""The keys of definition files as tables in Markdown, for the README."""

from __future__ import annotations

import inspect

from inspect_tui.core.definitions.json_schema import MODELS
from inspect_tui.core.definitions.keys import Key, Struct, TableShape, as_toml, keys_of


def tables(what: str) -> str:
    """The keys of one kind of file (`checklist`, `sheet`, `figures`), a table for each header."""
    found: list[str] = []
    _add(MODELS[what], "", found, set())
    return "\n".join(found)


def _add(model: Struct, header: str, found: list[str], done: set[Struct]) -> None:
    done.add(model)
    keys = list(keys_of(model).values())
    about = inspect.cleandoc(model.__doc__ or "").split("\n")[0]
    place = f"`{header}`" if header else "At the top"
    found.append(f"{place}: {about[:1].lower()}{about[1:]}\n\n| key | what | such as |")
    found.append("| --- | --- | --- |")
    found += [_row(key) for key in keys]
    found.append("")
    for key in keys:
        if isinstance(key.shape, TableShape) and key.shape.model not in done:
            _add(key.shape.model, _header(key, header), found, done)


def _header(key: Key, above: str) -> str:
    assert isinstance(key.shape, TableShape)
    outer = above.strip("[]")
    name = f"{outer}.{key.name}" if outer else key.name
    if key.shape.how == "list":
        return f"[[{name}]]"
    return f"[{name}.NAME]" if key.shape.how == "named" else f"{key.name} = {{ ... }}"


def _row(key: Key) -> str:
    name = "a setting's name" if key.rest else f"`{key.name}`"
    if key.within:
        name = f"`[{key.within}.{key.name}]`"
    needed = "; must be there" if key.required else ""
    examples = ", ".join(f"`{as_toml(one)}`" for one in key.examples)
    what = key.what.removesuffix(".")
    return f"| {name} | {what}{needed} | {examples} |"
