"""The demonstration's story: told whole, with the findings that it is there to show."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from inspect_tui.workflow import demo
from inspect_tui.workflow.inspection import Inspection

STORY = tomllib.loads(
    (Path(__file__).parent.parent / "checklists" / "demo" / "story.toml").read_text("utf-8")
)


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    seconds = count()

    def clock() -> datetime:
        return datetime(2026, 11, 2, 18, 0, tzinfo=UTC) + timedelta(seconds=next(seconds))

    places, session = demo.prepare(str(tmp_path_factory.mktemp("demo")), clock)
    with Inspection.open(places, session, clock, write=False) as inspection:
        yield inspection


def test_every_record_of_the_story_stands_in_the_session(told):
    records = [act for act in STORY["act"] if act["do"] == "record"]
    for act in records:
        key = (act["step"], act["reading"], act.get("cylinder"), act.get("phase", "as-found"))
        assert told.session.readings[key].entered == act["entered"]
    assert len(told.session.readings) == len(records)
    assert not told.session.unknown


def test_a_third_to_a_half_of_the_list_is_done(told):
    needed = [step for step in told.results.steps if step.state != "not-needed"]
    done = [step for step in needed if step.state in ("done", "skipped")]
    assert 1 / 3 <= len(done) / len(needed) <= 1 / 2
    assert told.session.state == "open"


def test_the_exchanged_needles_are_noticed(told):
    found = next(each for each in told.results.findings if each.id == "X.needle")
    assert found.kind == "exchanged"
    assert found.open
    assert "centre" in found.text
    assert "MAG" in found.text
    assert "PTO" not in found.text


def test_the_jet_the_chain_and_the_belt_are_as_the_story_has_them(told):
    row = told.results.row
    assert row("pilot-jet", "stamp", "MAG", "as-found").judged.verdict == "fail"
    assert row("chain-slack", "slack", None, "as-found").judged.verdict == "fail"
    assert row("chain-slack", "slack", None, "as-left").judged.verdict == "pass"
    belt = told.results.derived_row("belt-width", "narrowest", None, "as-found")
    assert belt.judged.verdict == "uncertain"


def test_every_decision_of_the_story_counts_and_some_findings_wait_for_one(told):
    decided = {act["finding"] for act in STORY["act"] if act["do"] == "decide"}
    findings = {each.id: each for each in told.results.findings}
    assert [name for name in decided if not findings[name].counts] == []
    assert "I.worn-bore@MAG" in {
        name for name, each in findings.items() if each.open and each.decision is None
    }


def test_the_air_of_the_ride_is_said_and_the_chart_is_held_against_the_jets(told):
    assert told.results.chart is not None
    assert not told.results.chart.reason
    mains = [line for line in told.results.chart.lines if line.setting == "main_jet"]
    assert [line.words for line in mains] == ["as the chart"] * 3


def test_one_setting_was_used_and_one_waits(told):
    rows = {(row.step, row.id): row for row in told.results.settings}
    chain = rows["chain-slack", "tensioner"]
    assert chain.move is None
    assert "in place" in chain.words
    pump = rows["pump-mark", "adjuster"]
    assert pump.move is not None
    assert pump.move > 0


def test_the_story_follows_the_order_of_the_work(told):
    assert not [note for note in notes_of(told) if "Advice not followed" in note]
    assert notes_of(told)


def notes_of(told: Inspection) -> list[str]:
    return [str(each.keys["text"]) for each in told.entries if each.kind == "note"]


def with_a_session(run, folder: Path) -> None:
    folder.mkdir(parents=True)
    run("--store", folder, "new-sheet", "sled", "--name", "The blue one")
    run("--store", folder, "new-list", "evening", "--title", "Evening", "--item", "Cable play")
    assert run("--store", folder, "new", "evening", "sled", "--by", "A. Owner").status == 0


def test_begun_anew_it_keeps_what_was_tried_before(run, tmp_path, monkeypatch):
    monkeypatch.setenv("INSPECT_TUI_HOME", str(tmp_path))
    assert demo._own_store(fresh=True).store == demo._own_store(fresh=False).store
    with_a_session(run, tmp_path / "demo")
    before = sorted((tmp_path / "demo").rglob("*.toml"))
    assert demo._own_store(fresh=False).store == tmp_path / "demo"
    assert demo._own_store(fresh=True).store == tmp_path / "demo-2"
    with_a_session(run, tmp_path / "demo-2")
    assert demo._own_store(fresh=False).store == tmp_path / "demo-2"
    assert demo._own_store(fresh=True).store == tmp_path / "demo-3"
    assert sorted((tmp_path / "demo").rglob("*.toml")) == before


def test_a_named_folder_with_sessions_is_not_begun_anew(run, tmp_path):
    with_a_session(run, tmp_path / "tried")
    ran = run("demo", "--fresh", "--store", tmp_path / "tried")
    assert ran.status == 2 and "Name an empty folder" in ran.err
