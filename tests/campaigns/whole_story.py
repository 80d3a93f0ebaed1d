"""The whole job, by commands and by keys: what it takes, counted.

An own machine from nothing, its figures typed from the manual, three days of pre-season with some
thirty faults, put right, decided, parts fetched and fitted, signed, handed over, and what of it is
in the first ride's list. The faults and the work are those of `tests/season_story.py`.

    python -m tests.campaigns.whole_story
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

from inspect_tui.commands.common import now
from inspect_tui.files.store import Store
from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.screens.sign_state import SignState
from inspect_tui.tui.walk.one_press import answer_of
from inspect_tui.workflow.inspection import Inspection, Target
from tests.campaigns.killed import quietly
from tests.season_story import CONFIRMED, DECIDED, FOUND, LEFT, NOTES, place
from tests.sound_machine import walked
from tests.tui.plain_deciding import Deciding
from tests.tui.plain_walk import PlainWalk

LIST, SHIPPED, OWN = "pre-season", "tindrak-600", "shed-sled"
BY = "P. Sledgewright"
SAID = "seen, and to be mended before it leaves the yard"
STAYS = {"brake-lever.feel": "spongy"}
"""By place, what is still so at the sign-off."""
LETTERS = 5
"""Of a step's name, typed until it is the one that is meant."""
_PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")


@dataclass
class Counts:
    """What was counted on the way, in its order."""

    rows: list[tuple[str, str]] = field(default_factory=list)

    def note(self, what: str, count: object) -> None:
        """One more line."""
        self.rows.append((what, str(count)))

    def __str__(self) -> str:
        width = max(len(what) for what, _ in self.rows)
        return "\n".join(f"{what:<{width}}  {count}" for what, count in self.rows)


class Prompt:
    """A person at the prompt: each command must be done, unless another status is expected."""

    def __init__(self, store: Path) -> None:
        self.store = store
        self.commands = 0

    def __call__(self, *words: str, status: int = 0) -> str:
        """Give a command; what it printed, or what it said where it was not done."""
        self.commands += 1
        ended, said = quietly("--store", str(self.store), *words)
        if ended != status:
            raise AssertionError(f"{' '.join(words)}: exit {ended}\n{said}")
        return said

    def rows(self, *words: str) -> dict:
        """What a command lists, as JSON."""
        return json.loads(self(*words, "--json"))


def typed() -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """By step, in the list's order: place and text of each reading, with the faults."""
    entries = (each for each in walked(LIST, SHIPPED).entries if each.kind == "reading")
    for step, rows in groupby(entries, key=lambda each: each.get("step")):
        yield (
            step,
            [
                (where, (FOUND | STAYS).get(where, each.get("entered")))
                for each in rows
                for where in [place(step, each.get("reading"), each.get("cylinder"))]
            ],
        )


def make_machine(prompt: Prompt, counts: Counts) -> None:
    """The own machine: a name, its cylinders and facts, then the manual's figures."""
    sheet = prompt.rows("sheet", SHIPPED)
    facts = walked(LIST, SHIPPED).evaluation.machine.machine
    before = prompt.commands
    said = [f"{name}={str(fact).lower() if isinstance(fact, bool) else fact}"
            for name, fact in facts.items()]  # fmt: skip
    words = [word for each in said for word in ("--fact", each)]
    prompt("new-sheet", OWN, "--name", "The shed's sled", "--cylinders", "PTO,centre,MAG", *words)
    figures = [row for row in sheet["figures"] if row["value"] is not None]
    asked = {name for name in prompt.rows("sheet", OWN, "--for", LIST)["missing"]}
    for name, rows in groupby(figures, key=lambda row: row["name"]):
        if name not in asked:
            continue
        places = [
            f"{name}{'' if row['cylinder'] is None else '@' + row['cylinder']}={row['value']}"
            for row in rows
        ]
        prompt("figure", OWN, *places, "--source", "manual")
    counts.note("figures the list asks for", len(asked))
    counts.note("commands from nothing to the sheet", prompt.commands - before)


def record(prompt: Prompt, session: str, steps: int) -> int:
    """Days one and two: so many steps a command; how many readings."""
    rows = list(typed())
    for start in range(0, len(rows), steps):
        words = [f"{where}={text}" for _, readings in rows[start : start + steps]
                 for where, text in readings]  # fmt: skip
        prompt("record", session, *words)
    return sum(len(readings) for _, readings in rows)


def put_right(prompt: Prompt, session: str) -> None:
    """Day three: what was put right is measured again, and what that upset."""
    prompt("record", session, "--as-left", *(f"{where}={text}" for where, text in LEFT.items()))
    for step, text in NOTES.items():
        prompt("note", session, step, text)
    for _ in range(8):
        again = prompt.rows("plan", session)["again"]
        if not again:
            return
        newest: dict[str, str] = {}
        for row in prompt.rows("status", session)["readings"]:
            if row["step"] in again:
                newest[place(row["step"], row["reading"], row["cylinder"])] = row["entered"]
        prompt("record", session, "--as-left", *(f"{at}={text}" for at, text in newest.items()))
    raise AssertionError(f"still to be measured again: {again}")


def lines(prompt: Prompt, session: str) -> list[dict]:
    """What wants a decision, a line each; under it stands what it explains."""
    return [
        each for each in prompt.rows("findings", session)
        if each["open"] and not each["remark"] and each["under"] is None
        and each["decision"] is None
    ]  # fmt: skip


def decide(prompt: Prompt, session: str, counts: Counts) -> None:
    """A decision on each line that wants one, and on what is put off though it passes."""
    found = lines(prompt, session)
    counts.note("lines to decide once that is put right", len(found))
    before = prompt.commands
    for name in dict.fromkeys([*(each["id"] for each in found), *DECIDED]):
        keys = DECIDED.get(name) or {
            "decision": "run-as-found", "why": "looked at, within what the machine has had",
        }  # fmt: skip
        options = [
            word for key, value in keys.items() if key != "decision"
            for word in (f"--{key}", str(value))
        ]  # fmt: skip
        prompt("decide", session, name, keys["decision"], *options)
    counts.note("commands to decide", prompt.commands - before)


def in_the_way(prompt: Prompt, session: str, counts: Counts, when: str) -> list[str]:
    """What the sign-off would be refused for; the safety steps that want words of their own."""
    status, said = quietly("--store", str(prompt.store), "sign", session, "--by", BY)
    prompt.commands += 1
    if status == 0:
        raise AssertionError(f"signed without a word: {said}")
    counts.note(f"sentences in the way of the sign-off {when}", len(said.splitlines()))
    return re.findall(r"^Safety step '.*' \(([A-Za-z][\w-]*)\)", said, re.MULTILINE)


def sign(prompt: Prompt, session: str, counts: Counts) -> None:
    """The sign-off: the spongy brake lever stays, and is accepted in words."""
    safety = in_the_way(prompt, session, counts, "at the end")
    counts.note("safety steps accepted in words", len(safety))
    words = [word for step in safety for word in ("--accept", f"{step}={SAID}")]
    prompt("sign", session, "--by", BY, "--accept-open", CONFIRMED, *words)


def by_commands(store: Path, steps: int) -> Counts:
    """The whole of it at the prompt.

    Args:
        store: A folder of its own.
        steps: How many are recorded with one command.
    """
    counts, prompt = Counts(), Prompt(store)
    begun = time.monotonic()
    store.mkdir()
    make_machine(prompt, counts)
    paper = store / "paper.pdf"
    prompt("paper", LIST, OWN, "-o", str(paper))
    counts.note("pages of the blank sheets", pages(paper))
    session = prompt("new", LIST, OWN, "--by", BY)
    counts.note("readings", record(prompt, session, steps))
    plan = prompt.rows("plan", session)
    counts.note("steps that stop the start, the move", f"{len(plan['stops_start'])}, "
                f"{len(plan['stops_move'])}")  # fmt: skip
    counts.note("findings, all that was said", len(prompt.rows("findings", session)))
    counts.note("lines to decide as found", len(lines(prompt, session)))
    in_the_way(prompt, session, counts, "as found")
    tag = store / "tag.pdf"
    prompt("tag", session, "-o", str(tag))
    counts.note("pages of the tag", pages(tag))
    put_right(prompt, session)
    decide(prompt, session, counts)
    sign(prompt, session, counts)
    prompt("verify", session)
    report = store / "report.pdf"
    prompt("export", session, "--to", "pdf", "-o", str(report))
    counts.note("pages of the signed report", pages(report))
    parts = prompt.rows("parts", OWN)
    counts.note("parts to get", sum(each["state"] == "to get" for each in parts))
    for each in parts:
        prompt("got", OWN, each["part"], "--fitted")
    ride = prompt("new", "first-ride", OWN, "--by", BY)
    carried = prompt.rows("status", ride)["carried"]
    counts.note("carried into the first ride", len(carried))
    counts.note("commands in all", prompt.commands)
    counts.note("minutes of the program", f"{(time.monotonic() - begun) / 60:.1f}")
    return counts


class Keys:
    """A person at the walk: what is asked is answered, every key counted."""

    def __init__(self, walk: PlainWalk) -> None:
        self.walk = walk
        self.presses = 0
        self.readings = 0
        self.cautions = 0

    def press(self, *keys: str) -> None:
        """Keys, one after the other."""
        self.presses += len(keys)
        self.walk.press(*keys)

    def confirm(self) -> None:
        """The cautions before what is asked."""
        while self.walk.state.gate is not None:
            self.press(" ")
            self.cautions += 1

    def answer(self, text: str) -> None:
        """What is asked: by one key where one will do."""
        walk, target, reading = self.walk, self.walk.state.target, self.walk.state.reading
        text = text.removesuffix(f" {reading.unit}")  # it stands in the field
        zone = walk.zone(target, walk.state.phase)
        one = next((char for char in "+0123456789" if answer_of(char, reading, zone) == text), "")
        count = walk.entries("reading")
        self.press(*((one,) if one else (*text, "enter")))
        for _ in range(2):  # it asks where a value is far off, or the clock would begin
            if walk.entries("reading") == count:
                self.press("enter")
        if walk.entries("reading") == count:
            raise AssertionError(f"{target}: {text} was not recorded:\n{walk.text}")
        self.readings += 1

    def go(self, target: Target) -> None:
        """Ctrl+G, some letters and Enter to another step; a key to another reading of it."""
        self.presses += 1 if self.walk.state.step == target.step else 1 + LETTERS + 1
        self.walk.go_to(target)
        self.confirm()


def as_found(keys: Keys) -> None:
    """Days one and two: in the order in which it is asked."""
    texts = {where: text for _, rows in typed() for where, text in rows}
    while True:
        keys.confirm()
        target = keys.walk.state.target
        if target is None:
            return
        text = texts.get(place(target.step, target.reading, target.cylinder))
        if text is not None:
            keys.answer(text)
            continue
        starts = keys.walk.state.reading.kind == "timer"  # Enter would start it
        keys.press("down" if starts else "enter")  # what may be left out
        if keys.walk.state.target == target:
            keys.walk.do("next")


def as_left(keys: Keys) -> None:
    """Day three: what was put right is measured again, and what that upset is unchanged."""
    keys.press("f2")
    for where, text in LEFT.items():
        name, _, cylinder = where.partition("@")
        step, _, reading = name.partition(".")
        keys.go(Target(step, reading, cylinder or None))
        keys.answer(text)
    for _ in range(8):
        again = [each for each in keys.walk.results.steps if each.state == "again"]
        if not again:
            return
        for each in again:
            keys.go(Target(each.step.id, *each.stale[0]))
            keys.press("ctrl+r")
    raise AssertionError(f"still to be measured again: {again}")


def decided(inspection: Inspection) -> Deciding:
    """The findings screen: what is put off by itself, the rest together."""
    at = Deciding(inspection)
    for name, keys in DECIDED.items():
        if name not in [line.id for line in at.state.undecided]:
            continue  # it stands under another, which is decided
        at.state.go(name)
        at.presses += 1
        if keys["decision"] == "get-part":
            at.press("g")
            for text in (keys["part"], str(keys["quantity"]), keys.get("number", "")):
                at.answer(text, len(text) + 1)
        elif keys["decision"] == "later":
            at.press("l")
            at.answer(keys["until"])
    if at.state.undecided:
        at.state.mark_all()
        at.presses += 1
        while at.press("r") is not None:
            at.answer("within what it has had", 23)
    return at


def signed(inspection: Inspection) -> int:
    """The sign-off screen: each safety step in words, the rest in words; how many presses."""
    desk, state, presses = Desk(inspection), SignState(), 0
    state.show(desk.view(), desk.carried())
    while not state.ready:
        text = BY if not state.by else SAID if state.step else CONFIRMED
        presses += len(text) + 1
        if not state.take(text):
            raise AssertionError(f"not taken: {text}; {state.asks(BY)}")
    state.take("sign")
    inspection.sign(state.by, state.accepted, accept=state.words)
    return presses + 5


def by_keys(store: Path, paper: bool = False) -> Counts:
    """The whole of it in the app, without its screens.

    Args:
        store: A folder of its own.
        paper: Days one and two are typed in from the blank sheets.
    """
    counts = Counts()
    with Inspection.new(Store(store), LIST, SHIPPED, BY, now) as inspection:
        walk = PlainWalk(inspection)
        walk.open()
        keys = Keys(walk)
        if paper:
            keys.confirm()
            walk.do("from_paper")
            keys.presses += 2
            keys.press(*f"{now():%Y-%m-%d}", "enter", *BY, "enter")
        as_found(keys)
        counts.note("readings", keys.readings)
        counts.note("cautions", keys.cautions)
        counts.note("presses", keys.presses)
        counts.note("presses a reading", f"{keys.presses / keys.readings:.2f}")
        if paper:
            walk.do("from_paper")  # no more
            keys.presses += 2
        before = keys.presses
        as_left(keys)
        counts.note("presses as left", keys.presses - before)
        at = decided(inspection)
        counts.note("presses to decide, decisions", f"{at.presses}, {at.decisions}")
        counts.note("presses to sign", signed(inspection))
        from_paper = sum("paper" in entry.keys for entry in inspection.entries)
        counts.note("readings from paper", from_paper)
        counts.note("state", inspection.session.state)
    return counts


def pages(path: Path) -> int:
    """How many a PDF has."""
    return len(_PAGE.findall(path.read_bytes()))


def main() -> int:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--steps", type=int, default=1, help="recorded with one command")
    given = wanted.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print("By commands")
        print(by_commands(Path(folder) / "prompt", given.steps))
        print("\nBy keys")
        print(by_keys(Path(folder) / "keys"))
        print("\nOn paper first")
        print(by_keys(Path(folder) / "paper", paper=True))
    return 0


if __name__ == "__main__":
    sys.exit(main())
