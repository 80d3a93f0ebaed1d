"""Readings recorded together are judged, advised and logged as if each were recorded by itself."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.evaluation.evaluate import evaluate
from inspect_tui.core.evaluation.evaluate_entries import LiveEvaluation, evaluate_entries
from inspect_tui.core.evaluation.job import recording
from inspect_tui.core.evaluation.job.recording import Lot
from inspect_tui.core.evaluation.log_check import differences
from inspect_tui.core.evaluation.validate import Target, logged
from inspect_tui.core.model.log_entry import Entry
from tests.builders import checklist, derived, inference, reading, section, setting, sheet, step

LIST = checklist(
    section("drive", "Drive"),
    step("belt", reading("width", limit='{ min = "spec.belt_min" }', uncertainty='"0.2 mm"'),
         reading("new"), derived("worn", "new - width", limit="{ max = 2 }"),
         disturbed_by='["gap"]', safety="true", gate='"start"', caution='"Fan off."'),
    step("gap", reading("front"), reading("rear"), derived("toe", "front - rear"),
         setting("rods", "front", "toe")),
    section("engine", "Engine"),
    step("lead", reading("own", optional="true"), derived("both", "gap.front + own"),
         derived("most", "gap.front + 1", limit="{ max = 4 }"), after='["belt"]',
         disturbed_by='["belt"]', gate='"move"'),
    step("jets", reading("main", unit="", limit='{ equal = "spec.main_jet" }'), per="cylinder",
         only_if='"gap.front > \'1 mm\'"', gate='"start"', disturbed_by='["lead"]'),
    step("start", reading("idle"), begins='"start"', after='["jets", "gap"]'),
    step("ride", reading("way"), begins='"move"', after='["start"]'),
    inference("slack", "belt.width < '31 mm' and gap.front > '2 mm'"),
)  # fmt: skip
SHEET = sheet(spec={"belt_min": '"31 mm"', "main_jet": "[240, 230]"})
START = datetime(2026, 11, 2, tzinfo=UTC)
TARGETS = [
    Target("belt", "width"), Target("belt", "new"), Target("gap", "front"), Target("gap", "rear"),
    Target("lead", "own"), Target("jets", "main", "PTO"), Target("jets", "main", "MAG"),
    Target("start", "idle"), Target("ride", "way"),
]  # fmt: skip
TEXTS = st.sampled_from(["1 mm", "3 mm", "31 mm", "33 mm", "unknown"])
PHASES = st.sampled_from(["as-found", "as-left"])


def typed(target, text):
    return target, text.removesuffix(" mm") if target.step == "jets" else text


LOTS = st.tuples(
    st.lists(
        st.builds(typed, st.sampled_from(TARGETS), TEXTS), max_size=8, unique_by=lambda one: one[0]
    ),
    PHASES,
)
SKIPS = st.lists(st.sampled_from(["belt", "gap", "jets"]), max_size=1)


class Walk:
    """A session that is recorded into, without a disk."""

    def __init__(self):
        head = {"session": "s", "program": "t", "checklist": LIST, "machine": SHEET}
        self.entries = [Entry(0, "opened", START, "Ann", head)]
        self.live = LiveEvaluation(self.entries)

    def write(self, *kinds):
        new = []
        for kind, keys in kinds:
            n = len(self.entries) + len(new)
            kept = {key: value for key, value in keys.items() if value is not None}
            new.append(Entry(n, kind, START + timedelta(minutes=n), "Ann", kept))
        self.entries += new
        self.live.take(new)

    def record(self, values, phase):
        evaluated = self.live.evaluated
        lot = Lot(evaluated.validator.validate(values, phase), phase)
        written, _ = recording.entries(evaluated, lot, {}, with_cautions=True)
        self.write(*written)

    def said(self):
        """What stands in the log, but for the order of what is said before readings."""
        kept = [(each.kind, tuple(each.keys.items())) for each in self.entries[1:]]
        readings = [one for one in kept if one[0] == "reading"]
        return readings, sorted(one for one in kept if one[0] != "reading")

    def stands(self):
        """What follows, without the numbers of entries."""
        results = self.live.evaluated.results
        steps = [(one.step.id, one.state, one.failed, one.stale, one.advice)
                 for one in results.steps]  # fmt: skip
        rows = [(one.step, one.reading, one.cylinder, one.phase, one.value, one.judged)
                for one in results.readings]  # fmt: skip
        return steps, rows, results.findings, results.signoff_blockers


def begun(before, skips):
    walk = Walk()
    for values, phase in before:
        walk.record(values, phase)
    walk.write(*(("skipped", {"step": each, "why": "dark"}) for each in skips))
    return walk


@settings(max_examples=80, deadline=None)
@given(st.lists(LOTS, max_size=2), SKIPS, LOTS)
def test_together_and_one_by_one_write_the_same(before, skips, lot):
    together, single = begun(before, skips), begun(before, skips)
    values, phase = lot
    together.record(values, phase)
    for value in values:
        single.record([value], phase)
    assert together.said() == single.said()
    assert together.stands() == single.stands()
    assert not differences(together.entries)


@settings(max_examples=80, deadline=None)
@given(st.lists(LOTS, max_size=2), SKIPS, LOTS)
def test_each_reading_is_advised_by_all_that_would_stand_then(before, skips, lot):
    walk = begun(before, skips)
    values, phase = lot
    evaluated = walk.live.evaluated
    asked = evaluated.validator.validate(values, phase)
    said = list(evaluated.validator.advice(evaluated.results, asked, phase))
    supposed = list(walk.entries)
    wanted = []
    for one in asked:
        # The long way: everything that follows from the log with these entries.
        advice = evaluate_entries(supposed).results.step(one.target.step).advice
        # Measured as left, an upset step gets what it wants.
        wanted.append(
            tuple(each for each in advice if phase == "as-found" or "upset what" not in each)
        )
        keys = {"step": one.target.step, "reading": one.target.reading, "phase": phase,
                "entered": one.entered, "value": logged(one.value),
                "cylinder": one.target.cylinder}  # fmt: skip
        kept = {key: value for key, value in keys.items() if value is not None}
        at = walk.live.evaluated.session.last
        supposed.append(Entry(len(supposed), "reading", at, "Ann", kept))
    assert said == wanted


def test_a_lot_looks_at_no_step_that_nothing_names(monkeypatch):
    """The cost of an advice: of a list's many steps, those that the lot's steps name."""
    import inspect_tui.core.evaluation.job.supposed_steps as module

    looked = []
    real = module.step_values
    monkeypatch.setattr(
        module, "step_values", lambda ev, step: looked.append(step.id) or real(ev, step)
    )
    many = checklist(
        *(step(f"p{n}", reading("w"), **({"after": f'["p{n - 1}"]'} if n % 5 == 4 else {}))
          for n in range(200))
    )  # fmt: skip
    head = {"session": "s", "program": "t", "checklist": many, "machine": SHEET}
    evaluated = evaluate_entries([Entry(0, "opened", START, "Ann", head)])
    asked = evaluated.validator.validate([(Target(f"p{n}", "w"), "3") for n in range(200)],
                                         "as-found")  # fmt: skip
    said = list(evaluated.validator.advice(evaluated.results, asked, "as-found"))
    assert set(said) == {()}
    assert looked == [f"p{n - 1}" for n in range(200) if n % 5 == 4]


def test_what_another_step_derives_of_readings_moved_together_follows_the_last_of_them():
    """It exists as left once all that the setting moved were measured, its own input or not."""
    walk = Walk()
    walk.record([(Target("gap", "front"), "3 mm"), (Target("gap", "rear"), "2 mm")], "as-found")
    walk.record([(Target("gap", "front"), "4 mm")], "as-left")
    key = ("lead", "most", None, "as-left")
    assert walk.live.evaluated.results.derived_row(*key) is None
    walk.record([(Target("gap", "rear"), "3 mm")], "as-left")
    grown = walk.live.evaluated.results
    anew = evaluate(walk.live.evaluated.evaluator)
    assert grown.derived_row(*key) == anew.derived_row(*key)
    assert grown.derived_row(*key) is not None
    assert grown == anew


def test_who_measures_again_what_was_upset_follows_the_advice():
    walk = Walk()
    walk.record([(Target("belt", "width"), "33 mm"), (Target("belt", "new"), "34 mm")], "as-found")
    gap = [(Target("gap", "front"), "3 mm"), (Target("gap", "rear"), "2 mm")]
    walk.record(gap, "as-found")
    walk.record(gap, "as-left")
    (told,) = walk.live.evaluated.results.step("belt").advice
    assert told.startswith("'gap' upset what was recorded here")
    before = len(walk.entries)
    walk.record([(Target("belt", "width"), "33 mm"), (Target("belt", "new"), "34 mm")], "as-left")
    assert [each.kind for each in walk.entries[before:]] == ["reading", "reading"]
    assert walk.live.evaluated.results.step("belt").advice == ()
    before = len(walk.entries)
    walk.record(gap, "as-left")
    walk.record([(Target("belt", "width"), "33 mm")], "as-found")
    (note,) = (each for each in walk.entries[before:] if each.kind == "note")
    assert note.keys["text"] == f"Advice not followed: {told}"
