"""The status to the letter of `status --json`."""

import json
from dataclasses import replace
from fractions import Fraction

from inspect_tui.core.model.results import ConformityResult, DerivedRow
from inspect_tui.core.session.replay import replay
from inspect_tui.report.status import plain, status
from tests.report import report_examples as examples


def data():
    return status(replay(examples.entries()), examples.results())


def test_the_keys():
    assert list(data()) == [
        "session", "checklist", "machine", "state", "steps", "readings", "derived", "findings",
        "carried",
    ]  # fmt: skip
    assert data()["session"] == "2026-11-02-hill-rescue-3-pre-season"
    assert (data()["checklist"], data()["machine"], data()["state"]) == (
        "pre-season", "hill-rescue-3", "open",
    )  # fmt: skip


def test_the_state_of_each_step():
    assert data()["steps"][2:] == [
        {"id": "plugs", "state": "open"},
        {"id": "rewind", "state": "skipped"},
        {"id": "coolant", "state": "not-needed"},
    ]


def test_one_row_for_each_reading_and_phase_in_the_lists_order():
    rows = data()["readings"]
    assert rows[1] == {
        "step": "belt", "reading": "width", "cylinder": None, "phase": "as-left",
        "entered": "1 17/64 in", "value": 32.146875, "unit": "mm", "verdict": "pass",
    }  # fmt: skip
    assert [(row["step"], row["cylinder"]) for row in rows] == [
        ("belt", None), ("belt", None), ("track-tension", None), ("plugs", "PTO"),
        ("plugs", "MAG"), ("plugs", "PTO"),
    ]  # fmt: skip


def test_derived_values():
    assert data()["derived"] == [
        {
            "step": "track-tension", "id": "tension", "cylinder": None, "phase": "as-found",
            "value": 312.5, "unit": "N", "verdict": "none",
        }
    ]  # fmt: skip


def test_a_derived_value_that_lacks_a_figure_has_no_value_but_a_row():
    results = examples.results()
    row = DerivedRow(
        "plugs", "all", None, "as-found", None, "mm", ConformityResult("none"), "no 'gap'"
    )
    (shown,) = status(replay(examples.entries()), replace(results, derived=(row,)))["derived"]
    assert (shown["value"], shown["verdict"]) == (None, "none")


def test_findings():
    findings = data()["findings"]
    assert findings[1] == {
        "id": "track-tension.deflection", "step": "track-tension", "reading": "deflection",
        "cylinder": None, "text": "Track hangs low", "decision": "later", "open": True,
        "under": None, "remark": False, "sure": None,
    }  # fmt: skip
    assert findings[0]["open"] is False


def test_numbers_stay_numbers():
    assert (plain(Fraction(127, 4)), plain(3), plain(0), plain(False)) == (31.75, 3, 0, False)
    assert type(plain(3)) is int and type(plain(Fraction(3))) is float
    assert plain(float("nan")) is None and plain(float("inf")) is None
    json.dumps(data(), allow_nan=False)


def test_signed():
    assert status(replay(examples.signed_entries()), examples.results())["state"] == "signed"
