"""What is different between two results of one session, in words."""

from __future__ import annotations

from inspect_tui.core.evaluation.conclusions.candidate import identity
from inspect_tui.core.model.results import DerivedRow, Finding, ReadingRow, Results


def changed_verdicts(before: Results, after: Results) -> tuple[str, ...]:
    """Every value whose verdict is another now: `place-air.pressure as found: pass, now fail`."""
    old = {**_verdicts(before)}
    said = []
    for place, (verdict, words) in _verdicts(after).items():
        was = old.get(place, ("none", ""))[0]
        if verdict != was:
            said.append(f"{place}: {was}, now {words or verdict}.")
    return tuple(said)


def newly_upset(before: Results, after: Results) -> tuple[str, ...]:
    """The steps that are to be measured again by now, a sentence each."""
    old = {result.step.id for result in before.steps if result.state == "again"}
    titles = {result.step.id: result.step.title for result in after.steps}
    return tuple(
        f"'{titles[result.upset_by]}' upset '{result.step.title}' ({result.step.id}): measure it "
        "again as left; the same value will do."
        for result in after.steps
        if result.state == "again" and result.step.id not in old
    )


def newly_waiting(before: Results, after: Results) -> tuple[str, ...]:
    """What moved with a reading that was taken as left, and is to be measured again too."""
    old = {(row.step, row.id, row.cylinder) for row in before.settings if row.waits_for}
    return tuple(
        f"{row.words.replace('. Then measure', ': measure')} Till then what rests on it stands as "
        "found."
        for row in after.settings
        if row.waits_for and (row.step, row.id, row.cylinder) not in old
    )


def newly_remarked(before: Results, after: Results) -> tuple[str, ...]:
    """What is to be said of the uncertainty of derived values, each once: an input without one."""
    old = {(row.step, row.id, remark) for row in before.derived for remark in row.judged.remarks}
    labels = {
        (result.step.id, derived.id): derived.label
        for result in after.steps
        for derived in result.step.derived
    }
    said = (
        f"{labels[row.step, row.id]}: {remark}."
        for row in after.derived
        for remark in row.judged.remarks
        if (row.step, row.id, remark) not in old
    )
    return tuple(dict.fromkeys(said))


def noticed(before: Results, after: Results) -> tuple[str, ...]:
    """What a new reading brought out beside its own verdict, in sentences without ids."""
    return tuple(finding.text for finding in noticed_findings(before, after))


def noticed_findings(before: Results, after: Results) -> tuple[Finding, ...]:
    """The findings that a new reading brought out beside its own verdict, and that speak now.

    A derived value that fails, parts exchanged, one out of family, an inference.
    """
    old = {finding.id for finding in before.findings if _is_said(finding)}
    derived = {
        identity(row.step, row.id, row.cylinder) for row in after.derived
    }  # a reading's own verdict is said with the reading
    return tuple(
        finding
        for finding in after.findings
        if _is_said(finding)
        and finding.id not in old
        and (finding.kind != "value" or finding.id in derived)
    )


def _is_said(finding: Finding) -> bool:
    return finding.open or (finding.remark and finding.is_active)


def _verdicts(results: Results) -> dict[str, tuple[str, str]]:
    rows: list[ReadingRow | DerivedRow] = [*results.readings, *results.derived]
    found: dict[str, tuple[str, str]] = {}
    for row in rows:
        value = row.reading if isinstance(row, ReadingRow) else row.id
        place = f"{identity(row.step, value, row.cylinder)} {row.phase.replace('-', ' ')}"
        found[place] = row.judged.verdict, row.judged.words
    return found
