"""What a person typed for a fact of a machine -> what stands in its sheet.

In a session's log a fact is a `sheet` entry under the name by which lists ask for it,
`machine.NAME`; no figure has a point in its name.
"""

from __future__ import annotations

import msgspec

from inspect_tui.core.model.figures import FactDescription
from inspect_tui.core.model.machine import Fact, Machine
from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

OF_FACTS = "machine."
"""Before a fact's name in expressions and in the log."""
LONGEST = 200
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")


def fact_of(text: str) -> Fact:
    """A fact of which nothing is known: true or false, a number, else words."""
    if text.casefold() in ("true", "yes", "false", "no"):
        return text.casefold() in ("true", "yes")
    number = _number(text)
    return text if number is None else number


def typed_fact(label: str, text: str, about: FactDescription | None) -> Fact:
    """A typed fact, as its description wants it.

    Raises:
        BadInput: it is none of its answers, in words.
    """
    plain = " ".join(sanitize(text).split())
    if not plain or len(plain) > LONGEST:
        raise BadInput(f"{ellipsize(label)}: write a short answer.")
    if about is None:
        return fact_of(plain)
    if about.kind == "check":
        if plain.casefold() in (*YES, *NO):
            return plain.casefold() in YES
        raise BadInput(f"{ellipsize(label)}: '{ellipsize(plain)}' is no answer.", "Yes or no?")
    if about.kind == "choice":
        if plain.isdecimal() and 0 < int(plain) <= len(about.options):
            return about.options[int(plain) - 1]
        for option in about.options:
            if option.casefold() == plain.casefold():
                return option
        hint = suggest(plain, about.options) or f"It has {join_words(about.options)}."
        raise BadInput(f"{ellipsize(label)}: '{ellipsize(plain)}' is no answer.", hint)
    if about.kind == "number":
        number = _number(plain)
        if number is None:
            raise BadInput(f"{ellipsize(label)}: '{ellipsize(plain)}' is no number.")
        return number
    return plain


def with_fact(machine: Machine, name: str, fact: Fact) -> Machine:
    """The machine with one more fact, or another value of one that it has."""
    return msgspec.structs.replace(machine, machine={**machine.machine, name: fact})


def _number(text: str) -> int | float | None:
    for kind in (int, float):
        try:
            number = kind(text)
        except ValueError:
            continue
        if abs(number) < 10**15:  # neither nan nor infinite
            return number
    return None
