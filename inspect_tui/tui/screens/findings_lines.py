"""What the findings screen lists: each finding in a mechanic's words, in groups, none hidden. Pure.

A line names its step and cylinder; what is explained by another stands indented under it. What
earlier sessions put off stands among the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.model.results import Finding
from inspect_tui.core.seasons.carried import Carried
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.styling import decision_words
from inspect_tui.tui.base.view_model import View

Part = Literal["safety", "to-decide", "put-right", "decided", "settled", "remarks"]
PARTS: dict[Part, str] = {
    "safety": "SAFETY, TO DECIDE",
    "to-decide": "TO DECIDE",
    "put-right": "TO PUT RIGHT, THEN MEASURE AGAIN",
    "decided": "DECIDED",
    "settled": "SETTLED",
    "remarks": "SAID ONLY, NOTHING TO DECIDE",
}
"""The headings, in their order."""
UNDECIDED: tuple[Part, ...] = ("safety", "to-decide")


@dataclass(frozen=True, slots=True)
class Line:
    """One finding on the list."""

    id: str
    step: str
    """The step's id; where Enter goes."""
    title: str
    """The step in words, with the cylinder."""
    said: str
    """What was found."""
    part: Part
    """Under which heading: that of the finding that explains it."""
    under: str = ""
    """The line that it stands under; "" for one of its own."""
    decided: str = ""
    """The decision in words; "" where there is none."""
    stands: bool = False
    """Whether a decision stands that another one would change."""
    finding: Finding | None = None
    carried: Carried | None = None


def lines_of(view: View, carried: Sequence[Carried]) -> tuple[Line, ...]:
    """Every finding: what wants a decision first, safety before the rest; remarks last.

    Args:
        view: The inspection as it stands.
        carried: What earlier sessions put off and this one has not settled.
    """
    results = view.results
    safety = {each.step.id for each in results.steps if each.step.is_safety}
    titles = {each.step.id: each.step.title for each in results.steps}
    members: dict[str, list[Finding]] = {}
    heads: list[Finding] = []
    known = {each.id: each for each in results.findings}
    for each in results.findings:
        head = known.get(each.under or "")
        # One whose head is settled, and that is not, wants a decision of its own.
        if head is not None and (_waits(head) or not _waits(each)):
            members.setdefault(head.id, []).append(each)
        else:
            heads.append(each)
    found: list[Line] = []
    for head in heads:
        group = (head, *members.get(head.id, ()))
        part = _part(head, any(each.step in safety for each in group))
        for each in group:
            under = head.id if each is not head else ""
            found.append(_line(view, each, titles.get(each.step, ""), part, under))
    found += [_put_off(view, each, titles, safety) for each in carried]
    order = list(PARTS)
    return tuple(sorted(found, key=lambda line: order.index(line.part)))


def _waits(finding: Finding) -> bool:
    return not finding.counts


def _part(finding: Finding, safety: bool) -> Part:
    if finding.remark:
        return "remarks"
    if not finding.open:
        return "settled"
    if finding.counts:
        return "decided"
    if finding.decision == "put-right" and not finding.superseded_by:
        return "put-right"
    return "safety" if safety else "to-decide"


def _line(view: View, finding: Finding, title: str, part: Part, under: str) -> Line:
    where = title if finding.cylinder is None else f"{title}, {finding.cylinder}"
    said = ""
    if finding.decision is not None:
        said = decision_words(view.put_off, finding.decision, finding.until)
        if finding.decision == "get-part" and finding.part:
            said += f": {finding.part}"
        if finding.superseded_by:
            said += ", but it has changed since"
    return Line(
        finding.id, finding.step, one_line(where), _said(finding), part,
        under, one_line(said), finding.decision is not None and not finding.superseded_by,
        finding,
    )  # fmt: skip


def _said(finding: Finding) -> str:
    """What was found, without the cylinder that the line names and the word that its sign says."""
    text = one_line(finding.text).removeprefix(f"{finding.cylinder}: ")
    if finding.kind == "value":
        label, _, rest = text.partition(": ")
        text = f"{label.removesuffix(f', {finding.cylinder}')}: {without_fail(rest)}"
    return text


def _put_off(
    view: View, carried: Carried, titles: Mapping[str, str], safety: Iterable[str]
) -> Line:
    where = titles.get(carried.step) or carried.title or "Put off earlier"
    if carried.cylinder is not None:
        where = f"{where}, {carried.cylinder}"
    before = decision_words(view.put_off, carried.decision or None, carried.until)
    before = before if carried.decision else "signed over"
    made = view.session.decisions.get(carried.id)
    said = "" if made is None else decision_words(view.put_off, made.decision, made.until)
    part: Part = "safety" if carried.safety or carried.step in safety else "to-decide"
    if made is not None and made.decision == "put-right":
        part = "put-right"
    return Line(
        carried.id, carried.step if carried.step in titles else "", one_line(where),
        one_line(f"{without_fail(carried.text.rstrip('.'))} (earlier: {before})"), part, "", said,
        made is not None, None, carried,
    )  # fmt: skip
