"""Small lists and sheets for tests, as text: one line of Python for each table.

    checklist(step("belt", reading("width", limit="{ min = 30 }")))     # the text of a list
    sheet(spec={"belt_min": '"31.5 mm"'})                               # the text of a sheet

Values are given as TOML writes them (`'"1 mm"'`, `"true"`, `'["a", "b"]'`); a plain text that a key
always has (`id`, `label`, `kind`, `unit`, `value`, `when`, `says` ...) is put in quotes here.
"""

from __future__ import annotations

from collections.abc import Mapping

MACHINE = "bed"


def checklist(
    *tables: str, id_: str = "list", title: str = "", revision: int = 2, top: str = ""
) -> str:
    """A list with one section, `drive`; sections and inferences among the tables stand for
    themselves."""
    title = title or id_.title()
    head = f'id = "{id_}"\ntitle = "{title}"\nrevision = {revision}\n{top}'
    if tables and not tables[0].startswith("[[section]]"):
        head += section("drive")
    return head + "".join(tables)


def section(id_: str, title: str = "") -> str:
    """The header of a section; its steps come after it."""
    return f'[[section]]\nid = "{id_}"\ntitle = "{title or id_.title()}"\n'


def use(source: str, *, of: str = "section.step") -> str:
    """A step, or with `of="section"` a section, taken from another list."""
    return f'[[{of}]]\nuse = "{source}"\n'


def step(id_: str, *rows: str, title: str = "", per: str = "", **keys: str) -> str:
    """A step; its rows are keys of it, then readings, derived values and settings."""
    lines = ["[[section.step]]", f'id = "{id_}"', f'title = "{title or id_}"']
    lines += ['per = "cylinder"'] if per else []
    return "\n".join([*lines, *_keys(keys), *rows]) + "\n"


def reading(
    id_: str, kind: str = "number", unit: str = "mm", *, label: str = "", **keys: str
) -> str:
    """A reading; of a kind that takes no unit the unit is left out."""
    lines = ["[[section.step.reading]]", f'id = "{id_}"', f'label = "{label or id_}"']
    lines += [f'kind = "{kind}"']
    lines += [f'unit = "{unit}"'] if unit and kind == "number" else []
    return "\n".join([*lines, *_keys(keys)])


def derived(id_: str, value: str, unit: str = "mm", *, label: str = "", **keys: str) -> str:
    """A derived value."""
    lines = ["[[section.step.derived]]", f'id = "{id_}"', f'label = "{label or id_}"']
    lines += [f'value = "{value}"']
    lines += [f'unit = "{unit}"'] if unit else []
    return "\n".join([*lines, *_keys(keys)])


def setting(
    id_: str,
    of: str,
    move: str,
    unit: str = "mm",
    *,
    more: str = "Out",
    less: str = "In",
    **keys: str,
) -> str:
    """A setting of the reading `of`."""
    lines = ["[[section.step.setting]]", f'id = "{id_}"', f'reading = "{of}"', f'move = "{move}"']
    lines += [f'unit = "{unit}"'] if unit else []
    lines += [f'more = "{more}"', f'less = "{less}"']
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
    name: str = "Test bed",
    facts: Mapping[str, str] | None = None,
    spec: Mapping[str, str] | None = None,
    words: Mapping[str, str] | None = None,
    source: Mapping[str, str] | None = None,
    rest: str = "",
) -> str:
    """A machine's sheet; without cylinders it has PTO and MAG."""
    named = ", ".join(f'"{one}"' for one in cylinders or ("PTO", "MAG"))
    text = f'id = "{id_}"\nname = "{name}"\ncylinders = [{named}]\n'
    for header, table in (
        ("machine", facts), ("spec", spec), ("spec.text", words), ("source", source),
    ):  # fmt: skip
        if table is not None:
            text += "\n".join([f"[{header}]", *_keys(table)]) + "\n"
    return text + rest


def band(temperature: str, altitude: str, **settings: str) -> str:
    """A band of the jet chart, for the `rest` of a sheet."""
    keys = {"temperature": temperature, "altitude": altitude, **settings}
    return "\n".join(["[[jet_chart]]", *_keys(keys)]) + "\n"


def _keys(keys: Mapping[str, str]) -> list[str]:
    return [f"{key} = {value}" for key, value in keys.items()]
