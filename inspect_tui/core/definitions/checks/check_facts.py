"""Whether a list holds an answer against the machine's facts: `none fitted` where there is one.

The rule: where one of the good answers of a choice says that the thing is not there, the answer
alone can't tell a machine that has none from a hand that didn't look. So some derived value with a
limit, or an inference, has to hold it against a fact of the sheet: it names the reading and
`machine.NAME`. A step that `only_if` shows to machines that have the thing needs no such answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from inspect_tui.core.definitions.checks.check_references import placed_steps
from inspect_tui.core.definitions.compile import Parsed
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.expressions.expression import Expression
from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.text.sanitize import ellipsize

_NOT_THERE = re.compile(
    r"(?:none|not|no\b.*|nothing|never) (?:fitted|there|present|installed)|has none|has no .+"
    r"|(?:is )?(?:absent|not applicable)|n/a",
    re.IGNORECASE,
)
"""Answers that say that there is no such thing on this machine."""


def check_facts(parsed: Parsed, complaints: ProblemCollector) -> None:
    """Notes each choice that passes by `none fitted` and is held against no fact."""
    held = set(_held(parsed))
    for path, step in placed_steps(parsed.checklist):
        for number, reading in enumerate(step.reading):
            option = _passes_by(reading)
            if option and (step.id, reading.id) not in held:
                complaints.add(
                    (*path, "reading", number, "limit"),
                    f"'{ellipsize(option)}' passes on any machine; hold it against a fact of the "
                    "sheet (a derived value with a limit that names it and machine.NAME), or leave "
                    "it out of the good answers.",
                    note=True,
                )


def _passes_by(reading: Reading) -> str:
    """The good answer of a choice that says there is none; "" without one."""
    if reading.kind != "choice" or reading.limit is None:
        return ""
    equal = reading.limit.equal
    good = (equal,) if isinstance(equal, str) else equal if isinstance(equal, tuple) else ()
    return next((one for one in good if _NOT_THERE.fullmatch(" ".join(one.split()))), "")


def _held(parsed: Parsed) -> Iterator[tuple[str, str]]:
    """The readings that some judgement holds against a fact of the machine."""
    judgements: list[Expression] = list(parsed.inference.values())
    for step in parsed.checklist.steps:
        for derived in step.derived:
            judgements += _judged(parsed, step.id, derived)
    for one in judgements:
        if any(name.where == "machine" for name in one.names):
            yield from ((name.step, name.id) for name in one.names if name.where == "value")


def _judged(parsed: Parsed, step: str, derived: Derived) -> list[Expression]:
    value = parsed.value.get((step, derived.id))
    return [value] if derived.limit is not None and value is not None else []
