"""Page one as blocks: may it be ridden, who signed, put right, still open, parts, set-up card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from inspect_tui.core.evaluation.job.parts import Part
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import part_words
from inspect_tui.core.session.replay import Note
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.report.content.found import FindingReport
from inspect_tui.report.content.page_one import NOT_TO_BE_RUN
from inspect_tui.report.content.report import Report, part_for
from inspect_tui.report.content.set_up import CardLine, SetUpWords
from inspect_tui.report.content.times import until_words
from inspect_tui.report.pages.blocks import (
    Alarm,
    Block,
    Bullets,
    Cell,
    Column,
    Heading,
    Ink,
    Row,
    Table,
    Text,
    some,
)

CARD = (
    Column("Set up", 4.3), Column("Found", 1.75, "value"), Column("Left", 1.35, "value"),
    Column("Sheet", 2.1),
)  # fmt: skip
CARD_LEGEND = (
    "Nothing under Left: it stands as found. The sign is the verdict on what stands; the sheet is "
    "the machine's own."
)
CARD_FOUND = (Column("Set up", 5), Column("Found", 1.5, "value"), Column("Sheet", 2))
"""Where nothing was measured again."""
MAX_OPEN_ROWS = 8
"""Rows of a table; more are said in short, by what was decided."""
MAX_OPEN = 36
MAX_SHORT = 62
"""Letters of one that is said in short."""
MAX_PART_ROWS = 3
MOST_SIDE_BY_SIDE = 4
"""Cylinders that have columns of their own; more stand under each other."""


def page_one_blocks(report: Report) -> Iterator[Block]:
    """Everything that stands on page one."""
    title = report.title
    yield Heading(title.machine, 1)
    if report.page_one.is_stopped:
        yield Alarm(f"{NOT_TO_BE_RUN}, because:", report.page_one.reasons)
    yield Text(f"{title.checklist}, revision {title.revision}. {report.days}.", "subtitle")
    yield Text(report.signed_words, "strong", "none" if report.log.whole else "fail")
    yield Text(report.accepted_words)
    if report.session.signed is None:
        done = report.page_one.done
        yield Text(f"{done} of {pluralize(report.page_one.of, 'step')} done.")
    yield from _added(report)
    yield from _put_right(report)
    yield from _still_open(report)
    yield from _parts(report)
    yield from some(Heading("Left out"), Text(report.page_one.left_out))
    yield from _card(report.card)
    yield from _not_done(report)
    yield Text(wording.SAFETY)
    yield Ink(("Signature", "Date"))


def _added(report: Report) -> Iterator[Block]:
    added = tuple(said(report, note) for note in report.session.addenda)
    yield from some(Heading("Added after the sign-off"), Bullets(added))


def said(report: Report, note: Note) -> str:
    """A person's words with when, and by whom."""
    return f"{note.text} ({report.stamp(note.by, note.at)})"


def _put_right(report: Report) -> Iterator[Block]:
    items = tuple(one.words for one in report.page_one.put_right)
    yield from some(Heading(f"Put right ({len(items)})"), Bullets(items, columns=2))


def _still_open(report: Report) -> Iterator[Block]:
    """Why it was decided so stands with the findings."""
    found = report.page_one.still_open
    heading = Heading(f"Still open, or run as found ({len(found)})")
    if len(found) > MAX_OPEN_ROWS:
        yield heading
        yield from _open_by_decision(found)
        return
    columns = (Column("What", 5), Column("Decided", 2), Column("Until", 1.5))
    rows = tuple(Row(tuple(map(Cell, _open_cells(one)))) for one in found)
    yield from some(heading, Table("What is still open", columns, rows))


def _open_by_decision(found: Sequence[FindingReport]) -> Iterator[Block]:
    """Many of them in short, by what was decided; each in full among the findings."""
    groups: dict[tuple[str, str], list[str]] = {}
    for one in found[:MAX_OPEN]:
        words, decided, until = _open_cells(one)
        groups.setdefault((decided, until), []).append(_short(words))
    items: list[str] = []
    heads: set[int] = set()
    for (decided, until), here in groups.items():
        when = "" if until in ("", "no date") else f", until {until}"
        heads.add(len(items))
        items += [f"{decided[:1].upper()}{decided[1:]}{when} ({len(here)}):", *here]
    yield Bullets(tuple(items), columns=2, heads=frozenset(heads))
    if len(found) > MAX_OPEN:
        yield Text(f"And {len(found) - MAX_OPEN} more, under Findings.", "strong")


def _short(words: str) -> str:
    """The first sentence, or its first words: what it is, not what to do about it."""
    first = words.partition(". ")[0]
    if len(first) <= MAX_SHORT:
        return first
    kept = first[:MAX_SHORT].rpartition(" ")[0].rstrip(",:;")
    return f"{kept} …"


def _open_cells(one: FindingReport) -> tuple[str, str, str]:
    finding = one.finding
    decided = wording.decision_words(finding.decision)
    if finding.decision is not None and finding.open and not finding.counts:
        decided += ", does not count yet"
    until = until_words(finding.until) if finding.until else ""
    if not until and finding.decision in ("later", "get-part"):
        until = "no date"
    return one.words, decided, until


def _parts(report: Report) -> Iterator[Block]:
    columns = (
        Column("Part", 3), Column("Number", 1.6), Column("How many", 1), Column("State", 1),
        Column("For", 3.4),
    )  # fmt: skip
    if len(report.parts) > MAX_PART_ROWS:  # what each is for stands with the findings
        items = tuple(f"{_part_in_short(part)}: {part.state}" for part in report.parts)
        yield from some(Heading(f"Parts ({len(items)})"), Bullets(items, columns=2))
        return
    rows = tuple(Row(tuple(map(Cell, _part_cells(report, part)))) for part in report.parts)
    yield from some(Heading("Parts"), Table("Parts", columns, rows))


def _part_in_short(part: Part) -> str:
    return part_words(part.part, f"{part.quantity:g}", part.number)


def _part_cells(report: Report, part: Part) -> tuple[str, ...]:
    return (part.part, part.number, f"{part.quantity:g}", part.state, part_for(report, part))


def parts_lines(parts: Sequence[Part]) -> tuple[str, ...]:
    """Parts that are still to be got, a line each."""
    return tuple(_part_in_short(part) for part in parts if part.state == "to get")


# --- the set-up card --------------------------------------------------------------------------


def _card(card: Sequence[CardLine]) -> Iterator[Block]:
    of_cylinders = [line for line in card if line.per_cylinder]
    of_machine = [line for line in card if not line.per_cylinder]
    tables = [_of_cylinders(of_cylinders)] if of_cylinders else []
    if of_machine:
        left = _any_left(of_machine)
        rows = tuple(_card_row(line.label, line.values[0], left=left) for line in of_machine)
        columns = CARD if left else CARD_FOUND
        tables.append(Table("Set-up of the machine", columns, rows, halves=True))
    if tables:
        yield Heading("Set-up card")
        if _any_left(card):
            yield Text(CARD_LEGEND, "faint")
        yield from tables


def _any_left(lines: Sequence[CardLine]) -> bool:
    """Whether anything was measured again: else there is no column for it."""
    return any(value.left for line in lines for value in line.values)


def _of_cylinders(lines: Sequence[CardLine]) -> Table:
    names = [value.cylinder or "" for value in lines[0].values]
    left = _any_left(lines)
    if len(names) > MOST_SIDE_BY_SIDE:
        rows = [
            _card_row(f"{line.label}, {value.cylinder}", value, left=left)
            for line in lines
            for value in line.values
        ]
        columns = CARD if left else CARD_FOUND
        return Table("Set-up by cylinder", columns, tuple(rows))
    phases = ("Found", "Left") if left else ("Found",)
    heads = tuple(Column(head, 1.4, "value") for _ in names for head in phases)
    over = (("", 1), *((name, len(phases)) for name in names), ("", 1))
    if not left:
        heads, over = tuple(Column(name, 1.1, "value") for name in names), ()
    rows = [
        Row(
            (
                Cell(line.label), *(c for v in line.values for c in _card_cells(v, left=left)),
                Cell(_sheet(line)),
            )
        )
        for line in lines
    ]  # fmt: skip
    label, sheet = (3.3, 3.2) if left else (3.7, 4.6)
    shares = (Column("Set up", label), *heads, Column("Sheet", sheet))
    return Table(
        "Set-up by cylinder", shares, tuple(rows), over=over,
    )  # fmt: skip


def _sheet(line: CardLine) -> str:
    """What the sheet says of all cylinders, and of each where they differ; the chart beside it."""
    said = [
        value.sheet + (f" (chart {value.chart})" if value.chart else "") for value in line.values
    ]
    known = list(dict.fromkeys(each for each in said if each))
    if len(known) < 2:
        return "".join(known)
    return ", ".join(
        f"{value.cylinder} {words}" for value, words in zip(line.values, said, strict=True) if words
    )


def _card_row(label: str, value: SetUpWords, *, left: bool) -> Row:
    sheet = value.sheet + (f" (chart {value.chart})" if value.chart else "")
    return Row((Cell(label), *_card_cells(value, left=left), Cell(sheet)))


def _card_cells(value: SetUpWords, *, left: bool) -> tuple[Cell, ...]:
    """Found and left; the sign of the verdict at what stands."""
    sign = wording.VERDICTS[value.verdict].sign + " " if value.verdict != "none" else ""
    if value.left:
        return Cell(value.found), Cell(f"{sign}{value.left}", value.verdict)
    found = Cell(f"{sign}{value.found}" if value.found else "", value.verdict)
    return (found, Cell()) if left else (found,)


def _not_done(report: Report) -> Iterator[Block]:
    """What an open session still has before it, by section."""
    open_ones = {result.step.id for result in report.page_one.not_done}
    items = []
    for section in report.sections:
        titles = [one.step.title for one in section.steps if one.step.id in open_ones]
        if titles:
            items.append(f"{section.title}: {'; '.join(titles)}")
    yield from some(Heading(f"Not done ({len(open_ones)})"), Bullets(tuple(items)))
