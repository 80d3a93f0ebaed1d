"""The true line of every place in a TOML file."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions.toml_positions import Lines

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "checklists").rglob("*.toml"))


def places(data, path=()):
    if path:
        yield path
    if isinstance(data, dict):
        for key, inner in data.items():
            yield from places(inner, (*path, key))
    elif isinstance(data, list):
        for number, inner in enumerate(data):
            yield from places(inner, (*path, number))


TRICKY = r'''# comment with [brackets] and "quotes   @
"a\u0041.b" = 1 # [[                      @ aA.b
'q r'.x = """ "[[y]]"
 = 3 \""" """""   # two quotes at the end @
after = 2                                 # @ after
[[section]]   # one                       # @ section.0
id = "a"                                  # @ section.0.id
 [[section.step]]                         # @ section.0.step.0
 id = 's # no comment'                    # @ section.0.step.0.id
tools = [ # first                         # @ section.0.step.0.tools
  "x", # [ ]                              # @ section.0.step.0.tools.0
  'y,]',                                  # @ section.0.step.0.tools.1
  [1, { a = 1, b.c = [2,                  # @ section.0.step.0.tools.2.1.b.c.0
3] } , ],                                 # @ section.0.step.0.tools.2.1.b.c.1
]
limit = { min = "a # b", max = 1 }        # @ section.0.step.0.limit.max
[[section.step.reading]]                  # @ section.0.step.0.reading.0
id = 1                                    # @ section.0.step.0.reading.0.id
[section.step.reading.sub]                # @ section.0.step.0.reading.0.sub
k = 1979-05-27 07:32:00                   # @ section.0.step.0.reading.0.sub.k
[[section.step]]                          # @ section.0.step.1
id = 2                                    # @ section.0.step.1.id
[[section]]                               # @ section.1
[[section.step]]                          # @ section.1.step.0
[x."y z".w]                               # @ x.y z.w
v=1                                       # @ x.y z.w.v
[ x . "q" ]                               # @ x.q
u = """a'b
]"""
w = -inf                                  # @ x.q.w
t = \'\'\'it''s
[z]
\'\'\' # end
s = {}                                    # @ x.q.s
r = []                                    # @ x.q.r
'''.replace("\\'", "'")


def path_of(mark):
    return tuple(int(part) if part.isdigit() else part for part in mark.split("."))


def test_tricky_lines():
    lines = Lines(TRICKY)
    assert tomllib.loads(TRICKY)["after"] == 2
    marked = 0
    for number, row in enumerate(TRICKY.split("\n"), 1):
        _, at, mark = row.rpartition("@ ")
        if at and mark.strip():
            path = ("aA.b",) if mark == "aA.b" else path_of(mark)
            assert lines.of(path) == number, mark
            marked += 1
    assert marked > 25


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_either_line_end(ends):
    lines = Lines(TRICKY.replace("\n", ends))
    assert lines.of(("x", "q", "w")) == Lines(TRICKY).of(("x", "q", "w"))


def test_unknown_place_is_that_of_the_table_around_it():
    lines = Lines("[a]\nb = 1\n")
    assert lines.of(("a", "lacks", 3)) == 1
    assert lines.of(("lacks",)) is None
    assert lines.of(()) is None


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_every_key_of_a_shipped_file_stands_on_its_line(path):
    text = path.read_text(encoding="utf-8")
    lines, rows = Lines(text), text.split("\n")
    for place in places(tomllib.loads(text)):
        line = lines.of(place)
        assert line is not None
        key = next(part for part in reversed(place) if isinstance(part, str))
        if isinstance(place[-1], str):
            assert key in rows[line - 1]


KEYS = st.text("ab1_-", min_size=1, max_size=3) | st.text("a.# =[]'", max_size=4).map(
    lambda text: f'"{text}"'
)
SCALARS = st.sampled_from(
    ["1", '"x # y"', "'[z]'", '"""a\nb = 1\n"""', "'''\n[[q]]\n'''", "true", "1979-05-27"]
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3).map(
        lambda parts: "[\n" + ", # c\n".join(parts) + "\n]"
    ),
    max_leaves=5,
)


@given(st.lists(st.tuples(KEYS, VALUES, st.booleans()), max_size=8))
@settings(max_examples=150)
def test_lines_by_adding_one_key_at_a_time(pairs):
    """The line of a key is one more than the lines written before it."""
    text, expected = "", {}
    for number, (key, value, header) in enumerate(pairs):
        if header:
            text += f"# {key}\n[[t]]\n"
            expected["t", sum(1 for place in expected if len(place) == 2)] = text.count("\n")
        unique = f"k{number}.{key}"
        table = [place for place in expected if len(place) == 2]
        path = (*(table[-1] if table else ()), f"k{number}")
        expected[path] = text.count("\n") + 1
        text += f"{unique} = {value}\n"
    tomllib.loads(text)
    lines = Lines(text)
    assert {path: lines.of(path) for path in expected} == expected
