"""What is decided about a finding, as the entry that says so."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.model.log_entry import DECISIONS, NewEntry
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.suggestions import suggest_or_list
from inspect_tui.errors import BadInput


def decision(
    evaluated: Evaluated,
    finding: str,
    decided: str,
    why: str,
    until: str,
    events: Collection[str],
) -> NewEntry:
    """The entry of a decision.

    Args:
        evaluated: What stands.
        finding: Its id.
        decided: One of `DECISIONS`.
        why: In words; may be "".
        until: A date or a checklist's id; may be "" except for `later`.
        events: The ids of checklists that there are.

    Raises:
        BadInput: no such finding or decision; `later` without a date or a checklist's id.
    """
    known = [each.id for each in evaluated.results.findings]
    if finding not in known:
        hint = suggest_or_list(finding, known) if known else "There are no findings yet."
        raise BadInput(f"There is no finding '{sanitize(finding)}'.", hint)
    if decided not in DECISIONS:
        raise BadInput(f"'{sanitize(decided)}' is no decision.", f"Use {', '.join(DECISIONS)}.")
    until = _until(decided, until.strip(), {*events, evaluated.results.checklist.id})
    return "decision", {
        "finding": finding, "decision": decided, "why": sanitize(why) or None,
        "until": until or None,
    }  # fmt: skip


def _until(decided: str, until: str, events: Collection[str]) -> str:
    if not until:
        if decided == "later":
            raise BadInput(
                "'later' wants --until: a date such as 2026-12-20, or a checklist's id such as "
                "first-ride."
            )
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
