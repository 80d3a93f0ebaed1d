"""What the sign-off sheet says: three short lists that fit their room, what was done, the seal."""

from __future__ import annotations

from textwrap import wrap

from rich.cells import cell_len
from rich.text import Text

from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.core.model.results import Results
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, UNCERTAIN, whole_words, words
from inspect_tui.tui.base.styling import decision_words
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.sign_state import OpenLists, SignState, shared_out

NARROWEST = 20
MIN_ROWS = 6


def sheet(view: View, state: SignState, columns: int, rows: int, *, whole: bool) -> Text:
    """The sheet above the question.

    Args:
        view: The inspection as it stands.
        state: Who signs, and which words were said.
        columns: Room across.
        rows: Room down: the lists are cut to it, and say how many more there are.
        whole: Show everything instead, to be scrolled.
    """
    if view.session.signed is not None:
        return _signed(view)
    lists, results = state.lists, view.results
    if whole:
        stays = [Text(f"Stays put off: {each}", style=UNCERTAIN) for each in lists.stays]
        parts = [*_lists(state, columns, 0), *stays, Text("")]
        parts += [*_done(view), Text(_safety_words(), DIM)]
        return Text("\n").join(parts)
    foot = [_counts(results, columns)]
    if results.left_out:
        foot.append(Text(whole_words(one_line(results.left_out), columns), style=UNCERTAIN))
    if lists.stays:
        said = f"Stays put off: {'; '.join(lists.stays)}"
        foot.append(Text(whole_words(said, columns), style=UNCERTAIN))
    if not lists.count:
        return Text("\n").join([Text("✓ Nothing is open.", style=PASS), *foot])
    room = max(rows - len(foot), MIN_ROWS)
    return Text("\n").join([*_lists(state, columns, room), *foot])


def cut(state: SignState, view: View, rows: int) -> bool:
    """Whether the lists are longer than their room."""
    headings = sum(bool(each) for each in _all(state.lists))
    foot = 1 + bool(view.results.left_out) + bool(state.lists.stays)
    return state.lists.count + headings > max(rows - foot, MIN_ROWS)


def _all(lists: OpenLists) -> tuple[tuple[str, ...], ...]:
    return (tuple(line for _, line in lists.safety), lists.findings, lists.steps)


def _lists(state: SignState, columns: int, room: int) -> list[Text]:
    """The three lists, whole where they find room; without room whole too."""
    if room:
        whole = _lists(state, columns, 0)
        high = sum(len(wrap(row.plain, max(columns, NARROWEST))) or 1 for row in whole)
        if high <= room:
            return whole
    lists = _all(state.lists)
    headings = (
        ("SAFETY STEP", "NOT PASSED"), ("FINDING", "IN THE WAY"), ("STEP", "NOT DONE")
    )  # fmt: skip
    there = sum(bool(each) for each in lists)
    lengths = [len(each) for each in lists]
    shown = shared_out(lengths, room - there) if room else lengths
    rows: list[Text] = []
    for place, (name, each, most) in enumerate(zip(headings, lists, shown, strict=True)):
        if not each:
            continue
        style = UNCERTAIN if place == 2 else FAIL
        left = len(each) - most
        title = f"{pluralize(len(each), name[0], f'{name[0]}S')} {name[1]}"
        title += f", {most} shown (PgDn: all)" if left else ""
        if room and cell_len(title) > columns:
            title = title.replace(f", {most} shown (PgDn: all)", " (PgDn)")
        rows.append(Text(title, style=style))
        for number, line in enumerate(each[:most]):
            sign, behind = "✗ " if place < 2 else "□ ", ""
            if place == 0 and state.lists.safety[number][0] in state.words:
                sign = "● "
                behind = f" ({one_line(state.words[state.lists.safety[number][0]])})"
            text = f"{sign}{line}{behind}"
            if room:
                text = whole_words(text, max(columns, NARROWEST))
            rows.append(Text(text, style=ASKED if sign == "● " else ""))
    return rows


def _counts(results: Results, columns: int) -> Text:
    count = count_of(results.steps)
    skipped = sum(result.state == "skipped" for result in results.steps)
    some = f" ({skipped} skipped)" if skipped else ""
    decided = sum(finding.counts and not finding.remark for finding in results.findings)
    text = f"Done: {count.done} of {count.of} steps{some}, {pluralize(decided, 'finding')} decided"
    return Text(text if cell_len(text) <= columns else whole_words(text, columns), style=DIM)


def _done(view: View) -> list[Text]:
    """What was skipped and decided, a line each."""
    results = view.results
    count = count_of(results.steps)
    rows = [Text("DONE", style=DIM)]
    head = f"{count.done} of {count.of} steps, {len(results.readings)} readings, "
    rows.append(Text(f"{head}{pluralize(len(results.findings), 'finding')}."))
    if results.left_out:
        rows.append(words(results.left_out, UNCERTAIN))
    rows += [
        words(f"− {result.step.title}: {result.why_skipped}", UNCERTAIN)
        for result in results.steps
        if result.state == "skipped"
    ]
    rows += [
        words(f"● {finding.text}: {decision_words(view.put_off, finding.decision, finding.until)}",
              "" if finding.counts else DIM)
        for finding in results.findings
        if finding.decision
    ]  # fmt: skip
    return rows


def _signed(view: View) -> Text:
    signed = view.session.signed
    assert signed is not None
    parts = [Text(f"Signed by {one_line(signed.by)} on {signed.at:%Y-%m-%d %H:%M}.", PASS)]
    parts.append(Text(f"Seal {wording.short_seal(signed.seal)}", style=DIM))
    for addendum in view.session.addenda:
        said = f"added {addendum.at:%Y-%m-%d %H:%M} by {addendum.by}: {addendum.text}"
        parts.append(words(said))
    if signed.open:
        if signed.accepted:
            parts.append(words(f"Accepted as open, in these words: {signed.accepted}", UNCERTAIN))
        steps = [each.step.id for each in view.results.steps]
        left = (wording.without_ids(each, steps) for each in signed.open)
        parts += [words(f"✗ {each}", FAIL) for each in left]
    parts += [*_done(view), Text(f"\n{_safety_words()}", style=DIM)]
    return Text("\n").join(parts)


def _safety_words() -> str:
    return wording.SAFETY
