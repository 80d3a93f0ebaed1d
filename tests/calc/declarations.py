"""What a row of the register has to say: each missing piece is one sentence.

A calculation is declared once, in its module, by `declare` over its function; the value from
outside that it is held against stands in `tests/reference/check_values.toml`.
"""

from __future__ import annotations

import inspect

from inspect_tui.calc.registry import SUBJECTS, Calculation

PIECES = {
    "title": "what it works out, in one line",
    "formula": "the formula",
    "source": "where the formula is published, or `common practice`, or `from memory`",
    "valid": "its range of validity and what it assumes",
    "harm": "which way an error would hurt",
}


def missing(entry: Calculation) -> list[str]:
    """What the row lacks, one sentence each."""
    found = [
        f"{entry.name}: its row lacks `{piece}`, {words}."
        for piece, words in PIECES.items()
        if not getattr(entry, piece)
    ]
    if entry.subject not in SUBJECTS:
        found.append(f"{entry.name}: its `subject` is none of {', '.join(SUBJECTS)}.")
    if not entry.refuses:
        found.append(f"{entry.name}: its row lacks `refuses`, a figure that it does not take.")
    for one in entry.inputs:
        found += [f"{entry.name}: input {one.name} lacks {words}." for words in _of_input(one)]
    for result in entry.results:
        if not result.meaning:
            found.append(f"{entry.name}: result {result.key} lacks its meaning.")
    return found + _of_function(entry)


def _of_input(one) -> list[str]:
    found = []
    if not one.meaning:
        found.append("its meaning")
    if not one.example:
        found.append("an `example`, as a person writes it")
    if one.at is None:
        found.append("its working point (`at`), an ordinary value")
    bounded = one.takes or one.choices or one.unit is None or one.unit.startswith("like:")
    if not bounded:
        found.append("the figures that it `takes`")
    return found


def _of_function(entry: Calculation) -> list[str]:
    own = inspect.unwrap(entry.function)
    parameters = inspect.signature(own).parameters
    names = [one.name for one in entry.inputs]
    found = []
    if list(parameters) != names:
        found.append(f"{entry.name}: its function takes {list(parameters)}, its row says {names}.")
    if any(one.kind is not one.KEYWORD_ONLY for one in parameters.values()):
        found.append(f"{entry.name}: its function's inputs are keywords only; put `*` first.")
    defaults = {p.name: p.default for p in parameters.values() if p.default is not p.empty}
    optional = {one.name: one.default for one in entry.inputs if one.optional}
    if defaults != optional:
        found.append(f"{entry.name}: its function's defaults {defaults} are not its row's.")
    if not (own.__doc__ or "").strip():
        found.append(f"{entry.name}: its function has no docstring.")
    return found


def uncertain(entry: Calculation) -> dict[str, float]:
    """The inputs that carry an uncertainty at the working point, with it (k = 1)."""
    return {one.name: one.u for one in entry.inputs if one.u is not None}
