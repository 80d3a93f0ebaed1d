"""Readings that a person typed, as the entries that record them, and what has to be said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

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
    earlier: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """By step: what earlier sessions left to be said before it."""


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
    cautioned = {caution.step for caution in evaluated.session.cautions}
    told = {(note.step, note.text) for note in evaluated.session.notes}
    advice = evaluated.validator.advice(evaluated.results, lot.asked, lot.phase, lot.gauge)
    for one, texts in zip(lot.asked, advice, strict=True):
        step = one.target.step
        caution = caution_text(evaluated, step)
        if with_cautions and caution and step not in cautioned:
            cautioned.add(step)
            written.append(("caution", {"step": step, "text": caution, "printed": True}))
        for text in (*texts, *lot.earlier.get(step, ())):
            note = f"{_NOT_FOLLOWED}{text}"
            if (step, note) not in told:
                told.add((step, note))
                said.append(text)
                written.append(("note", {"step": step, "text": note}))
    heard = set(said)
    for one in lot.asked:
        if one.question:
            said.append(one.question)
        remarks = [text for text in dict.fromkeys(_remarks(evaluated, one)) if text not in heard]
        said += remarks
        heard.update(remarks)
        written.append(("reading", _keys(lot, one, pictures.get(one.target))))
    return written, said


def _remarks(evaluated: Evaluated, one: Asked) -> Iterator[str]:
    """What is to be said of a reading's uncertainty, in sentences."""
    label = evaluated.evaluator.readings[one.target.step, one.target.reading].label
    where = f"{label}, {one.target.cylinder}" if one.target.cylinder else label
    for remark in one.judged.remarks:
        yield f"{remark}." if remark[:1].isupper() else f"{where}: {remark}."


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
