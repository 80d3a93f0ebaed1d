"""What is decided about a finding, as the entry that says so."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.model.log_entry import DECISIONS, NewEntry
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.suggestions import suggest_or_list
from inspect_tui.errors import BadInput

MAX_QUANTITY = 10_000
"""Nobody gets more of one part."""


@dataclass(frozen=True, slots=True)
class WantedPart:
    """A part to get."""

    part: str
    quantity: int | float = 1
    number: str = ""
    """As its maker writes it."""
    shared: bool = False
    """The same piece is counted with another finding that was decided with this one."""


def wanted_part(part: str, said: str) -> WantedPart:
    """A part with how many and its number as a person types them: `2, 420-123`, `420-123`, ``."""
    first, _, rest = sanitize(said).partition(",")
    if first.strip().isdecimal() and len(first.strip()) < len(str(MAX_QUANTITY)) + 1:
        return WantedPart(part, int(first), rest.strip())
    return WantedPart(part, 1, sanitize(said))


@dataclass(frozen=True, slots=True)
class Decided:
    """What a person decided about a finding."""

    finding: str
    """Its id."""
    decision: str
    """One of `DECISIONS`."""
    why: str = ""
    until: str = ""
    """A date or a checklist's id; may be "" except for `later`."""
    part: WantedPart | None = None
    """Of `get-part`."""


def decision(
    evaluated: Evaluated,
    decided: Decided,
    events: Collection[str],
    carried: Collection[str] = (),
) -> NewEntry:
    """The entry of a decision.

    Args:
        evaluated: What stands.
        decided: What was decided.
        events: The ids of checklists that there are.
        carried: The ids of findings that came in from earlier sessions.

    Raises:
        BadInput: no such finding or decision; `later` until no date or list;
            `get-part` without a part.
    """
    known = [*(each.id for each in evaluated.results.findings), *carried]
    if decided.finding not in known:
        hint = suggest_or_list(decided.finding, known) if known else "There are no findings yet."
        raise BadInput(f"There is no finding '{sanitize(decided.finding)}'.", hint)
    if decided.decision not in DECISIONS:
        raise BadInput(
            f"'{sanitize(decided.decision)}' is no decision.", f"Use {', '.join(DECISIONS)}."
        )
    until = _until(
        decided.decision, decided.until.strip(), {*events, evaluated.results.checklist.id}
    )
    return "decision", {
        "finding": decided.finding, "decision": decided.decision,
        "why": sanitize(decided.why) or None, "until": until or None, **_part(decided),
    }  # fmt: skip


def _part(decided: Decided) -> dict[str, str | int | float]:
    """The keys of the part to get; none for another decision."""
    wanted = decided.part
    if decided.decision != "get-part":
        if wanted is not None:
            raise BadInput(f"'{decided.decision}' takes no part.", "Decide get-part for it.")
        return {}
    name = sanitize(wanted.part) if wanted is not None else ""
    if wanted is None or not name:
        raise BadInput("'get-part' wants --part: what is to be got.")
    if not 0 < wanted.quantity <= MAX_QUANTITY:
        raise BadInput(f"{wanted.quantity} is no number of parts.", "Write one such as 2.")
    quantity = 0 if wanted.shared else wanted.quantity
    keys: dict[str, str | int | float] = {"part": name, "quantity": quantity}
    if number := sanitize(wanted.number):
        keys["number"] = number
    return keys


def _until(decided: str, until: str, events: Collection[str]) -> str:
    if not until:
        return ""
    try:
        return date.fromisoformat(until).isoformat()
    except ValueError:
        if until in events:
            return until
        raise BadInput(
            f"'{sanitize(until)}' is neither a date such as 2026-12-20 nor a checklist's id.",
            suggest_or_list(until, sorted(events)),
        ) from None
