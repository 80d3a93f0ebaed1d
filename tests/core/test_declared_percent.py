"""A derived value that is declared in `%` is a percentage wherever it is named, as `check` says.

Once it was a plain ratio to whoever named it: comparing it with `'10 %'` had no answer, and an
inference that was checked without a word never spoke.
"""

from __future__ import annotations

import pytest

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions import of_log
from inspect_tui.core.evaluation.evaluate_entries import evaluate_session
from tests.builders import checklist, derived, inference, reading, sheet, step
from tests.shipped import recorded

LIST = checklist(
    step(
        "s",
        reading("best", unit="mm", uncertainty='"0.1 mm"'),
        reading("this", unit="mm", uncertainty='"0.1 mm"'),
        derived("low", "(best - this) / best", unit="%"),
        derived("twice", "low + low", unit="%", limit='{ max = "40 %" }'),
    ),
    inference("worn", "s.low > '10 %' and s.best > '1 mm'"),
)


@pytest.mark.parametrize(
    ("this", "found"),
    [("82 mm", ["I.worn"]), ("95 mm", []), ("70 mm", ["s.twice", "I.worn"])],
)
def test_a_declared_percentage_compares_with_one(this: str, found: list[str]):
    loaded = definitions.load_checklist(LIST, "list.toml")
    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.compiled is not None
    machine = of_log.trusted_machine(sheet())
    session = recorded(loaded.compiled, machine, {"s.best": "100 mm", "s.this": this})
    results = evaluate_session(loaded.compiled, machine, session).results
    assert [each.id for each in results.findings if each.open] == found
    row = results.derived_row("s", "low", None, "as-found")
    assert row is not None
    assert float(row.value) == pytest.approx(100 - float(this.split()[0]))
