"""How a key of a definition file is declared: beside its type stand what it is and an example.

Each key is declared once, at its field in `checklist`, `machine` or `figures`. What follows from
it: decoding and what `check` says of a wrong value (`core/definitions/keys.py`), the JSON Schema
that editors take, and the tables of keys in the README.
"""

from __future__ import annotations

import msgspec


def key(
    what: str,
    *examples: object,
    wanted: str = "",
    required: bool = False,
    filled: bool = False,
    pattern: str = "",
    place: str = "",
) -> msgspec.Meta:
    """The declaration of a key, for `Annotated[TYPE, key(...)]`.

    Args:
        what: What the key is, one sentence.
        examples: Values as the file has them.
        wanted: What a value must be, in words; else it follows from the type.
        required: It must be there, though the model has a default for old files.
        filled: A text that must not be empty where it is given.
        pattern: Of a text, for editors; `check` says what is wrong in its own words.
        place: Where the value stands in the file, if not under the field's own name: `rest` for
            every other key of the table, `spec.text` for a table inside of another key's.
    """
    extra: dict[str, object] = {
        "wanted": wanted, "required": required, "filled": filled,
        "pattern": pattern, "place": place,
    }  # fmt: skip
    return msgspec.Meta(description=what, examples=list(examples), extra=extra)


SECTION_OF_OWN = "own"
"""The id of the section in which a person's own steps of a session or list stand."""
EXPRESSION = "an expression in quotes"
STEP_IDS = 'a list of step ids, such as ["plugs"]'
ID = "[A-Za-z][A-Za-z0-9_-]*"
"""The form of an id, as a pattern."""
LIMIT = "a table such as { min = 1, max = 2 }"
UNCERTAINTY = 'a number, or a quantity such as "1 mm" or "5 %"'
AMOUNT = 'a number, a quantity such as "12 mm", or an expression in quotes'
