"""Ids of a checklist and names of a sheet: their form, doubled ones, words that are taken."""

from __future__ import annotations

import re
from collections.abc import Iterable

from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import WORDS
from inspect_tui.core.model.checklist import Checklist
from inspect_tui.core.text.sanitize import ellipsize

ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
LONGEST_ID = 80
FINDING_WORDS = {"X": "STEP", "O": "STEP.READING", "I": "INFERENCE"}
"""What stands before the dot in ids of findings that are no reading's; see `findings`."""
ADDED = re.compile(r"added-[0-9]+")


def check_ids(checklist: Checklist, complaints: ProblemCollector) -> None:
    """Every id of a checklist."""
    if checklist.id:
        check_form(("id",), checklist.id, complaints)
    sections: list[tuple[Path, str]] = []
    steps: list[tuple[Path, str]] = []
    for number, section in enumerate(checklist.section):
        sections.append((("section", number, "id"), section.id))
        for place, step in enumerate(section.step):
            path: Path = ("section", number, "step", place)
            steps.append(((*path, "id"), step.id))
            values: list[tuple[Path, str]] = [
                ((*path, "reading", n, "id"), one.id) for n, one in enumerate(step.reading)
            ] or [((), "done")]
            values += [((*path, "derived", n, "id"), one.id) for n, one in enumerate(step.derived)]
            values += [((*path, "setting", n, "id"), one.id) for n, one in enumerate(step.setting)]
            _check_all("reading, derived value or setting of this step", values, complaints)
    _check_all("section", sections, complaints)
    _check_all("step", steps, complaints)
    for path, one in steps:
        _check_reserved(path, one, complaints)
    inferences: list[tuple[Path, str]] = [
        (("inference", n, "id"), one.id) for n, one in enumerate(checklist.inference)
    ]
    _check_all("inference", inferences, complaints)


def _check_reserved(path: Path, one: str, complaints: ProblemCollector) -> None:
    """Whether a step's id would make its findings, or its name, those of something else."""
    if one in FINDING_WORDS:
        complaints.add(
            path,
            f"'{ellipsize(one)}' begins the ids of other findings, as in {one}.{FINDING_WORDS[one]}"
            "; write another id.",
        )
    elif ADDED.fullmatch(one):
        complaints.add(
            path,
            f"'{ellipsize(one)}' is what a step is called that is added on the spot; write another "
            "id.",
        )


def _check_all(what: str, ids: Iterable[tuple[Path, str]], complaints: ProblemCollector) -> None:
    """Ids of one kind: each well formed, none twice, none alike in expressions."""
    seen: dict[str, str] = {}
    for path, one in ids:
        if not one:
            continue
        before = seen.get(written(one))
        seen.setdefault(written(one), one)
        if not path:
            continue
        check_form(path, one, complaints)
        check_word(path, one, complaints)
        if before == one:
            article = "an" if what[0] in "aeiou" else "a"
            complaints.add(
                path, f"'{ellipsize(one)}' is already {article} {what}; write another id."
            )
        elif before is not None:
            complaints.add(
                path,
                f"'{ellipsize(one)}' and '{ellipsize(before)}' are the same in expressions, where "
                "- is written _; write another id.",
            )


def check_form(path: Path, one: str, complaints: ProblemCollector) -> None:
    """Whether an id is well formed."""
    if len(one) > LONGEST_ID:
        complaints.add(path, f"'{ellipsize(one)}' is too long for an id; at most {LONGEST_ID}.")
    elif not ID.fullmatch(one):
        complaints.add(
            path,
            f"'{ellipsize(one)}' is no id; write a letter, then letters, digits, - or _"
            f"{_like(one)}.",
        )


def _like(one: str) -> str:
    better = re.sub(r"[^A-Za-z0-9_-]+", "-", one[:LONGEST_ID]).strip("-")
    return f", such as {better}" if ID.fullmatch(better) else ""


def check_word(path: Path, one: str, complaints: ProblemCollector) -> None:
    """Whether an id is a word that expressions need themselves.

    A calculation's name is none: a call has brackets and a name has none, so each is understood.
    """
    if written(one) in WORDS:
        complaints.add(
            path, f"'{ellipsize(one)}' is a word of the expression language; write another id."
        )


def check_names(what: str, names: Iterable[tuple[Path, str]], complaints: ProblemCollector) -> None:
    """Names of a sheet that expressions use: well formed, none alike."""
    seen: dict[str, str] = {}
    for path, name in names:
        if not ID.fullmatch(name) or len(name) > LONGEST_ID:
            complaints.add(
                path,
                f"'{ellipsize(name)}' is no name for {what}; write a letter, then letters, digits "
                f"or _{_like(name)}.",
            )
        if written(name) in seen:
            complaints.add(path, f"'{ellipsize(name)}' is given twice as {what}; write it once.")
        seen.setdefault(written(name), name)
