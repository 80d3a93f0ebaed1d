"""Two computers that begin, record, pack, receive and combine in any order: nothing is lost.

A state machine of hypothesis. Each command that ends with status 0 has acknowledged what it wrote:
a note with a text of its own. At the end the two bring everything to each other, and every text is
in both stores, once, in logs that verify.

    python -m tests.campaigns.two_computers --examples 300 --steps 40
"""

from __future__ import annotations

import argparse
import itertools
import json
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from inspect_tui.files.log import compare
from inspect_tui.files.log import writer as log
from tests.campaigns.every_command import CHECKLIST, MACHINE
from tests.campaigns.killed import quietly

SIDES = st.sampled_from(("shed", "house"))
WHICH = st.integers(0, 3)


class TwoComputers(RuleBasedStateMachine):
    """A computer in the shed and one in the house, and files carried between them."""

    files = Bundle("files")

    @initialize()
    def begin(self) -> None:
        """Two empty stores with the same list and machine, whose clocks agree."""
        self.folder = Path(tempfile.mkdtemp())
        self.said = itertools.count(1)
        self.acknowledged: dict[str, str] = {}
        """Each text, and the first seal of the session that it was recorded in."""
        for side in ("shed", "house"):
            for name, text in (("checklists/short", CHECKLIST), ("machines/bed", MACHINE)):
                path = self.folder / side / f"{name}.toml"
                path.parent.mkdir(parents=True)
                path.write_text(text)

    def teardown(self) -> None:
        """Bring all of it together, hold it to what was acknowledged, and clear up."""
        if not hasattr(self, "folder"):
            return
        try:
            self.bring_together()
        finally:
            shutil.rmtree(self.folder)

    # --- what people do ---------------------------------------------------------------------

    @rule(side=SIDES)
    def new(self, side: str) -> None:
        """Begin a session; on one day both give it the same id."""
        status, words = self.run(side, "new", "short", "bed", "--by", side)
        assert status == 0, words

    @rule(side=SIDES, which=WHICH)
    def note(self, side: str, which: int) -> None:
        """Say something; it counts once the command has come back with 0."""
        if path := self.a_session(side, which):
            text = f"said {next(self.said)} in the {side}"
            status, words = self.run(side, "note", path.stem, "belt", text)
            if status == 0:
                self.acknowledged[text] = log.read(path).entries[0].seal
            else:
                assert "is signed" in words or "was signed" in words, words

    @rule(side=SIDES, which=WHICH, width=st.integers(29, 34))
    def record(self, side: str, which: int, width: int) -> None:
        """A reading; the later one stands, and both stay readable."""
        if path := self.a_session(side, which):
            before = len(log.read(path).entries)
            status, _ = self.run(side, "record", path.stem, f"belt.width={width}")
            assert (status == 0) == (len(log.read(path).entries) > before)

    @rule(side=SIDES, which=WHICH)
    def sign(self, side: str, which: int) -> None:
        """Sign it off."""
        if path := self.a_session(side, which):
            self.run(side, "sign", path.stem, "--by", side, "--accept-open", "as it is")

    @rule(target=files, side=SIDES, which=WHICH)
    def pack(self, side: str, which: int) -> Path | None:
        """Put a session into a file."""
        path = self.a_session(side, which)
        return None if path is None else self.packed(side, path.stem)

    @rule(target=files, side=SIDES)
    def pack_all(self, side: str) -> Path | None:
        """Put everything of the machine into a file."""
        return self.packed(side, "bed") if self.sessions(side) else None

    @rule(side=SIDES, file=files)
    def receive(self, side: str, file: Path | None) -> None:
        """Bring a file in; it may be old, or refused because both went on."""
        if file is not None:
            status, words = self.run(side, "receive", str(file))
            assert status in (0, 1), words
            assert status == 0 or "inspect-tui combine" in words, words

    @rule(side=SIDES, which=WHICH, file=files)
    def combine(self, side: str, which: int, file: Path | None) -> None:
        """Make one log of both; refused where there is nothing to combine."""
        if file is not None and (path := self.a_session(side, which)):
            status, words = self.run(side, "combine", path.stem, str(file), "--by", side)
            assert status in (0, 1), words

    # --- what has to hold -------------------------------------------------------------------

    @invariant()
    def nothing_acknowledged_is_missing_where_it_was_said(self) -> None:
        """In the store of the side that said it, at any moment, in a log that verifies."""
        if not hasattr(self, "folder"):
            return
        for side in ("shed", "house"):
            held = self.texts(side)
            mine = [text for text in self.acknowledged if text.endswith(side)]
            assert not (lost := [text for text in mine if text not in held]), lost

    def bring_together(self) -> None:
        """Each receives or combines all that the other has, until both have everything."""
        for giver, taker in (("shed", "house"), ("house", "shed"), ("shed", "house")):
            for path in self.sessions(giver):
                self.carry(giver, taker, path)
        for side in ("shed", "house"):
            held = self.texts(side)
            lost = [text for text in self.acknowledged if held.get(text, 0) == 0]
            assert not lost, f"{side} lacks {lost}"
            for path in self.sessions(side):
                status, words = self.run(side, "verify", path.stem)
                assert status == 0, words

    def carry(self, giver: str, taker: str, path: Path) -> None:
        """Bring one session over, combining where it went on in both places."""
        file = self.packed(giver, path.stem)
        status, words = self.run(taker, "receive", str(file))
        if status == 0:
            return
        seal = log.read(path).entries[0].seal
        here = next(each for each in self.sessions(taker) if log.read(each).entries[0].seal == seal)
        assert "inspect-tui combine" in words, words
        status, words = self.run(taker, "combine", here.stem, str(file), "--by", taker)
        assert status == 0, words

    # --- small things -----------------------------------------------------------------------

    def run(self, side: str, *words: str) -> tuple[int, str]:
        """One command on one computer."""
        return quietly("--store", str(self.folder / side), *words)

    def sessions(self, side: str) -> list[Path]:
        """The logs of one computer."""
        return sorted((self.folder / side / "sessions").glob("*.toml"))

    def a_session(self, side: str, which: int) -> Path | None:
        """One of them, if there is any."""
        found = self.sessions(side)
        return found[which % len(found)] if found else None

    def packed(self, side: str, what: str) -> Path:
        """A file with it."""
        file = self.folder / f"{next(self.said)}.zip"
        status, words = self.run(side, "pack", what, "-o", str(file))
        assert status == 0, words
        return file

    def texts(self, side: str) -> dict[str, int]:
        """How often each note is in a store, in what is carried too; every log verifies."""
        found: dict[str, int] = {}
        for path in self.sessions(side):
            contents = log.read(path)
            assert contents.whole, (path.name, contents.problems)
            assert not compare.problems(contents.entries)
            for entry in (*contents.entries, *compare.all_carried(contents.entries)):
                if entry.kind == "note":
                    text = json.loads(json.dumps(entry.get("text")))
                    found[text] = found.get(text, 0) + 1
        return found


def run(
    examples: int,
    steps: int,
    machine: Callable[[], RuleBasedStateMachine],
    phases: Iterable[Phase] = tuple(Phase),
) -> None:
    """Try so many histories of so many steps."""
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples, stateful_step_count=steps, deadline=None, phases=phases,
            suppress_health_check=list(HealthCheck),
        ),
    )  # fmt: skip


def main() -> int:
    """Run the campaign and print what it came to."""
    given = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    given.add_argument("--examples", type=int, default=300)
    given.add_argument("--steps", type=int, default=40)
    asked = given.parse_args()
    begun = time.monotonic()
    run(asked.examples, asked.steps, TwoComputers)
    took = time.monotonic() - begun
    print(f"two computers: {asked.examples} histories, 0 faults found, {took:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
