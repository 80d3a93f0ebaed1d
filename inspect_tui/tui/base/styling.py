"""How things look: the marks and words of `core/presentation/wording.py`, with a few colours.

Colour is never alone: whatever has a colour has a mark and a word too. Colour names are the
terminal's own sixteen, which the theme maps to shades that can be read on its ground.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.results import (
    ConformityResult,
    DerivedRow,
    Finding,
    ReadingRow,
    StepResult,
    ToleranceInterval,
)
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import probability_words
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.look import DIM, FAIL, PASS, UNCERTAIN

if TYPE_CHECKING:
    from inspect_tui.core.seasons.carried import Carried

NOT_PASSED = "!"
"""The sign of a safety step that is over and does not count as passed."""
VERDICT_STYLE = {"pass": PASS, "fail": FAIL, "uncertain": UNCERTAIN, "none": DIM}


def verdict(judged: ConformityResult, unit: str) -> Text:
    """`✓ pass, 0.25 mm inside`; a value without a limit says so. Chances in plain words: their
    figures stand in the details."""
    mark = wording.VERDICTS[judged.verdict].sign
    said = "no limit" if judged.zone is None else _verdict_words(judged, unit)
    return Text(f"{mark} {one_line(said)}", style=VERDICT_STYLE[judged.verdict])


def _verdict_words(judged: ConformityResult, unit: str) -> str:
    if judged.verdict == "none":
        return wording.verdict_words(judged, unit)
    said = judged.words or wording.VERDICTS[judged.verdict].word
    chance = judged.probability
    zone = judged.zone
    exact = zone is not None and zone.low is not None and zone.low == zone.high
    if judged.verdict == "pass" and judged.signed_margin is not None and not exact:
        said += f", {wording.margin(judged.signed_margin, unit)}"
    if chance is None or judged.verdict == "uncertain":
        return said  # which says it
    return said if not 0.01 < chance < 0.99 else f"{said}, {probability_words(chance)}"


def brief_verdict(judged: ConformityResult) -> Text:
    """`✓ pass`, `✗ fail: 0.3 mm under`, for a line of a table."""
    mark = wording.VERDICTS[judged.verdict]
    said = "no limit" if judged.zone is None else judged.words or mark.word
    return Text(f"{mark.sign} {one_line(said)}", style=VERDICT_STYLE[judged.verdict])


def verdict_sign(judged: ConformityResult) -> Text:
    """The mark alone, for a cell of a grid that names the words elsewhere."""
    sign = " " if judged.zone is None else wording.VERDICTS[judged.verdict].sign
    return Text(sign, style=VERDICT_STYLE[judged.verdict])


def step_state(result: StepResult) -> tuple[str, str, str]:
    """The mark, the words and the colour of how far a step is."""
    # One whose readings are all optional counts once something is said: until then it looks so.
    mark = wording.STEP_STATES["open" if result.is_untouched else result.state]
    if result.is_untouched:
        return mark.sign, f"{mark.word}, optional", ""
    if result.failed:
        return wording.VERDICTS["fail"].sign, f"{mark.word}, failed", FAIL
    if result.uncertain:
        return wording.VERDICTS["uncertain"].sign, f"{mark.word}, too close to call", UNCERTAIN
    if result.step.is_safety and result.state in ("done", "skipped"):
        # Late: it belongs to what works results out, and there is one of those by now.
        from inspect_tui.core.evaluation.job.safety import safety_trouble

        if trouble := safety_trouble(result):
            said = f"{mark.word}, not passed"
            return NOT_PASSED, said if result.state == "skipped" else f"{said}: {trouble}", FAIL
    style = {"open": "", "done": PASS, "skipped": UNCERTAIN, "again": UNCERTAIN}.get(
        result.state, DIM
    )
    return mark.sign, mark.word, style


def decision_words(put_off: Mapping[str, str], decision: str | None, until: str = "") -> str:
    """A decision, its list in words: `put right later, before the first ride`.

    Args:
        put_off: By a list's id, what one says who puts something off until it.
        decision: None for none.
        until: A date or a list's id.
    """
    if until and until in put_off:
        return f"{wording.decision_words(decision)}, {one_line(put_off[until])}"
    return wording.decision_words(decision, one_line(until))


def finding_state(finding: Finding, put_off: Mapping[str, str]) -> tuple[str, str, str]:
    """The mark, the words and the colour of a finding's decision."""
    said = decision_words(put_off, finding.decision, finding.until)
    if not finding.open:
        return "✓", said if finding.decision else "settled", PASS
    if finding.counts:
        return "●", said, UNCERTAIN
    if finding.decision:
        return "✗", f"{said}: does not count yet", FAIL
    return "✗", said, FAIL


def carried_words(each: Carried, put_off: Mapping[str, str]) -> str:
    """What was put off, in its old words: what, what was decided, when, why.

    Args:
        each: The finding that an earlier session left.
        put_off: By a list's id, what one says who puts something off until it.
    """
    where = (
        f" {one_line(each.cylinder)}" if each.cylinder and each.cylinder not in each.text else ""
    )
    if each.decision is None:
        said = "signed over"
    else:
        said = decision_words(put_off, each.decision, each.until)
    part = f": {one_line(each.part_words)}" if each.part else ""
    when = f" (said on {each.day})" if each.day else ""
    why = f"; {one_line(each.why)}" if each.part and each.why else f": {one_line(each.why)}"
    text = without_fail(one_line(each.text)).rstrip(".")
    return f"{text}{where}; {said}{part}{why if each.why else ''}{when}"


def shown_value(row: ReadingRow) -> str:
    """A reading as it was typed, and in its own unit in brackets where that is another one."""
    return one_line(row_words(row))


def worked_out(row: DerivedRow) -> str:
    """A derived value, rounded to what its uncertainty and a hand can do."""
    return one_line(row_words(row))


def bare_value(row: ReadingRow, unit: str) -> str:
    """A reading as typed, without the unit that the table names once."""
    return without_unit(shown_value(row).partition(" (")[0], unit)


def without_unit(shown: str, unit: str) -> str:
    """A shown value without this unit, of one or of several, behind it."""
    for behind in (f" {unit}", f" {format_unit(unit, 2)}"):
        if unit and shown.endswith(behind):
            return shown.removesuffix(behind)
    return shown


def short_zone(zone: ToleranceInterval | None, reading: Reading, unit_named: bool) -> str:
    """A zone for a cell of a table: `31.5 up`, `30 to 35`, `3:00 up`, `240`.

    Args:
        zone: Of one cylinder.
        reading: Whose.
        unit_named: Whether the table names the reading's own unit already.
    """
    if zone is None or zone.reason:
        return ""
    words = one_line(wording.zone_words(zone))
    for unit in {format_unit(reading.unit, 2), format_unit(reading.unit), reading.unit}:
        if unit and unit_named:
            words = re.sub(rf" {re.escape(unit)}(?!\w)", "", words)
    return words.replace(" or more", " up").replace(" or less", " at most")
