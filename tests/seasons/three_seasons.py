"""Three seasons of the demonstration's triple, typed by hand; figures and lists as shipped.

The belt wears by 0.3 mm each 1000 km (common practice for an old machine ridden hard), so that one
of 35.2 mm at 1000 km is down to its 33.5 mm at 6667 km. A gauge is off by up to 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta

from inspect_tui.core.evaluation.conclusions.decisions import WantedPart
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target

MACHINE = "tindrak-600"
BY = "R. Tester"
WORN_OUT = 1000 + (35.2 - 33.5) / 0.0003
"""km at which the first belt is down to the least that the sheet allows."""


def belt(km: float, off: float = 0.0) -> float:
    """What a gauge that is off by so much says of the first belt's narrowest place, mm."""
    return round(35.2 - 0.0003 * (km - 1000) + off, 2)


class Season:
    """Sessions one after the other, on a clock that goes a minute on at each look."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._now = datetime(2024, 11, 1, 18, tzinfo=UTC)

    def __call__(self) -> datetime:
        self._now += timedelta(minutes=1)
        return self._now

    def session(
        self,
        day: str,
        checklist: str,
        typed: Mapping[str, str],
        *,
        only: Sequence[str],
        then: Callable[[Inspection], None] = lambda held: None,
        sign: bool = True,
    ) -> str:
        """One session; returns its id.

        Args:
            day: ISO.
            checklist: Its list.
            typed: By place, what was typed.
            only: The steps that the job takes in.
            then: Done before the sign-off.
            sign: Whether it is signed off.
        """
        self._now = datetime.fromisoformat(f"{day}T18:00:00+00:00")
        with Inspection.new(self.store, checklist, MACHINE, BY, self, only=only) as held:
            held.record([(Target(*place.split(".")), text) for place, text in typed.items()])
            then(held)
            if sign:
                failed = {
                    each.step.id: "walked slowly" for each in held.results.steps if each.failed
                }
                held.sign(BY, "the rest is not today's job", accept=failed)
            return held.id

    def look(self, day: str, km: int, off: float, **keys) -> str:
        """The belt before a season, in five places; the thinnest is the third."""
        width = belt(km, off)
        typed = {"identity.odometer": f"{km} km"} | {
            f"belt-width.width-{place}": f"{width + more:.2f}"
            for place, more in enumerate((0.1, 0.05, 0.0, 0.1, 0.1), start=1)
        }
        typed |= {f"belt-width.{name}": text for name, text in keys.pop("more", {}).items()}
        typed |= keys.pop("also", {})
        only = ("identity", "belt-width", *keys.pop("steps", ()))
        return self.session(day, "pre-season", typed, only=only, **keys)

    def away(self, day: str, km: int, off: float) -> str:
        """The belt at the lay-up, its narrowest place alone."""
        typed = {"figures.odometer": f"{km} km", "belt-off.width": f"{belt(km, off):.2f}"}
        return self.session(day, "lay-up", typed, only=tuple(each.split(".")[0] for each in typed))


def put_off(held: Inspection) -> None:
    """The chain is slack: looked at again in the first ride; a belt is ordered."""
    for finding in held.results.findings:
        if finding.open and finding.step == "chain-slack":
            held.decide(finding.id, "later", "a new chain beds in", "first-ride")
    name = held.add_finding("belt-width", "edge cords fray")
    held.decide(name, "get-part", part=WantedPart("Drive belt", 1, "TB-1194"))


def two_seasons(store: Store) -> Season:
    """Two seasons of wear, measured before and after each."""
    season = Season(store)
    season.look("2024-11-02", 1000, 0.05)
    season.away("2025-03-30", 2100, -0.08)
    season.look("2025-11-05", 2100, 0.02)
    season.away("2026-03-28", 3300, -0.04)
    return season


def third_autumn(season: Season) -> str:
    """The third autumn: the chain is put off, a belt is ordered."""
    return season.look(
        "2026-11-04", 3300, 0.06, steps=("chain-slack",),
        also={"chain-slack.slack": "25", "chain-slack.loosest": "25"}, then=put_off,
    )  # fmt: skip
