"""Readings and photos that a person takes: validated, pictures kept, written, and what is said."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.core.evaluation.diff import (
    changed_verdicts,
    newly_remarked,
    newly_upset,
    newly_waiting,
    noticed,
)
from inspect_tui.core.evaluation.job import recording
from inspect_tui.core.evaluation.job.recording import Lot
from inspect_tui.core.evaluation.validate import Target
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.workflow.open_session import OpenSession
from inspect_tui.workflow.photo_store import PhotoStore, file_name

if TYPE_CHECKING:
    from inspect_tui.files.photos import Picture


def record(
    session: OpenSession,
    photos: PhotoStore,
    values: Sequence[tuple[Target, str]],
    phase: Phase,
    state: str,
    gauge: str,
    with_cautions: bool,
    paper: str = "",
    before_step: Callable[[str], tuple[str, ...]] = lambda _: (),
) -> tuple[str, ...]:
    """Record readings, all or none; returns what has to be said (see `Inspection.record`)."""
    before = session.evaluated
    validator = before.validator
    values, pictures = photos.typed(values, lambda target: validator.place(target).kind == "photo")
    gauge = sanitize(gauge)
    asked = validator.validate(values, phase, gauge)
    earlier = {target.step: before_step(target.step) for target, _ in values}
    lot = Lot(asked, phase, sanitize(state), gauge, sanitize(paper), earlier)
    said = list(photos.keep(pictures.values()))
    written, questions = recording.entries(before, lot, _named(pictures), with_cautions)
    said += questions
    session.write(*written)
    after = session.evaluated
    says_air = before.evaluator.definitions.says_air
    if any(says_air(target.step, target.reading) for target, _ in values):
        said.extend(changed_verdicts(before.results, after.results))
    said.extend(newly_upset(before.results, after.results))
    said.extend(newly_waiting(before.results, after.results))
    said.extend(newly_remarked(before.results, after.results))
    said.extend(text for text in noticed(before.results, after.results) if text not in said)
    return tuple(said)


def _named(pictures: Mapping[Target, Picture]) -> dict[Target, tuple[str, str]]:
    """By reading: its picture's value and file name in the store."""
    return {
        target: (f"sha256:{picture.hash}", picture.file_name)
        for target, picture in pictures.items()
    }


def photo(
    session: OpenSession, photos: PhotoStore, step: str, path: Path, cylinder: str | None
) -> tuple[str, ...]:
    """Put a photo at a step; returns what has to be said about it (see `Inspection.photo`)."""
    validator = session.evaluated.validator
    validator.step(step)
    if cylinder is not None:
        validator.cylinder(cylinder)
    picture = photos.read(path)
    said = photos.keep([picture])
    keys = {
        "step": step, "cylinder": cylinder, "photo": picture.file_name,
        "name": file_name(path), "size": len(picture.data),
    }  # fmt: skip
    session.write(("photo", keys))
    return said
