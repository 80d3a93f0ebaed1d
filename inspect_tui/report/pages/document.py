"""The whole report as blocks, in the order in which it is read; every page format draws these."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby

from inspect_tui.core.evaluation.job.systems import systems_of
from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.pictures import (
    cylinder_bars,
    cylinder_bars_vector,
    machine_drawing,
    machine_vector,
    trend_plot,
    trend_plot_vector,
)
from inspect_tui.core.presentation.pictures.cylinder_bars import BarChart
from inspect_tui.core.seasons.trend_picture import plot_of, words_of
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.report.content.cylinder_charts import charts
from inspect_tui.report.content.found import FindingGroup, FindingReport
from inspect_tui.report.content.report import Report, broken_words, unknown_words
from inspect_tui.report.content.times import day
from inspect_tui.report.pages.blocks import (
    Alarm,
    Block,
    Bullets,
    Cell,
    Column,
    Entries,
    Entry,
    Facts,
    Heading,
    Picture,
    Pictures,
    Row,
    Table,
    Text,
    some,
)
from inspect_tui.report.pages.page_one import page_one_blocks
from inspect_tui.report.pages.readings import readings_blocks

DRAWN_COLUMNS, DRAWN_ROWS = 76, 26
"""Cells of the machine's drawing where it is drawn in characters."""
BARS_COLUMNS = 72
MOST_SEASONS = 3
"""Readings drawn over the seasons: a sheet of paper's worth."""
SEASON_COLUMNS, SEASON_ROWS = 72, 16
BARS_LEGEND = (
    "Where something was noticed. A ring is the value as found, a full dot as left; the whiskers "
    "are its uncertainty (k = 2); the tinted band lies between the limits."
)


def document_with(
    report: Report, title_block: Sequence[str], draw: Callable[[Block], Iterator[str]]
) -> Iterator[str]:
    """Everything drawn in a format that has its title block at the top: under name and warning."""
    blocks = document(report)
    top = next(n for n, each in enumerate(blocks) if not isinstance(each, Heading | Alarm))
    for block in blocks[:top]:
        yield from draw(block)
    yield from title_block
    for block in blocks[top:]:
        yield from draw(block)


def document(report: Report) -> tuple[Block, ...]:
    """All of it."""
    return (
        *page_one_blocks(report),
        *_before(report),
        *_machine(report),
        *_findings(report),
        *_cylinders(report),
        *readings_blocks(report),
        *_seasons(report),
        *_log(report),
    )


def _machine(report: Report) -> Iterator[Block]:
    drawing = report.extras.drawing
    if drawing is None:
        return
    shown = systems_of(report.results)
    picture = machine_drawing.draw(drawing, shown, DRAWN_COLUMNS, DRAWN_ROWS)
    yield Heading("The machine")
    yield Pictures((Picture(machine_vector.vector(drawing, shown), picture.lines),))


def _before(report: Report) -> Iterator[Block]:
    """Cautions, air and what else holds for all that follows."""
    confirmed = report.confirmed_words(report.cautions_confirmed)
    yield from some(
        Heading("Cautions"), Bullets(report.cautions),
        Text(f"The list's cautions were {confirmed}." if report.cautions else "", "faint"),
    )  # fmt: skip
    yield from some(Heading("The air it runs in, and the jet chart"), Facts(report.conditions))
    figures = tuple(
        (
            each.name.replace("_", " ") + ("" if each.cylinder is None else f", {each.cylinder}"),
            f"{_figure(each.value)} ({each.source}; {report.stamp(each.by, each.at)})",
        )
        for each in report.session.figures
    )
    yield from some(Heading("Figures of the machine that were entered"), Facts(figures))


def _figure(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)


def _findings(report: Report) -> Iterator[Block]:
    yield Heading("Findings")
    told = [group for group in report.groups if not _said_on_page_one(group)]
    if not report.findings:
        yield Text("None.")
    yield Entries(tuple(_group(report, group) for group in told))
    if len(told) < len(report.groups):
        count = pluralize(len(report.groups) - len(told), "other", "others")
        yield Text(f"{count} came right; page one has them.", "faint")


def _said_on_page_one(group: FindingGroup) -> bool:
    """Whether `Put right` says all there is: a value that came right, and nobody had to decide."""
    return all(
        one.finding.kind == "value" and one.state == "put right" and one.finding.decision is None
        for one in (group.head, *group.under)
    )


def _group(report: Report, group: FindingGroup) -> Entry:
    head = group.head
    lines = list(_evidence(head))
    if head.finding.decision is not None or head.finding.open:
        lines.append(f"Decision: {_decision(report, head)}")
    verdict: Verdict = "fail" if head.finding.open and not head.finding.remark else "none"
    under = tuple((one.words, _under(report, group, one)) for one in group.under)
    return Entry(_headed(head), head.state, tuple(lines), under, verdict)


def _headed(one: FindingReport) -> str:
    if one.verdict_words and one.verdict_words not in one.words:
        return f"{one.words} ({one.verdict_words})"
    return one.words


def _under(report: Report, group: FindingGroup, one: FindingReport) -> str:
    """The state of what is explained; its own decision where it got one."""
    finding = one.finding
    if one.made is None or one.made.finding != finding.id or one.made is group.head.made:
        return one.state
    return f"{one.state}: {_decision(report, one)}"


def _evidence(one: FindingReport) -> Iterator[str]:
    finding = one.finding
    yield from one.evidence
    if finding.sure:
        yield f"How sure: {wording.SURE.get(finding.sure, finding.sure)}"
    if one.look_at:
        yield f"Would settle it: {'; '.join(one.look_at)}"


def _decision(report: Report, one: FindingReport) -> str:
    words = one.decision_words
    return words if one.made is None else f"{words} ({report.stamp(one.made.by, one.made.at)})"


def _cylinders(report: Report) -> Iterator[Block]:
    pictures = tuple(map(_bars, charts(report.results)))
    if pictures:
        yield Heading("Cylinders side by side")
        yield Text(BARS_LEGEND, "faint")
        yield Pictures(pictures, small=True)


def _bars(chart: BarChart) -> Picture:
    rows = 2 * len(chart.bars) + 4
    drawn = cylinder_bars.draw(chart, BARS_COLUMNS, rows)
    vector = cylinder_bars_vector.vector(chart, cylinder_bars_vector.SMALL_WIDTH, explained=False)
    return Picture(vector, drawn.lines, chart.label)


def _seasons(report: Report) -> Iterator[Block]:
    """The readings that reach a limit soonest, over the machine's sessions up to this one."""
    shown = report.extras.seasons[:MOST_SEASONS]
    if not shown:
        return
    yield Heading("Over the seasons")
    for each in shown:
        plot = plot_of(each)
        drawn = trend_plot.draw(plot, SEASON_COLUMNS, SEASON_ROWS)
        yield Pictures((Picture(trend_plot_vector.vector(plot), drawn.lines),))
        yield Text(" ".join(words_of(each)) or "It has no limit.")
    more = len(report.extras.seasons) - len(shown)
    if more:
        count = pluralize(more, "other reading", "other readings")
        yield Text(f"{count} of two sessions or more: see the machine's own page.", "faint")


def _log(report: Report) -> Iterator[Block]:
    yield Heading("Log")
    yield Text(report.log_words, verdict="none" if report.log.whole else "fail")
    yield Bullets((*report.log_faults, *broken_words(report), *unknown_words(report.unknown)))
    if not report.extras.with_log:
        return
    yield Heading("Who did what, when")
    columns = (Column("n", 0.5), Column("At", 0.8), Column("What", 8))
    for (at, by), events in groupby(report.history, lambda one: (one.at.date(), one.by)):
        rows = tuple(
            Row(
                (
                    Cell(str(one.n)), Cell(report.times.clock(one.at)),
                    Cell(one.words + ("" if one.sound else " [broken]")),
                )
            )
            for one in events
        )  # fmt: skip
        yield Table(f"{day(at)}, {by}", columns, rows)
