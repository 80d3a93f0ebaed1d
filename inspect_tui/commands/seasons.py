"""Commands over all sessions of a machine, or of the store: history, due, search."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import Any, Final

from inspect_tui.commands.common import (
    look_again,
    now,
    readable,
    reading_on,
    show,
    show_json,
    tell,
)
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import format_quantity, format_uncertainty
from inspect_tui.core.seasons import due_words
from inspect_tui.core.seasons.due import Due, due_of
from inspect_tui.core.seasons.history import FigureTrend, Point, ReadingHistory, history_of
from inspect_tui.core.seasons.machine_state import key_of, state_after
from inspect_tui.core.text.formatting import format_value, pluralize
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.snippet import snippet
from inspect_tui.core.text.suggestions import nearest
from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import BadInput
from inspect_tui.files import definition_files
from inspect_tui.files.index import MOST_FOUND
from inspect_tui.files.store import Store
from inspect_tui.workflow import store_index

_VERDICTS: dict[str, str] = {verdict: mark.word for verdict, mark in wording.VERDICTS.items()}

_STEP_ID: Final = re.compile(r"' \([a-z][\w-]*\)")
"""The id behind a step's title in what was signed."""


def history(given: argparse.Namespace) -> int:
    """A machine's readings over its sessions, with their trends."""
    store = readable(given)
    machine = _machine(store, given.machine)
    sessions = store_index.summaries(store, machine, reading_on)
    found = history_of(sessions)
    if given.reading:
        found = _of_reading(history_of(sessions, worked_out=True), given.reading)
    if given.json:
        show_json({"machine": machine, "readings": [_as_data(each) for each in found]})
    elif not found:
        tell(f"No session of {machine} has a reading yet.")
    else:
        for each in found:
            _show(each)
    look_again(store)
    return 0


def _of_reading(found: tuple[ReadingHistory, ...], word: str) -> tuple[ReadingHistory, ...]:
    """Those that STEP.READING[@CYLINDER] names: without a cylinder all of them."""
    named = tuple(
        each
        for each in found
        if word in (key_of(each.step, each.reading, each.cylinder), f"{each.step}.{each.reading}")
    )
    if not named:
        known = [key_of(each.step, each.reading, each.cylinder) for each in found]
        near = nearest(word, known)
        raise BadInput(
            f"No session has the reading '{ellipsize(word)}'.",
            f"Did you mean {near}?" if near else "Write STEP.READING[@CYLINDER].",
        )
    return named


def _as_data(each: ReadingHistory) -> dict[str, Any]:
    return {
        "step": each.step, "reading": each.reading, "cylinder": each.cylinder, "unit": each.unit,
        "points": [_point(point) for point in each.points],
        "trend": None if each.trend is None else _trend(each.trend),
    }  # fmt: skip


def _point(point: Point) -> dict[str, Any]:
    return {
        "session": point.session, "date": point.at.date().isoformat(), "meter": point.meter,
        "value": point.value, "uncertainty": point.uncertainty, "phase": point.phase,
        "verdict": point.verdict,
    }  # fmt: skip


def _trend(trend: FigureTrend) -> dict[str, Any]:
    line, reached = trend.line, trend.reached
    told = reached.begin is not None
    return {
        "slope": None if line is None else line.slope, "per": trend.per,
        "low": None if line is None else line.low, "high": None if line is None else line.high,
        "limit": reached.limit,
        "reached": {"from": reached.begin, "to": reached.end} if told else None,
        "why_not": reached.why_not or None,
    }  # fmt: skip


def _show(each: ReadingHistory) -> None:
    where = "" if each.cylinder is None else f", {each.cylinder}"
    show(f"{each.label}{where} ({key_of(each.step, each.reading, each.cylinder)})")
    unit = wording.difference_unit(each.unit)
    for point in each.points:
        meter = "" if point.meter is None or each.trend is None else (
            f" at {format_value(point.meter, each.trend.per)}"
        )  # fmt: skip
        value = point.value
        shown = format_quantity(value, each.unit, point.uncertainty)
        sure = f" {format_uncertainty(point.uncertainty, unit)}" if point.uncertainty else ""
        left = ", as left" if point.phase == "as-left" else ""
        show(f"    {point.at:%Y-%m-%d}{meter}: {shown}{sure}{left}, {_VERDICTS[point.verdict]}")
    if each.trend is None or each.trend.line is None:
        return
    line, reached, per = each.trend.line, each.trend.reached, each.trend.per
    change = format_value(line.slope * 1000, each.unit, 3)
    show(f"    changes by {change} each 1000 {per}")
    if reached.begin is not None and reached.end is not None and reached.limit is not None:
        limit = format_value(reached.limit, each.unit)
        begin, end = (format_value(round(at), per) for at in (reached.begin, reached.end))
        show(f"    reaches {limit} between {begin} and {end} (19 times of 20)")
    elif reached.limit is not None:
        show(f"    when it reaches its limit can't be told: {reached.why_not}")


def due(given: argparse.Namespace) -> int:
    """What is due, by the meter or by the calendar."""
    store, today = readable(given), now().date()
    machine = None if given.machine is None else _machine(store, given.machine)

    def without() -> list[Due]:
        rows = store_index.all_summaries(store)
        machines = [machine] if machine else sorted({row.machine for row in rows})
        return [
            row
            for each in machines
            for row in due_of(each, state_after(r for r in rows if r.machine == each), today)
        ]

    found = store_index.asked(store, lambda index: index.due(today, machine), without, reading_on)
    if given.json:
        show_json(
            [
                {
                    "machine": row.machine, "step": row.step, "checklist": row.checklist,
                    "last": row.last, "due_at": row.due_at or None, "left": row.left or None,
                    "by": row.by, "late": row.late,
                }
                for row in found
            ]
        )  # fmt: skip
    else:
        if not found:
            tell("Nothing is due: no step that was done says how often it comes round.")
        for row in due_words.most_pressing(found):
            show(f"{row.machine}  {due_words.line_of(row, today)}; last done {row.last}")
    look_again(store)
    return 0


def search(given: argparse.Namespace) -> int:
    """Entries of all logs that hold the words."""
    store = readable(given)

    found = store_index.asked(
        store,
        lambda index: index.search(given.text),
        lambda: store_index.search_logs(store, given.text),
        reading_on,
    )
    if len(found) == MOST_FOUND:
        tell(f"Only {len(found)} entries are shown: another word finds fewer.")
    if given.json:
        show_json(
            [
                {"session": session, "entry": n, "step": step or None, "text": text}
                for session, n, step, text in found
            ]
        )
    else:
        for session, n, step, text in found:
            show(f"{session}  entry {n}{', ' + step if step else ''}: {_hit(text, given.text)}")
        if not found:
            tell(f"No log has '{ellipsize(given.text)}'.")
    look_again(store)
    return 0


def _hit(text: str, words: str) -> str:
    """What stands around a hit; of what was signed over without the ids that the log names."""
    return snippet(one_line(_STEP_ID.sub("'", wording.without_ids(text, ()))), words)


def table(given: argparse.Namespace) -> int:
    """The tables of every season that changed."""
    from inspect_tui.workflow import tables

    seasons = tables.write_tables(readable(given), Path(given.output), reading_on)
    tell(f"{pluralize(seasons, 'season')} written to {given.output}.")
    return 0


def _machine(store: Store, word: str) -> str:
    """A machine's id: it has a sheet, or sessions."""
    files = definition_files.list_all("machine", store)
    known = [definition_files.id_of(path) for path in files]
    if word in known:
        return word
    used = store_index.asked(
        store, lambda index: index.machines(),
        lambda: sorted({row.machine for row in store_index.all_summaries(store)}),
    )  # fmt: skip
    if word in used:
        return word
    near = nearest(word, [*known, *used])
    raise BadInput(
        f"There is no machine '{ellipsize(word)}'.",
        f"Did you mean {near}?" if near else "'inspect-tui machines' lists them.",
    )
