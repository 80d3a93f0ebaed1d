"""From the text of an expression to its parts: a whitelist of our own over Python's syntax tree.

Only what is named here is let through; there is no `eval`, no attribute but `step.reading`,
`spec.NAME` and `machine.NAME`, and length, depth, size and numbers are bounded before anything is
worked out.
"""

from __future__ import annotations

import ast
import keyword
import math
import re
import warnings
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import islice

from inspect_tui.core.expressions import ambient, calculations, comparisons, functions
from inspect_tui.core.expressions import nodes as expression_nodes
from inspect_tui.core.expressions.nodes import Node
from inspect_tui.core.expressions.values import Name
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

LONGEST = 2_000
"""Characters."""
DEEPEST = 30
MAX_PARTS = 500
LARGEST_POWER = 8
MAX_LOOKED_AT = 2_000
"""Known names among which the one that was meant is looked for."""
LARGEST = Fraction(10) ** 30
"""The largest number, and one over the smallest, that may be written."""

_SIGNS: dict[type[ast.AST], str] = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Div: "/",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}
_MARK = "\u01c3"
"""A letter put before Python's own words, so that `throttle.return` is a name here."""
_PYTHONS = re.compile(
    r"'[^']*'|\"[^\"]*\"|\b(?P<word>"
    + "|".join(sorted(set(keyword.kwlist) - {"and", "or", "not", "True", "False", "None"}))
    + r")\b"
)
_UNQUOTED = re.compile(r"(?<![\w.])[0-9.]+ ?(?!(?:and|or|not)\b)(?:[A-Za-zµ°]|%(?! *[\w(']))")
"""A number with a unit behind it and no quotes around both."""
_ANSWERS = {"true": True, "false": False}
_KNOWN = "write numbers, names, + - * / **, comparisons, and, or, not, and the known functions."


def _marked(found: re.Match[str]) -> str:
    return f"{_MARK}{found['word']}" if found["word"] else found[0]


def one_line(text: str) -> str:
    """The text as Python's reader gets it: on one line, its own words taken for names."""
    return _PYTHONS.sub(_marked, " ".join(text.split()))


def tree(text: str) -> ast.expr:
    """The syntax tree of an expression. Raises BadInput; takes bounded time."""
    if len(text) > LONGEST:
        raise BadInput(
            f"The expression is too long ({len(text)} characters);", f"write at most {LONGEST}."
        )
    if not text.strip():
        raise BadInput("The expression is empty;", "write one such as width - spec.width_min.")
    if "\\" in text or "\0" in text:
        raise BadInput(f"'{ellipsize(text)}' has a backslash;", "expressions have none.")
    source = one_line(text)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return ast.parse(source, mode="eval").body
    except SyntaxError as error:
        raise _no_expression(source, error) from None
    except (ValueError, RecursionError, MemoryError):
        raise BadInput(f"'{ellipsize(text)}' is nested too deeply.") from None


def _no_expression(text: str, error: SyntaxError) -> BadInput:
    place = (error.offset or 1) - 1
    rest = ellipsize(text[place:].replace(_MARK, ""), 20)
    unit_follows = _UNQUOTED.search(re.sub(r"'[^']*'|\"[^\"]*\"", "''", text))
    text = text.replace(_MARK, "")
    if unit_follows or "decimal" in str(error.msg):
        return BadInput(
            f"'{ellipsize(text)}' can't be read;", "write a quantity in quotes, such as '0.5 mm'."
        )
    where = f" near '{rest}'" if rest and rest != ellipsize(text, 20) else ""
    return BadInput(f"'{ellipsize(text)}' can't be read{where};", _KNOWN)


class Builder:
    """Makes the parts of one expression."""

    def __init__(self, text: str, values: Mapping[str, Name]) -> None:
        self._bytes = one_line(text).encode(errors="replace")
        self.source = " ".join(text.split())
        self.values = values
        self.names: list[Name] = []
        self.count = 0
        self._inside: dict[ast.expr, tuple[int, int]] = {}
        """By part: how many values it names, and how many parts of it one side alone decides."""
        self._found = [0, 0]

    def words(self, part: ast.expr) -> str:
        """The part's own words."""
        words = self._bytes[part.col_offset : part.end_col_offset]
        return ellipsize(words.decode(errors="replace").replace(_MARK, ""))

    def node(self, part: ast.expr, depth: int = 0) -> Node:
        """One part with all that is in it. Raises BadInput."""
        self.count += 1
        if depth > DEEPEST:
            raise BadInput(f"'{ellipsize(self.source)}' is nested too deeply.")
        if self.count > MAX_PARTS:
            raise BadInput(
                f"'{ellipsize(self.source)}' has too many parts;", f"at most {MAX_PARTS} will do."
            )
        values, decided = self._found
        made = self._made(part, depth)
        if isinstance(part, ast.BoolOp) or (isinstance(part, ast.Compare) and len(part.ops) > 1):
            self._found[1] += 1
        self._inside[part] = self._found[0] - values, self._found[1] - decided
        return made

    def needs_all(self, part: ast.expr) -> bool:
        """Whether a part that was made has no value while one that it names is missing."""
        return not self._inside[part][1]

    def needs_one(self, part: ast.expr, answer: bool = True) -> bool:
        """Whether it can't come to this answer while every reading that it names is missing.

        False where that isn't certain; a derived value that it names counts as a reading.
        """
        match part:
            case ast.BoolOp():
                each = (self.needs_one(one, answer) for one in part.values)
                return all(each) if isinstance(part.op, ast.Or) is answer else any(each)
            case ast.UnaryOp(op=ast.Not()):
                return self.needs_one(part.operand, not answer)
        values, decided = self._inside[part]
        if isinstance(part, ast.Compare) and len(part.ops) > 1:
            decided -= answer  # a row of comparisons is false by one of them, true by all
        return values > 0 and not decided

    def _made(self, part: ast.expr, depth: int) -> Node:
        match part:
            case ast.Constant():
                return self._constant(part)
            case ast.Name():
                return self._name(part)
            case ast.Attribute():
                return self._attribute(part)
            case ast.BinOp():
                return self._operation(part, depth)
            case ast.UnaryOp():
                return self._unary(part, depth)
            case ast.BoolOp():
                nodes = self._nodes(part.values, depth)
                return comparisons.both_or_either(
                    nodes, isinstance(part.op, ast.Or), self.words(part)
                )
            case ast.Compare():
                return self._comparison(part, depth)
            case ast.Call():
                return self._call(part, depth)
            case ast.List():
                return expression_nodes.listed(self._nodes(part.elts, depth), self.words(part))
        raise BadInput(f"'{self.words(part)}' is no part of an expression;", _KNOWN)

    def _nodes(self, parts: Sequence[ast.expr], depth: int) -> list[Node]:
        return [self.node(part, depth + 1) for part in parts]

    def _constant(self, part: ast.Constant) -> Node:
        value, source = part.value, self.words(part)
        if isinstance(value, bool):
            return expression_nodes.answer(value, source)
        if isinstance(value, str) and part.kind is None and source[:1] in "'\"":
            return expression_nodes.quoted(value, source)
        if isinstance(value, int | float):
            number = self._number(value, source)
            return expression_nodes.number(number, source)
        raise BadInput(f"'{source}' is no part of an expression;", _KNOWN)

    def _number(self, value: int | float, source: str) -> Fraction:
        if isinstance(value, float) and not math.isfinite(value):
            raise BadInput(f"'{source}' is too large.")
        number = Fraction(value) if isinstance(value, int) else Fraction(repr(value))
        if number > LARGEST or 0 < number < 1 / LARGEST:
            raise BadInput(f"'{source}' is too large or too small.")
        return number

    def _name(self, part: ast.Name) -> Node:
        word = part.id.removeprefix(_MARK)
        if word in _ANSWERS:
            return expression_nodes.answer(_ANSWERS[word], word)
        name = self.values.get(word)
        if name is None:
            raise self._unknown(word)
        self._refer(name)
        return expression_nodes.named(name, word)

    def _unknown(self, word: str) -> BadInput:
        shown = ellipsize(word)
        if word in ("spec", "machine"):
            return BadInput(f"'{shown}' stands alone;", f"write {word}.NAME.")
        if word in functions.BUILT_IN:
            return BadInput(f"'{shown}' is a function;", f"write {word}(...).")
        dashed = re.search(r"[A-Za-z][A-Za-z0-9_.-]*-[A-Za-z0-9_.-]*", self.source)
        if dashed and (meaning := dashed[0].replace("-", "_")) in self.values:
            return BadInput(f"'{dashed[0]}' is read as a subtraction;", f"write {meaning}.")
        hint = suggest(word, self.values)
        if not hint:
            known = islice(self.values, MAX_LOOKED_AT)
            elsewhere = next((one for one in known if one.endswith(f".{word}")), None)
            hint = f"did you mean {elsewhere}?" if elsewhere else ""
        return BadInput(
            f"There is no reading or earlier derived value '{shown}' here;",
            hint or "write one of this step's, step_id.reading, spec.NAME or machine.NAME.",
        )

    def _attribute(self, part: ast.Attribute) -> Node:
        if not isinstance(part.value, ast.Name):
            raise BadInput(f"'{self.words(part)}' has too many dots;", "write step_id.reading.")
        owner, word = part.value.id.removeprefix(_MARK), part.attr.removeprefix(_MARK)
        source = f"{owner}.{word}"
        if owner == "spec":
            name = Name("spec", id=word)
        elif owner in ("conditions", "chart") and source not in self.values:
            name = self._of_air(owner, word)
        elif owner == "machine":
            name = Name("machine", id=word)
        else:
            known = self.values.get(source)
            if known is None:
                raise self._unknown_elsewhere(owner, word)
            name = known
        self._refer(name)
        return expression_nodes.named(name, source)

    def _refer(self, name: Name) -> None:
        self.names.append(name)
        self._found[0] += name.where == "value"

    def _of_air(self, owner: str, word: str) -> Name:
        """`conditions.NAME` or `chart.NAME`; a step of that id comes before them."""
        if owner == "chart":
            return Name("chart", id=word)
        if word not in ambient.NAMES:
            hint = suggest(word, ambient.NAMES) or f"it has {', '.join(ambient.NAMES)}."
            raise BadInput(f"There is no 'conditions.{ellipsize(word)}';", hint)
        return Name("conditions", id=word)

    def _unknown_elsewhere(self, owner: str, word: str) -> BadInput:
        shown = ellipsize(f"{owner}.{word}")
        known = list(islice(self.values, MAX_LOOKED_AT))
        there = [one for one in known if one.startswith(f"{owner}.")]
        if there:
            hint = suggest(f"{owner}.{word}", there) or f"it has {', '.join(there[:5])}."
            return BadInput(f"There is no '{shown}';", hint)
        hint = suggest(f"{owner}.{word}", (one for one in known if "." in one))
        return BadInput(
            f"There is no step '{ellipsize(owner)}' for '{shown}';",
            hint or "write step_id.reading.",
        )

    def _operation(self, part: ast.BinOp, depth: int) -> Node:
        source = self.words(part)
        if isinstance(part.op, ast.Pow):
            exponent = self._exponent(part.right)
            return expression_nodes.raised(self.node(part.left, depth + 1), exponent, source)
        sign = _SIGNS.get(type(part.op))
        if sign is None:
            raise BadInput(f"'{source}' has an operator that isn't known;", "use + - * / or **.")
        left, right = self._nodes([part.left, part.right], depth)
        if sign in "+-":
            return expression_nodes.summed(sign, left, right, source)
        return expression_nodes.multiplied(sign, left, right, source)

    def _exponent(self, part: ast.expr) -> Fraction:
        """A plain whole or half number, at most 8 either way."""
        sign = 1
        inner = part
        if isinstance(inner, ast.UnaryOp) and isinstance(inner.op, ast.USub):
            sign, inner = -1, inner.operand
        if isinstance(inner, ast.Constant) and type(inner.value) in (int, float):
            value = inner.value
            assert isinstance(value, int | float)
            if abs(value) <= LARGEST_POWER and float(value * 2).is_integer():
                return sign * Fraction(value)
        raise BadInput(
            f"'{self.words(part)}' can't be a power;",
            f"write a whole or half number from -{LARGEST_POWER} to {LARGEST_POWER}.",
        )

    def _unary(self, part: ast.UnaryOp, depth: int) -> Node:
        inner, source = self.node(part.operand, depth + 1), self.words(part)
        if isinstance(part.op, ast.Not):
            return comparisons.opposite(inner, source)
        if isinstance(part.op, ast.USub):
            return expression_nodes.signed(inner, source)
        if isinstance(part.op, ast.UAdd):
            return expression_nodes.unsigned(inner, source)
        raise BadInput(f"'{source}' has an operator that isn't known;", "use + - * / or **.")

    def _comparison(self, part: ast.Compare, depth: int) -> Node:
        source = self.words(part)
        signs = [_SIGNS.get(type(sign)) for sign in part.ops]
        known = [sign for sign in signs if sign is not None]
        if len(known) < len(signs):
            raise BadInput(f"'{source}' compares in an unknown way;", "use < <= > >= == or !=.")
        return comparisons.compared(
            self._nodes([part.left, *part.comparators], depth), known, source
        )

    def _call(self, part: ast.Call, depth: int) -> Node:
        source = self.words(part)
        if not isinstance(part.func, ast.Name):
            raise BadInput(f"'{source}' calls what is no function;", _KNOWN)
        function = part.func.id
        if function in functions.BUILT_IN and not part.keywords:
            return functions.built_in(function, self._nodes(part.args, depth), source)
        keywords: dict[str, Node] = {}
        for given in part.keywords:
            if given.arg is None or given.arg in keywords:
                raise BadInput(f"'{source}' gives an input twice or with **;", "name each once.")
            keywords[given.arg] = self.node(given.value, depth + 1)
        return self._calculation(function, part, keywords, source)

    def _calculation(
        self, function: str, part: ast.Call, keywords: dict[str, Node], source: str
    ) -> Node:
        if calculations.resolve(function) is None:
            known = [*functions.BUILT_IN, *calculations.names()]
            if function in functions.BUILT_IN:
                raise BadInput(f"'{source}' names its values;", f"write {function}(a, b).")
            hint = suggest(function, known) or "`inspect-tui calc` lists the calculations."
            raise BadInput(f"There is no calculation '{ellipsize(function)}';", hint)
        if part.args:
            raise BadInput(
                f"'{source}' must name its inputs;",
                f"write {function}(name=value, ...).",
            )
        node = functions.calculation(function, keywords, source)
        assert node is not None
        return node
