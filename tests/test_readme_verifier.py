"""The verifier in README.md: short, alone, and right about every kind of log."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.files.log.writer import Writer
from inspect_tui.workflow import demo
from tests.readme_verifier import source

AT = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)
OPENED = {
    "format": 1, "program": "inspect-tui test", "session": "2026-10-03-bench-short",
    "checklist": 'id = "short"\n', "machine": 'id = "bench"\n[machine]\n',
}  # fmt: skip
NOTE = ("note", {"step": "belt", "text": 'ends so:\nseal = "' + 64 * "0" + '"\n[[entry]]\n'})
READING = (
    "reading",
    {
        "step": "belt", "reading": "width", "cylinder": "centre", "phase": "as-found",
        "entered": "31,7 mm", "value": 31.7, "unit": "mm", "verdict": "pass",
    },
)  # fmt: skip
SIGNED = ("signed", {"open": ["belt: 'worn', \"cut\"", "brake"], "accepted": "none of it"})
KINDS = {
    "opened alone": [],
    "open": [READING, NOTE, ("resumed", {}), ("skipped", {"step": "fan", "why": "none"})],
    "signed": [READING, SIGNED],
    "signed, with what may follow": [
        SIGNED,
        ("signature", {"of": 1, "signature": "-----BEGIN\nAAAA\n-----END\n"}),
        ("addendum", {"text": "the plug came \x85\u2028"}),
        ("combined", {"with": "another"}),
    ],
    "unknown kinds": [("polished", {"with": ["wax", "rag"], "shine": 0}), NOTE],
    "the clock ran backwards": [NOTE, ("note", {"step": "belt", "text": "x", "back": True})],
}


@pytest.fixture(scope="module")
def alone(tmp_path_factory):
    """Runs the verifier in a Python of its own that finds nothing of ours."""
    script = tmp_path_factory.mktemp("verifier") / "verify_log.py"
    script.write_text(source(), encoding="utf-8")

    def run(log: Path) -> tuple[int, str]:
        done = subprocess.run(
            [sys.executable, "-I", str(script), str(log)],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.stderr == ""
        return done.returncode, done.stdout.strip()

    return run


def write(path, kinds):
    with Writer.create(path, Entry(0, "opened", AT, "A. Tester", OPENED)) as writer:
        for number, (kind, keys) in enumerate(kinds):
            at = AT + timedelta(minutes=-5 if keys.get("back") else number)
            writer.append([Entry(0, kind, at, "A. Tester", keys)])


def test_it_has_less_than_forty_lines():
    assert len(source().splitlines()) < 40


@pytest.mark.parametrize("kind", KINDS)
def test_it_says_yes_to_each_kind_of_log_and_no_once_it_is_changed(kind, alone, tmp_path):
    path = tmp_path / "log.toml"
    write(path, KINDS[kind])
    assert alone(path) == (0, "verified")
    data = path.read_bytes()
    last = data.rindex(b"[[entry]]\n")
    number = data.count(b"\n[[entry]]\n")
    path.write_bytes(data[:last] + data[last:].replace(b"A. Tester", b"B. Tester", 1))
    status, said = alone(path)
    assert status == 1
    assert f"the seal of entry {number} doesn't hold" in said
    path.write_bytes(data[:-1])
    assert alone(path) == (1, "torn at its end")


def test_it_reads_the_published_example(alone):
    example = Path(__file__).parent / "files" / "data" / "three-entries.toml"
    assert alone(example) == (0, "verified")


def test_it_reads_the_demonstration(alone, tmp_path):
    places, session = demo.prepare(str(tmp_path / "demo"), lambda: AT)
    assert alone(places.log(session)) == (0, "verified")


@pytest.mark.parametrize("text", [b"", b"\n", b"hello\n", b'seal = "' + b"0" * 64 + b'"\n'])
def test_what_is_no_log_is_refused(text, alone, tmp_path):
    path = tmp_path / "log.toml"
    path.write_bytes(text)
    assert alone(path)[0] == 1
