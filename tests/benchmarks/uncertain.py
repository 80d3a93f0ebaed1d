"""What uncertainty costs: a reading on average over a session, one kink at its worst."""

from __future__ import annotations

from statistics import mean
from time import process_time

from inspect_tui.core.evaluation.evaluate_entries import LiveEvaluation
from inspect_tui.core.model.log_entry import FORMAT, Entry
from tests import shipped
from tests.benchmarks.row import Row
from tests.small_session import START, derived, evaluated, given, number, one_step
from tests.sound_machine import walked

LIST, SHEET = "pre-season", "tindrak-600"


def rows() -> list[Row]:
    """Milliseconds of processor time."""
    taken = _session()
    kinks = [_kink(count) for count in (2, 3, 4, 6)]
    return [
        Row(
            f"work out after a reading, mean of the {len(taken)} of {LIST}",
            f"{mean(taken):.2f} ms", f"{mean(taken) / 5:.2f} of 5 ms", "1",
        ),
        Row("  the slowest of them", f"{max(taken):.1f} ms", "", ""),
        Row(
            "one kink: spread of up to six readings near the border", f"{max(kinks):.1f} ms",
            f"{max(kinks) / 50:.2f} of 50 ms", "1",
        ),
    ]  # fmt: skip


def _session() -> list[float]:
    """After each reading of a whole list, recorded one by one."""
    walk = walked(LIST, SHEET, True)
    opened = {
        "format": FORMAT, "program": "t", "session": "t", "checklist": shipped.opened_text(LIST),
        "machine": shipped.text_of(SHEET),
    }  # fmt: skip
    live = LiveEvaluation([Entry(0, "opened", START, "R. Tester", opened)])
    taken = []
    readings = sorted(walk.evaluation.session.readings.values(), key=lambda one: one.n)
    for place, recorded in enumerate(readings, 1):
        keys = {
            "step": recorded.step, "reading": recorded.reading, "cylinder": recorded.cylinder,
            "phase": recorded.phase, "entered": recorded.entered, "value": recorded.value,
        }  # fmt: skip
        kept = {key: value for key, value in keys.items() if value is not None}
        entry = Entry(place, "reading", START, "R. Tester", kept)
        begun = process_time()
        live.take([entry])
        taken.append(1000 * (process_time() - begun))
    return taken


def _kink(count: int) -> float:
    """A spread of equal readings whose probability lies near the border of a pass."""
    names = "abcdef"[:count]
    # Quantiles of the range of standard normal values at about 95 %.
    width = {2: 2.77, 3: 3.31, 4: 3.63, 6: 4.03}[count]
    items = [number(name, uncertainty='"1 mm"') for name in names]
    text = one_step(*items, derived("y", f"spread({', '.join(names)})",
                                    limit=f"{{ max = {width / 2} }}"))  # fmt: skip
    found = evaluated(text, *(given(f"s.{name}", "10") for name in names))
    step = found.evaluator.compiled.steps["s"]
    begun = process_time()
    found.evaluator.derived_row(step, step.derived[0], None, "as-found")
    return 1000 * (process_time() - begun)
