"""The report as one HTML file: no scripts, nothing from elsewhere, everything escaped."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape

from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.limit_strip import DRAWN_LEGEND
from inspect_tui.core.session.replay import Note, Photo
from inspect_tui.report.content import (
    FindingReport,
    Report,
    StepReport,
    broken_words,
    confirmed_words,
    photo_words,
)
from inspect_tui.report.html_style import STYLE
from inspect_tui.report.rows import Line
from inspect_tui.report.svg_strip import svg

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


METADATA_KEPT = (
    '<p class="photo-metadata">The photos in this file keep what the camera wrote into them, such '
    "as place, time and owner.</p>"
)


def text(words: str) -> str:
    """A text as HTML that shows exactly it; line ends stay line ends."""
    return escape(wording.visible(words))


def write(report: Report) -> bytes:
    """The report as HTML, UTF-8."""
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="referrer" content="no-referrer">',
        f"<title>{text(report.title.machine)}: {text(report.title.checklist)}</title>",
        f"<style>{STYLE}</style>",
        "</head>",
        "<body>",
        "<main>",
        *_head(report),
        *_findings(report),
        *_walk(report),
        *_ending(report),
        "</main>",
        "</body>",
        "</html>",
    ]
    return ("\n".join(part for part in parts if part) + "\n").encode()


def _head(report: Report) -> Iterator[str]:
    yield '<dl class="block">'
    for label, words in report.title.fields():
        yield f"<div><dt>{text(label)}</dt><dd>{text(words)}</dd></div>"
    yield "</dl>"
    yield f'<p class="safety">{text(wording.SAFETY)}</p>'
    yield "<h2>Sign-off</h2>"
    signed = report.session.signed
    yield _paragraph(report.signed_words)
    if report.still_open:
        yield _paragraph("Left open:" if signed else "In the way of the sign-off:")
        yield _list(report.still_open)
    yield from map(_paragraph, report.accepted_words)
    if report.session.addenda:
        yield "<h2>Added after the sign-off</h2>"
        yield _list(map(_said, report.session.addenda))
    if report.cautions:
        yield "<h2>Cautions</h2>"
        yield _list(report.cautions)
        yield _paragraph(confirmed_words(report.cautions_confirmed), "faint")
    if report.conditions or report.gauges:
        yield "<h2>Conditions and gauges</h2>"
        rows = [*report.conditions, *(("gauge", gauge) for gauge in report.gauges)]
        yield _table((), (map(text, row) for row in rows))


def _findings(report: Report) -> Iterator[str]:
    yield "<h2>Findings</h2>"
    if not report.findings:
        yield _paragraph("None.")
    for one in report.findings:
        yield from _finding(one)
    yield from _group("Parts to get", report.parts)
    for until, group in report.carry:
        yield from _group(f"To carry to {until}" if until else "To put right later", group)


def _finding(one: FindingReport) -> Iterator[str]:
    finding = one.finding
    yield "<article>"
    title = f'{text(finding.text)} <span class="id">{text(finding.id)}</span>'
    yield f'<h3><span>{title}</span><span class="state">{one.state}</span></h3>'
    evidence = list(finding.evidence)
    if finding.sure:
        evidence.append(f"How sure: {wording.SURE.get(finding.sure, finding.sure)}")
    if finding.look_at:
        evidence.append(f"Would settle it: {', '.join(finding.look_at)}")
    yield _list(evidence)
    yield _paragraph(f"Decision: {one.decision_words}")
    yield "</article>"


def _group(title: str, group: Sequence[FindingReport]) -> Iterator[str]:
    if group:
        yield f"<h2>{text(title)}</h2>"
        yield _list(f"{one.finding.text} [{one.finding.id}]" for one in group)


def _walk(report: Report) -> Iterator[str]:
    yield _paragraph(DRAWN_LEGEND, "faint")
    for section in report.sections:
        yield f"<h2>{text(section.title)}</h2>"
        for step in section.steps:
            yield from _step(step, report.pictures)


def _step(step: StepReport, pictures: Mapping[str, bytes]) -> Iterator[str]:
    yield "<article>"
    title = f'{text(step.step.title)} <span class="id">{text(step.step.id)}</span>'
    yield f"<h3><span>{title}</span>{_state(step)}</h3>"
    if step.step.caution:
        confirmed = f'<span class="faint">({text(step.caution_words)})</span>'
        yield f'<p class="text caution">Caution: {text(step.step.caution)} {confirmed}</p>'
    if step.result.why_skipped:
        yield _paragraph(f"Skipped: {step.result.why_skipped}")
    yield _list(step.result.advice)
    if step.lines:
        heads = ("Reading", "As found", "As left", "Limit", "Verdict", "Strip")
        yield _table(heads, map(_cells, step.lines), "readings")
    yield _list(step.extras, "faint")
    yield _list(f"Note: {_said(note)}" for note in step.notes)
    for photo in step.photos:
        yield _figure(photo, pictures.get(photo.photo))
    yield "</article>"


def _figure(photo: Photo, jpeg: bytes | None) -> str:
    words = f"<figcaption>Photo: {text(photo_words(photo))}</figcaption>"
    if jpeg is None:
        return f"<figure>{words}</figure>"
    data = base64.b64encode(jpeg).decode("ascii")
    return f'<figure><img alt="" src="data:image/jpeg;base64,{data}">{words}</figure>'


def _state(step: StepReport) -> str:
    verdict: Verdict = "none"
    if step.result.failed:
        verdict = "fail"
    elif step.result.uncertain:
        verdict = "uncertain"
    return f'<span class="state {verdict}">{text(step.state_words)}</span>'


def _cells(line: Line) -> tuple[str, ...]:
    verdicts = "\n".join(
        f'<span class="{verdict}">{text(words)}</span>' for verdict, words in line.verdicts
    )
    strips = "".join(svg(drawn, line.strip_words) for drawn in line.strips)
    found, left = line.shown
    return (
        text(line.name), text(found), text(left), text(line.limit),
        verdicts, strips,
    )  # fmt: skip


def _ending(report: Report) -> Iterator[str]:
    if report.photo_metadata:
        yield METADATA_KEPT
    yield "<h2>Log</h2>"
    yield _paragraph(report.log_words, "text" if report.log.whole else "text fail")
    unknown = [f"Entry {one.n} of the unknown kind '{one.kind}' is kept." for one in report.unknown]
    yield _list([*report.log_faults, *broken_words(report.broken), *unknown])
    yield "<h2>Who did what, when</h2>"
    rows = (
        (str(one.n), wording.when(one.at), one.by, one.words + ("" if one.sound else " [broken]"))
        for one in report.history
    )
    yield _table(("n", "When", "Who", "What"), (map(text, row) for row in rows), "log")


def _said(note: Note) -> str:
    return f"{note.text} ({note.by}, {wording.when(note.at)})"


def _paragraph(words: str, kind: str = "text") -> str:
    return f'<p class="{kind}">{text(words)}</p>'


def _list(items: Iterable[str], kind: str = "") -> str:
    rows = "\n".join(f"<li>{text(item)}</li>" for item in items)
    named = f' class="{kind}"' if kind else ""
    return f"<ul{named}>\n{rows}\n</ul>" if rows else ""


def _table(heads: Sequence[str], rows: Iterable[Iterable[str]], kind: str = "") -> str:
    """A table; the cells are HTML already."""
    named = f' class="{kind}"' if kind else ""
    lines = [f'<div class="wide"><table{named}>']
    if heads:
        cells = "".join(f'<th scope="col">{head}</th>' for head in heads)
        lines.append(f"<thead><tr>{cells}</tr></thead>")
    lines.append("<tbody>")
    lines += ["<tr>" + "".join(f"<td>{one}</td>" for one in row) + "</tr>" for row in rows]
    lines.append("</tbody></table></div>")
    return "\n".join(lines)
