"""Readings that a person typed, as the entries that record them, and what has to be said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.evaluation.job.acts import caution_text
from inspect_tui.core.evaluation.validate import Asked, Target, logged
from inspect_tui.core.model.log_entry import NewEntry, Phase

_NOT_FOLLOWED = "Advice not followed: "


@dataclass(frozen=True, slots=True)
class Lot:
    """Readings that are recorded together."""

    asked: tuple[Asked, ...]
    phase: Phase
    state: str = ""
    """In what state they were taken (cold, loaded ...)."""
    gauge: str = ""
    paper: str = ""
    """When they were taken and by whom, where they are typed in from paper."""


def entries(
    evaluated: Evaluated,
    lot: Lot,
    pictures: Mapping[Target, tuple[str, str]],
    with_cautions: bool,
) -> tuple[list[NewEntry], list[str]]:
    """What is to be written for a lot, and what has to be said of it: advice, questions.

    Args:
        evaluated: What stands before.
        lot: The readings, validated.
        pictures: Of photos: the value and the file's name in the store.
        with_cautions: Log the cautions of the steps as printed by a command.
    """
    written: list[NewEntry] = []
    said: list[str] = []
    known = {caution.step for caution in evaluated.session.cautions}
    for step, before in _by_step(lot.asked):
        caution = caution_text(evaluated, step)
        if with_cautions and caution and step not in known:
            written.append(("caution", {"step": step, "text": caution, "printed": True}))
        advice = evaluated.results.step(step).advice
        if before:
            advice = evaluated.validator.advice(step, before, lot.phase, lot.gauge)
        for text in advice:
            if not _told(evaluated, step, text):
                said.append(text)
                written.append(("note", {"step": step, "text": f"{_NOT_FOLLOWED}{text}"}))
    for one in lot.asked:
        said.extend([one.question] if one.question else [])
        said.extend(text for text in _remarks(evaluated, one) if text not in said)
        written.append(("reading", _keys(lot, one, pictures.get(one.target))))
    return written, said


def _remarks(evaluated: Evaluated, one: Asked) -> Iterator[str]:
    """What is to be said of a reading's uncertainty, in sentences."""
    label = evaluated.evaluator.readings[one.target.step, one.target.reading].label
    where = f"{label}, {one.target.cylinder}" if one.target.cylinder else label
    for remark in one.judged.remarks:
        yield f"{remark}." if remark[:1].isupper() else f"{where}: {remark}."


def _by_step(asked: Sequence[Asked]) -> Iterator[tuple[str, Sequence[Asked]]]:
    """Each step once, with what is recorded before its first reading."""
    seen: set[str] = set()
    for place, one in enumerate(asked):
        if one.target.step not in seen:
            seen.add(one.target.step)
            yield one.target.step, asked[:place]


def _told(evaluated: Evaluated, step: str, advice: str) -> bool:
    """Whether it was said in this session before that this advice is not followed."""
    text = f"{_NOT_FOLLOWED}{advice}"
    return any(note.step == step and note.text == text for note in evaluated.session.notes)


def _keys(lot: Lot, one: Asked, picture: tuple[str, str] | None) -> dict[str, object]:
    return {
        "step": one.target.step, "reading": one.target.reading, "cylinder": one.target.cylinder,
        "phase": lot.phase, "entered": one.entered,
        "value": logged(one.value) if picture is None else picture[0],
        "unit": one.unit or None, "verdict": one.judged.verdict,
        "photo": None if picture is None else picture[1],
        "state": lot.state or None, "gauge": lot.gauge or None,
        "paper": lot.paper or None,
    }  # fmt: skip
