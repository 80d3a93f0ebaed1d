"""The reports of a session: made of what its log says, as bytes or in the store's folder."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.errors import NotSaved
from inspect_tui.files.store import Store
from inspect_tui.workflow.photo_store import PhotoStore
from inspect_tui.workflow.session_log import SessionLog


def export(
    log: SessionLog,
    evaluated: Evaluated,
    photos: PhotoStore,
    form: str,
    photo_metadata: bool = False,
) -> bytes:
    """The report: md, html, csv, json or pdf.

    Args:
        log: The session's.
        evaluated: What its entries come to.
        photos: Where its photos lie.
        form: The format. HTML shows the photos, made smaller; the others name them.
        photo_metadata: Keep in those what the camera wrote (place, camera, time, owner).
    """
    from inspect_tui.report import export as forms
    from inspect_tui.report.content import LogState, report

    with_metadata = photo_metadata and form == "html"
    copies = photos.copies(log.entries, with_metadata) if form == "html" else {}
    state = LogState(log.problems, log.torn_bytes)
    made = report(evaluated.session, evaluated.results, log.entries, state, copies, with_metadata)
    return forms.export(form, made)


def save(places: Store, session: str, form: str, data: bytes) -> Path:
    """Write a report into the store's folder `reports`; returns the file's path.

    Raises:
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
    # The id is the log's own word: one that is no id must not become a path.
    path = folder / f"{places.log(session).stem}.{form}"
    atomic_write.write(path, data, read_export.is_export)
    return path
