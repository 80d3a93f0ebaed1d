"""What earlier sessions of a machine put off, and is still to be decided in this one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inspect_tui.core.seasons.summary import CARRIED, PastFinding, SessionSummary, counted

JUDGED = ("pass", "fail", "uncertain")
"""Verdicts that settle a carried finding of the same reading: it passes, or is a finding anew."""


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


def carried_into(
    checklist: str, opened: tuple[object, str], earlier: Iterable[SessionSummary]
) -> tuple[Carried, ...]:
    """What the earlier sessions of a machine leave to a session of this checklist.

    Put off until another list it is not shown here, and stays put off.

    Args:
        checklist: The id of the list that is opened.
        opened: When, and the session's id: only sessions before it count.
        earlier: The summaries of the machine's sessions, in any order.
    """
    found: dict[tuple[str, str], tuple[SessionSummary, PastFinding]] = {}
    settled: set[tuple[str, str]] = set()
    measured: set[tuple[str, str | None, str | None]] = set()
    again: dict[str, tuple[SessionSummary, PastFinding]] = {}
    before = [each for each in counted(earlier) if (each.opened, each.session) < opened]
    for summary in reversed(before):
        for finding in summary.findings:
            if finding.finding.startswith(CARRIED):
                again.setdefault(finding.finding, (summary, finding))
        for finding in summary.findings:
            if finding.finding.startswith(CARRIED):
                continue
            key = _identity(summary, finding)
            place = finding.step, finding.reading, finding.cylinder
            if key in settled or key in found:
                continue
            if not finding.own and finding.reading and place in measured:
                settled.add(key)
                continue
            later = _decided_again(again, summary, finding)
            standing = finding if later is None else _with_decision(finding, later[1])
            where = summary if later is None else later[0]
            if standing.put_off:
                found[key] = where, standing
            else:
                settled.add(key)
        measured |= {(v.step, v.reading, v.cylinder) for v in summary.values if v.verdict in JUDGED}
    rows = [
        (key, summary, finding)
        for key, (summary, finding) in found.items()
        if _comes_up(finding, checklist)
    ]
    shared = Counter(finding.finding for _, _, finding in rows)
    return tuple(
        Carried(
            f"{CARRIED}{key[0]}:{finding.finding}" if shared[finding.finding] > 1
            else f"{CARRIED}{finding.finding}",
            summary.session, finding.finding, finding.step, finding.reading, finding.cylinder,
            finding.text, finding.decision, finding.why, finding.until, finding.part,
        )
        for key, summary, finding in rows
    )  # fmt: skip


def _identity(summary: SessionSummary, finding: PastFinding) -> tuple[str, str]:
    """A person's own finding is its session's; a worked-out one is the same in every session."""
    return (summary.session if finding.own else "", finding.finding)


def _decided_again(
    again: Mapping[str, tuple[SessionSummary, PastFinding]],
    summary: SessionSummary,
    finding: PastFinding,
) -> tuple[SessionSummary, PastFinding] | None:
    full = again.get(f"{CARRIED}{summary.session}:{finding.finding}")
    return full or again.get(f"{CARRIED}{finding.finding}")


def _with_decision(finding: PastFinding, decided: PastFinding) -> PastFinding:
    return PastFinding(
        finding.finding, finding.step, finding.reading, finding.cylinder, finding.text,
        decided.decision, decided.why, decided.until, decided.part or finding.part,
        decided.put_off, finding.own,
    )  # fmt: skip


def _comes_up(finding: PastFinding, checklist: str) -> bool:
    if finding.decision != "later" or not finding.until:
        return True
    return finding.until == checklist or _as_date(finding.until) is not None


def _as_date(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


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
            each.decision == "later" and (day := _as_date(each.until)) is not None and day > today
        )
    ]
