"""The readings by section, as blocks: found and left in their own columns, limit and verdict.

What passes and needs no figure (an answer that is the wanted one) stands on one line together, so
that what was measured is seen. Cylinders stand beside each other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import StepState, Verdict
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.limit_strip import DRAWN_LEGEND
from inspect_tui.core.text.formatting import join_words
from inspect_tui.report.content.report import Report
from inspect_tui.report.content.rows import Line, Stood
from inspect_tui.report.content.steps import SectionReport, StepReport
from inspect_tui.report.pages.blocks import (
    Across,
    Band,
    Block,
    Bullets,
    Cell,
    Column,
    Heading,
    Row,
    Shown,
    Table,
    TableRow,
    Text,
)
from inspect_tui.report.pages.page_one import MOST_SIDE_BY_SIDE, said

PLAIN = (
    Column("Reading", 2.7), Column("As found", 1.7, "value"), Column("As left", 1.4, "value"),
    Column("Limit", 2.0), Column("Strip", 1.6, "strip"), Column("Verdict", 2.6),
)  # fmt: skip
LEGEND = (
    "A number before a step is its number on the screen and on the blank sheets. "
    "A step without a word beside it is done. "
    + ", ".join(f"{mark.sign} {mark.word}" for mark in wording.VERDICTS.values())
    + ". ± is the uncertainty (k = 2) by which a value was judged. Where nobody is named it was "
    "the person in the title block. "
)
LONGEST_ANSWER = 40
"""Characters of an answer that may stand on a line with others."""


class Sources:
    """Where limits come from, a letter each; the commonest needs none."""

    def __init__(self, lines: Iterable[Line]) -> None:
        counted = Counter(line.source for line in lines if line.source)
        self.usual, *others = [source for source, _ in counted.most_common()] or [""]
        self.letters = {source: _letter(number) for number, source in enumerate(others)}

    def mark(self, source: str) -> str:
        """What stands behind a limit."""
        letter = self.letters.get(source)
        return f" ({letter})" if letter else ""

    def legend(self) -> str:
        """What the letters mean."""
        if not self.usual:
            return ""
        named = "; ".join(f"({letter}) {source}" for source, letter in self.letters.items())
        rest = f"; {named}" if named else ""
        return f"Limits are from: {self.usual}, where no letter stands{rest}."


def _letter(number: int) -> str:
    """a, b ... z, aa, ab ..."""
    first, last = divmod(number, 26)
    return (_letter(first - 1) if first else "") + chr(ord("a") + last)


def readings_blocks(report: Report) -> Iterator[Block]:
    """Every section with what was read in it."""
    sources = Sources(
        line for section in report.sections for step in section.steps for line in step.lines
    )
    yield Heading("Readings")
    yield Text(LEGEND + DRAWN_LEGEND, "faint")
    yield Text(sources.legend(), "faint")
    cylinders = report.results.machine.cylinders
    for number, section in enumerate(report.sections, 1):
        yield Heading(f"{number}. {section.title}", 3)
        yield from _section(report, section, cylinders, sources)


def _section(
    report: Report, section: SectionReport, cylinders: Sequence[str], sources: Sources
) -> Iterator[Block]:
    """Steps whose readings stand in the same columns share a table."""
    told = [_Told(step, cylinders) for step in section.steps if step.is_told]
    left = any(
        line.stood(AS_LEFT) for one in told if one.beside for lines in one.rows for line in lines
    )
    for beside, members in _runs(told):
        columns, over = _grid_columns(cylinders, left) if beside else (PLAIN, ())
        rows: list[TableRow] = []
        for one in members:
            rows += _step(report, one, cylinders if beside else (), left, sources)
        yield Table(section.title, columns, tuple(rows), over)
    yield Bullets(tuple(_untold(section)), "faint")


class _Told:
    """A step's lines as they are shown: what goes on one line together, and what has rows."""

    def __init__(self, step: StepReport, cylinders: Sequence[str]) -> None:
        self.step = step
        self.beside = step.step.per_cylinder and 1 < len(cylinders) <= MOST_SIDE_BY_SIDE
        shown = [line for line in step.lines if _is_shown(line)]
        by_item = [list(group) for _, group in groupby(shown, lambda one: (one.id, one.derived))]
        self.together = [lines for lines in by_item if all(map(_is_plain, lines))]
        self.rows = [lines for lines in by_item if lines not in self.together]


def _runs(told: Sequence[_Told]) -> Iterator[tuple[bool, list[_Told]]]:
    """Neighbours with the same columns; what has no rows stands with whatever is before it."""
    members: list[_Told] = []
    beside: bool | None = None
    for one in told:
        if one.rows and beside is not None and one.beside != beside:
            yield beside, members
            members, beside = [], None
        members.append(one)
        if one.rows and beside is None:
            beside = one.beside
    if members:
        yield bool(beside), members


def _untold(section: SectionReport) -> Iterator[str]:
    """Steps of which there is nothing but their state, a line for each state."""
    states: tuple[StepState, ...] = ("open", "again", "skipped", "left-out", "not-needed")
    for state in states:
        steps = [step for step in section.of_state(state) if not step.is_told]
        if steps:
            named = (f"{step.number} {step.step.title}".strip() for step in steps)
            mark = wording.STEP_STATES[state]
            yield f"{mark.sign} {mark.word}: {'; '.join(named)}"


def _grid_columns(
    cylinders: Sequence[str], left: bool
) -> tuple[tuple[Column, ...], tuple[tuple[str, int], ...]]:
    heads = ("As found", "As left") if left else ("As found",)
    share = {1: 2.6, 2: 1.3}[len(heads)] * 3 / max(len(cylinders), 3)
    values = tuple(Column(head, share, "value") for _ in cylinders for head in heads)
    columns = (Column("Reading", 2.2), *values, Column("Limit", 1.9), Column("Verdict", 2.2))
    over = (("", 1), *((name, len(heads)) for name in cylinders), ("", 2))
    return columns, over


def _step(
    report: Report, told: _Told, cylinders: Sequence[str], left: bool, sources: Sources
) -> Iterator[TableRow]:
    step = told.step
    answers = "; ".join(map(_answers, told.together))
    yield Band(step.number, step.step.title, _state(step), step.verdict, answers)
    if step.step.caution:
        confirmed = report.confirmed_words(step.confirmed)
        yield Across(f"Caution: {step.step.caution} ({confirmed})", "caution", leads=True)
    if step.result.why_skipped:
        yield Across(f"Skipped: {step.result.why_skipped}")
    for lines in told.rows:
        if cylinders:
            yield from _grid(lines, cylinders, left, sources)
        else:
            yield from (_line(line, sources) for line in lines)
    yield from (Across(remark, "faint") for remark in _remarks(step.lines))
    yield from (Across(advice) for advice in step.result.advice)
    yield from (Across(f"Next move: {move}") for move in step.moves)
    yield from (Across(f"Note: {said(report, note)}") for note in step.notes)
    yield from (Shown(photo, f"Photo: {report.photo_words(photo)}") for photo in step.photos)


def _remarks(lines: Sequence[Line]) -> Iterator[str]:
    """State and gauge of each; what holds for several lines is said once."""
    for line in lines:
        yield from line.circumstances
    said: dict[str, dict[str, None]] = {}
    for line in lines:
        for remark in line.remarks:
            said.setdefault(remark, {})[line.label] = None
    yield from (f"{join_words(list(labels))}: {remark}" for remark, labels in said.items())


def _state(step: StepReport) -> str:
    """Its state where that is more than done."""
    return "" if step.result.state == "done" and step.verdict == "none" else step.state_words


def _is_shown(line: Line) -> bool:
    """Not what may be left out and was, nor what waits for a reading that is named itself."""
    if line.missing and line.optional and not line.skipped:
        return False
    return not line.derived or any(value.value is not None for value in line.values) or any(
        not value.reason.startswith("not measured") for value in line.values
    )  # fmt: skip


def _is_plain(line: Line) -> bool:
    """Whether it was found as it should be, or only read, and no more is to be said of it.

    A figure with a limit has a row of its own, for its strip; so has one that belongs beside the
    other cylinders'.
    """
    found = line.stood(AS_FOUND)
    if found is None or found.value is None or line.stood(AS_LEFT) is not None or line.skipped:
        return False
    is_number = not isinstance(found.value, bool | str)
    if found.unknown or (is_number and line.cylinder is not None):
        return False
    good = found.judged.zone is None or (found.judged.verdict == "pass" and not is_number)
    return good and len(found.shown) <= LONGEST_ANSWER


def _answers(lines: Sequence[Line]) -> str:
    """One answer, of all cylinders: `✓ Seated: yes`, `Colour: PTO tan, centre light`."""
    found = [(line.cylinder, value) for line in lines if (value := line.stood(AS_FOUND))]
    judged = any(value.judged.zone is not None for _, value in found)
    sign = f"{wording.VERDICTS['pass'].sign} " if judged else ""
    shown = {value.shown for _, value in found}
    if len(shown) == 1:
        return f"{sign}{lines[0].label}: {shown.pop()}"
    return f"{sign}{lines[0].label}: " + ", ".join(f"{name} {value.shown}" for name, value in found)


def _line(line: Line, sources: Sources) -> Row:
    found, left = line.stood(AS_FOUND), line.stood(AS_LEFT)
    return Row(
        (
            Cell(line.name), _value(found, line.missing), _value(left),
            Cell(_limit(line, sources)),
            Cell(strips=line.strips, strip_words=line.strip_words if line.strips else ""),
            _verdict([line]),
        )
    )  # fmt: skip


def _value(value: Stood | None, missing: str = "") -> Cell:
    return Cell(missing) if value is None else Cell(value.marked, value.judged.verdict)


def _limit(line: Line, sources: Sources) -> str:
    limit = line.limit
    return limit + sources.mark(line.source) if limit else ""


def _verdict(lines: Sequence[Line]) -> Cell:
    """The verdict in words; of several cylinders each one's that isn't like the others'."""
    ranks: tuple[Verdict, ...] = ("fail", "uncertain", "none", "pass")
    standing = [line.standing.judged.verdict for line in lines if line.standing is not None]
    worst: Verdict = min(standing, key=ranks.index) if standing else "none"
    words = {line.cylinder: line.verdict for line in lines}
    several = len(set(words.values())) > 1
    parts = [
        f"{cylinder}: {text}" if several and cylinder is not None else text
        for cylinder, text in words.items()
        if text and not (several and text == "pass")
    ]
    said = "; ".join(dict.fromkeys(parts))
    unsure = next((line.uncertainty for line in lines if line.uncertainty), "")
    return Cell(", ".join(part for part in (said, unsure) if part), worst)


def _grid(
    lines: Sequence[Line], cylinders: Sequence[str], left: bool, sources: Sources
) -> Iterator[Row]:
    """One reading of all cylinders beside each other, and their strips under it."""
    phases: tuple[Phase, ...] = (AS_FOUND, AS_LEFT) if left else (AS_FOUND,)
    if lines[0].cylinder is None:
        yield _across_cylinders(lines[0], cylinders, phases, sources)
        return
    by_cylinder = {line.cylinder: line for line in lines}
    cells = []
    for name in cylinders:
        line = by_cylinder.get(name)
        for phase in phases:
            missing = "" if line is None or phase == AS_LEFT else line.missing
            cells.append(_value(None if line is None else line.stood(phase), missing))
    limits = list(dict.fromkeys(_limit(line, sources) for line in lines if line.limit))
    shown_limit = limits[0] if len(limits) == 1 else _each_limit(lines, sources)
    drawn_under = any(line.strips for line in lines)
    yield Row((Cell(lines[0].label), *cells, Cell(shown_limit), _verdict(lines)), drawn_under)
    if drawn_under:
        strips = []
        for name in cylinders:
            line = by_cylinder.get(name)
            drawn = () if line is None else line.strips
            words = line.strip_words if line is not None and drawn else ""
            strips.append(Cell(strips=drawn, strip_words=words, span=len(phases)))
        yield Row((Cell(), *strips, Cell(span=2)))


def _each_limit(lines: Sequence[Line], sources: Sources) -> str:
    """Limits that differ from cylinder to cylinder, in the machine's order."""
    return "; ".join(
        f"{line.cylinder} {line.limit}" for line in lines if line.limit
    ) + sources.mark(lines[0].source)


def _across_cylinders(
    line: Line, cylinders: Sequence[str], phases: Sequence[Phase], sources: Sources
) -> Row:
    """What follows from all cylinders together."""
    span = len(cylinders) * len(phases)
    found, left = line.stood(AS_FOUND), line.stood(AS_LEFT)
    texts = [found.marked] if found is not None else [line.missing]
    texts += [f"{wording.PHASES[AS_LEFT].word} {left.marked}"] if left is not None else []
    stands = line.standing
    verdict: Verdict = "none" if stands is None else stands.judged.verdict
    return Row(
        (
            Cell(line.label), Cell(", ".join(texts), verdict, span=span),
            Cell(_limit(line, sources)), _verdict([line]),
        )
    )  # fmt: skip
