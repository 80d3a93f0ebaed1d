"""What the values of a definition file's keys look like, one class for each form.

A shape says which values fit, in what words that is said, what the model gets, and its JSON
Schema. Which key has which follows from the models' types (`keys`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

Json = dict[str, Any]
_FILLED: Json = {"type": "string", "pattern": r"\S"}


def is_number(value: Any) -> bool:
    """A number that can be worked with; true, nan and inf are none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


@dataclass(frozen=True)
class Shape:
    """What the values of a key look like; this one takes anything."""

    wanted: str
    """What a value must be, in words."""
    words: tuple[str, ...] = ()
    """The words that it can be."""

    def fits(self, _value: Any) -> bool:
        """Whether a value of the file is one."""
        return True

    def of(self, value: Any, default: Any) -> Any:
        """What the model gets; the default where the value doesn't fit."""
        return value if self.fits(value) else default

    def schema(self) -> Json:
        """As JSON Schema."""
        return {}


@dataclass(frozen=True)
class TextShape(Shape):
    """A text."""

    filled: bool = False
    pattern: str = ""

    def fits(self, value: Any) -> bool:
        """Not empty where it must be filled."""
        return isinstance(value, str) and (not self.filled or bool(value.strip()))

    def of(self, value: Any, default: Any) -> Any:
        """An empty text stays one, so that what is said of its place stays true."""
        return value if isinstance(value, str) else default

    def schema(self) -> Json:
        """With its pattern."""
        if self.pattern:
            return {"type": "string", "pattern": f"^(?:{self.pattern})$"}
        return dict(_FILLED) if self.filled else {"type": "string"}


class TextsShape(Shape):
    """A list of texts."""

    def fits(self, value: Any) -> bool:
        """Texts alone."""
        return isinstance(value, list) and all(isinstance(one, str) for one in value)

    def of(self, value: Any, default: Any) -> Any:
        """A list keeps its length and order."""
        if not isinstance(value, list):
            return default
        return tuple(one if isinstance(one, str) else "" for one in value)

    def schema(self) -> Json:
        """An array of strings."""
        return {"type": "array", "items": {"type": "string"}}


class EdgesShape(TextsShape):
    """Two texts: the lower edge and the upper one."""

    def fits(self, value: Any) -> bool:
        """Two, no more and no less."""
        return super().fits(value) and len(value) == 2

    def of(self, value: Any, default: Any) -> Any:
        """Empty ones where there are not two."""
        return tuple(value) if self.fits(value) else ("", "")

    def schema(self) -> Json:
        """An array of two strings."""
        return {**super().schema(), "minItems": 2, "maxItems": 2}


class AnswerShape(Shape):
    """True or false."""

    def fits(self, value: Any) -> bool:
        """A bool of TOML."""
        return isinstance(value, bool)

    def schema(self) -> Json:
        """A boolean."""
        return {"type": "boolean"}


class WholeShape(Shape):
    """A whole number, 1 or more."""

    def fits(self, value: Any) -> bool:
        """True is none."""
        return isinstance(value, int) and not isinstance(value, bool) and value >= 1

    def of(self, value: Any, default: Any) -> Any:
        """Any whole number, for a log's sake."""
        return value if isinstance(value, int) and not isinstance(value, bool) else default

    def schema(self) -> Json:
        """An integer."""
        return {"type": "integer", "minimum": 1}


class PositiveShape(Shape):
    """A number above 0."""

    def fits(self, value: Any) -> bool:
        """Neither true nor nan nor infinite."""
        return is_number(value) and value > 0

    def schema(self) -> Json:
        """A number."""
        return {"type": "number", "exclusiveMinimum": 0}


class WordShape(Shape):
    """One of a few words."""

    def fits(self, value: Any) -> bool:
        """One of them, exactly."""
        return value in self.words if isinstance(value, str) else False

    def schema(self) -> Json:
        """An enumeration."""
        return {"enum": list(self.words)}


class AmountShape(Shape):
    """A number, or a text with a quantity or an expression."""

    def fits(self, value: Any) -> bool:
        """A finite number or a text that is not empty."""
        return is_number(value) or (isinstance(value, str) and bool(value.strip()))

    def of(self, value: Any, default: Any) -> Any:
        """Any number or text, for a log's sake."""
        plain = isinstance(value, int | float | str) and not isinstance(value, bool)
        return value if plain else default

    def schema(self) -> Json:
        """A number or a text."""
        return {"anyOf": [{"type": "number"}, dict(_FILLED)]}


class GoodShape(AmountShape):
    """A good answer: an amount, true or false, a text, or a list of texts."""

    def fits(self, value: Any) -> bool:
        """A list of texts is not empty."""
        if isinstance(value, list):
            return bool(value) and all(isinstance(one, str) for one in value)
        return isinstance(value, bool) or super().fits(value)

    def of(self, value: Any, default: Any) -> Any:
        """Of a list its texts."""
        if isinstance(value, list):
            return tuple(one for one in value if isinstance(one, str))
        return value if isinstance(value, bool) else super().of(value, default)

    def schema(self) -> Json:
        """Any of them."""
        texts = {"type": "array", "items": {"type": "string"}, "minItems": 1}
        return {"anyOf": [{"type": ["number", "boolean"]}, dict(_FILLED), texts]}


@dataclass(frozen=True)
class ValuesShape(Shape):
    """A table with names of the person's own: facts, figures, words, sources."""

    single: tuple[type, ...] = ()
    """What a value can be."""
    lists: bool = False
    """Whether it can be a list of them too."""

    def fits(self, value: Any) -> bool:
        """The values are looked at by themselves."""
        return isinstance(value, dict)

    def of(self, value: Any, default: Any) -> Any:
        """Those that fit; the others are left out."""
        if not isinstance(value, dict):
            return default
        return {
            name: tuple(one) if isinstance(one, list) else one
            for name, one in value.items()
            if self.is_value(one)
        }

    def is_value(self, value: Any) -> bool:
        """Whether one value has the right form."""
        if isinstance(value, list):
            return self.lists and all(self._is_single(one) for one in value)
        return self._is_single(value)

    def _is_single(self, value: Any) -> bool:
        return isinstance(value, self.single) and (
            bool in self.single or not isinstance(value, bool)
        )

    def value_schema(self) -> Json:
        """One value as JSON Schema."""
        names = {str: "string", int: "number", float: "number", bool: "boolean"}
        kinds = list(dict.fromkeys(names[kind] for kind in self.single))
        one: Json = {"type": kinds if len(kinds) > 1 else kinds[0]}
        return {"anyOf": [one, {"type": "array", "items": one}]} if self.lists else one

    def schema(self) -> Json:
        """Any name."""
        return {"type": "object", "additionalProperties": self.value_schema()}
