"""Findings of values: what fails its limits, or is too close to call. Worked out, not stored."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from inspect_tui.core.evaluation.air.chart_settings import is_charts_setting
from inspect_tui.core.evaluation.conclusions.candidate import PHASES, CandidateFinding, identity
from inspect_tui.core.evaluation.conclusions.findings_across import out_of_family_of
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.results import DerivedRow, ReadingRow
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.core.session.replay import Key, ReadingKey

Rows = dict[ReadingKey, ReadingRow]
DerivedRows = dict[ReadingKey, DerivedRow]


def of_step(
    evaluation: Evaluator, step: Step, rows: Rows, derived: DerivedRows
) -> tuple[CandidateFinding, ...]:
    """What one step's readings and derived values say, before the decisions are looked at."""
    return tuple(_of_step(evaluation, step, rows, derived))


def _of_step(
    evaluation: Evaluator, step: Step, rows: Rows, derived: DerivedRows
) -> Iterator[CandidateFinding]:
    definitions = evaluation.definitions
    for reading in step.readings:
        for cylinder in definitions.cylinders(step, reading.id):
            case = _of_value(evaluation, (step.id, reading.id, cylinder), reading.label, rows, ())
            if case is not None:
                yield _by_chart(evaluation, step, reading, case, rows)
    for value in step.derived:
        expression = evaluation.compiled.value[step.id, value.id]
        for cylinder in definitions.cylinders(step, value.id):
            place = (step.id, value.id, cylinder)
            leaves = definitions.input_readings(expression, cylinder)
            case = _of_value(evaluation, place, value.label, derived, leaves)
            if case is not None:
                yield case
    yield from out_of_family_of(evaluation, step, rows)


def _by_chart(
    evaluation: Evaluator, step: Step, reading: Reading, case: CandidateFinding, rows: Rows
) -> CandidateFinding:
    """A setting that differs from the base figure but is the chart's is a remark."""
    row = next(
        (
            row
            for phase in reversed(PHASES)
            if (row := rows.get((step.id, reading.id, case.cylinder, phase))) is not None
        ),
        None,
    )
    if not case.is_active or row is None:
        return case
    if not is_charts_setting(evaluation, step, reading.id, row):
        return case
    said = f"{case.text}; it is what the jet chart says for this air"
    return replace(case, text=said, air=True, remark=True)


def _of_value(
    evaluation: Evaluator,
    place: Key,
    label: str,
    rows: Mapping[ReadingKey, ReadingRow] | Mapping[ReadingKey, DerivedRow],
    rests_on: tuple[Key, ...],
) -> CandidateFinding | None:
    """What a value says in its phases; None where none of those that stand is odd.

    One that was corrected before it was decided leaves nothing here; the log keeps it.
    """
    step, value, cylinder = place
    name = identity(step, value, cylinder)
    standing = [row for phase in PHASES if (row := rows.get((*place, phase))) is not None]
    odd = [row for row in standing if row.judged.verdict in ("fail", "uncertain")]
    if not odd and name not in evaluation.session.decisions:
        return None
    where = "" if cylinder is None else f", {cylinder}"
    shown = odd[-1] if odd else (standing[-1] if standing else None)
    text = f"{label}{where}: " + ("no value any more" if shown is None else _sentence(shown))
    definitions = evaluation.definitions
    expressions = definitions.expressions(step, value)
    air = definitions.air_places(expressions)
    leaves = (leaf for each in expressions for leaf in definitions.input_readings(each, cylinder))
    places = dict.fromkeys((*(rests_on or (place,)), *leaves, *(air or ())))
    return CandidateFinding(
        name, step, value, cylinder, text, tuple(_evidence(row) for row in standing),
        bool(standing) and standing[-1] in odd, tuple(places), air=air is not None,
        figures=definitions.figures_of(expressions), rests_on=rests_on,
        explains=frozenset([place]),
    )  # fmt: skip


def _sentence(row: ReadingRow | DerivedRow) -> str:
    return f"{row_words(row)}, {row.judged.words}"


def _evidence(row: ReadingRow | DerivedRow) -> str:
    phase = row.phase.replace("-", " ")
    zone, words = row.judged.zone, row.judged.words or row.judged.verdict
    limit = f", limit {zone.text}" if zone is not None and zone.text else ""
    if zone is not None and zone.equal and words.startswith("fail, "):
        limit, words = "", words.removeprefix("fail, ")  # they name what is wanted
    return f"{phase} {row_words(row)}{limit}, {'; '.join((words, *row.judged.remarks))}"
