"""The one wording: verdicts, margins, and text that can't act on a screen."""

from datetime import datetime, timedelta, timezone
from fractions import Fraction

import pytest

from inspect_tui.core.definitions.load import load_checklist
from inspect_tui.core.model.log_entry import DECISIONS, KINDS, Entry
from inspect_tui.core.model.results import ConformityResult, ToleranceInterval
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import KINDS as KINDS_IN_WORDS
from inspect_tui.core.presentation.entry_words import entry_words
from inspect_tui.core.presentation.formula_words import formula_words
from inspect_tui.core.text.visible import of_this_log, one_line, visible
from tests.builders import checklist, reading, section, step

AT = datetime(2026, 11, 2, 18, 4, 11, tzinfo=timezone(timedelta(hours=1)))
MIN = ToleranceInterval(Fraction(63, 2), text="31.5 mm or more")


def entry(kind, **keys):
    return Entry(1, kind, AT, "R. Tester", keys)


def test_every_verdict_has_a_word_and_a_sign_that_is_no_colour():
    marks = wording.VERDICTS.values()
    assert set(wording.VERDICTS) == {"pass", "fail", "uncertain", "none"}
    for part in ("sign", "ascii", "word"):
        assert len({getattr(mark, part) for mark in marks}) == 4
    assert all(mark.ascii.isascii() for mark in marks)
    assert wording.verdict_mark("fail") == "✗ fail"
    assert wording.verdict_mark("fail", ascii=True) == "x fail"


def test_every_kind_and_decision_has_words():
    assert set(KINDS_IN_WORDS) == set(KINDS)
    assert set(wording.DECISIONS) == set(DECISIONS)


def test_a_pass_says_its_margin():
    judged = ConformityResult("pass", MIN, Fraction(1, 2), 0.96, -Fraction(1, 4), "pass")
    words = wording.verdict_words(judged, "mm")
    assert words == "pass, 0.25 mm inside, ±0.5 mm (k = 2), 96 % likely in"


def test_a_zero_margin_and_a_zero_uncertainty_are_said():
    judged = ConformityResult("pass", MIN, 0, None, 0, "pass")
    assert wording.verdict_words(judged, "mm") == "pass, on the limit, ±0 mm (k = 2)"


def test_what_was_not_judged_says_why():
    lacking = ConformityResult(
        "none", ToleranceInterval(reason="the sheet has no 'x'"), words="not judged: no 'x'"
    )
    assert wording.verdict_words(lacking, "mm") == "not judged: no 'x'"
    assert wording.verdict_words(ConformityResult("none"), "mm") == "not judged"
    assert wording.zone_words(lacking.zone) == "no limit: the sheet has no 'x'"
    assert wording.zone_words(MIN) == "31.5 mm or more"
    assert wording.zone_words(None) == ""


def test_a_difference_of_temperatures_has_the_unit_that_was_read():
    assert wording.margin(-3, "degC") == "3 °C inside"
    assert wording.margin(2.5, "°F") == "2.5 °F outside"


@pytest.mark.parametrize(
    ("probability", "words"),
    [(0.999, "over 99 % likely in"), (0.5, "50 % likely in"), (0.0001, "under 1 % likely in")],
)
def test_a_probability_is_never_rounded_to_certainty(probability, words):
    assert wording.likely(probability) == words


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred", "<U+001B>[31mred"),
        ("\x9b2J", "<U+009B>2J"),
        ("a\u202eb", "a<U+202E>b"),
        ("a\r\nb\rc", "a\nb\nc"),
        ("\x00", "<U+0000>"),
        ("\ud800", "<U+D800>"),
        ("½ °C ± µ × [/b] =1", "½ °C ± µ × [/b] =1"),
    ],
)
def test_what_would_act_is_made_visible(text, shown):
    assert visible(text) == shown


def test_one_line():
    assert one_line(" a\n\n b\t c ") == "a / b c"


def test_where_and_when():
    assert wording.place("belt") == "belt"
    assert wording.place("belt", "width", "PTO") == "belt.width@PTO"
    assert wording.when(AT) == "2026-11-02 18:04+01:00"


def test_decisions_in_words():
    assert wording.decision_words(None) == "not decided"
    assert wording.decision_words("later", "first-ride") == "put right later, until first-ride"
    assert wording.decision_words("put-right") == "put right"


def test_a_seal_to_write_on_paper():
    assert wording.short_seal("e166b727f750dff2d6274d98") == "e166 b727 f750 dff2"
    assert wording.short_seal("") == ""


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (entry("reading", step="belt", reading="width", phase="as-left", entered="1 1/4 in",
               value=31.75, unit="mm"), "reading belt.width as left: 1 1/4 in = 31.75 mm"),
        (entry("reading", step="belt", reading="marks", phase="as-found", entered="no",
               value=False), "reading belt.marks as found: no"),
        (entry("skipped", step="belt", why="gone"), "skipped belt: gone"),
        (entry("note", step="belt", text="a\nb"), "note at belt: a / b"),
        (entry("finding", id="F1", step="belt", text="rattles", cylinder="PTO"),
         "finding F1 at belt@PTO: rattles"),
        (entry("decision", finding="F1", decision="later", until="first-ride", why="snow"),
         "decision on F1: put right later, until first-ride (snow)"),
        (entry("caution", step="belt"), "caution confirmed at belt"),
        (entry("caution"), "caution confirmed of the list"),
        (entry("signed", open=["x"], accepted="as it is"), "signed off with 1 open: as it is"),
        (entry("signed", open=[], accepted=""), "signed off"),
        (entry("addendum", text="later"), "addendum: later"),
        (entry("step-added", step="added-1", section="drive", title="Guard"),
         "step added added-1 in drive: Guard"),
        (entry("conditions", temperature="-12 C"), "conditions: temperature -12 C"),
        (entry("opened", checklist="long"), "session opened"),
        (entry("po\nlished"), "unknown kind 'po / lished', kept as it stands"),
    ],
)  # fmt: skip
def test_an_entry_in_words(one, words):
    assert entry_words(one) == words


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("spread(gap) / max(gap)", "Gap"),
        ("chain_length(pitch=spec.chain_pitch, teeth=top)", "the sheet's 'chain pitch' and Top"),
        ("other.length-x - conditions.altitude".replace("-x", "_x"), "Length (Other) and altitude"),
        ("1 if machine.cooling == 'gap' else gap", "the sheet's 'cooling' and Gap"),
    ],
)
def test_a_formula_in_words(formula, words):
    text = checklist(
        section("one"),
        step("gaps", reading("gap", label="Gap"), reading("top", label="Top")),
        step("other", reading("length-x", label="Length"), title="Other"),
    )
    listed = load_checklist(text, "x").compiled.checklist
    assert formula_words(listed, listed.steps[0], formula) == words


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Safety step 'Brake' (brake) failed.", "Safety step 'Brake' failed."),
        ("Step 'Gap' (gap) is open. Still to do: Gap (PTO).",
         "Step 'Gap' is open. Still to do: Gap (PTO)."),
        ("Finding I.x@PTO has no decision: Low. With it: a.b and c.d.",
         "A finding has no decision: Low."),
        ("Put off earlier, not decided here (carried:gap.gap): Gap",
         "Put off earlier, not decided here: Gap"),
    ],
)  # fmt: skip
def test_what_was_left_open_without_its_ids(text, said):
    assert wording.without_ids(text, ["brake", "gap"]) == said


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("2026-sled.toml is being written by A.", "This log is being written by A."),
        ("It is read. 2026-sled.toml is cut.", "It is read. This log is cut."),
        ("Not saved in 2026-sled.toml: full.", "Not saved in this log: full."),
        ("Session 2026-sled was signed.", "This session was signed."),
        ("It is in 2026-sled.torn.", "It is in a file .torn beside it."),
        ("It is in /media/stick/2026-sled.toml too.", "It is in /media/stick/2026-sled.toml too."),
        ("It is 'inspect-tui verify 2026-sled'.", "It is 'inspect-tui verify 2026-sled'."),
        ("2026-sled.toml-old, my-2026-sled.toml", "2026-sled.toml-old, my-2026-sled.toml"),
    ],
)
def test_a_session_s_own_screen_calls_its_log_by_no_file_name(said, shown):
    assert of_this_log(said, "2026-sled") == shown
