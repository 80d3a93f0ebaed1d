"""From what a TOML file holds to the frozen models, without judging it.

Every list keeps its length and order, and what has the wrong form becomes empty; so that what the
checks say of a place in the file stays true of the same place in the model. Unknown keys are left
out. `definition_forms` says what is wrong; here nothing is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from inspect_tui.core.expressions.ambient import UNITS
from inspect_tui.core.model.checklist import (
    KINDS,
    Adjustment,
    Amount,
    Checklist,
    Derived,
    Inference,
    Kind,
    Limit,
    Reading,
    Section,
    Step,
)
from inspect_tui.core.model.machine import Fact, Figure, JetBand, Machine, Words

Table = Mapping[str, Any]
OLD_STEP_KEYS = {"needs": "after", "when": "only_if", "before": "disturbed_by"}
"""What keys of a step were called in lists of earlier sessions, and what they are called now."""
BAND_KEYS = ("temperature", "altitude")
"""Keys of a jet chart's band that are no settings."""


def checklist_of(data: Table) -> Checklist:
    """The checklist that a file holds, as far as it has the form of one."""
    return Checklist(
        id=_text(data, "id"),
        title=_text(data, "title"),
        revision=_whole(data, "revision"),
        cautions=_texts(data, "cautions"),
        section=tuple(_section(table) for table in tables(data, "section")),
        inference=tuple(_inference(table) for table in tables(data, "inference")),
    )


def _section(data: Table) -> Section:
    return Section(
        _text(data, "id"),
        _text(data, "title"),
        tuple(_step(table) for table in tables(data, "step")),
    )


def _step(data: Table) -> Step:
    return Step(
        id=_text(data, "id"),
        title=_text(data, "title"),
        how=_text(data, "how"),
        why=_text(data, "why"),
        caution=_text(data, "caution"),
        tools=_texts(data, "tools"),
        only_if=_text(_renamed(data, "only_if"), "only_if"),
        per="cylinder" if data.get("per") == "cylinder" else "",
        safety=data.get("safety") is True,
        gate=cast(Any, _one_of(data, "gate", ("start", "move"))),
        begins=cast(Any, _one_of(data, "begins", ("start", "move"))),
        after=_texts(_renamed(data, "after"), "after"),
        disturbed_by=_texts(_renamed(data, "disturbed_by"), "disturbed_by"),
        reading=tuple(_reading(table) for table in tables(data, "reading")),
        derived=tuple(_derived(table) for table in tables(data, "derived")),
        setting=tuple(_setting(table) for table in tables(data, "setting")),
    )


def _renamed(data: Table, key: str) -> Table:
    """The step with what stands under the key's old name, where the new one is not used.

    Logs hold the list as it was opened, so the old names are read for as long as there are logs.
    """
    old = next(old for old, new in OLD_STEP_KEYS.items() if new == key)
    return {key: data[old]} if old in data and key not in data else data


def _reading(data: Table) -> Reading:
    return Reading(
        id=_text(data, "id"),
        label=_text(data, "label"),
        kind=cast(Kind, _one_of(data, "kind", KINDS) or "text"),
        unit=_text(data, "unit"),
        options=_texts(data, "options"),
        optional=data.get("optional") is True,
        uncertainty=_amount(data, "uncertainty"),
        uncertainty_between=_amount(data, "uncertainty_between"),
        limit=_limit(data),
        source=_text(data, "source"),
        condition=cast(Any, _one_of(data, "condition", tuple(UNITS))),
    )


def _setting(data: Table) -> Adjustment:
    return Adjustment(
        id=_text(data, "id"),
        reading=_text(data, "reading"),
        move=_text(data, "move"),
        unit=_text(data, "unit"),
        least=_amount(data, "least"),
        more=_text(data, "more"),
        less=_text(data, "less"),
        limit=_limit(data),
        source=_text(data, "source"),
    )


def _derived(data: Table) -> Derived:
    return Derived(
        id=_text(data, "id"),
        label=_text(data, "label"),
        value=_text(data, "value"),
        unit=_text(data, "unit"),
        across=data.get("across") is True,
        limit=_limit(data),
        source=_text(data, "source"),
    )


def _limit(data: Table) -> Limit | None:
    limit = data.get("limit")
    if not isinstance(limit, dict):
        return None
    equal = limit.get("equal")
    if isinstance(equal, list):
        equal = tuple(one for one in equal if isinstance(one, str))
    elif not isinstance(equal, bool):
        equal = _amount(limit, "equal")
    return Limit(
        min=_amount(limit, "min"),
        max=_amount(limit, "max"),
        target=_amount(limit, "target"),
        tolerance=_amount(limit, "tolerance"),
        equal=equal,
    )


def _inference(data: Table) -> Inference:
    return Inference(
        id=_text(data, "id"),
        when=_text(data, "when"),
        says=_text(data, "says"),
        per="cylinder" if data.get("per") == "cylinder" else "",
        sure=cast(Any, _one_of(data, "sure", ("high", "medium", "low")) or "medium"),
        look_at=_texts(data, "look_at"),
        source=_text(data, "source"),
    )


# --- the machine sheet ----------------------------------------------------------------------


def machine_of(data: Table) -> Machine:
    """The machine that a sheet holds, as far as it has the form of one."""
    spec = _table(data, "spec")
    return Machine(
        id=_text(data, "id"),
        name=_text(data, "name"),
        cylinders=_texts(data, "cylinders"),
        machine={key: fact for key, fact in _table(data, "machine").items() if is_fact(fact)},
        spec={
            key: _figure(figure)
            for key, figure in spec.items()
            if key != "text" and is_figure(figure)
        },
        spec_text={
            key: cast(Words, tuple(words) if isinstance(words, list) else words)
            for key, words in _table(spec, "text").items()
            if is_words(words)
        },
        source={
            key: source for key, source in _table(data, "source").items() if isinstance(source, str)
        },
        jet_chart=tuple(_band(table) for table in tables(data, "jet_chart")),
    )


def _band(data: Table) -> JetBand:
    return JetBand(
        _edges(data, "temperature"),
        _edges(data, "altitude"),
        {
            key: _figure(figure)
            for key, figure in data.items()
            if key not in BAND_KEYS and is_figure(figure)
        },
    )


def _edges(data: Table, key: str) -> tuple[str, str]:
    edges = _texts(data, key)
    return (edges[0], edges[1]) if len(edges) == 2 else ("", "")


def is_fact(value: object) -> bool:
    """Whether a value can stand in `[machine]`: text, a number, true or false."""
    return isinstance(value, str | int | float)


def is_number(value: object) -> bool:
    """A number of TOML; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def is_figure(value: object) -> bool:
    """Whether a value has the form of a figure: a number, a text, or a list of them."""
    if isinstance(value, list):
        return all(is_number(one) or isinstance(one, str) for one in value)
    return is_number(value) or isinstance(value, str)


def is_words(value: object) -> bool:
    """Whether a value has the form of a figure that is words: a text, or a list of them."""
    return isinstance(value, str) or (
        isinstance(value, list) and all(isinstance(one, str) for one in value)
    )


def _figure(value: Any) -> Figure:
    return cast(Figure, tuple(value) if isinstance(value, list) else value)


# --- pieces ---------------------------------------------------------------------------------


def tables(data: Table, key: str) -> list[Table]:
    """The tables of a list of tables; what is none counts as an empty one."""
    found = data.get(key)
    if not isinstance(found, list):
        return []
    return [one if isinstance(one, dict) else {} for one in found]


def _table(data: Table, key: str) -> Table:
    found = data.get(key)
    return found if isinstance(found, dict) else {}


def _text(data: Table, key: str) -> str:
    found = data.get(key)
    return found if isinstance(found, str) else ""


def _texts(data: Table, key: str) -> tuple[str, ...]:
    found = data.get(key)
    if not isinstance(found, list):
        return ()
    return tuple(one if isinstance(one, str) else "" for one in found)


def _whole(data: Table, key: str) -> int:
    found = data.get(key)
    return found if isinstance(found, int) and not isinstance(found, bool) else 1


def _one_of(data: Table, key: str, words: tuple[str, ...]) -> str:
    found = data.get(key)
    return found if isinstance(found, str) and found in words else ""


def _amount(data: Table, key: str) -> Amount | None:
    found = data.get(key)
    if isinstance(found, bool) or not isinstance(found, int | float | str):
        return None
    return found


__all__ = ["Fact", "checklist_of", "machine_of", "tables"]
