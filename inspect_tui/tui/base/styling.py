"""How things look: the marks and words of `core/presentation/wording.py`, with a few colours.

Colour is never alone: whatever has a colour has a mark and a word too. Colour names are the
terminal's own sixteen, which the theme maps to shades that can be read on its ground.
"""

from __future__ import annotations

from rich.text import Text

from inspect_tui.core.model.results import ConformityResult, Finding, ReadingRow, StepResult
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.formatting import format_value

PASS = "green"
FAIL = "bold red"
UNCERTAIN = "bold yellow"
ASKED = "bold cyan"
DIM = "bright_black"
NOT_PASSED = "!"
"""The sign of a safety step that is over and does not count as passed."""
AS_LEFT_STYLE = "bold magenta"

VERDICT_STYLE = {"pass": PASS, "fail": FAIL, "uncertain": UNCERTAIN, "none": DIM}
PHASE_STYLE = {"as-found": "cyan", "as-left": AS_LEFT_STYLE}


def one_line(text: str) -> str:
    """A text of a file or a person on one line, safe to show."""
    return wording.one_line(text)


def spanned(text: Text) -> Text:
    """The same text with its base style as a span: a widget shades colour names of spans only."""
    return Text(no_wrap=text.no_wrap, overflow=text.overflow).append_text(text)


def words(text: str, style: str = "") -> Text:
    """A text of a file or a person, never read as markup."""
    return Text(wording.visible(text).replace("\t", " ").strip(), style=style)


def verdict(judged: ConformityResult, unit: str) -> Text:
    """`✓ pass, 0.25 mm inside`; a value without a limit says so."""
    mark = wording.VERDICTS[judged.verdict].sign
    said = "no limit" if judged.zone is None else wording.verdict_words(judged, unit)
    return Text(f"{mark} {one_line(said)}", style=VERDICT_STYLE[judged.verdict])


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
    mark = wording.STEP_STATES[result.state]
    if result.failed:
        return wording.VERDICTS["fail"].sign, f"{mark.word}, failed", FAIL
    if result.uncertain:
        return wording.VERDICTS["uncertain"].sign, f"{mark.word}, too close to call", UNCERTAIN
    if result.step.is_safety and result.state in ("done", "skipped"):
        # Late: it belongs to what works results out, and there is one of those by now.
        from inspect_tui.core.evaluation.safety import safety_trouble

        if trouble := safety_trouble(result):
            said = f"{mark.word}, not passed"
            return NOT_PASSED, said if result.state == "skipped" else f"{said}: {trouble}", FAIL
    style = {"open": "", "done": PASS, "skipped": UNCERTAIN}.get(result.state, DIM)
    return mark.sign, mark.word, style


def finding_state(finding: Finding) -> tuple[str, str, str]:
    """The mark, the words and the colour of a finding's decision."""
    said = wording.decision_words(finding.decision, one_line(finding.until))
    if not finding.open:
        return "✓", said if finding.decision else "settled", PASS
    if finding.counts:
        return "●", said, UNCERTAIN
    if finding.decision:
        return "✗", f"{said}: does not count yet", FAIL
    return "✗", said, FAIL


def shown_value(row: ReadingRow) -> str:
    """A reading's value as people read it."""
    return one_line(format_value(row.value, row.unit))
