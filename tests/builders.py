"""Small lists and sheets for tests, as text: one line of Python for each table.

    checklist(step("belt", reading("width", limit="{ min = 30 }")))     # the text of a list
    sheet(spec={"belt_min": '"31.5 mm"'})                               # the text of a sheet

Values are given as TOML writes them (`'"1 mm"'`, `"true"`, `'["a", "b"]'`); a plain text that a key
always has (`id`, `label`, `kind`, `unit`, `value`, `when`, `says` ...) is put in quotes here.
"""

from __future__ import annotations

from collections.abc import Mapping

MACHINE = "bed"


def checklist(*tables: str, id_: str = "list", title: str = "List", top: str = "") -> str:
    """A list with one section, `drive`; sections and inferences among the tables stand for
    themselves."""
    head = f'id = "{id_}"\ntitle = "{title}"\nrevision = 2\n{top}'
    if tables and not tables[0].startswith("[[section]]"):
        head += section("drive")
    return head + "".join(tables)


def section(id_: str, title: str = "") -> str:
    """The header of a section; its steps come after it."""
    return f'[[section]]\nid = "{id_}"\ntitle = "{title or id_.title()}"\n'


def use(source: str, *, of: str = "section.step") -> str:
    """A step, or with `of="section"` a section, taken from another list."""
    return f'[[{of}]]\nuse = "{source}"\n'


def step(id_: str, *rows: str, per: str = "", **keys: str) -> str:
    """A step; its rows are keys of it, then readings, derived values and settings."""
    lines = ["[[section.step]]", f'id = "{id_}"', f'title = "{id_}"']
    lines += ['per = "cylinder"'] if per else []
    return "\n".join([*lines, *_keys(keys), *rows]) + "\n"


def reading(id_: str, kind: str = "number", unit: str = "mm", **keys: str) -> str:
    """A reading; of a kind that takes no unit the unit is left out."""
    lines = ["[[section.step.reading]]", f'id = "{id_}"', f'label = "{id_}"', f'kind = "{kind}"']
    lines += [f'unit = "{unit}"'] if unit and kind == "number" else []
    return "\n".join([*lines, *_keys(keys)])


def derived(id_: str, value: str, unit: str = "mm", **keys: str) -> str:
    """A derived value."""
    lines = ["[[section.step.derived]]", f'id = "{id_}"', f'label = "{id_}"', f'value = "{value}"']
    lines += [f'unit = "{unit}"'] if unit else []
    return "\n".join([*lines, *_keys(keys)])


def setting(id_: str, of: str, move: str, unit: str = "mm", **keys: str) -> str:
    """A setting of the reading `of`."""
    lines = ["[[section.step.setting]]", f'id = "{id_}"', f'reading = "{of}"', f'move = "{move}"']
    lines += [f'unit = "{unit}"', 'more = "Out"', 'less = "In"']
    return "\n".join([*lines, *_keys(keys)])


def inference(id_: str, when: str, says: str = "Look.", **keys: str) -> str:
    """An inference."""
    lines = ["[[inference]]", f'id = "{id_}"', f'when = "{when}"', f'says = "{says}"']
    return "\n".join([*lines, *_keys(keys)]) + "\n"


def figure(name: str, label: str = "", **keys: str) -> str:
    """What manuals call a figure."""
    return "\n".join([f"[figure.{name}]", f'label = "{label or name}"', *_keys(keys)]) + "\n"


def sheet(
    *cylinders: str,
    id_: str = MACHINE,
    facts: Mapping[str, str] | None = None,
    spec: Mapping[str, str] | None = None,
    words: Mapping[str, str] | None = None,
    source: Mapping[str, str] | None = None,
    rest: str = "",
) -> str:
    """A machine's sheet; without cylinders it has PTO and MAG."""
    named = ", ".join(f'"{name}"' for name in cylinders or ("PTO", "MAG"))
    text = f'id = "{id_}"\nname = "Test bed"\ncylinders = [{named}]\n'
    for header, table in (
        ("machine", facts), ("spec", spec), ("spec.text", words), ("source", source),
    ):  # fmt: skip
        if table is not None:
            text += "\n".join([f"[{header}]", *_keys(table)]) + "\n"
    return text + rest


def _keys(keys: Mapping[str, str]) -> list[str]:
    return [f"{key} = {value}" for key, value in keys.items()]
