"""A compiled list or sheet as bytes: opened again it is the same, in every value and word."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions import kept, of_log
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate import evaluate
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions.expression import NOT_MEASURED, Name
from tests.builders import checklist, derived, reading, step
from tests.shipped import FOLDER, LISTS, SHEETS, opened_text, text_of
from tests.sound_machine import walked


class Shelf:
    """Keeps in memory, and counts."""

    def __init__(self):
        self.kept, self.read_times = {}, 0

    def read(self, kind, text):
        self.read_times += 1
        return self.kept.get((kind, text))

    def write(self, kind, text, data):
        self.kept[kind, text] = data


def all_of(compiled):
    for table in (compiled.only_if, compiled.value, compiled.inference):
        yield from table.items()
    for place, sides in compiled.limits.items():
        yield from (((place, side), one) for side, one in sides.items())


def again(compiled):
    data = kept.pack_list(compiled)
    assert data is not None
    found = kept.unpack_list(data)
    assert found is not None
    return found


@pytest.mark.parametrize("stem", LISTS)
def test_every_shipped_list_opens_as_it_was_compiled(stem):
    first = of_log.compile_trusted(opened_text(stem))
    second = again(first)
    assert second.checklist == first.checklist
    assert (second.steps, second.moves, second.explains) == (
        first.steps, first.moves, first.explains
    )  # fmt: skip
    one, other = dict(all_of(first)), dict(all_of(second))
    assert list(one) == list(other)
    for place, expression in one.items():
        opened = other[place]
        assert (opened.text, opened.uses, opened.names, opened.needs_all, opened.needs_one) == (
            expression.text, expression.uses, expression.names, expression.needs_all,
            expression.needs_one,
        )  # fmt: skip
        assert (opened.node.text, opened.bare_name) == (expression.node.text, expression.bare_name)
        without = lambda name: NOT_MEASURED  # noqa: E731
        assert opened.evaluate(without) == expression.evaluate(without)


@pytest.mark.parametrize("stem", SHEETS)
def test_every_shipped_sheet_opens_as_it_was_read(stem, monkeypatch):
    shelf, machine = Shelf(), of_log.trusted_machine(text_of(stem))
    assert kept.machine_of(text_of(stem), shelf) == machine
    assert list(shelf.kept) == [("machine", text_of(stem))]
    kept.machine_of.cache_clear()
    monkeypatch.setattr(of_log, "trusted_machine", None)
    assert kept.machine_of(text_of(stem), shelf) == machine


def test_the_shipped_figures_open_as_they_were_read():
    text = (FOLDER / "figures" / "figures.toml").read_text(encoding="utf-8")
    shelf, figures = Shelf(), definitions.load_figures(text, "figures.toml").figures
    assert figures is not None
    assert kept.figures_of(text, shelf, lambda: figures) is figures
    assert kept.figures_of(text, shelf, lambda: None) == figures


def test_figures_that_are_not_sound_are_read_each_time():
    shelf = Shelf()
    assert kept.figures_of("text", shelf, lambda: None) is None
    assert not shelf.kept


def test_a_whole_inspection_comes_to_the_same_results():
    walk = walked("pre-season", "tindrak-600")
    first = walk.evaluation.definitions
    second = ChecklistOnMachine(again(first.compiled), first.machine)
    assert evaluate(Evaluator(second, walk.evaluation.session)) == walk.results
    begun = replace(walk.evaluation.session, readings={})
    assert evaluate(Evaluator(second, begun)) == evaluate(Evaluator(first, begun))


@pytest.mark.parametrize(
    "text",
    [
        checklist(step("a", reading("w"), derived("d", "w +"))),
        checklist(step("a", reading("w"), derived("d", "e + w"), derived("e", "w"))),
        checklist(step("a", reading("w"), derived("d", ""))),
        checklist(step("a", reading("w")), step("a", reading("v"))),
        checklist(step("a", reading("w"), reading("w", limit="{ max = 3 }"))),
        checklist(step("a", reading("w", limit="{ max = 99999999999999999999999 }"))),
    ],
)
def test_what_has_a_fault_or_an_id_twice_is_not_kept(text):
    assert kept.pack_list(of_log.compile_trusted(text)) is None


@settings(max_examples=60)
@given(st.data())
def test_changed_bytes_are_no_list_or_one_that_opens(data):
    """Whatever came of the bytes: nothing but a list whose expressions can be worked out."""
    text = checklist(step("a", reading("w", limit="{ max = 3 }"), derived("d", "w * 2")))
    packed = kept.pack_list(of_log.compile_trusted(text))
    at = data.draw(st.integers(0, len(packed) - 1))
    changed = packed[:at] + bytes([data.draw(st.integers(0, 255))]) + packed[at + 1 :]
    found = kept.unpack_list(changed)
    for _, expression in all_of(found) if found is not None else ():
        expression.evaluate(lambda name: NOT_MEASURED)


def test_it_is_compiled_once_and_opened_from_then_on(monkeypatch):
    text = checklist(step("only-here", reading("w", limit="{ max = 3 }")))
    shelf = Shelf()
    first = kept.compiled_list(text, shelf)
    assert list(shelf.kept) == [("checklist", text)]
    kept.compiled_list.cache_clear()
    monkeypatch.setattr(of_log, "compile_trusted", None)
    second = kept.compiled_list(text, shelf)
    assert second.checklist == first.checklist
    assert second.limits["only-here", "w"]["max"].names == frozenset()
    assert kept.compiled_list(text, shelf) is second
    assert shelf.read_times == 2


def test_what_is_kept_under_a_text_and_no_list_is_left():
    text = checklist(step("only-there", reading("w"), derived("d", "w * 2")))
    shelf = Shelf()
    shelf.kept["checklist", text] = b"\x93nothing"
    made = kept.compiled_list(text, shelf)
    assert made.value["only-there", "d"].names == {Name("value", "only-there", "w")}
    assert shelf.kept["checklist", text] == kept.pack_list(of_log.compile_trusted(text))
