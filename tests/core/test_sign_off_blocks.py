"""What stands in the way of a sign-off, and advice about the order; figures our own."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries
from inspect_tui.core.evaluation.job.sign_off import left_out_words
from inspect_tui.core.text.formatting import format_value, join_words, pluralize
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import band, checklist, reading, section, sheet, step

CHECKLIST = checklist(
    section("one"),
    step(
        "throttle",
        reading("sticks", "check", label="Sticks", optional="true", limit="{ equal = false }"),
        reading("words", "text", label="Words", optional="true"),
        title="Throttle",
        safety="true",
    ),
    step("brake", title="Brake", gate='"move"'),
    step("away", title="Ride away", begins='"move"'),
    step(
        "squeeze",
        reading("pressure", unit="kPa", label="Compression"),
        title="Compression",
        per="cylinder",
        disturbed_by='["strip"]',
    ),
    step("strip", title="Strip the top end"),
    step(
        "jets",
        reading("main", unit="", label="Main jet", limit='{ equal = "chart.main" }'),
        title="Jets",
        per="cylinder",
    ),
    step(
        "screw",
        reading(
            "turns",
            unit="turn",
            label="Turns out",
            uncertainty_between='"0.05 turn"',
            uncertainty='"0.1 turn"',
            limit='{ target = "chart.screw", tolerance = "0.25 turn" }',
        ),
        title="Air screw",
        per="cylinder",
    ),
    id_="blocks",
)
MACHINE = sheet(
    "A",
    "B",
    "C",
    "D",
    "E",
    id_="sled",
    name="Sled",
    spec={
        "main": "[240, 230, 220, 210, 200]",
        "screw": '["1 turn", "1 turn", "1 turn", "1 turn", "2 turn"]',
    },
    rest=band(
        '["-30 degC", "-15 degC"]',
        '["0 m", "600 m"]',
        main="[240, 230, 220, 210, 200]",
        screw='"1 turn"',
    )
    + band(
        '["-15 degC", "5 degC"]',
        '["0 m", "600 m"]',
        main="[230, 240, 210, 200, 220]",
        screw='["1 turn", "1 turn", "1 turn", "1 turn", "2 turn"]',
    ),
)


@pytest.fixture
def inspection(places, clock):
    (places.checklists / "blocks.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "sled.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "blocks", "sled", "R. Tester", clock) as begun:
        yield begun


def put(inspection, step, reading, *texts):
    lot = zip(inspection.machine.cylinders, texts, strict=False)
    return inspection.record([(Target(step, reading, cylinder), text) for cylinder, text in lot])


def block(inspection, name):
    return [text for text in inspection.results.signoff_blockers if name in text]


def finding(inspection, name):
    return next(each for each in inspection.results.findings if each.id == name)


def test_a_safety_step_of_optional_readings_without_any_was_not_done(inspection):
    assert inspection.results.step("throttle").state == "done"
    assert block(inspection, "(throttle)") == ["Safety step 'Throttle' (throttle) was not done."]
    inspection.record([(Target("throttle", "sticks"), "no")])
    assert block(inspection, "(throttle)") == []


def test_a_safety_step_whose_optional_readings_were_all_skipped_was_not_done(inspection):
    inspection.skip("throttle", "too cold", "sticks")
    assert "was not done" in block(inspection, "(throttle)")[0]


def test_check_notes_a_safety_step_that_asks_for_nothing():
    loaded = definitions.load_checklist(CHECKLIST, "blocks.toml")
    assert loaded.sound
    assert [(each.line, each.path, each.note) for each in loaded.problems] == [
        (10, "section.step.safety", True)
    ]
    assert "optional" in loaded.problems[0].message


def test_a_gate_answered_with_not_done_has_not_passed(inspection):
    inspection.record([(Target("brake", "done"), "no")])
    assert inspection.results.step("brake").state == "done"
    assert block(inspection, "(brake)") == ["Safety step 'Brake' (brake) was not done."]
    assert inspection.results.step("away").advice == (
        "Before the machine moves: 'Brake' was not done.",
    )
    inspection.record([(Target("brake", "done"), "yes")])
    assert block(inspection, "(brake)") == []
    assert inspection.results.step("away").advice == ()


def test_what_is_disturbed_is_said_until_every_cylinder_is_read(inspection):
    put(inspection, "squeeze", "pressure", "800", "800")
    said = inspection.record([(Target("strip", "done"), "yes")])
    assert any("'Compression' records what this step disturbs" in text for text in said)
    put(inspection, "squeeze", "pressure", *["800"] * 5)
    assert inspection.results.step("strip").advice == ()


def test_advice_is_judged_with_what_comes_before_it_in_the_same_lot(inspection):
    brake, away = Target("brake", "done"), Target("away", "done")
    said = inspection.record([(brake, "yes"), (away, "yes")])
    assert (said, inspection.session.notes) == ((), ())
    assert inspection.results.step("away").advice == ()


def test_advice_is_said_where_what_it_wants_comes_behind_it(inspection):
    brake, away = Target("brake", "done"), Target("away", "done")
    told = "Before the machine moves: 'Brake' was not done."
    assert inspection.record([(away, "yes"), (brake, "yes")]) == (told,)
    assert [note.text for note in inspection.session.notes] == [f"Advice not followed: {told}"]


def test_a_gate_that_fails_in_the_same_lot_is_said(inspection):
    brake, away = Target("brake", "done"), Target("away", "done")
    inspection.record([(brake, "yes")])
    said = inspection.record([(brake, "no"), (away, "yes")])
    assert said == ("Before the machine moves: 'Brake' was not done.",)


def test_readings_that_want_a_value_are_listed_as_people_list(inspection):
    (said,) = block(inspection, "(squeeze)")
    assert said == (
        "Step 'Compression' (squeeze) is open. Still to do: Compression (A, B, C, D, E)."
    )
    put(inspection, "squeeze", "pressure", "800", "800", "800", "800")
    assert block(inspection, "(squeeze)")[0].endswith(": Compression (E).")
    (said,) = block(inspection, "(strip)")
    assert said.endswith(": Done.")


def test_a_pair_and_a_rotation_at_once_are_both_named(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    put(inspection, "jets", "main", "230", "240", "210", "200", "220")
    text = finding(inspection, "X.jets").text
    assert "exchanged between A and B (Main jet)" in text
    assert "Others look moved round the cylinders C, D, E" in text


def test_decisions_across_cylinders_hold_for_their_air_alone(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    put(inspection, "jets", "main", "230", "240", "220", "210", "200")
    put(inspection, "screw", "turns", "1", "1", "1", "1", "1.5")
    names = ["X.jets", "O.screw.turns@E"]
    for name in names:
        inspection.decide(name, "run-as-found", "for the short ride")
        assert not finding(inspection, name).open
    inspection.set_conditions(temperature="-25 C")
    for name in names:
        assert finding(inspection, name).open
        assert finding(inspection, name).superseded_by == "air"
    (words,) = block(inspection, "Finding X.jets ")
    assert "was decided 'run as found' in other air" in words
    assert words.endswith("With it: jets.main@A and jets.main@B.")


def test_a_decision_on_another_value_says_so(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    put(inspection, "jets", "main", "230")
    inspection.decide("jets.main@A", "run-as-found", "for the short ride")
    put(inspection, "jets", "main", "210")
    inspection.set_conditions(temperature="-25 C")
    assert "on an earlier value" in block(inspection, "Finding jets.main@A")[0]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (format_value(1, "turn"), "1 turn"),
        (format_value(0.5, "turn"), "0.5 turn"),
        (format_value(2, "turn"), "2 turns"),
        (format_value(-2.5, "month"), "-2.5 months"),
        (format_value(2, "mm"), "2 mm"),
        (pluralize(1, "entry", "entries"), "1 entry"),
        (pluralize(0, "entry", "entries"), "0 entries"),
        (pluralize(2, "step"), "2 steps"),
        (join_words(["a"]), "a"),
        (join_words(["a", "b"]), "a and b"),
        (join_words(["a", "b", "c"]), "a, b and c"),
        (join_words(["a", "b", "c", "d"], most=2), "a, b and 2 more"),
    ],
)
def test_counts_and_lists_in_words(said, words):
    assert said == words


def test_what_is_kept_between_entries_is_what_working_it_out_anew_gives(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    put(inspection, "jets", "main", "230", "240", "210", "210", "200")
    put(inspection, "screw", "turns", "1", "1", "1", "1", "1.5")
    for name in ("X.jets", "jets.main@A", "jets.main@C", "O.screw.turns@E"):
        inspection.decide(name, "later", until="first-ride")
    inspection.decide("jets.main@B", "run-as-found")
    put(inspection, "jets", "main", "240", "230", "220", "210", "200")
    put(inspection, "screw", "turns", "1", "1", "1", "1", "1")
    inspection.set_conditions(temperature="0 C")
    anew = evaluate_entries(inspection.entries).results
    for part in ("findings", "steps", "readings", "signoff_blockers", "chart", "air"):
        assert getattr(inspection.results, part) == getattr(anew, part)
    assert {each.id for each in anew.findings} >= {"X.jets", "jets.main@A", "jets.main@C"}


def left_out(title, safety=True):
    """As much of a step's result as the words are made of."""
    return SimpleNamespace(state="left-out", step=SimpleNamespace(title=title, is_safety=safety))


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ([], ""),
        ([left_out("Brake")], "Left out of this job: the safety step 'Brake'."),
        (
            [left_out("Brake"), left_out("Tether"), left_out("Seat", safety=False)],
            "Left out of this job: the safety steps 'Brake' and 'Tether', and 1 other step.",
        ),
        ([left_out("Seat", safety=False)] * 2, "Left out of this job: 2 steps."),
    ],
)
def test_what_a_job_leaves_out_is_said_with_its_safety_steps_by_name(steps, words):
    assert left_out_words(steps) == words
