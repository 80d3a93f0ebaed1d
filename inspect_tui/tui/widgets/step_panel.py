"""What a step says and what has been read at it: pictures made of text, from frozen results."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Group, RenderableType
from rich.style import Style
from rich.text import Text

from inspect_tui.core.model.checklist import Derived, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import DerivedRow, ReadingRow, Results, StepResult
from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.formula_words import formula_words
from inspect_tui.core.presentation.limit_strip import mark
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PHASE_STYLE, UNCERTAIN, whole_words, words
from inspect_tui.tui.base.reading_order import targets
from inspect_tui.tui.base.styling import (
    bare_value,
    brief_verdict,
    carried_words,
    finding_state,
    short_zone,
    shown_value,
    step_state,
    verdict_sign,
    without_unit,
    worked_out,
)
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.walk.one_press import written_unit
from inspect_tui.tui.widgets.ambient_panel import air_line
from inspect_tui.tui.widgets.fitted_table import FittedTable, Row
from inspect_tui.tui.widgets.limit_strip import drawn

PHASES: tuple[Phase, ...] = (AS_FOUND, AS_LEFT)
STRIP = 36
"""Cells of a limit strip beside its reading."""
BETWEEN = "   "
"""Between the parts of a heading."""


def heading(result: StepResult, section: str, columns: int) -> Text:
    """The step's title with its state in words, its group behind them or on the next line.

    Args:
        result: The step.
        section: Its group's title; "" where the list beside shows it.
        columns: Room; no part is broken over two lines that fits on one.
    """
    mark, said, colour = step_state(result)
    parts = [
        Text(one_line(result.step.title), style="bold"),
        Text(f"{mark} {said}", style=colour or ASKED),
    ]
    if result.step.is_safety:
        parts.append(Text("▲ safety", style=UNCERTAIN))
    lines = _packed(parts, columns)
    if result.why_skipped:
        lines.append(Text(f"skipped: {one_line(result.why_skipped)}", style=UNCERTAIN))
    if section:
        room = columns - lines[-1].cell_len - len(BETWEEN) if len(lines) > 1 else columns
        short = whole_words(one_line(section), room)
        behind = len(lines) > 1 and not result.why_skipped and len(short) <= room
        if behind:
            lines[-1].append(BETWEEN).append(short, style=DIM)
        else:
            lines.append(Text(one_line(section), style=DIM))
    return Text("\n").join(lines)


def _packed(parts: Iterable[Text], columns: int) -> list[Text]:
    """Parts on as few lines as they fit on, each whole."""
    lines: list[Text] = []
    for part in parts:
        if lines and lines[-1].cell_len + len(BETWEEN) + part.cell_len <= columns:
            lines[-1] = Text.assemble(lines[-1], BETWEEN, part)
        else:
            lines.append(part)
    return lines


def folded(result: StepResult, columns: int) -> Text:
    """How it is done, on one line, once it has been read."""
    how = one_line(result.step.how) or "Look, and answer."
    more = "  F5: all"
    text = Text(whole_words(how, max(10, columns - len(more))), style=DIM)
    return text.append(more if result.step.how else "", style=ASKED)


def put_off(view: View, result: StepResult) -> list[Text]:
    """What earlier sessions put off at a step, or at the one that it carries on; in old words."""
    step = result.step
    places = {each.carries_on for each in step.readings}
    rows = (
        each for each in view.carried if each.step == step.id or (each.step, each.reading) in places
    )
    said = (carried_words(each, view.put_off) for each in rows)
    return [words(f"◂ Put off earlier: {each}", UNCERTAIN) for each in said]


def method(view: View, result: StepResult, *, cautioned: bool = False) -> Text:
    """How it is done, what was put off here, and the advice that is not followed so far.

    Args:
        view: The inspection as it stands.
        result: The step.
        cautioned: Its caution (and what it begins) stands above already, to be confirmed.
    """
    hidden = cautioned and bool(result.step.begins)
    parts = put_off(view, result)
    parts += [] if hidden else [words(f"▸ {advice}", UNCERTAIN) for advice in result.advice]
    if result.step.caution and not cautioned:
        parts.append(words(f"! {result.step.caution}", FAIL))
    parts.append(words(result.step.how) if result.step.how else Text("Look, and answer.", DIM))
    return Text("\n").join(parts)


def background(result: StepResult) -> Text:
    """Why it matters and which tools it takes."""
    step = result.step
    parts = []
    if step.why:
        parts += [Text("WHY", style=DIM), words(step.why)]
    if step.tools:
        parts += [Text("TOOLS", style=DIM), *(words(f"- {tool}") for tool in step.tools)]
    return Text("\n").join(parts) if parts else Text("No why and no tools in this step.", DIM)


def readings(
    view: View,
    desk: InspectionActions,
    result: StepResult,
    at: Target | None,
    wide: bool = False,
) -> RenderableType:
    """The step's readings: a grid with the cylinders across, or one line each.

    Args:
        view: The inspection as it stands.
        desk: Tells the limits.
        result: The step.
        at: The reading that is asked now.
        wide: Draw each reading's limit strip beside it.
    """
    if result.step.per_cylinder:
        table: RenderableType = _grid(view, desk, result, at)
    else:
        table = _lines(view, desk, result, at, wide)
    below = (*_derived(view.results, result), *_moves(view.results, result, at))
    return Group(table, *below, *_air(view, result))


def _moves(results: Results, result: StepResult, at: Target | None) -> Iterable[Text]:
    """The moves that are to be made in this step; that of the asked reading stands below."""
    for row in results.settings:
        place = Target(row.step, row.reading, row.cylinder)
        if row.step == result.step.id and row.suggested and place != at:
            where = f"{one_line(row.cylinder)}: " if row.cylinder else ""
            yield Text(f"▸ {where}{one_line(row.words)}", style=UNCERTAIN)


def _air(view: View, result: StepResult) -> Iterable[Text]:
    """The air in force, at a step that says it or rests on it."""
    if result.step.id in view.results.air.steps:
        yield air_line(view.results.air)


def details(view: View, result: StepResult) -> Text:
    """What values rest on, where limits come from, what was corrected, notes and findings."""
    results, step = view.results, result.step
    parts: list[Text] = []
    for row in results.readings:
        if row.step == step.id and row.judged.zone is not None:
            said = f"{_place(step, row)} {shown_value(row)}: "
            parts.append(Text(said + one_line(wording.verdict_words(row.judged, row.unit))))
    for derived in step.derived:
        rests = formula_words(results.checklist, step, derived.value)
        if rests:
            parts.append(words(f"{derived.label}: from {rests}", DIM))
    items: tuple[Reading | Derived, ...] = (*step.readings, *step.derived)
    for item in items:
        if item.source:
            parts.append(words(f"{item.label}: limit from {item.source}", DIM))
    for (place, reading, cylinder, phase), old in view.session.earlier.items():
        if place != step.id:
            continue
        label = next((each.label for each in step.readings if each.id == reading), reading)
        name = one_line(f"{label} {cylinder}" if cylinder else label)
        for value in old:
            said = f"corrected: {name} {wording.PHASES[phase].word} was {value.entered}"
            parts.append(words(f"{said} ({value.at:%Y-%m-%d %H:%M}, {value.by})"))
    for note in view.session.notes:
        if note.step == step.id:
            parts.append(words(f"note: {note.text} ({note.at:%Y-%m-%d %H:%M}, {note.by})"))
    for row in results.readings:
        if row.step == step.id and (row.state or row.gauge):
            said = ", ".join(part for part in (row.state, row.gauge) if part)
            parts.append(words(f"{_place(step, row)}: {said}", DIM))
    parts += findings(view, step.id)
    return Text("\n").join(parts) if parts else Text("Nothing more to say of this step.", DIM)


def findings(view: View, step: str) -> list[Text]:
    """The step's findings, one line each."""
    lines = []
    for finding in view.results.findings:
        if finding.step == step:
            mark, said, colour = finding_state(finding, view.put_off)
            text = without_fail(one_line(finding.text))
            lines.append(Text(f"{mark} {text} ({said})", style=colour))
    return lines


def _place(step: Step, row: ReadingRow) -> str:
    label = next((each.label for each in step.readings if each.id == row.reading), row.reading)
    phase = wording.PHASES[row.phase].sign
    return one_line(f"{phase} {label} {row.cylinder}" if row.cylinder else f"{phase} {label}")


def _clickable(text: Text, target: Target) -> Text:
    text.stylize(Style(meta={"target": (target.step, target.reading, target.cylinder)}))
    return text


def _lines(
    view: View, desk: InspectionActions, result: StepResult, at: Target | None, wide: bool
) -> FittedTable:
    """One row a reading: what is asked, as found, as left, verdict."""
    results, step = view.results, result.step
    lines = []
    for target, reading in zip(targets(step, ()), step.readings, strict=True):
        here = target == at
        label = Text(one_line(reading.label), style=ASKED if here else "")
        if reading.optional:
            label.append(" (optional)", style=DIM)
        rows = [results.row(step.id, reading.id, None, phase) for phase in PHASES]
        said = [row for row in rows if row is not None]
        why = result.skipped_readings.get((reading.id, None), "")
        values = Text("\n").join(_phased(row) for row in said)
        judged = Text("\n").join(brief_verdict(row.judged) for row in said)
        if not said:
            values = Text(f"skipped: {one_line(why)}", UNCERTAIN) if why else Text("—", DIM)
            judged = Text(one_line(wording.zone_words(desk.zone(target, AS_FOUND))), style=DIM)
        strip = (_strip(desk, target, said),) if wide else ()
        sign = Text("▶" if here else " ", style=ASKED)
        lines.append(Row(sign, _clickable(label, target), (values, judged, *strip)))
    return FittedTable(tuple(lines))


def _strip(desk: InspectionActions, target: Target, rows: list[ReadingRow]) -> Text:
    """The limit strip of a reading with the values that stand."""
    marks = [mark(row.phase, row.value, row.judged) for row in rows]
    zone = desk.zone(target, AS_FOUND)
    strip = drawn(zone, [each for each in marks if each is not None], STRIP)
    strip.no_wrap = True
    return strip


def _phased(row: ReadingRow) -> Text:
    mark = wording.PHASES[row.phase].sign
    text = Text(f"{mark} {shown_value(row)}", style=PHASE_STYLE[row.phase])
    if row.corrected:
        text.append("  corrected", style=DIM)
    return text


def _grid(
    view: View, desk: InspectionActions, result: StepResult, at: Target | None
) -> FittedTable:
    """Readings down, cylinders across; the unit once at the label, the sheet's figure for each
    cylinder under its value where they differ, else once at the label."""
    results, step = view.results, result.step
    names = results.machine.cylinders
    odd = out_of_family(results, step.id)
    rows = []
    for reading in step.readings:
        mine = at is not None and at.reading == reading.id
        places = [Target(step.id, reading.id, name) for name in names]
        unit = _row_unit(results, places, reading)
        own = unit == format_unit(reading.unit)
        zones = [short_zone(desk.zone(place, AS_FOUND), reading, own) for place in places]
        differ = len(set(zones)) > 1
        label = Text(one_line(reading.label), style=ASKED if mine else "")
        label.append(f"  {unit}" if unit else "", style=DIM)
        label.append(f"  {zones[0]}" if zones and not differ and zones[0] else "", style=DIM)
        cells = tuple(
            _cell(results, result, place, at, odd, zone if differ else "", unit)
            for place, zone in zip(places, zones, strict=True)
        )
        rows.append(Row(Text("▶" if mine else " ", style=ASKED), label, cells))
    for derived in step.derived:
        if not derived.across:
            cells = tuple(_derived_cell(results, step.id, derived.id, name) for name in names)
            label = words(derived.label, DIM)
            label.append(f"  {format_unit(derived.unit)}" if derived.unit else "", style=DIM)
            rows.append(Row(Text("=", DIM), label, cells))
    heads = tuple(Text(one_line(name), style=DIM) for name in names)
    return FittedTable(tuple(rows), heads, alike=True)


def _row_unit(results: Results, places: list[Target], reading: Reading) -> str:
    """The unit of a row: the one that all its values were typed in, else the list's."""
    typed = {
        written_unit(row.entered, reading)
        for place in places
        for phase in PHASES
        if (row := results.row(place.step, place.reading, place.cylinder, phase)) is not None
    } - {None}
    only = typed.pop() if len(typed) == 1 else ""
    return format_unit(only or reading.unit)


def _cell(
    results: Results,
    result: StepResult,
    target: Target,
    at: Target | None,
    odd: set[tuple[str, str | None]],
    zone: str,
    unit: str,
) -> Text:
    rows = [results.row(target.step, target.reading, target.cylinder, each) for each in PHASES]
    parts = []
    for row in rows:
        if row is not None:
            mark = "" if row.phase == AS_FOUND else wording.PHASES[AS_LEFT].sign + " "
            text = Text(f"{mark}{bare_value(row, unit)} ", style=PHASE_STYLE[row.phase])
            parts.append(text + verdict_sign(row.judged))
    if not parts:
        skipped = (target.reading, target.cylinder) in result.skipped_readings
        parts.append(Text("− skipped", UNCERTAIN) if skipped else Text("—", DIM))
    if target == at:
        parts[-1].stylize("reverse")
    if zone:
        parts.append(Text(zone, style=DIM))
    if (target.reading, target.cylinder) in odd:
        parts.append(Text("≠ family", UNCERTAIN))
    return _clickable(Text("\n").join(parts), target)


def out_of_family(results: Results, step: str) -> set[tuple[str, str | None]]:
    """(reading, cylinder) that stand apart from the other cylinders of a step."""
    return {
        (finding.id.removeprefix(f"O.{step}.").split("@")[0], finding.cylinder)
        for finding in results.findings
        if finding.kind == "out-of-family" and finding.step == step
    }


def zones_in_words(results: Results, desk: InspectionActions, step: str, reading: Reading) -> Text:
    """The sheet's zone for each cylinder, once where it is the same for all."""
    zones = [
        one_line(wording.zone_words(desk.zone(Target(step, reading.id, name), AS_FOUND)))
        for name in results.machine.cylinders
    ]
    return Text(" / ".join(zones if len(set(zones)) > 1 else zones[:1]), style=DIM)


def _derived_cell(results: Results, step: str, derived: str, name: str) -> Text:
    """One cylinder's derived value, as left where there is one."""
    left = results.derived_row(step, derived, name, AS_LEFT)
    row = left or results.derived_row(step, derived, name, AS_FOUND)
    if row is None or row.value is None:
        return Text("—", style=DIM)
    mark = f"{wording.PHASES[AS_LEFT].sign} " if row.phase == AS_LEFT else ""
    shown = without_unit(worked_out(row), format_unit(row.unit))
    return Text(f"{mark}{shown} ", PHASE_STYLE[row.phase]) + verdict_sign(row.judged)


def _derived(results: Results, result: StepResult) -> Iterable[RenderableType]:
    """What follows from the readings, once a step, in both phases."""
    mine = [each for each in result.step.derived if each.across or not result.step.per_cylinder]
    if not mine:
        return
    rows = []
    only_one = len(results.machine.cylinders) < 2
    for derived in mine:
        for row in _rows_of(results, result, derived):
            if only_one and derived.across and row.judged.verdict in ("pass", "none"):
                continue  # what lies between cylinders says nothing of one
            label = words(derived.label, DIM)
            cells = (_derived_value(row), _derived_verdict(row))
            rows.append(Row(Text("=", DIM), label, cells))
    if rows:
        yield FittedTable(tuple(rows))


def _rows_of(results: Results, result: StepResult, derived: Derived) -> list[DerivedRow]:
    found = (results.derived_row(result.step.id, derived.id, None, phase) for phase in PHASES)
    return [row for row in found if row is not None]


def _derived_value(row: DerivedRow) -> Text:
    if row.value is None:
        return Text(one_line(row.reason) or "not measured", style=DIM)
    mark = wording.PHASES[row.phase].sign
    return Text(f"{mark} {worked_out(row)}", style=PHASE_STYLE[row.phase])


def _derived_verdict(row: DerivedRow) -> Text:
    return Text("") if row.value is None else brief_verdict(row.judged)
