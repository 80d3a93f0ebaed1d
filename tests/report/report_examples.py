"""Reports made by hand for the tests: an open session, a signed one, one full of hostile text."""

from datetime import datetime, timedelta, timezone
from fractions import Fraction

from inspect_tui.core.model.checklist import Checklist, Derived, Limit, Reading, Section, Step
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.model.results import (
    ConformityResult,
    DerivedRow,
    Finding,
    ReadingRow,
    Results,
    StepResult,
    ToleranceInterval,
)
from inspect_tui.core.session.replay import replay
from inspect_tui.report.content.report import Extras, LogState, Report, report

HERE = timezone(timedelta(hours=1))
START = datetime(2026, 11, 2, 18, 4, 11, tzinfo=HERE)
SEAL = "e166b727f750dff2d6274d9898cf6e1a26b5977e0bcbe2bce460fba023a9f1d2"

HOSTILE = (
    "=1+1 -5 @x <script>alert(1)</script> [bold]x[/y] [a](http://evil.example) ![i](x) | # `c` "
    "*b* _u_ ~~s~~ &amp; www.evil.example a@evil.example \x1b[31mred\x07 \x9b2J \u202eturned\u202c "
    "\u200b</title></style> \\ 1. {nb} \U0001f600 \u05d0"
)
"""Markup, terminal codes, direction marks, formulas, HTML, links: all only to be shown."""


def entry(n, kind, by="R. Tester", sound=True, **keys):
    at = START + timedelta(minutes=5 * n)
    return Entry(n, kind, at, by, keys, f"{n:x}" * 64 if n < 16 else SEAL, sound)


def reading_entry(n, step, reading, phase, entered, value, unit="", **more):
    return entry(
        n, "reading", step=step, reading=reading, phase=phase, entered=entered, value=value,
        unit=unit, verdict="none", **more,
    )  # fmt: skip


BELT = ToleranceInterval(Fraction(63, 2), None, text="31.5 mm or more")
TENSION = ToleranceInterval(30, 35, text="30 to 35 mm")
PLUG = ToleranceInterval(equal=("light brown", "tan"), text="light brown or tan")
LACKING = ToleranceInterval(reason="the sheet has no 'plug_gap'")
UNIT_MM = "mm"

CHECKLIST = Checklist(
    "pre-season", "Pre-season inspection", 3,
    ("Run the engine in the open air only.", "Tether on the wrist before the first pull."),
    (
        Section("drive", "Track and drive", (
            Step("belt", "Belt", caution="Engine off, key out: the clutch bites.", safety=True,
                 reading=(
                     Reading("width", "Width", "number", "mm", uncertainty="0.5 mm",
                             limit=Limit(min="spec.belt_width_min"), source="machine's manual"),
                     Reading("marks", "Cracks or burns seen", "check"),
                 )),
            Step("track-tension", "Track tension", gate="move",
                 reading=(Reading("deflection", "Deflection at mid span", "number", "mm"),),
                 derived=(Derived("tension", "Track tension", "span_tension(force=load)", "N"),)),
        )),
        Section("engine", "Engine", (
            Step("plugs", "Spark plugs", per="cylinder",
                 reading=(Reading("colour", "Colour", "choice"),
                          Reading("gap", "Gap", "number", "mm", optional=True)),
                 derived=(Derived("all", "Spread of gaps", "spread(gap)", "mm", across=True),)),
            Step("rewind", "Recoil rope"),
            Step("coolant", "Coolant", only_if="machine.cooling == 'liquid'"),
        )),
    ),
)  # fmt: skip
MACHINE = Machine("hill-rescue-3", "Old triple", ("PTO", "centre", "MAG"))


def entries():
    return (
        entry(0, "opened", session="2026-11-02-hill-rescue-3-pre-season",
              program="inspect-tui 0.1.0", checklist="...", machine="..."),
        entry(1, "caution", text="list"),
        entry(2, "caution", step="belt", text="belt"),
        entry(3, "conditions", temperature="-12 C", altitude="600 m"),
        reading_entry(4, "belt", "width", "as-found", "31,2", 31.2, "mm"),
        reading_entry(5, "belt", "width", "as-found", "31.2 mm", 31.2, "mm",
                      gauge="calliper 2", state="cold"),
        reading_entry(6, "belt", "width", "as-left", "1 17/64 in", 32.146875, "mm"),
        entry(7, "note", step="belt", text="glazed on one side\nline two"),
        reading_entry(8, "track-tension", "deflection", "as-found", "60", 60, "mm"),
        reading_entry(9, "plugs", "colour", "as-found", "light brown", "light brown",
                      cylinder="PTO"),
        reading_entry(10, "plugs", "colour", "as-found", "grey", "grey", cylinder="MAG"),
        entry(11, "skipped", step="plugs", reading="colour", cylinder="centre", why="seized"),
        entry(12, "skipped", step="rewind", why="rope is new"),
        reading_entry(13, "plugs", "gap", "as-found", "0.7", 0.7, "mm", cylinder="PTO"),
        entry(14, "finding", id="F1", step="belt", text="Guard rattles"),
        entry(15, "decision", finding="track-tension.deflection", decision="later",
              why="snow is near", until="first-ride"),
        entry(16, "decision", finding="plugs.colour@MAG", decision="get-part", why="new plug",
              part="Spark plug", quantity=2, number="PL-8"),
        entry(17, "polished", by="M. Friend", gloss="high"),
        entry(18, "note", step="track-tension", text="edited by hand", sound=False),
    )  # fmt: skip


def signed_entries():
    return (
        *entries(),
        entry(19, "signed", open=["track-tension.deflection: 60 mm, limit 30 to 35 mm"],
              accepted="Ridden on the flat only, to the shop.",
              accepted_steps=["track-tension=loose, seen"]),
        entry(20, "addendum", text="Plug came on Friday."),
    )  # fmt: skip


def results():
    steps = [step for section in CHECKLIST.section for step in section.step]
    sections = [section.id for section in CHECKLIST.section for _ in section.step]
    states = ("done", "done", "open", "skipped", "not-needed")
    whole = [StepResult(*one) for one in zip(steps, sections, states, strict=True)]
    whole[1] = StepResult(steps[1], "drive", "done", failed=True, advice=("belt comes first",))
    whole[2] = StepResult(
        steps[2], "engine", "open", failed=True, waiting=(("gap", "MAG"),),
        skipped_readings={("colour", "centre"): "seized"},
    )  # fmt: skip
    whole[3] = StepResult(steps[3], "engine", "skipped", why_skipped="rope is new")
    half = Fraction(1, 2)
    rows = (
        ReadingRow("belt", "width", None, "as-found", "31.2 mm", Fraction(312, 10), "mm",
                   ConformityResult("uncertain", BELT, half, 0.115, Fraction(3, 10),
                          "too close to call, 0.3 mm under the limit (12 % likely in)"),
                   5, 1, "cold", "calliper 2"),
        ReadingRow("belt", "width", None, "as-left", "1 17/64 in", Fraction(32146875, 10**6), "mm",
                   ConformityResult("pass", BELT, half, 0.9952, -Fraction(646875, 10**6), "pass"),
                           6),
        ReadingRow("track-tension", "deflection", None, "as-found", "60", Fraction(60), "mm",
                   ConformityResult("fail", TENSION, None, None, Fraction(25), "fail: 25 mm over"),
                           8),
        ReadingRow("plugs", "colour", "PTO", "as-found", "light brown", "light brown", "",
                   ConformityResult("pass", PLUG, words="pass"), 9),
        ReadingRow("plugs", "colour", "MAG", "as-found", "grey", "grey", "",
                   ConformityResult("fail", PLUG, words="fail, wanted: light brown or tan"), 10),
        ReadingRow("plugs", "gap", "PTO", "as-found", "0.7", Fraction(7, 10), "mm",
                   ConformityResult("none", LACKING,
                           words="not judged: the sheet has no 'plug_gap'"), 13),
    )  # fmt: skip
    derived = (
        DerivedRow(
            "track-tension", "tension", None, "as-found", 312.5, "N", ConformityResult("none")
        ),
        DerivedRow(
            "plugs", "all", None, "as-found", None, "mm", ConformityResult("none"), "not measured"
        ),
    )
    findings = (
        Finding("belt.width", "belt", "width", None, "Belt width was too close to call",
                ("belt.width 31.2 mm as found, limit 31.5 mm or more",), None, False, False,
                is_active=False),
        Finding("track-tension.deflection", "track-tension", "deflection", None,
                "Track hangs low", ("deflection 60 mm as found, limit 30 to 35 mm",), "later",
                True, True, "snow is near", "first-ride"),
        Finding("plugs.colour@MAG", "plugs", "colour", "MAG", "Plug of MAG is grey",
                ("colour grey as found, wanted: light brown or tan",), "get-part", True, True,
                "new plug"),
        Finding("I.lean@MAG", "plugs", None, "MAG", "Air leak at this cylinder's intake boot",
                ("colour grey",), None, False, True, sure="medium", look_at=("pressure-test",),
                kind="inference"),
        Finding("F1", "belt", None, None, "Guard rattles", (), None, False, True, kind="person"),
    )  # fmt: skip
    return Results(
        CHECKLIST, MACHINE, tuple(whole), rows, derived, findings,
        ("Step plugs is open.", "Finding F1 has no decision."),
        {(row.step, row.reading, row.cylinder, row.phase): row for row in rows},
        {(row.step, row.id, row.cylinder, row.phase): row for row in derived},
    )  # fmt: skip


FAULTY = LogState(("Entry 18, line 240: the seal does not hold.",), 12)


def open_report(*, with_log: bool = False) -> Report:
    return report(replay(entries()), results(), entries(), FAULTY, Extras(with_log=with_log))


def signed_report(*, with_log: bool = False) -> Report:
    whole = tuple(one for one in signed_entries() if one.sound)
    return report(replay(whole), results(), whole, LogState(), Extras(with_log=with_log))


def hostile_report(words: str = HOSTILE, *, with_log: bool = True) -> Report:
    """Every place where a person or a file can write holds the same text."""
    step = Step("belt", words, caution=words, per="cylinder",
                reading=(Reading("width", words, "text", source=words),),
                derived=(Derived("all", words, words, across=True),))  # fmt: skip
    checklist = Checklist("list", words, 1, (words,), (Section("drive", words, (step,)),))
    machine = Machine("sled", words, (words,))
    said = (
        entry(0, "opened", by=words, session="s", program=words, checklist="", machine=""),
        entry(1, "reading", by=words, step="belt", reading="width", cylinder=words,
              phase="as-found", entered="first", value="first", verdict="none"),
        entry(2, "reading", by=words, step="belt", reading="width", cylinder=words,
              phase="as-found", entered=words, value=words, verdict="none", gauge=words,
              state=words),
        entry(3, "note", by=words, step="belt", text=words),
        entry(4, "conditions", by=words, temperature=words),
        entry(5, "decision", by=words, finding="F1", decision="get-part", why=words, until=words,
              part=words or "-", number=words),
        entry(6, words, by=words, sound=False, **{words: words}),
        entry(7, "signed", by=words, open=[words], accepted=words),
        entry(8, "addendum", by=words, text=words),
    )  # fmt: skip
    judged = ConformityResult("fail", ToleranceInterval(equal=(words,), text=words), words=words)
    row = ReadingRow("belt", "width", words, "as-found", words, words, words, judged, 2, 1, words,
                     words)  # fmt: skip
    derived = DerivedRow("belt", "all", None, "as-found", None, "", ConformityResult("none"), words)
    finding = Finding("F1", "belt", None, words, words, (words,), "later", True, True, words, words,
                      words, (words,), "inference")  # fmt: skip
    worked_out = Results(
        checklist, machine,
        (StepResult(step, "drive", "skipped", words, advice=(words,),
                    skipped_readings={("width", None): words}),),
        (row,), (derived,), (finding,), (words,),
        {("belt", "width", words, "as-found"): row},
        {("belt", "all", None, "as-found"): derived},
    )  # fmt: skip
    return report(replay(said), worked_out, said, LogState((words,), 3), Extras(with_log=with_log))


def golden_reports():
    """(name, report) of those whose exports are kept as golden files."""
    return (("open", open_report()), ("signed", signed_report(with_log=True)))
