"""Findings as a report says them: in the step's words, found and left, grouped under what explains
them, those that touch safety first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import DerivedRow, Finding, ReadingRow, Results
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.core.seasons.carried import CarriedNow, carried_text
from inspect_tui.core.seasons.summary import CARRIED
from inspect_tui.core.session.replay import Decision
from inspect_tui.report.content import value_words
from inspect_tui.report.content.times import until_words

Row = ReadingRow | DerivedRow
PHASES: tuple[Phase, Phase] = (AS_FOUND, AS_LEFT)


@dataclass(frozen=True, slots=True)
class FindingReport:
    """A finding with who decided what about it."""

    finding: Finding
    made: Decision | None
    """The decision on it, or on what explains it."""
    words: str
    """`Pads and disc – Inner pad, friction: 1.5 mm → 4.5 mm`."""
    verdict_words: str
    """How what stands misses its limit; "" where it doesn't."""
    safety: bool
    evidence: tuple[str, ...] = ()
    """What it rests on, where its words don't say all of that."""
    look_at: tuple[str, ...] = ()
    """The steps that would settle it, by their titles."""

    @property
    def is_put_right(self) -> bool:
        """Whether something was wrong that is so no more."""
        finding = self.finding
        return not finding.open and (not finding.is_active or finding.decision == "put-right")

    @property
    def decision_words(self) -> str:
        """The decision with its reason; whether it still counts."""
        finding = self.finding
        if finding.decision is None:
            return "not decided" if finding.open else "nothing to decide"
        words = wording.decision_words(finding.decision, until_words(finding.until))
        words += f": {finding.why}" if finding.why else ""
        if not finding.counts and finding.open:
            words += " - does not count yet"
        return words

    @property
    def state(self) -> str:
        """What came of it, in a word or two."""
        finding = self.finding
        if finding.remark:
            return "remark"
        if finding.open:
            return "open"
        if finding.decision == "run-as-found" and finding.is_active:
            return wording.DECISIONS["run-as-found"]
        return "put right" if self.is_put_right else "closed"


@dataclass(frozen=True, slots=True)
class FindingGroup:
    """A finding and those that it explains."""

    head: FindingReport
    under: tuple[FindingReport, ...] = ()

    @property
    def rank(self) -> tuple[bool, bool, bool]:
        """By it groups are in order: what is open, then what touches safety."""
        members = (self.head, *self.under)
        return (
            self.head.finding.remark,
            not any(one.finding.open for one in members),
            not any(one.safety for one in members),
        )


def finding_reports(
    results: Results, decisions: Mapping[str, Decision]
) -> tuple[FindingReport, ...]:
    """Every finding, in the order in which the results have them."""
    safety = {result.step.id for result in results.steps if result.step.is_safety}
    titles = {result.step.id: result.step.title for result in results.steps}
    return tuple(
        FindingReport(
            finding,
            decisions.get(finding.id) or decisions.get(finding.under or ""),
            _words(results, titles, finding),
            _verdict_words(results, finding),
            finding.step in safety,
            _evidence(results, finding),
            tuple(titles.get(step, step) for step in finding.look_at),
        )
        for finding in results.findings
    )  # fmt: skip


def carried_reports(
    results: Results, decisions: Mapping[str, Decision], earlier: Sequence[CarriedNow] = ()
) -> tuple[FindingReport, ...]:
    """What earlier sessions had put off, in their words: decided here, or still to decide.

    Args:
        results: This session's.
        decisions: What was decided here, by finding.
        earlier: What became of each here; where they are not at hand, the log holds the decision
            alone, and it is said in the words of this list.
    """
    titles = {result.step.id: result.step.title for result in results.steps}
    known = {each.carried.id: each for each in earlier}
    found = [
        _carried_now(titles, each, decisions.get(each.carried.id))
        for each in earlier
        if not each.verdict or (each.decision is not None and each.verdict == "pass")
    ]
    return (
        *found,
        *(
            _carried(results, titles, decision)
            for name, decision in decisions.items()
            if name.startswith(CARRIED) and name not in known
        ),
    )


def _carried_now(
    titles: Mapping[str, str], now: CarriedNow, made: Decision | None
) -> FindingReport:
    """Measured since and within its limits, it is put right; until then it is open."""
    each = now.carried
    waits = not now.settled
    finding = Finding(
        each.id, each.step, each.reading, each.cylinder, each.text, (), now.decision,
        made is not None and made.decision != "put-right" if waits else made is not None, waits,
        "" if made is None else made.why, "" if made is None else made.until, kind="person",
        part="" if made is None else made.part, quantity=1 if made is None else made.quantity,
        number="" if made is None else made.number, is_active=not now.verdict,
    )  # fmt: skip
    before = "signed over" if each.decision is None else wording.decision_words(each.decision)
    said = carried_text(each, titles.get(each.step, ""))
    said = said.rstrip(".") if waits else said
    if waits:
        said += f" (found {each.day}, {before})" if each.day else f" (earlier: {before})"
    return FindingReport(finding, made, said, "", each.safety)


def _carried(results: Results, titles: Mapping[str, str], decision: Decision) -> FindingReport:
    name = decision.finding.rpartition(":")[2]
    step, _, rest = name.removeprefix("O.").removeprefix("X.").partition(".")
    reading, _, cylinder = rest.partition("@")
    finding = Finding(
        decision.finding, step, reading or None, cylinder or None, "", (), decision.decision, True,
        decision.decision in ("later", "get-part"), decision.why, decision.until, kind="person",
        part=decision.part, quantity=decision.quantity, number=decision.number,
    )  # fmt: skip
    said = "A finding of an earlier session"
    if step in titles:
        label = _label(results, finding)
        named = f"{titles[step]} – {label}" if label else titles[step]
        whose = f", {cylinder}" if cylinder else ""
        said = f"{named}{whose}: put off in an earlier session"
    return FindingReport(finding, decision, said, "", safety=False)


def grouped(reports: Sequence[FindingReport]) -> tuple[FindingGroup, ...]:
    """Findings under what explains them: open ones first, of those what touches safety."""
    known = {one.finding.id for one in reports}
    under: dict[str, list[FindingReport]] = {}
    heads: list[FindingReport] = []
    for one in reports:
        explained_by = one.finding.under
        if explained_by is not None and explained_by in known:
            under.setdefault(explained_by, []).append(one)
        else:
            heads.append(one)
    groups = (FindingGroup(head, tuple(_members(head.finding.id, under))) for head in heads)
    return tuple(sorted(groups, key=lambda group: group.rank))


def _members(head: str, under: Mapping[str, list[FindingReport]]) -> Iterable[FindingReport]:
    """All that a finding explains, what those explain among them."""
    for one in under.get(head, ()):
        yield one
        yield from _members(one.finding.id, under)


def rows_of(results: Results, finding: Finding) -> tuple[Row | None, Row | None]:
    """What was found and what was left where a finding is of one value."""
    if finding.kind != "value" or finding.reading is None:
        return None, None

    def row(phase: Phase) -> Row | None:
        assert finding.reading is not None
        place = (finding.step, finding.reading, finding.cylinder, phase)
        return results.row(*place) or results.derived_row(*place)

    return row(AS_FOUND), row(AS_LEFT)


def _words(results: Results, titles: Mapping[str, str], finding: Finding) -> str:
    """What it is about and what it reads: `Pads and disc – Inner pad: 1.5 mm → 4.5 mm`."""
    title = titles.get(finding.step, finding.step)
    found, left = rows_of(results, finding)
    if found is None and left is None:
        # Inferences and exchanges speak of more than one step; one of a cylinder begins with it.
        if finding.cylinder is not None and finding.text.startswith(f"{finding.cylinder}: "):
            return f"{title}, {finding.text}"
        if finding.kind in ("inference", "exchanged") or finding.text.startswith(f"{title}:"):
            return finding.text
        return f"{title} – {finding.text}"
    label = _label(results, finding)
    named = title if label == title else f"{title} – {label}"
    cylinder = "" if finding.cylinder is None else f", {finding.cylinder}"
    values = " → ".join(row_words(row) for row in (found, left) if row is not None)
    return f"{named}{cylinder}: {values}"


def _label(results: Results, finding: Finding) -> str:
    step = next((one.step for one in results.steps if one.step.id == finding.step), None)
    items: list[Reading | Derived] = [] if step is None else [*step.readings, *step.derived]
    return next((item.label for item in items if item.id == finding.reading), finding.text)


def _evidence(results: Results, finding: Finding) -> tuple[str, ...]:
    """Of a value the words say all; of cylinders held against each other what each reads."""
    if finding.kind == "value":
        return ()
    if finding.kind != "out-of-family" or finding.reading is None:
        return finding.evidence
    read = []
    for cylinder in results.machine.cylinders:
        rows = [results.row(finding.step, finding.reading, cylinder, each) for each in PHASES]
        shown = " → ".join(row_words(row) for row in rows if row is not None)
        read += [f"{cylinder} {shown}"] if shown else []
    return ("; ".join(read),) if read else finding.evidence


def _verdict_words(results: Results, finding: Finding) -> str:
    found, left = rows_of(results, finding)
    stands = left or found
    if stands is None or stands.judged.verdict == "pass":
        return ""
    brief = value_words.verdict_brief(stands.value, stands.unit, stands.judged)
    limit = value_words.limit_words(stands.judged.zone)
    if not limit or stands.judged.zone is None or stands.judged.zone.equal:
        return brief
    return f"{brief}, limit {limit}"
