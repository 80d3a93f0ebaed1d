"""Work that upsets what another step recorded: which readings are to be measured again.

A step goes stale when a step that it names in `disturbed_by` gets a reading as left later than
its own. Later is by the time at which it was taken, and within one second by the log's order, so
that entries of another copy stand where they belong.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from inspect_tui.core.model.checklist import Step
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.session.replay import Recorded, Session


@dataclass(frozen=True, slots=True)
class Upset:
    """The last work that upsets a step."""

    by: str
    """The step that was worked on."""
    at: datetime
    n: int

    def is_after(self, recorded: Recorded) -> bool:
        """Whether a reading is older than that work."""
        return (recorded.at, recorded.n) < (self.at, self.n)


def last_left(session: Session) -> dict[str, Upset]:
    """By step: its last reading as left."""
    found: dict[str, Upset] = {}
    for (_, _, _, phase), recorded in session.readings.items():
        if phase == AS_LEFT:
            with_left(found, recorded)
    return found


def with_left(left: dict[str, Upset], recorded: Recorded) -> None:
    """Put down one more reading as left, where it is the last of its step."""
    known = left.get(recorded.step)
    if known is None or not known.is_after(recorded):
        left[recorded.step] = Upset(recorded.step, recorded.at, recorded.n)


def upset_of(step: Step, left: Mapping[str, Upset]) -> Upset | None:
    """The last work as left of the steps that disturb this one; None where there was none."""
    disturbing: Iterable[Upset] = (left[other] for other in step.disturbed_by if other in left)
    return max(disturbing, key=lambda upset: (upset.at, upset.n), default=None)
