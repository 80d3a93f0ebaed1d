"""What is different between two results of one session, in words."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_tui.core.evaluation.conclusions.candidate import identity
from inspect_tui.core.model.results import DerivedRow, Finding, ReadingRow, Results
from inspect_tui.core.text.formatting import join_words


def changed_verdicts(before: Results, after: Results) -> tuple[str, ...]:
    """Every value whose verdict is another now: `place-air.pressure as found: pass, now fail`."""
    old = {**_verdicts(before)}
    said = []
    for place, (verdict, words) in _verdicts(after).items():
        was = old.get(place, ("none", ""))[0]
        if verdict != was:
            said.append(f"{place}: {was}, now {words or verdict}.")
    return tuple(said)


def changed_in_words(before: Results, after: Results) -> tuple[str, ...]:
    """The same for a screen: `Belt, Width as found: not judged, now fail: 0.2 mm under.`

    Steps that the machine does without by now, or needs after all, are said too.
    """
    old = {**_verdicts(before)}
    words = {"none": "not judged"}
    said = []
    for row, name in _named_rows(after):
        verdict = row.judged.verdict
        was = old.get(_place(row), ("none", ""))[0]
        if verdict != was:
            now = words.get(verdict, verdict)
            more = f": {row.judged.words}" if row.judged.words not in ("", now) else ""
            whose = f", {row.cylinder}" if row.cylinder is not None else ""
            phase = row.phase.replace("-", " ")
            said.append(f"{name}{whose} {phase}: {words.get(was, was)}, now {now}{more}.")
    needed = {result.step.id: result.state != "not-needed" for result in before.steps}
    for is_needed, then in ((False, "Not needed now"), (True, "Needed now")):
        titles = [
            result.step.title
            for result in after.steps
            if (result.state != "not-needed") is is_needed
            and needed.get(result.step.id, is_needed) is not is_needed
        ]
        if titles:
            said.append(f"{then}: {join_words(titles, 4)}.")
    return tuple(said)


def _named_rows(results: Results) -> Iterator[tuple[ReadingRow | DerivedRow, str]]:
    """Each value with its step's title and its own label."""
    names: dict[tuple[str, str], str] = {}
    for result in results.steps:
        step = result.step
        for id_, label in (
            *((each.id, each.label) for each in step.readings),
            *((each.id, each.label) for each in step.derived),
        ):
            names[step.id, id_] = f"{step.title}, {label}"
    for reading in results.readings:
        yield reading, names.get((reading.step, reading.reading), reading.reading)
    for derived in results.derived:
        yield derived, names.get((derived.step, derived.id), derived.id)


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
        f"{row.words.replace('. Then measure', ': measure')} Till then what is worked out from it "
        "stands as found."
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
        found[_place(row)] = row.judged.verdict, row.judged.words
    return found


def _place(row: ReadingRow | DerivedRow) -> str:
    value = row.reading if isinstance(row, ReadingRow) else row.id
    return f"{identity(row.step, value, row.cylinder)} {row.phase.replace('-', ' ')}"
