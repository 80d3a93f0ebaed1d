"""What a machine sheet means beyond its form: cylinders, figures, sources, the jet chart."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.core.definitions import decode
from inspect_tui.core.definitions.checks.check_form import said
from inspect_tui.core.definitions.checks.check_ids import ID, check_names
from inspect_tui.core.definitions.checks.check_types import type_of
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.shapes import is_number
from inspect_tui.core.definitions.spec_values import parsed_figure, written
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.nodes import what
from inspect_tui.core.model.machine import MAX_CYLINDERS, NOT_KNOWN, UNKNOWN
from inspect_tui.core.quantities.dimensions import LENGTH, TEMPERATURE
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.readings.parse import quantity
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

Table = Mapping[str, Any]


def check_sheet(data: Table, complaints: ProblemCollector) -> None:
    """Everything of a machine sheet beyond the keys at its top."""
    name = data.get("id")
    if isinstance(name, str) and name.strip() and not ID.fullmatch(name):
        complaints.add(
            ("id",), f"'{ellipsize(name)}' is no id; write a letter, then letters, digits, - or _."
        )
    count = _check_cylinders(data, complaints)
    _check_facts(_table(data, "machine"), complaints)
    spec = _table(data, "spec")
    words = _table(spec, "text")
    _check_spec(spec, count, complaints)
    _check_words(spec, words, count, complaints)
    _check_sources(data, spec, words, complaints)
    for number, band in enumerate(decode.tables(data, "jet_chart")):
        _check_band(("jet_chart", number), band, spec, words, count, complaints)


def _table(data: Table, key: str) -> Table:
    found = data.get(key)
    return found if isinstance(found, dict) else {}


def _check_cylinders(data: Table, complaints: ProblemCollector) -> int | None:
    """The cylinders' names; their number, or None where it isn't known."""
    cylinders = data.get("cylinders")
    if not isinstance(cylinders, list) or not complaints.sound("cylinders"):
        return None
    if len(cylinders) > MAX_CYLINDERS:
        complaints.add(
            ("cylinders",),
            f"{len(cylinders)} cylinders are too many; at most {MAX_CYLINDERS} will do.",
        )
    seen: set[str] = set()
    for number, name in enumerate(cylinders):
        place: Path = ("cylinders", number)
        if not name.strip():
            complaints.add(place, "A cylinder's name is empty; write one such as 'PTO'.")
        elif sanitize(name) != name:
            complaints.add(
                place,
                f"The cylinder's name '{ellipsize(name)}' has blanks around it or signs that "
                "can't be shown; write it plainly.",
            )
        elif name in seen:
            complaints.add(
                place, f"The cylinder '{ellipsize(name)}' is named twice; give each its own name."
            )
        seen.add(name)
    return len(cylinders)


def _check_facts(facts: Table, complaints: ProblemCollector) -> None:
    check_names("a fact", [(("machine", name), name) for name in facts], complaints)
    for name, fact in facts.items():
        sound = isinstance(fact, str | bool) or is_number(fact)
        if not sound:
            complaints.add(
                ("machine", name),
                f"{ellipsize(name)} is {said(fact)}; write a text, a number, true or false.",
            )


# --- figures --------------------------------------------------------------------------------


def _check_spec(spec: Table, count: int | None, complaints: ProblemCollector) -> None:
    figures = [name for name in spec if not (name == "text" and isinstance(spec[name], dict))]
    check_names("a figure", [(("spec", name), name) for name in figures], complaints)
    if "text" in figures:
        complaints.add(
            ("spec", "text"), "text is the table of figures that are words; head it [spec.text]."
        )
        figures.remove("text")
    for name in figures:
        _check_figure(("spec", name), name, spec[name], count, complaints)


def _check_figure(
    path: Path, name: str, figure: Any, count: int | None, complaints: ProblemCollector
) -> None:
    """A number, a quantity, or a list with one of them per cylinder."""
    shown = ellipsize(name)
    if not isinstance(figure, list):
        _check_one(path, shown, figure, complaints)
        return
    if count is not None and len(figure) != count:
        complaints.add(
            path,
            f"{shown} has {pluralize(len(figure), 'value')}, and the machine "
            f"{pluralize(count, 'cylinder')}; write one for each.",
        )
    sound = [
        one == UNKNOWN or _check_one((*path, number), shown, one, complaints)
        for number, one in enumerate(figure)
    ]
    if all(sound) and figure:
        kinds = [
            type_of(value, False) for one in figure if (value := parsed_figure(one)) is not None
        ]
        for kind in kinds[1:]:
            if (kind.dimension, kind.quantity_kind) != (kinds[0].dimension, kinds[0].quantity_kind):
                complaints.add(
                    path,
                    f"{shown} mixes {what(kinds[0])} and {what(kind)}; write all in one unit.",
                )
                break


def _check_one(path: Path, name: str, figure: Any, complaints: ProblemCollector) -> bool:
    """One number or quantity; whether it is one."""
    if is_number(figure):
        return True
    if isinstance(figure, str):
        try:
            quantity(figure)
        except BadInput as error:
            near = "did you mean" in error.hint
            words = "" if near else " Words go into [spec.text]."
            complaints.add(
                path, f"{name} is '{ellipsize(figure)}', which is no quantity. {error}{words}"
            )
            return False
        return True
    complaints.add(
        path,
        f"{name} is {said(figure)}; write a number, a quantity such as '12 mm', or a list with "
        "one value per cylinder.",
    )
    return False


def _check_words(
    spec: Table, words: Table, count: int | None, complaints: ProblemCollector
) -> None:
    """`[spec.text]`: texts, or lists with one text per cylinder."""
    check_names("a figure", [(("spec", "text", name), name) for name in words], complaints)
    figures = {written(name): name for name in spec if name != "text"}
    for name, value in words.items():
        path: Path = ("spec", "text", name)
        shown = ellipsize(name)
        if written(name) in figures:
            complaints.add(
                path, f"{shown} stands in [spec] and in [spec.text]; leave it out of one of them."
            )
        if not decode.is_words(value):
            complaints.add(
                path,
                f"{shown} is {said(value)}; write a text in quotes, or a list with one per "
                "cylinder; numbers go into [spec].",
            )
        elif isinstance(value, list) and count is not None and len(value) != count:
            complaints.add(
                path,
                f"{shown} has {pluralize(len(value), 'value')}, and the machine "
                f"{pluralize(count, 'cylinder')}; write one for each.",
            )


def _check_sources(data: Table, spec: Table, words: Table, complaints: ProblemCollector) -> None:
    """`[source]`: texts, each naming a figure of the sheet."""
    known = {written(name) for name in (*spec, *words, *_table(data, "machine"), *data)}
    for name, source in _table(data, "source").items():
        path: Path = ("source", name)
        if not isinstance(source, str):
            complaints.add(
                path, f"{ellipsize(name)} is {said(source)}; write where it comes from, in quotes."
            )
        if written(name) not in known and source != NOT_KNOWN:
            hint = suggest(name, [*spec, *words]) or "write the name of a figure of this sheet."
            complaints.add(
                path, f"'{ellipsize(name)}' is no figure of this sheet; {hint}", note=True
            )


# --- the jet chart --------------------------------------------------------------------------


def _check_band(
    path: Path,
    band: Table,
    spec: Table,
    words: Table,
    count: int | None,
    complaints: ProblemCollector,
) -> None:
    for key, dimension, example in (
        ("temperature", TEMPERATURE, '["-29 degC", "-18 degC"]'),
        ("altitude", LENGTH, '["0 m", "600 m"]'),
    ):
        if key not in band:
            complaints.add((*path, key), f"{key} is missing; write its edges, such as {example}.")
        else:
            _check_edges((*path, key), band[key], dimension, example, complaints)
    settings = [name for name in band if name not in decode.BAND_KEYS]
    if not settings:
        complaints.add(path, "The band has no setting; write one named as in [spec].")
    for name in settings:
        _check_setting((*path, name), name, band[name], spec, words, count, complaints)


def _check_edges(
    path: Path, edges: Any, dimension: Any, example: str, complaints: ProblemCollector
) -> None:
    key = path[-1]
    if not isinstance(edges, list) or len(edges) != 2 or not decode.is_words(edges):
        complaints.add(
            path, f"{key} is {said(edges)}; write its lower and upper edge, such as {example}."
        )
        return
    found: list[Quantity] = []
    for number, edge in enumerate(edges):
        try:
            value = quantity(edge, bare=False)
        except BadInput as error:
            complaints.add((*path, number), error)
            continue
        if value.dimension != dimension or value.quantity_kind == "difference":
            complaints.add(
                (*path, number),
                f"'{ellipsize(edge)}' is no {key}; write edges such as {example}.",
            )
        else:
            found.append(value)
    if len(found) == 2 and not found[0].si < found[1].si:
        complaints.add(
            path,
            f"The lower edge '{ellipsize(edges[0])}' is not below the upper "
            f"'{ellipsize(edges[1])}'; write the lower one first.",
        )


def _check_setting(
    path: Path,
    name: str,
    value: Any,
    spec: Table,
    words: Table,
    count: int | None,
    complaints: ProblemCollector,
) -> None:
    if name in words:
        if not decode.is_words(value):
            complaints.add(path, f"{ellipsize(name)} is {said(value)}; write a text, as in [spec].")
        return
    if name not in spec or name == "text":
        hint = suggest(name, [*spec, *words]) or "settings are named as in [spec]."
        complaints.add(path, f"'{ellipsize(name)}' is no figure of this sheet; {hint}")
        return
    _check_figure(path, name, value, count, complaints)
