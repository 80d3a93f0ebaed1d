"""Mutants drawn at random: one at a place, the places spread over the packages by their number.

The draw is by a hash of the line that a place stands in, so that after a change of the program the
same mutants are drawn of all that stayed, and what was judged of them still serves.

The operators are those of cosmic-ray. Left out is what says nothing of the tests: annotations,
which nothing evaluates; a bit operation for a sum, which no number takes; `is` for `==`, which
differs by what Python keeps; what stands under TYPE_CHECKING; what the tests alone read of a
calculation's row (`at`, `u`, `propagates`, `refuses`); and whether a class is frozen and has slots.
"""

from __future__ import annotations

import ast
import difflib
import hashlib
import random
import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from cosmic_ray import ast as nodes
from cosmic_ray import plugins
from cosmic_ray.mutating import mutate_code

PACKAGES = (
    "core/evaluation", "core/readings", "core/quantities", "core/session", "files/log",
    "files/bundle", "calc",
)  # fmt: skip
LEAST = 40
"""Mutants of a package, however small it is."""
_LEFT_OUT = re.compile(
    r"Shift|Bit(Or|And|Xor)|Variable|(Eq_Is|NotEq_IsNot|Is_Eq|IsNot_NotEq)$|Invert"
    r"|_(Is|IsNot)_(Lt|LtE|Gt|GtE)$|(Lt|LtE|Gt|GtE)_(Is|IsNot)$|Eq_(Is|IsNot)$"
)
_READ_BY_TESTS = {
    "Input": ("at", "u"),
    "declare": ("refuses",),
    "Result": ("propagates",),
    "dataclass": ("frozen", "slots"),
}
Place = tuple[int, int, int, int]


@dataclass(frozen=True)
class Mutant:
    """One change of one place."""

    package: str
    module: str
    """The file, below the package inspect_tui."""
    line: int
    operator: str
    before: str
    after: str
    """The lines that differ, without their margins."""
    source: str
    """The whole file, changed."""
    first: int
    last: int
    """The lines of the statement, or of its head, that the change stands in."""

    def key(self) -> tuple[str, str, str]:
        """What it is known by, wherever its line has moved to."""
        return self.module, self.before, self.after


def drawn(root: Path, number: int, seed: int) -> list[Mutant]:
    """The mutants of a seed.

    Args:
        root: The folder that holds inspect_tui.
        number: How many in all; a small package has LEAST all the same.
        seed: Of the draw; one seed and one state of the program give one list.
    """
    found = {package: list(_places(root, package)) for package in PACKAGES}
    in_all = sum(map(len, found.values()))
    mutants: list[Mutant] = []
    for package, places in found.items():
        lots = sorted((_lot(seed, name), path, ways) for name, path, ways in places)
        wanted = max(LEAST, round(number * len(places) / in_all))
        made = filter(None, (_mutant(root, package, path, ways, lot) for lot, path, ways in lots))
        different: dict[tuple[str, str, str], Mutant] = {}
        while len(different) < wanted and (each := next(made, None)):
            different.setdefault(each.key(), each)
        mutants += different.values()
    random.Random(seed).shuffle(mutants)
    return mutants  # in no order, so that a part of a run tells something of all


def _lot(seed: int, name: str) -> int:
    return int.from_bytes(hashlib.sha256(f"{seed} {name}".encode()).digest()[:8])


Ways = list[tuple[str, int, Place]]


def _places(root: Path, package: str) -> Iterator[tuple[str, Path, Ways]]:
    """Where something can be changed and how, by a name that stays while its line does."""
    operators = {
        name: plugins.get_operator(name)()
        for name in sorted(plugins.operator_names())
        if not _LEFT_OUT.search(name)
    }
    for path in sorted((root / "inspect_tui" / package).rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        silent = set(_silent(ast.parse(source)))
        tree = list(nodes.ast_nodes(nodes.get_ast(source)))
        ways: dict[Place, Ways] = defaultdict(list)
        for name, operator in operators.items():
            occurrence = 0
            for node in tree:
                for start, end in operator.mutation_positions(node):
                    place = (*start, *end)
                    if not any(_within(place, each) for each in silent):
                        ways[place].append((name, occurrence, place))
                    occurrence += 1
        lines = source.splitlines()
        seen: Counter[str] = Counter()
        for place in sorted(ways):
            line = lines[place[0] - 1]
            margin = len(line) - len(line.lstrip())
            name = f"{path.relative_to(root)} {line.strip()} {place[1] - margin}"
            seen[name] += 1
            yield f"{name} {seen[name]}", path, ways[place]


def _silent(tree: ast.Module) -> Iterator[Place]:
    """Where a change changes nothing that runs."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            told = [node.returns] if node.returns else []
            arguments = node.args
            told += [
                each.annotation
                for each in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs,
                             arguments.vararg, arguments.kwarg)
                if each and each.annotation
            ]  # fmt: skip
        elif isinstance(node, ast.AnnAssign):
            told = [node.annotation]
        elif isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING":
            told = [node]
        else:
            continue
        for each in told:
            yield each.lineno, each.col_offset, each.end_lineno or 0, each.end_col_offset or 0


def _of_tests(tree: ast.Module) -> Iterator[Place]:
    """What no run of the program reads."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            words = _READ_BY_TESTS.get(node.func.id, ())
            for each in node.keywords:
                if each.arg in words:
                    yield (each.lineno, each.col_offset, each.end_lineno or 0,
                           each.end_col_offset or 0)  # fmt: skip


def _within(inner: Place, outer: Place) -> bool:
    return outer[:2] <= inner[:2] and inner[2:] <= outer[2:]


def _mutant(root: Path, package: str, path: Path, ways: Ways, lot: int) -> Mutant | None:
    name, occurrence, place = random.Random(lot).choice(ways)
    source = path.read_text(encoding="utf-8")
    tree = ast.parse(source)
    if any(_within(place, each) for each in _of_tests(tree)):
        return None
    try:
        changed = mutate_code(source, plugins.get_operator(name)(), occurrence)
    except AttributeError:  # it can't replace an exception that is named through its module
        return None
    if changed is None or changed == source:
        return None
    try:
        compile(changed, str(path), "exec")
    except SyntaxError:
        return None
    lines = [
        line
        for line in difflib.unified_diff(source.splitlines(), changed.splitlines(), n=0)
        if not line.startswith(("---", "+++", "@@"))
    ]
    first, last = _statement(tree, place[0])
    return Mutant(
        package, path.relative_to(root / "inspect_tui").as_posix(), place[0],
        name.removeprefix("core/"),
        "\n".join(line[1:].strip() for line in lines if line[0] == "-"),
        "\n".join(line[1:].strip() for line in lines if line[0] == "+"),
        changed, first, last,
    )  # fmt: skip


def _statement(tree: ast.Module, line: int) -> tuple[int, int]:
    """The lines of the smallest statement around a line; of a compound one its head alone."""
    found = (line, line)
    size = 10**9
    for node in ast.walk(tree):
        if not isinstance(node, ast.stmt):
            continue
        body = getattr(node, "body", None)
        last = (body[0].lineno - 1 if body else node.end_lineno) or node.lineno
        last = max(last, node.lineno)
        if node.lineno <= line <= last and last - node.lineno < size:
            found, size = (node.lineno, last), last - node.lineno
    return found
