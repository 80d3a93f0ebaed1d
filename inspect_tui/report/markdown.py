"""The report as Markdown (CommonMark with tables).

Every text from files and people is escaped, so that none of it acts as markup, HTML or a link.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from inspect_tui.core.presentation import limit_strip, wording
from inspect_tui.core.session.replay import Note
from inspect_tui.report.content import (
    FindingReport,
    Report,
    StepReport,
    broken_words,
    confirmed_words,
    photo_words,
)
from inspect_tui.report.rows import Line

STRIP_WIDTH = 32
_ACTIVE = re.compile(r"([\\`*_{}\[\]<>#|~&$^]|:(?![\s\d]|$)|(?:^|(?<==))=|!(?=\[))")
_ADDRESS = re.compile(
    r"(?<=www)\.|\.(?=(?:[^\W\d_]{2}|biz|com|edu|gov|net|org|pro|web|xxx|aero|asia|coop|info|museum|"
    r"name|shop|рф|xn--[\w-]+)(?!\w))|(?<!\w)@|@(?![\w-]+(?:[^\w.-]|\.(?!\w)|$))",
    re.IGNORECASE,
)
"""A dot or `@` of which readers make a link, to a host, a mailbox or a person.

The endings are those that readers know as a host's; `belt.width@PTO` and 31.75 stay as they are.
"""
_NUMBERED = re.compile(r"^(\d+)([.)])(?!\d)")


def text(words: str) -> str:
    """A text as Markdown that shows exactly it, on one line; line ends become `<br>`."""
    lines = (" ".join(line.split()) for line in wording.visible(words).split("\n"))
    return "<br>".join(_escaped(line) for line in lines).strip()


def _escaped(line: str) -> str:
    line = _ADDRESS.sub(r"\\\g<0>", _ACTIVE.sub(r"\\\1", line))
    line = _NUMBERED.sub(r"\1\\\2", line)
    return re.sub(r"^([-+])(?!\d)", r"\\\1", line)


def write(report: Report) -> bytes:
    """The report as Markdown, UTF-8."""
    blocks = [*_head(report), *_findings(report), *_walk(report), *_ending(report)]
    return ("\n\n".join(block for block in blocks if block) + "\n").encode()


def _head(report: Report) -> Iterator[str]:
    yield f"# {text(report.title.machine)}"
    yield _table(("", ""), report.title.fields())
    yield f"**{text(wording.SAFETY)}**"
    yield "## Sign-off"
    yield text(report.signed_words)
    signed = report.session.signed
    if report.still_open:
        yield "Left open:" if signed else "In the way of the sign-off:"
        yield _list(report.still_open)
    yield from map(text, report.accepted_words)
    if report.session.addenda:
        yield "## Added after the sign-off"
        yield _list(map(_said, report.session.addenda))
    yield "## Cautions" if report.cautions else ""
    yield _list(report.cautions)
    yield text(confirmed_words(report.cautions_confirmed)) if report.cautions else ""
    if report.conditions or report.gauges:
        yield "## Conditions and gauges"
        yield _table(("", ""), [*report.conditions, *(("gauge", one) for one in report.gauges)])


def _findings(report: Report) -> Iterator[str]:
    yield "## Findings"
    if not report.findings:
        yield "None."
    for one in report.findings:
        finding = one.finding
        yield f"### {text(finding.id)} ({one.state})"
        yield text(finding.text)
        yield _list(_evidence(one))
        yield f"Decision: {text(one.decision_words)}"
    yield from _group("Parts to get", report.parts)
    for until, group in report.carry:
        yield from _group(f"To carry to {until}" if until else "To put right later", group)


def _evidence(one: FindingReport) -> Iterator[str]:
    yield from one.finding.evidence
    if one.finding.sure:
        yield f"How sure: {wording.SURE.get(one.finding.sure, one.finding.sure)}"
    if one.finding.look_at:
        yield f"Would settle it: {', '.join(one.finding.look_at)}"


def _group(title: str, group: Sequence[FindingReport]) -> Iterator[str]:
    if group:
        yield f"## {text(title)}"
        yield _list(f"{one.finding.text} [{one.finding.id}]" for one in group)


def _walk(report: Report) -> Iterator[str]:
    yield "## Steps"
    yield f"Signs on the limit strips: `{limit_strip.legend()}`"
    for section in report.sections:
        yield f"### {text(section.title)}"
        for step in section.steps:
            yield from _step(step)


def _step(step: StepReport) -> Iterator[str]:
    yield f"#### {text(step.step.title)} ({text(step.step.id)}): {text(step.state_words)}"
    if step.step.caution:
        yield f"Caution: {text(step.step.caution)} ({text(step.caution_words)})"
    if step.result.why_skipped:
        yield f"Skipped: {text(step.result.why_skipped)}"
    yield _list(step.result.advice)
    if step.lines:
        heads = ("Reading", "As found", "As left", "Limit", "Verdict", "Strip")
        yield _table(heads, map(_cells, step.lines), escaped=True)
    yield _list(step.extras)
    yield _list(f"Note: {_said(note)}" for note in step.notes)
    yield _list(f"Photo: {photo_words(photo)}" for photo in step.photos)


def _cells(line: Line) -> tuple[str, ...]:
    strips = (limit_strip.draw(drawn, STRIP_WIDTH).text for drawn in line.strips)
    found, left = line.shown
    return (
        text(line.name), text(found), text(left), text(line.limit), text(line.verdict),
        "<br>".join(f"`{drawn}`" for drawn in strips),
    )  # fmt: skip


def _ending(report: Report) -> Iterator[str]:
    yield "## Log"
    yield text(report.log_words)
    yield _list((*report.log_faults, *broken_words(report.broken)))
    yield _list(
        f"Entry {one.n} of the unknown kind '{one.kind}' is kept." for one in report.unknown
    )
    yield "## Who did what, when"
    yield _table(
        ("n", "When", "Who", "What"),
        (
            (
                str(one.n),
                wording.when(one.at),
                one.by,
                one.words + ("" if one.sound else " [broken]"),
            )
            for one in report.history
        ),
    )


def _said(note: Note) -> str:
    return f"{note.text} ({note.by}, {wording.when(note.at)})"


def _list(items: Iterable[str]) -> str:
    return "\n".join(f"- {text(item)}" for item in items)


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]], *, escaped: bool = False) -> str:
    lines = [" | ".join(heads), " | ".join("---" for _ in heads)]
    lines += [" | ".join(one if escaped else text(one) for one in row) for row in rows]
    return "\n".join(f"| {line} |" for line in lines)
