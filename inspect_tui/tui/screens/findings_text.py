"""What the findings screen says: a line of the list, the evidence of the one under the sign."""

from __future__ import annotations

from rich.text import Text

from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, UNCERTAIN, words
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.findings_lines import PARTS, UNDECIDED, Line, Part
from inspect_tui.tui.screens.findings_state import FindingsState

KINDS = {
    "value": "a value out of its limits",
    "exchanged": "parts exchanged between cylinders",
    "out-of-family": "one cylinder apart from the others",
    "inference": "concluded from several readings",
    "person": "found and written down by a person",
}
_STYLES: dict[Part, str] = {
    "safety": FAIL, "to-decide": FAIL, "put-right": UNCERTAIN, "decided": UNCERTAIN,
    "settled": PASS, "remarks": DIM,
}  # fmt: skip
_SIGNS: dict[Part, str] = {
    "safety": "✗", "to-decide": "✗", "put-right": "↻", "decided": "●", "settled": "✓",
    "remarks": "·",
}  # fmt: skip


def heading(part: Part, count: int) -> Text:
    """A heading of the list, with how many lines of their own stand below it."""
    return Text(f"{PARTS[part]}: {count}", style=_STYLES[part])


def row(state: FindingsState, line: Line) -> Text:
    """A line of the list: its mark, its step and cylinder, what was found, what was decided."""
    marked = line.id in state.marked
    text = Text("└ " if line.under else "", style=DIM)
    if line.part != "remarks":
        text.append("[x] " if marked else "[ ] ", style=ASKED if marked else DIM)
    text.append(f"{_SIGNS[line.part]} ", style=_STYLES[line.part])
    text.append(line.title, style="bold" if line.part in UNDECIDED else "")
    text.append(f"\n{'  ' if line.under else ''}{line.said}", style="" if not line.under else DIM)
    if line.decided:
        text.append(f"\n{line.decided}", style=_STYLES[line.part])
    return text


def evidence(view: View, state: FindingsState) -> Text:
    """What the finding under the sign rests on, and what goes with it."""
    line = state.line
    if line is None:
        return Text("No findings so far.")
    found = line.said if line.finding is None else without_fail(one_line(line.finding.text))
    parts = [Text(line.title, style="bold"), Text(found)]
    if line.decided:
        parts.append(Text(f"{_SIGNS[line.part]} {line.decided}", style=_STYLES[line.part]))
    finding = line.finding
    if finding is not None and finding.why:
        parts.append(words(f"because: {finding.why}"))
    if line.carried is not None:
        parts.append(words(f"Put off earlier. {line.carried.why}", DIM))
    if finding is not None:
        parts.append(Text(KINDS[finding.kind].capitalize(), style=DIM))
        if finding.sure:
            parts.append(Text(f"sure: {wording.SURE.get(finding.sure, finding.sure)}", UNCERTAIN))
    if members := state.with_it(line):
        parts.append(Text("\nDECIDED WITH IT", style=DIM))
        parts += [words(f"- {each.title}: {each.said}") for each in members]
    if finding is not None and finding.evidence:
        parts.append(Text("\nWHAT IT RESTS ON", style=DIM))
        parts += [words(each) for each in finding.evidence]
    if finding is not None and finding.look_at:
        titles = {each.step.id: each.step.title for each in view.results.steps}
        parts.append(Text("\nWOULD SETTLE IT", style=DIM))
        parts += [words(f"- {one_line(titles.get(each, each))}") for each in finding.look_at]
    if line.part == "put-right":
        parts.append(Text("\nIt counts once the value as left passes.", style=UNCERTAIN))
    elif line.part == "settled":
        parts.append(Text("\nSettled; it stays listed.", style=PASS))
    return Text("\n").join(parts)


def foot(state: FindingsState) -> Text:
    """The line above the keys: what was said, else what a decision would be about."""
    if state.said:
        return Text(one_line(state.said), style=FAIL if state.asks_twice else ASKED)
    if state.marked:
        safety = sum(line.part == "safety" for line in state.targets)
        also = f", {safety} of them safety" if safety else ""
        return Text(f"{len(state.marked)} marked{also}: one decision for all", style=ASKED)
    return Text("")
