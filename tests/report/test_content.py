"""What a report must say, whatever the format."""

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from inspect_tui.core.model.results import ConformityResult, ToleranceInterval
from inspect_tui.core.presentation.wording import SAFETY
from inspect_tui.report.content import LogState, report
from inspect_tui.report.export import export
from inspect_tui.report.rows import Line, Stood
from tests.report import report_examples as examples
from tests.report.write_golden import drawn_texts


@cache
def open_words(form):
    return words(form, examples.open_report())


def words(form, whole):
    """An export as text, its escapes taken back."""
    if form == "pdf":
        return " ".join(drawn_texts(whole).split())
    text = export(form, whole).decode()
    if form == "md":
        text = text.replace("\\", "")
    return " ".join(text.replace("&#x27;", "'").replace('\\"', '"').split())


FORMS = ("md", "html", "csv", "json", "pdf")


@pytest.mark.parametrize("form", FORMS)
def test_a_signed_log_names_each_open_thing_and_the_words(form):
    said = words(form, examples.signed_report())
    assert "track-tension.deflection: 60 mm, limit 30 to 35 mm" in said
    assert "Ridden on the flat only, to the shop." in said
    assert "Plug came on Friday." in said


@pytest.mark.parametrize("form", FORMS)
def test_an_open_session_says_so_and_what_is_in_the_way(form):
    said = open_words(form)
    if form != "json":
        assert "Not signed: this session is open." in said
    assert "Finding F1 has no decision." in said


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
        "31,2",
        "calliper 2",
        "-12 C",
        "31.5 mm or more",
        "the sheet has no 'plug_gap'",
        "Air leak at this cylinder's intake boot",
        "colour grey as found, should be light brown or tan",
        "snow is near",
        "first-ride",
        "Entry 18, line 240: the seal does not hold.",
        "12 bytes after the last seal line are torn.",
        "polished",
        "belt comes first",
    ],
)
def test_everything_is_in_every_format(form, wanted):
    assert wanted in open_words(form)


@pytest.mark.parametrize("form", ("md", "html", "pdf"))
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


def test_parts_and_what_to_carry():
    whole = examples.open_report()
    assert [one.finding.id for one in whole.parts] == ["plugs.colour@MAG"]
    assert [(until, [one.finding.id for one in group]) for until, group in whole.carry] == [
        ("first-ride", ["track-tension.deflection"])
    ]


def test_what_has_come_right_is_no_longer_carried_nor_got():
    results = examples.results()
    closed = tuple(replace(finding, open=False) for finding in results.findings)
    entries = examples.entries()
    whole = report(examples.replay(entries), replace(results, findings=closed), entries, LogState())
    assert (whole.parts, whole.carry) == ((), ())


def test_the_date_is_the_sessions_never_todays():
    assert examples.open_report().title.date == "2026-11-02"
    assert examples.open_report().date == examples.entries()[-1].at
    assert examples.signed_report().date == examples.signed_entries()[19].at


def judged(zone, off):
    return ConformityResult("pass", zone, None, None, off, "pass")


def line(*values):
    return Line("step", "gap", "Gap", None, False, values)


def test_one_strip_for_both_phases_and_two_where_the_limit_moved():
    zone, moved = (
        ToleranceInterval(1, 2, text="1 to 2 mm"),
        ToleranceInterval(1, 3, text="1 to 3 mm"),
    )
    found = Stood("as-found", Fraction(3, 2), "mm", judged(zone, -0.5))
    same = line(found, Stood("as-left", 1, "mm", judged(zone, 0)))
    other = line(found, Stood("as-left", 1, "mm", judged(moved, 0)))
    assert [len(one.marks) for one in same.strips] == [2]
    assert same.limit == "1 to 2 mm"
    assert [len(one.marks) for one in other.strips] == [1, 1]
    assert other.limit == "as found: 1 to 2 mm; as left: 1 to 3 mm"


def test_zero_is_shown_as_a_value():
    zero = line(Stood("as-found", 0, "mm", ConformityResult("none"), "0"))
    assert zero.shown == ("0 mm", "")


def test_what_was_entered_is_shown_where_it_reads_otherwise():
    value = Stood("as-found", Fraction(127, 4), "mm", ConformityResult("none"), "1 1/4 in")
    assert value.shown_as_entered == "31.75 mm (entered 1 1/4 in)"
    assert replace(value, entered="31.75").shown_as_entered == "31.75 mm"


def test_a_missing_value_is_said():
    assert line().shown == ("not measured", "")
    assert replace(line(), skipped="seized").shown == ("skipped: seized", "")
