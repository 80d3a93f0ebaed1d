"""The one wording for screen, log and report.

Pure: words and signs only. Colours belong to whoever draws; no meaning rests on colour alone, so
each verdict, phase and state has a word and a sign here.
"""

from __future__ import annotations

import re
from collections.abc import Container
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ConformityResult, StepState, ToleranceInterval, Verdict
from inspect_tui.core.presentation.figures import format_quantity
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.text.formatting import clock_words, format_value, is_clock

SAFETY: Final = (
    "A passed list does not make a machine safe: the maker's manual, the local codes and "
    "licensed practice come first."
)
"""The general sentence that stands on every sheet."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A word with its sign, and the sign where only ASCII can be shown."""

    sign: str
    ascii: str
    word: str


VERDICTS: Final[dict[Verdict, Mark]] = {
    "pass": Mark("✓", "+", "pass"),
    "fail": Mark("✗", "x", "fail"),
    "uncertain": Mark("?", "?", "uncertain"),
    "none": Mark("·", "-", "not judged"),
}
PHASES: Final[dict[Phase, Mark]] = {
    "as-found": Mark("○", "o", "as found"),
    "as-left": Mark("●", "*", "as left"),
}
"""The signs are the marks on the limit strip."""
STEP_STATES: Final[dict[StepState, Mark]] = {
    "open": Mark("□", "[ ]", "open"),
    "done": Mark("■", "[#]", "done"),
    "again": Mark("↻", "[~]", "to measure again"),
    "skipped": Mark("−", "[-]", "skipped"),
    "left-out": Mark("╌", "[=]", "left out"),
    "not-needed": Mark("·", "[.]", "not needed on this machine"),
}
SESSION_STATES: Final[dict[str, str]] = {
    "open": "open",
    "signed": "signed",
    "set-aside": "set aside",
    "blank": "blank",
}
DECISIONS: Final[dict[str, str]] = {
    "put-right": "put right",
    "run-as-found": "run as found",
    "later": "put right later",
    "get-part": "get a part",
}
SURE: Final[dict[str, str]] = {
    "high": "hardly in doubt",
    "medium": "likely",
    "low": "a hint only",
}
GATES: Final[dict[str, str]] = {
    "start": "before the engine runs",
    "move": "before the machine moves",
}
CONDITIONS: Final[dict[str, str]] = {
    "temperature": "air temperature",
    "qnh": "pressure at sea level, from the weather report",
    "altitude": "altitude",
    "relative_humidity": "relative humidity",
}
WORKED_OUT: Final[dict[str, str]] = {"pressure": "air pressure", "density": "air density"}
"""What follows from the conditions."""


def verdict_mark(verdict: Verdict, *, ascii: bool = False) -> str:  # noqa: A002
    """Sign and word of a verdict: `✓ pass`."""
    mark = VERDICTS[verdict]
    return f"{mark.ascii if ascii else mark.sign} {mark.word}"


def verdict_words(judged: ConformityResult, unit: str) -> str:
    """A verdict with what it rests on, without its sign.

    `pass, 0.25 mm inside, ±0.2 mm (k = 2), 97 % likely in` or the words that the judging gave.
    """
    said = _with_margin(judged, unit)
    return "; ".join((said, *judged.remarks))


def _with_margin(judged: ConformityResult, unit: str) -> str:
    if judged.verdict == "none":
        return judged.words or VERDICTS["none"].word
    parts = [judged.words or VERDICTS[judged.verdict].word]
    zone = judged.zone
    exact = zone is not None and zone.low is not None and zone.low == zone.high
    if judged.verdict == "pass" and judged.signed_margin is not None and not exact:
        parts.append(margin(judged.signed_margin, unit))
    if judged.uncertainty is not None:
        parts.append(f"{uncertainty(judged.uncertainty, unit)} ({judged.coverage})")
    if judged.probability is not None:
        parts.append(likely(judged.probability))
    return ", ".join(parts)


def margin(off: Number, unit: str) -> str:
    """How far from the nearest limit: `0.25 mm inside`, `on the limit`, `0.3 mm outside`."""
    if off == 0:
        return "on the limit"
    return f"{distance(off, unit)} inside" if off < 0 else f"{distance(off, unit)} outside"


def distance(off: Number, unit: str) -> str:
    """How far, without its direction: `0.25 mm`, `5 °C`, `4:10` of a timer."""
    size = max(off, -off)
    if unit == "turn":
        return format_quantity(size, unit)
    if unit == "s" and is_clock(size):
        return clock_words(size)
    return format_value(size, difference_unit(unit), digits=3)


def uncertainty(expanded: Number, unit: str) -> str:
    """An expanded uncertainty: `±0.5 mm`."""
    size = max(expanded, -expanded)
    if unit == "turn":
        return f"±{format_quantity(size, unit)}"
    return f"±{format_value(size, difference_unit(unit), digits=3)}"


def likely(probability: float) -> str:
    """The probability that the true value lies inside: `97 % likely in`, never a rounded 100."""
    if probability > 0.99:
        return "over 99 % likely in"
    if probability < 0.01:
        return "under 1 % likely in"
    return f"{100 * probability:.0f} % likely in"


def difference_unit(unit: str) -> str:
    """The unit of a difference of two values; of temperatures one without an offset."""
    return {
        "degC": "delta_degC", "°C": "delta_degC", "C": "delta_degC",
        "degF": "delta_degF", "°F": "delta_degF", "F": "delta_degF",
    }.get(unit, unit)  # fmt: skip


def zone_words(zone: ToleranceInterval | None) -> str:
    """A zone in words: `31.5 mm or more`, `30 to 35 mm`, `6K`; why there is none; or nothing."""
    if zone is None:
        return ""
    return f"no limit: {zone.reason}" if zone.reason else zone.text


def place(step: str, item: str | None = None, cylinder: str | None = None) -> str:
    """Where something is, as commands name it: `belt.width@PTO`."""
    named = step if item is None else f"{step}.{item}"
    return named if cylinder is None else f"{named}@{cylinder}"


def when(at: datetime) -> str:
    """A point in time with its own offset: `2026-11-02 18:04+01:00`."""
    return at.isoformat(sep=" ", timespec="minutes")


def decision_words(decision: str | None, until: str = "") -> str:
    """A decision: `put right later, until first-ride`; `not decided`."""
    if decision is None:
        return "not decided"
    words = DECISIONS.get(decision, decision)
    return f"{words}, until {until}" if until else words


def without_ids(text: str, steps: Container[str]) -> str:
    """A sentence of a log about what was left open, as a screen says it.

    Args:
        text: As the sign-off wrote it: `Safety step 'Brake' (brake) failed.`
        steps: The ids of the list's steps.
    """
    text = re.sub(r" With it: \S+[^ ]*(?:(?:,| and) \S+)*\.", "", text)
    text = re.sub(r"\bFinding \S+ (?=has|is|was)", "A finding ", text)
    text = re.sub(r" \((?:carried:)[^)]*\)", "", text)
    return re.sub(
        r" \(([A-Za-z][\w-]*)\)", lambda found: "" if found[1] in steps else found[0], text
    )


def session_state(state: str, verifies: bool) -> str:
    """A session's state: `open`, `signed`, `signed, but the log does NOT verify`."""
    return SESSION_STATES[state] + ("" if verifies else ", but the log does NOT verify")


def short_seal(seal: str) -> str:
    """The beginning of a seal in groups of four, short enough to write on paper."""
    return " ".join(seal[i : i + 4] for i in range(0, min(len(seal), 16), 4))


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What stands in the title block of a sheet, in the manner of ISO 7200."""

    machine: str
    checklist: str
    revision: int
    date: str
    by: str
    state: Literal["open", "signed", "set-aside", "blank"]
    session: str
    sheet: int = 1
    sheets: int = 1
    verifies: bool = True
    """Whether the log does."""

    def fields(self) -> tuple[tuple[str, str], ...]:
        """(label, text), in the order in which they are drawn."""
        return (
            ("Machine", self.machine),
            ("Checklist", f"{self.checklist}, revision {self.revision}"),
            ("Session", self.session),
            ("Date", self.date),
            ("By", self.by),
            ("State", session_state(self.state, self.verifies)),
            ("Sheet", f"{self.sheet} of {self.sheets}"),
        )
