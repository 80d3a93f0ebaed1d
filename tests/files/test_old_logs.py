"""Logs of the program as it was before keys and kinds got their present names.

`old-keys-open.toml` and `old-keys-signed.toml` are one session, made by that program: a list with
`needs`, `when` and `before`, every kind of entry that it wrote, two copies joined (`joined`,
`joined_from`); the second is signed off with an SSH key and has an addendum.
"""

from __future__ import annotations

import json
import shutil
import tomllib
from hashlib import sha256
from pathlib import Path

import pytest

from inspect_tui.core.definitions import of_log

DATA = Path(__file__).parent / "data"
SESSION = "2026-11-26-bench-bed-shed-evening"


@pytest.fixture(params=["open", "signed"])
def old(request, places):
    """A store that holds the session; its log."""
    photo = DATA / "old-keys-photo.jpg"
    places.photos.mkdir()
    digest = sha256(photo.read_bytes()).hexdigest()
    shutil.copy(photo, places.photos / f"{digest}.jpg")
    return Path(shutil.copy(DATA / f"old-keys-{request.param}.toml", places.log(SESSION)))


def entries(log: Path) -> list[dict]:
    return tomllib.loads(log.read_text(encoding="utf-8"))["entry"]


def test_the_kept_logs_hold_what_they_are_kept_for():
    text = entries(DATA / "old-keys-signed.toml")[0]["checklist"]
    for key in ("\nneeds = ", '\nwhen = "machine', "\nbefore = "):
        assert key in text
    kinds = {entry["kind"] for entry in entries(DATA / "old-keys-signed.toml")}
    assert kinds == {
        "opened", "caution", "note", "reading", "conditions", "step-added", "finding", "photo",
        "skipped", "joined", "resumed", "decision", "signed", "signature", "addendum",
    }  # fmt: skip
    assert any("joined_from" in entry for entry in entries(DATA / "old-keys-open.toml"))


def test_it_is_read_as_it_was(old, run):
    before = old.read_bytes()
    found = json.loads(run("status", SESSION, "--json").out)
    assert old.read_bytes() == before
    states = {step["id"]: step["state"] for step in found["steps"]}
    assert states == {
        "make-dead": "done", "belt": "done", "swap": "done", "coolant": "skipped",
        "fan": "not-needed", "stamps": "done", "air": "done", "added-1": "done",
    }  # fmt: skip
    readings = {
        (row["step"], row["reading"], row["cylinder"], row["phase"]): (row["value"], row["verdict"])
        for row in found["readings"]
    }
    assert readings["belt", "width", None, "as-found"] == (31.75, "pass")
    assert readings["stamps", "jet", "PTO", "as-found"] == (230, "fail")
    assert readings["air", "coldest", None, "as-found"] == (-18, "none")
    assert {finding["id"] for finding in found["findings"]} == {
        "stamps.jet@PTO", "stamps.colour@PTO", "I.lean@PTO", "F1"
    }  # fmt: skip


def test_its_order_of_steps_is_the_one_that_it_was_opened_with(old):
    steps = of_log.compile_trusted(entries(old)[0]["checklist"]).steps
    assert steps["belt"].after == ("make-dead",)
    assert steps["belt"].disturbed_by == ("swap",)
    assert steps["fan"].only_if == "machine.cooling == 'fan'"


def test_it_is_verified(old, run):
    ran = run("verify", SESSION)
    assert ran.status == 0, ran.out + ran.err
    if "signed" in {entry["kind"] for entry in entries(old)}:
        ran = run("verify", SESSION, "--signers", DATA / "old-keys-signers")
        assert ran.status == 0, ran.out + ran.err
        assert "R.Tester" in ran.out


@pytest.mark.parametrize("form", ["md", "html", "csv", "json", "pdf"])
def test_it_is_exported(old, run, tmp_path, form):
    target = tmp_path / f"old.{form}"
    ran = run("export", SESSION, "--to", form, "-o", target)
    assert ran.status == 0, ran.err
    assert target.stat().st_size > 1_000
    if form == "json":
        assert run("verify", target).status == 0


def test_it_is_carried_on(old, run):
    before = old.read_bytes()
    if "signed" in {entry["kind"] for entry in entries(old)}:
        assert run("addendum", SESSION, "Ridden.").status == 0
    else:
        assert run("record", SESSION, "--as-left", "stamps.jet@PTO=240").status == 0
        assert run("decide", SESSION, "F1", "run-as-found").status == 0
        assert run("decide", SESSION, "stamps.colour@PTO", "run-as-found").status == 0
        assert run("sign", SESSION, "--by", "R. Tester").status == 0
    assert old.read_bytes().startswith(before)
    assert run("verify", SESSION).status == 0


def test_check_and_new_want_the_new_names(old, run, tmp_path):
    """The same list as a file is refused, each old key with one sentence."""
    opened = entries(old)[0]
    for name in ("checklist", "machine"):
        (tmp_path / f"{name}.toml").write_text(opened[name], encoding="utf-8")
    ran = run("check", tmp_path / "checklist.toml")
    assert ran.status == 1
    said = [line.partition("step.")[2] for line in ran.out.splitlines()]
    words = {
        "needs": "needs: 'needs' is called after now; write after.",
        "before": "before: 'before' is called disturbed_by now; write disturbed_by.",
        "when": "when: 'when' is called only_if now; write only_if.",
    }
    assert sorted(said) == sorted(
        words[key]
        for key in ("needs", "needs", "needs", "before", "before", "when", "when")
    )  # fmt: skip
    ran = run("new", tmp_path / "checklist.toml", tmp_path / "machine.toml", "--by", "A")
    assert ran.status != 0
    assert "after" in ran.err
