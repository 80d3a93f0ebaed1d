"""The reports of a session: made of what its log says, as bytes or in the store's folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.model.drawing import MachineDrawing
from inspect_tui.core.seasons.carried import CarriedNow
from inspect_tui.core.seasons.open_before import EarlierStop
from inspect_tui.errors import InspectError, NotSaved
from inspect_tui.files.store import Store
from inspect_tui.workflow.photo_store import PhotoStore
from inspect_tui.workflow.session_log import SessionLog

if TYPE_CHECKING:
    from inspect_tui.core.seasons.history import ReadingHistory

DRAWN: Final = ("md", "html", "pdf")
"""The formats that show pictures."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which report is asked for."""

    form: str
    """md, html, csv, json or pdf. HTML shows the photos, made smaller; the others name them."""
    photo_metadata: bool = False
    """Keep in those what the camera wrote (place, camera, time, owner)."""
    with_log: bool = False
    """The log at its end, entry by entry."""


def export(
    log: SessionLog,
    evaluated: Evaluated,
    store: Store,
    wanted: Wanted,
    earlier: Sequence[CarriedNow] = (),
    stops: Sequence[EarlierStop] = (),
) -> bytes:
    """The report.

    Args:
        log: The session's.
        evaluated: What its entries come to.
        store: Where its photos and drawings lie.
        wanted: Which.
        earlier: What earlier sessions of the machine put off.
        stops: What they left in the way of a run.
    """
    from inspect_tui.report import export as forms
    from inspect_tui.report.content.report import Extras, LogState, report

    form = wanted.form
    with_metadata = wanted.photo_metadata and form == "html"
    extras = Extras(
        PhotoStore(store.photos).copies(log.entries, with_metadata) if form == "html" else {},
        with_metadata,
        wanted.with_log,
        _drawing(evaluated, store) if form in DRAWN else None,
        tuple(earlier),
        _seasons(log.path.stem, evaluated, store) if form in DRAWN else (),
        tuple(stops),
    )
    state = LogState(log.problems, log.torn_bytes)
    made = report(evaluated.session, evaluated.results, log.entries, state, extras)
    return forms.export(form, made)


def _drawing(evaluated: Evaluated, store: Store) -> MachineDrawing | None:
    """The side view that the list names; none where it isn't there or can't be drawn."""
    name = evaluated.results.checklist.drawing
    if not name:
        return None
    from inspect_tui.workflow.drawings import machine_drawing

    try:
        return machine_drawing(name, store).drawing
    except InspectError:
        return None


def _seasons(name: str, evaluated: Evaluated, store: Store) -> tuple[ReadingHistory, ...]:
    """Readings over this session and those begun before it; later ones never change a report."""
    from inspect_tui.core.seasons.history import history_of
    from inspect_tui.core.seasons.summary import summarize
    from inspect_tui.core.seasons.trend_picture import plotted
    from inspect_tui.workflow import store_index

    own = summarize(evaluated)
    found = store_index.summaries(store, own.machine)
    before = [each for each in found if (each.opened, each.session) < (own.opened, name)]
    if not before:
        return ()
    here = {(value.step, value.reading) for value in (*own.values, *own.worked_out)}
    here |= {value.place[:2] for value in own.values}
    histories = history_of([*before, own], worked_out=True)
    return tuple(each for each in plotted(histories) if (each.step, each.reading) in here)


def save(places: Store, session: str, form: str, data: bytes) -> Path:
    """Write a report into the store's folder `reports`; returns the file's path.

    Args:
        places: The store.
        session: What the store calls the session: two that share an id have a report each.
        form: The report's format.
        data: The report.

    Raises:
        BadInput: a log of another folder whose name is no session's id.
        NotSaved: the disk did not take it.
    """
    from inspect_tui.files import atomic_write
    from inspect_tui.files.disk import make_folder, reason_in_words
    from inspect_tui.report import read_export

    folder = places.store / "reports"
    try:
        make_folder(folder)
    except OSError as error:
        raise NotSaved(f"The folder '{folder}' can't be made: {reason_in_words(error)}.") from error
    path = folder / f"{places.log(session).stem}.{form}"
    atomic_write.write(path, data, read_export.is_export)
    return path
