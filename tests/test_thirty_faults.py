"""Thirty faults in one machine: how many lines are to decide, and what is in the way of signing.

The faults are those of `test_shipped_faults`, one of each step, and what else a machine that sat
for years is found with (common practice), planted together in an otherwise sound machine.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from itertools import groupby
from pathlib import Path

from inspect_tui.core.evaluation.conclusions.grouping import to_decide
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from inspect_tui.workflow.session_line import line_of
from tests.season_story import as_found
from tests.sound_machine import walked
from tests.test_shipped_faults import FAULTS

FAULTS_IN_THE_STORY = 30
ALSO = {
    "boots.crack": "through", "fuel-lines.state": "cracked", "recoil.rope": "frayed",
    "reeds.petals": "chipped", "pilot-jet.bore": "varnished", "mounts.rubber": "torn",
    "runners.carbide": "blunt", "brake-lever.feel": "spongy", "idlers.rubber": "chunked",
    "belt-body.flanks": "cupped", "lights.tail": "no", "exhaust.pipe": "cracked",
}  # fmt: skip
LINES = 30
SENTENCES = 30


def story() -> dict[str, str]:
    """What is typed, fault by fault, no step twice."""
    typed: dict[str, str] = {}
    taken: set[str] = set()
    faults = 0
    also = (("pre-season", "tindrak-600", {place: text}, {place}) for place, text in ALSO.items())
    for stem, sheet, planted, said in (*also, *FAULTS):
        steps = {place.partition(".")[0] for place in planted}
        if (stem, sheet) != ("pre-season", "tindrak-600") or not said or steps & taken:
            continue
        taken |= steps
        typed |= planted
        faults += 1
        if faults == FAULTS_IN_THE_STORY:
            return typed
    raise AssertionError(f"only {faults} faults of different steps are written down")


@contextmanager
def recorded(folder: Path, now: Callable[[], datetime]) -> Iterator[Inspection]:
    """The story as a session of its own store, each value typed as a person would."""
    store = Store(folder)
    store.make()
    walk = walked("pre-season", "tindrak-600")
    typed = {
        Target(keys["step"], keys["reading"], keys.get("cylinder")): keys["entered"]
        for keys in (each.keys for each in walk.entries[1:])
    }
    first = walk.evaluation.machine.cylinders[0]
    for place, text in story().items():
        step, _, reading = place.partition(".")
        of_cylinders = walk.evaluation.compiled.steps[step].per_cylinder
        typed[Target(step, reading, first if of_cylinders else None)] = text
    with Inspection.new(store, "pre-season", "tindrak-600", "R. Tester", now) as held:
        for _, rows in groupby(typed.items(), key=lambda row: row[0].step):  # as they are walked
            held.record(list(rows))
        held.cautions.confirm()
        yield held


def test_thirty_faults_are_forty_lines_to_decide_at_most():
    results = walked("pre-season", "tindrak-600").planted(story())
    lines = to_decide(results.findings)
    assert len(results.findings) >= FAULTS_IN_THE_STORY
    assert len(lines) <= LINES
    # Safety first, and each of a group stands right behind what explains it.
    by_id = {each.id: each for each in results.findings}
    safety = [results.step(each.step).step.is_safety for each in lines]
    assert safety == sorted(safety, reverse=True)
    for before, each in zip(results.findings, results.findings[1:], strict=False):
        if each.under is not None:
            assert each.under in (before.id, before.under) and by_id[each.under].under is None


def test_what_is_in_the_way_of_signing_is_no_longer_than_what_is_to_decide():
    results = walked("pre-season", "tindrak-600").planted(story())
    kinds = [each.kind for each in results.blockers]
    assert kinds.count("step") == 0
    failed = [each for each in results.steps if each.step.is_safety and (each.failed
              or each.uncertain)]  # fmt: skip
    assert kinds.count("safety") == len(failed)
    # One sentence a group: what belongs to a safety step is named in that step's own sentence.
    lines = to_decide(results.findings)
    safety = {each.step.id for each in failed}
    assert kinds.count("finding") == sum(each.step not in safety for each in lines)
    assert len(kinds) <= SENTENCES
    said = "\n".join(each.text for each in results.blockers)
    waiting = [each for each in results.findings if not each.counts]
    assert all(each.id in said for each in waiting)  # and none is left out


def test_a_list_of_sessions_counts_what_is_to_decide_as_the_findings_screen_does():
    evaluated = as_found(walked("pre-season", "tindrak-600")).evaluated
    line = line_of("s", evaluated, ())
    assert line.undecided == len(to_decide(evaluated.results.findings)) < line.open_findings
