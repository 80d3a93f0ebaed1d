"""What earlier sessions of a machine put off, and is still to be decided in this one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inspect_tui.core.seasons.machine_state import MachineState
from inspect_tui.core.seasons.summary import CARRIED, JUDGED, as_date, comes_up
from inspect_tui.core.text.visible import without_fail


@dataclass(frozen=True, slots=True)
class Carried:
    """A finding that an earlier session left open."""

    id: str
    """`carried:FINDING`, or `carried:SESSION:FINDING` where two share that."""
    session: str
    """The newest earlier session in which it stood, or was decided again."""
    finding: str
    step: str
    reading: str | None
    cylinder: str | None
    text: str
    decision: str | None
    """What was decided there; None where it was signed over."""
    why: str
    until: str
    part: str
    day: str = ""
    """When that session was used last, ISO."""
    title: str = ""
    """Its step's, in the list of that session."""
    safety: bool = False
    """Whether that is a safety step that had not passed there."""
    gate: str = ""
    """Of a safety step: `start`, `move` or ""."""
    part_state: str = ""
    """`got` or `fitted` where that was said of its part."""

    @property
    def part_words(self) -> str:
        """The part, and that it is here: `Drive belt (it is here: fit it)`; "" for none."""
        here = {"got": " (it is here: fit it)", "fitted": " (fitted: measure again)"}
        return f"{self.part}{here.get(self.part_state, '')}" if self.part else ""


@dataclass(frozen=True, slots=True)
class CarriedNow:
    """What an earlier session left open, as it stands in this one."""

    carried: Carried
    decision: str | None
    """What was decided about it here."""
    verdict: str
    """Of the same reading here, where it was measured; else ""."""
    settled: bool
    """Whether nothing of it waits: measured, or closed by a decision."""

    @property
    def stops(self) -> bool:
        """Whether it is a safety step that failed and was not looked at since."""
        return self.carried.safety and not self.settled


def carried_text(each: Carried, title: str = "") -> str:
    """What was found, with the step that it was found at: `Brake lever: Feel: sinks`.

    Args:
        each: What an earlier session left.
        title: The step's in this session's list, where it has that step.
    """
    label, colon, rest = each.text.partition(": ")
    text = f"{label}{colon}{without_fail(rest)}"
    named = title or each.title
    return text if not named or text.startswith(f"{named}:") else f"{named}: {text}"


def carried_into(checklist: str, state: MachineState) -> tuple[Carried, ...]:
    """What a machine's earlier sessions leave to a session of this checklist.

    Args:
        checklist: The id of the list that is opened.
        state: The machine after the sessions before this one.
    """
    rows = [each for each in state.put_off if comes_up(each.finding, checklist)]
    shared = Counter(each.finding.finding for each in rows)
    found = []
    for each in rows:
        finding = each.finding
        full = f"{each.origin or each.session}:" if shared[finding.finding] > 1 else ""
        found.append(
            Carried(
                f"{CARRIED}{full}{finding.finding}", each.session, finding.finding, finding.step,
                finding.reading, finding.cylinder, finding.text, finding.decision, finding.why,
                finding.until, finding.part, each.at.date().isoformat(), finding.title,
                finding.safety, finding.gate, finding.part_state,
            )
        )  # fmt: skip
    return tuple(found)


def still_carried(
    carried: Sequence[Carried],
    verdicts: Mapping[tuple[str, str, str | None], str],
    decided: Iterable[str],
) -> tuple[Carried, ...]:
    """Those that this session has not settled: by the same reading's verdict, or by a decision.

    Args:
        carried: What came into the session.
        verdicts: By step, reading and cylinder, the verdict that stands here.
        decided: Ids of carried findings that this session has a counting decision on.
    """
    closed = set(decided)
    return tuple(
        each
        for each in carried
        if each.id not in closed
        and verdicts.get((each.step, each.reading or "", each.cylinder), "none") not in JUDGED
    )


def in_the_way(carried: Sequence[Carried], today: date, left_out: Iterable[str]) -> list[Carried]:
    """Those that the sign-off waits for.

    Not what waits for a date that hasn't come, nor what belongs to a step that is left out.
    """
    out = set(left_out)
    return [
        each
        for each in carried
        if each.step not in out
        and not (
            each.decision == "later" and (day := as_date(each.until)) is not None and day > today
        )
    ]
