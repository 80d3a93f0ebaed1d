"""What a report says, whatever its format."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from functools import cache

import pytest

from inspect_tui.core.evaluation.job.setup_card import items_on_card
from inspect_tui.core.model.checklist import Adjustment, Derived, Limit, Reading, Step
from inspect_tui.core.model.results import ConformityResult, ToleranceInterval
from inspect_tui.core.presentation import row_words
from inspect_tui.core.presentation.wording import SAFETY
from inspect_tui.report.content.report import LogState, report
from inspect_tui.report.content.rows import Line, Stood
from inspect_tui.report.content.times import Times, days, until_words
from inspect_tui.report.content.value_words import limit_words, sheet_words, verdict_brief
from inspect_tui.report.export import export
from tests.report import report_examples as examples
from tests.report.write_golden import drawn_texts
from tests.season_story import signed_report, walked_to


@cache
def open_words(form, with_log=False):
    return words(form, examples.open_report(with_log=with_log))


def words(form, whole):
    """An export as text, its escapes taken back."""
    if form == "pdf":
        return " ".join(drawn_texts(whole).split())
    text = export(form, whole).decode()
    if form == "md":
        text = text.replace("\\", "")
    return " ".join(text.replace("&#x27;", "'").replace('\\"', '"').split())


FORMS = ("md", "html", "csv", "json", "pdf")
PAGES = ("md", "html", "pdf")


@pytest.mark.parametrize("form", FORMS)
def test_a_signed_log_names_each_open_thing_and_the_words(form):
    said = words(form, examples.signed_report())
    assert "Track tension – Deflection at mid span: 60 mm" in said
    assert "Ridden on the flat only, to the shop." in said
    assert "loose, seen" in said
    assert "Plug came on Friday." in said


@pytest.mark.parametrize("form", PAGES)
def test_what_must_not_be_ridden_says_so_before_anything_else(form):
    said = words(form, examples.signed_report())
    reason = "Do not move the machine: 'Track tension' failed (Deflection at mid span 60 mm, 25 mm"
    assert said.index("NOT TO BE RUN, because:") < said.index(reason) < said.index("Signed off")
    assert "Accepted all the same: loose, seen" in said


def test_what_nobody_did_yet_is_said_together_and_what_failed_by_itself():
    reasons = walked_to("fuel-lines").page_one.reasons
    failed = "Do not start the engine: 'Fuel lines, shut-off' failed ("
    assert any(each.startswith(failed) for each in reasons)
    assert sum("not done yet" in each for each in reasons) <= 3


@pytest.mark.parametrize("form", PAGES)
def test_a_sound_machine_is_not_called_unfit(form):
    results = examples.results()
    sound = tuple(replace(step, failed=False) for step in results.steps)
    entries = examples.entries()
    whole = report(examples.replay(entries), replace(results, steps=sound), entries, LogState())
    assert "NOT TO BE RUN" not in words(form, whole)


@pytest.mark.parametrize("form", FORMS)
def test_an_open_session_says_so(form):
    said = open_words(form)
    if form != "json":
        assert "Not signed: this session is open." in said
    if form in ("csv", "json"):
        assert "Finding F1 has no decision." in said
    else:
        assert "3 of 4 steps done." in said
        assert "Guard rattles" in said


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(
    "wanted",
    [
        SAFETY,
        "Engine off, key out: the clutch bites.",
        "Run the engine in the open air only.",
        "rope is new",
        "seized",
        "glazed on one side",
        "1 17/64 in",
        "calliper 2",
        "-12 C",
        "31.5 mm or more",
        "the sheet has no 'plug_gap'",
        "Air leak at this cylinder's intake boot",
        "colour grey",
        "snow is near",
        "Entry 18, line 240: the seal does not hold.",
        "12 bytes after the last seal line are torn.",
        "polished",
        "belt comes first",
        "PL-8",
        "Belt – Width: 31.2 mm → 1 17/64 in (32.1 mm)",
    ],
)
def test_everything_is_in_every_format(form, wanted):
    assert wanted in open_words(form)


@pytest.mark.parametrize("form", FORMS)
def test_a_slip_of_the_hand_stands_in_the_log_alone(form):
    assert "31,2" not in open_words(form)
    assert "31,2" in open_words(form, with_log=True)


@pytest.mark.parametrize("form", PAGES)
def test_no_id_is_on_a_page(form):
    said = open_words(form)
    for name in ("track-tension", "plugs.", "hill-rescue-3 ", "belt.width", "first-ride"):
        assert name not in said


@pytest.mark.parametrize("form", PAGES)
def test_the_last_seal_is_short_enough_for_paper(form):
    assert "last seal begins e166 b727 f750 dff2" in open_words(form)
    assert "does NOT verify" in open_words(form)
    assert "does NOT verify" not in words(form, examples.signed_report())


@pytest.mark.parametrize("form", FORMS)
def test_a_log_that_does_not_verify_is_named_beside_the_state(form):
    assert "open, but the log does NOT verify" in open_words(form)
    broken = replace(examples.signed_report(), log=LogState(("Entry 1 is broken.",)))
    if form not in ("json", "csv"):
        assert "The log does NOT verify." in words(form, broken)


def test_what_was_put_right_is_no_longer_open_and_its_part_stays_listed():
    results = examples.results()
    closed = tuple(replace(finding, open=False, is_active=False) for finding in results.findings)
    entries = examples.entries()
    whole = report(examples.replay(entries), replace(results, findings=closed), entries, LogState())
    assert whole.page_one.still_open == ()
    assert len(whole.page_one.put_right) == len(closed)
    assert [(part.part, part.quantity) for part in whole.parts] == [("Spark plug", 2)]


def test_what_runs_as_it_was_found_is_named_with_what_is_open():
    results = examples.results()
    found = replace(results.findings[1], decision="run-as-found", open=False, is_active=True)
    entries = examples.entries()
    whole = report(
        examples.replay(entries), replace(results, findings=(found,)), entries, LogState()
    )
    assert [one.state for one in whole.page_one.still_open] == ["run as found"]
    assert whole.page_one.put_right == ()


def test_findings_stand_under_what_explains_them_those_of_safety_first():
    results = examples.results()
    plain, safe = results.findings[3], replace(results.findings[1], open=True)
    under = replace(results.findings[2], under=plain.id)
    remark = replace(results.findings[4], remark=True, open=False)
    whole = report(
        examples.replay(examples.entries()),
        replace(results, findings=(remark, under, plain, safe)), examples.entries(), LogState(),
    )  # fmt: skip
    assert [(g.head.finding.id, [o.finding.id for o in g.under]) for g in whole.groups] == [
        (safe.id, []), (plain.id, [under.id]), (remark.id, []),
    ]  # fmt: skip


def test_the_date_is_the_sessions_never_todays():
    assert examples.open_report().title.date == "2026-11-02"
    assert examples.open_report().date == examples.entries()[-1].at
    assert examples.signed_report().date == examples.signed_entries()[19].at


# --- times ------------------------------------------------------------------------------------


def test_times_are_those_of_the_clock_on_the_wall():
    here = datetime(2026, 11, 2, 18, 4, tzinfo=timezone(timedelta(hours=1)))
    away = here.astimezone(timezone(timedelta(hours=-3, minutes=-30)))
    assert Times([here]).when(here) == "2 November 2026, 18:04"
    assert Times([here, away]).short(away) == "2 Nov, 13:34 UTC-3:30"
    assert Times([here, away]).clock(here) == "18:04 UTC+1"


def test_days_and_what_a_decision_waits_for():
    first = datetime(2026, 11, 2).date()  # noqa: DTZ001
    assert days(first, first) == "2 November 2026"
    assert days(first, first.replace(day=5)) == "2 to 5 November 2026"
    assert days(first, first.replace(month=12)) == "2 November to 2 December 2026"
    assert until_words("2026-12-20") == "20 December 2026"
    assert until_words("first-ride") == "first ride"


# --- values -----------------------------------------------------------------------------------


def judged(zone, off):
    return ConformityResult("pass", zone, None, None, off, "pass")


def line(*values):
    return Line("step", "gap", "Gap", None, False, values)


def test_one_strip_for_both_phases_and_two_where_the_limit_moved():
    zone = ToleranceInterval(1, 2, text="1 to 2 mm")
    moved = ToleranceInterval(1, 3, text="1 to 3 mm")
    found = Stood("as-found", Fraction(3, 2), "mm", judged(zone, -0.5))
    same = line(found, Stood("as-left", 1, "mm", judged(zone, 0)))
    other = line(found, Stood("as-left", 1, "mm", judged(moved, 0)))
    assert [len(one.marks) for one in same.strips] == [2]
    assert same.limit == "1 to 2 mm"
    assert [len(one.marks) for one in other.strips] == [1, 1]
    assert other.limit == "as found: 1 to 2 mm; as left: 1 to 3 mm"


def test_no_strip_where_one_value_alone_is_good():
    stamp = ToleranceInterval(340, 340)
    assert line(Stood("as-found", 340, "", judged(stamp, 0), "340")).strips == ()


def test_a_value_is_shown_as_typed_and_converted_beside_it():
    value = Stood("as-found", Fraction(127, 4), "mm", ConformityResult("none"), "1 1/4 in")
    assert value.shown == "1 1/4 in (31.75 mm)"
    assert replace(value, entered="31.75").shown == "31.75 mm"
    assert replace(value, value=0, entered="0").shown == "0 mm"
    assert replace(value, entered="unknown", unknown=True).shown == "unknown"
    assert Stood("as-found", 300, "s", ConformityResult("none"), "5:00").shown == "5:00"


def test_a_missing_value_is_said():
    assert line().missing == "not measured"
    assert replace(line(), skipped="seized").missing == "skipped: seized"


@pytest.mark.parametrize(
    ("zone", "unit", "said"),
    [
        (ToleranceInterval(None, 2), "kPa", "2 kPa or less"),
        (ToleranceInterval(Fraction(5, 4), Fraction(7, 4)), "turn", "1-1/4 to 1-3/4 turns"),
        (ToleranceInterval(Fraction(225, 10), Fraction(275, 10)), "N.m", "22.5 to 27.5 N·m"),
        (ToleranceInterval(340, 340), "", "340"),
        (ToleranceInterval(equal=("tan", "brown"), text="tan or brown"), "", "tan or brown"),
        (ToleranceInterval(reason="the sheet has none"), "mm", "no limit: the sheet has none"),
    ],
)
def test_limits_in_words(zone, unit, said):
    text = zone.text or row_words.limit_words(zone.low, zone.high, unit)
    assert limit_words(replace(zone, text=text)) == said


def test_a_verdict_in_a_few_words():
    zone = ToleranceInterval(30, 35, text="30 to 35 mm")
    over = ConformityResult("fail", zone, None, None, Fraction(25), "fail: 25 mm over")
    assert verdict_brief(Fraction(60), "mm", over) == "25 mm over"
    close = ConformityResult("uncertain", zone, Fraction(1), 0.3, Fraction(1, 4), "too close")
    assert verdict_brief(Fraction(119, 4), "mm", close) == (
        "too close to call: 0.2 mm under, probably out"
    )


def test_the_sheet_gives_a_target_with_its_tolerance():
    item = Reading("turns", "Turns", "number", "turn", limit=Limit(target="spec.air_screw"))
    zone = ToleranceInterval(Fraction(5, 4), Fraction(7, 4))
    assert sheet_words(item, zone, "turn") == "1-1/2 ± 1/4 turn"


# --- the set-up card --------------------------------------------------------------------------


def on_card(*readings, derived=(), setting=()):
    step = Step("s", "S", reading=readings, derived=derived, setting=setting)
    return [item.id for item in items_on_card(step)]


def test_what_is_to_be_as_the_sheet_has_it_is_on_the_set_up_card():
    assert on_card(
        Reading("jet", "Jet", "number", limit=Limit(equal="spec.main_jet")),
        Reading("float", "Float", "number", "mm", limit=Limit(target="spec.float", tolerance=1)),
        Reading("wear", "Wear", "number", "mm", limit=Limit(min="spec.pad_min")),
        Reading("half", "Half", "number", "mm", limit=Limit(target="spec.float / 2", tolerance=1)),
    ) == ["jet", "float"]


def test_what_a_setting_brings_in_is_on_it_and_the_list_has_the_last_word():
    move = (Adjustment("rods", "front", "1", more="Out", less="In"),)
    toe = Derived("toe", "Toe", "front - rear", "mm", limit=Limit(min=2, max=8))
    front = Reading("front", "Front", "number", "mm")
    assert on_card(front, derived=(toe,), setting=move) == ["toe"]
    slack = Reading("front", "Front", "number", "mm", limit=Limit(min=1))
    assert on_card(slack, derived=(toe,), setting=move) == ["front"]
    wear = Reading("wear", "Wear", "number", "mm", setup=True)
    jet = Reading("jet", "Jet", "number", limit=Limit(equal="spec.jet"), setup=False)
    assert on_card(wear, jet) == ["wear"]


def test_the_card_has_found_left_and_sheet_of_each_cylinder():
    lines = {line.label: line for line in signed_report().card}
    needles = lines["Needle and clip: Code"].values
    assert [(v.cylinder, v.found, v.left, v.sheet) for v in needles] == [
        ("PTO", "K41", "", "K41"), ("centre", "K41", "K43", "K43"), ("MAG", "K43", "K41", "K41"),
    ]  # fmt: skip
    assert {"Main jet", "Air screw: count, set", "Slide", "Oil pump mark: set, check"} <= set(lines)
    assert any(label.startswith("Toe") for label in lines)
    assert any(label.startswith("Track sag") for label in lines)
    assert any(label.startswith("Belt") for label in lines)


def test_what_an_earlier_session_put_off_is_told_with_what_was_decided_here():
    entries = examples.entries()
    decided = examples.entry(
        19, "decision", finding="carried:belt.width", decision="later", until="2026-12-20"
    )
    elsewhere = examples.entry(
        20, "decision", finding="carried:2025-11-02-old:F1", decision="run-as-found", why="old"
    )
    entries = (*entries, decided, elsewhere)
    whole = report(examples.replay(entries), examples.results(), entries, LogState())
    said = {one.words: one.decision_words for one in whole.findings}
    assert said["Belt – Width: put off in an earlier session"] == (
        "put right later, until 20 December 2026"
    )
    assert said["A finding of an earlier session"] == "run as found: old"
    assert "Belt – Width: put off in an earlier session" in {
        one.words for one in whole.page_one.still_open
    }
