"""The demonstration: a session on an invented machine, half done, in a store of its own.

Its story lies in `checklists/demo/story.toml` and is recorded through the same door as a person's
entries, so that what it shows is what the program does.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from inspect_tui.core.model.log_entry import AS_LEFT, Phase
from inspect_tui.errors import BadInput, InspectError, Refused
from inspect_tui.files.definition_files import read_text
from inspect_tui.files.store import Store, list_sessions, shipped, store
from inspect_tui.workflow.inspection import Inspection, Target, WantedPart


def prepare(
    given: str | None, now: Callable[[], datetime], *, fresh: bool = False
) -> tuple[Store, str]:
    """The demonstration's store and its session, made on the first visit.

    Args:
        given: A folder to use instead of the demonstration's own one.
        now: The clock.
        fresh: Whether to begin anew; what was tried before stays in its own folder.

    Returns:
        The store and the id of its newest session.

    Raises:
        BadInput: it is to begin anew in a named folder that holds sessions already.
    """
    places = store(given) if given is not None else _own_store(fresh)
    present = list_sessions(places)
    if present and fresh:
        raise BadInput(
            f"There are sessions in {places.store} already.",
            "Name an empty folder, or leave --store out.",
        )
    if present:
        return places, present[-1].stem
    with _begun(places, now) as inspection:
        return places, inspection.session.id


def _own_store(fresh: bool) -> Store:
    """The newest of the folders `demo`, `demo-2`, `demo-3` ... in the store, or the next one."""
    folder, number = store().store / "demo", 1
    known = folder
    while list_sessions(Store(folder)):
        known, number = folder, number + 1
        folder = known.with_name(f"demo-{number}")
    return Store(folder if fresh else known)


def _begun(places: Store, now: Callable[[], datetime]) -> Inspection:
    story = tomllib.loads(read_text(shipped() / "demo" / "story.toml"))
    inspection = Inspection.new(
        places, str(shipped() / f"{story['checklist']}.toml"),
        str(shipped() / "machines" / f"{story['machine']}.toml"), story["by"], now,
    )  # fmt: skip
    try:
        inspection.cautions.confirm()
        _replay(inspection, story["act"])
    except InspectError as error:
        inspection.close()
        Path(inspection.log.path).unlink()
        raise Refused("The demonstration's story can't be told.", str(error)) from error
    return inspection


def _replay(inspection: Inspection, acts: list[Mapping[str, Any]]) -> None:
    """Acts of the same kind at the same step go in together, as a page of readings would."""
    lot: list[tuple[Target, str]] = []
    of: tuple[str, Phase] | None = None
    for act in acts:
        phase: Phase = AS_LEFT if act.get("phase") == AS_LEFT else "as-found"
        here = (act["step"], phase) if act["do"] == "record" else None
        if lot and of is not None and here != of:
            inspection.record(lot, of[1], with_cautions=True)
            lot = []
        of = here
        if act["do"] == "record":
            target = Target(act["step"], act["reading"], act.get("cylinder"))
            lot.append((target, act["entered"]))
        else:
            _ACTS[act["do"]](inspection, act)
    if lot and of is not None:
        inspection.record(lot, of[1], with_cautions=True)


_ACTS: dict[str, Callable[[Inspection, Mapping[str, Any]], object]] = {
    "skip": lambda inspection, act: inspection.skip(
        act["step"], act["why"], act.get("reading"), act.get("cylinder")
    ),
    "note": lambda inspection, act: inspection.note(act["step"], act["text"]),
    "add-finding": lambda inspection, act: inspection.add_finding(
        act["step"], act["text"], act.get("cylinder")
    ),
    "decide": lambda inspection, act: inspection.decide(
        act["finding"],
        act["decision"],
        act.get("why", ""),
        act.get("until", ""),
        part=WantedPart(act["part"], act.get("quantity", 1)) if "part" in act else None,
    ),
}
