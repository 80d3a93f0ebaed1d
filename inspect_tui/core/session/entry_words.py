"""The words of a log's entries, for finding them again."""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.core.model.checklist import Checklist
from inspect_tui.core.model.log_entry import Entry

_WORDS = (
    "text", "entered", "why", "until", "accepted", "state", "gauge", "title", "name", "part",
    "number", "source", "cylinder", "paper",
)  # fmt: skip
"""Keys whose values people typed."""


def words_of(entries: Iterable[Entry], checklist: Checklist) -> list[tuple[int, str, str]]:
    """By entry: its number, its step ("" where it has none), its words with the step's title."""
    titles = {step.id: step.title for step in checklist.steps}
    labels = {
        (step.id, reading.id): reading.label
        for step in checklist.steps
        for reading in step.readings
    }
    found = []
    for entry in entries:
        if entry.kind in ("opened", "combined", "joined", "signature", "resumed"):
            continue
        keys = entry.keys
        step = str(keys.get("step", ""))
        words = [titles.get(step, ""), labels.get((step, str(keys.get("reading", ""))), "")]
        words += [str(keys[key]) for key in _WORDS if isinstance(keys.get(key), str)]
        opened = keys.get("open")
        words += [str(each) for each in opened] if isinstance(opened, list) else []
        if text := ": ".join(dict.fromkeys(word for word in words if word)):
            found.append((entry.n, step, text))
    return found
