"""What a checklist names elsewhere: steps in order, readings of a setting, findings explained."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from inspect_tui.core.definitions.checks.dependency_cycles import find_cycles
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.checklist import Adjustment, Checklist, Step
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest


def placed_steps(checklist: Checklist) -> Iterator[tuple[Path, Step]]:
    """Every step with its place."""
    for number, section in enumerate(checklist.section):
        for place, step in enumerate(section.step):
            yield ("section", number, "step", place), step


def check_references(checklist: Checklist, complaints: ProblemCollector) -> None:
    """Steps, readings and values that are named by their ids."""
    known = [step.id for step in checklist.steps if step.id]
    # `after` and `disturbed_by` speak of different times, so each is a graph of its own.
    edges: dict[str, list[tuple[str, str, Path]]] = {"after": [], "disturbed_by": []}
    for path, step in placed_steps(checklist):
        for key, ids in (("after", step.after), ("disturbed_by", step.disturbed_by)):
            place = (*path, key)
            if not complaints.sound(*place):
                continue
            _check_doubled(place, key, ids, complaints)
            for one in _known(place, "step", ids, known, complaints):
                if one == step.id:
                    complaints.add(
                        place, f"'{ellipsize(one)}' names itself in {key}; leave it out."
                    )
                else:
                    edges[key].append((step.id, one, place))
        for number, setting in enumerate(step.setting):
            _check_moves((*path, "setting", number), step, setting, complaints)
    for key, said_between in (("after", " after "), ("disturbed_by", " disturbed by ")):
        for place, circle in find_cycles(edges[key]):
            complaints.add(
                place,
                f"{key} goes in a circle, {said_between.join(map(ellipsize, circle))}; leave one "
                "of them out.",
            )
    values = [
        f"{step.id}.{value}"
        for step in checklist.steps
        for value in (*(one.id for one in step.readings), *(one.id for one in step.derived))
    ]
    for n, inference in enumerate(checklist.inference):
        for key, what, ids, there in (
            ("look_at", "step", inference.look_at, known),
            ("explains", "reading", inference.explains, values),
        ):
            place = ("inference", n, key)
            if complaints.sound(*place):
                _check_doubled(place, key, ids, complaints)
                list(_known(place, what, ids, there, complaints))


def _check_moves(path: Path, step: Step, setting: Adjustment, complaints: ProblemCollector) -> None:
    place = (*path, "moves")
    if not setting.moves or not complaints.sound(*place):
        return
    known = [reading.id for reading in step.readings]
    _check_doubled(place, "moves", setting.moves, complaints)
    named = list(_known(place, "reading", setting.moves, known, complaints, " of this step"))
    if setting.reading in known and setting.reading not in named:
        complaints.add(
            place,
            f"moves leaves out '{ellipsize(setting.reading)}', which this setting measures again; "
            "put it in.",
        )


def _check_doubled(path: Path, key: str, ids: Sequence[str], complaints: ProblemCollector) -> None:
    seen: set[str] = set()
    for one in ids:
        if one in seen:
            complaints.add(path, f"{key} names '{ellipsize(one)}' twice; once is enough.")
        seen.add(one)


def _known(
    path: Path,
    what: str,
    ids: Sequence[str],
    known: Iterable[str],
    complaints: ProblemCollector,
    where: str = "",
) -> Iterator[str]:
    there = set(known)
    for one in dict.fromkeys(ids):
        if one in there:
            yield one
        else:
            wanted = "STEP.READING" if what == "reading" and not where else f"the id of a {what}"
            hint = suggest(one, known) or f"write {wanted}{where}."
            complaints.add(path, f"There is no {what} '{ellipsize(one)}'{where}; {hint}")
