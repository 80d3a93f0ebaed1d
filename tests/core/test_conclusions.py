"""What a session concludes across cylinders and steps: exchanged, out of family, the chart's."""

from __future__ import annotations

import pytest

from inspect_tui.core.evaluation.conclusions.out_of_family import claim_limit
from inspect_tui.core.evaluation.diff import changed_in_words
from tests.builders import checklist, reading, setting, sheet, step
from tests.small_session import derived, evaluated, given, number, one_step, row_of

NAMES = ("PTO", "centre", "MAG")


def stamp(name, figure, kind="number"):
    return reading(name, kind, "", limit=f'{{ equal = "spec.{figure}" }}')


def per_cylinder(name, *items):
    return step(name, *items, per="cylinder")


CARBS = checklist(
    per_cylinder("bodies", stamp("body", "carburettor", "text")),
    per_cylinder("main", stamp("jet", "main_jet")),
    per_cylinder("needles", stamp("code", "needle", "text"), stamp("clip", "clip_groove")),
    per_cylinder("screws", number("turns", "turn", uncertainty='"0.1 turn"',
                                  uncertainty_between='"0.1 turn"',
                                  limit='{ target = "spec.air_screw", tolerance = 0.25 }')),
    per_cylinder("plugs", stamp("size", "plug")),
)  # fmt: skip
MACHINE = sheet(
    "PTO",
    "centre",
    "MAG",
    id_="sled",
    name="Sled",
    spec={
        "main_jet": "[360, 370, 380]",
        "clip_groove": "[2, 3, 2]",
        "air_screw": '["1 turn", "1.5 turn", "2 turn"]',
        "plug": "[8, 9, 9]",
    },
    words={"carburettor": '["A1", "B2", "C3"]', "needle": '["6K", "6L", "6M"]'},
)
RIGHT = {
    "bodies.body": ["A1", "B2", "C3"], "main.jet": ["360", "370", "380"],
    "needles.code": ["6K", "6L", "6M"], "needles.clip": ["2", "3", "2"],
    "screws.turns": ["1", "1.5", "2"], "plugs.size": ["8", "9", "9"],
}  # fmt: skip


def swap(row, a=0, b=1):
    row = list(row)
    row[a], row[b] = row[b], row[a]
    return row


def found(machine=MACHINE, **changes):
    rows = {**RIGHT, **{place.replace("__", "."): row for place, row in changes.items()}}
    readings = [one for place, row in rows.items() for one in row_of(place, row)]
    return evaluated(CARBS, *readings, machine=machine)


def exchanges(session):
    return {one.id: one for one in session.results.findings if one.kind == "exchanged"}


def test_whole_carburettors_are_said_once():
    wrong = {place: swap(row) for place, row in RIGHT.items() if place != "plugs.size"}
    said = exchanges(found(**{place.replace(".", "__"): row for place, row in wrong.items()}))
    (only,) = said.values()
    assert only.id == "X.bodies"
    assert only.text.startswith("The carburettors of PTO and centre look exchanged (")
    for label in ("body", "jet", "code", "clip", "turns"):
        assert label in only.text
    assert "on each other's ports" in only.text


def test_carburettors_moved_round_are_no_pair():
    turned = {p: [r[1], r[2], r[0]] for p, r in RIGHT.items() if p != "plugs.size"}
    (only,) = exchanges(
        found(**{place.replace(".", "__"): row for place, row in turned.items()})
    ).values()
    assert "look moved round the cylinders PTO, centre, MAG" in only.text
    assert "wrong ports" in only.text


def test_jets_alone_are_jets():
    (only,) = exchanges(found(main__jet=swap(RIGHT["main.jet"]))).values()
    assert only.id == "X.main"
    assert only.text == (
        "Parts look exchanged between PTO and centre (jet): each has the other's figures."
    )


def test_several_steps_with_the_same_pair_are_one_finding():
    said = exchanges(
        found(main__jet=swap(RIGHT["main.jet"]), screws__turns=swap(RIGHT["screws.turns"]))
    )
    (only,) = said.values()
    assert only.id == "X.main"
    assert "PTO and centre (jet, turns)" in only.text


def test_two_different_pairs_are_two_findings():
    said = exchanges(
        found(main__jet=swap(RIGHT["main.jet"]), screws__turns=swap(RIGHT["screws.turns"], 1, 2))
    )
    assert set(said) == {"X.main", "X.screws"}
    assert "centre and MAG (turns)" in said["X.screws"].text


def test_whole_carburettors_are_named_though_a_part_is_the_same_on_all():
    """A clip in the same groove everywhere says nothing of whose carburettor it is."""
    machine = MACHINE.replace("[2, 3, 2]", "[2, 2, 2]")
    (only,) = exchanges(
        found(machine, bodies__body=["B2", "A1", "C3"], main__jet=["370", "360", "380"],
              needles__code=["6L", "6K", "6M"], needles__clip=["3", "3", "3"],
              screws__turns=["1.5", "1", "2"])
    ).values()  # fmt: skip
    assert only.text.startswith("The carburettors of PTO and centre look exchanged (body, jet,")


def test_another_difference_in_the_step_is_named_beside():
    (only,) = exchanges(
        found(needles__code=["6L", "6K", "6M"], needles__clip=["2", "3", "4"])
    ).values()
    assert "PTO and centre (code)" in only.text
    assert "Beside that, MAG differs from the sheet." in only.text


def test_measured_settings_are_judged_by_their_joint_fit():
    # 1.1 and 1.0 turns off their sheet figures either way, each within 0.2 turn of the other's.
    (only,) = exchanges(found(screws__turns=["1.95", "1.5", "1.1"])).values()
    assert "PTO and MAG (turns)" in only.text
    assert exchanges(found(screws__turns=["1.4", "1.5", "1.6"])) == {}


def test_what_is_off_at_all_cylinders_is_excused_by_no_gauges_error_where_each_has_its_own():
    """Exchanged, and a whole turn too high besides: three gauges don't err alike."""
    said = zip(NAMES, ["3", "2.5", "2"], "abc", strict=True)
    rows = [given(f"screws.turns@{name}", text, gauge=gauge) for name, text, gauge in said]
    assert exchanges(evaluated(CARBS, *rows, machine=MACHINE)) == {}


@pytest.mark.parametrize(("gauges", "named"), [("aaa", True), ("abc", False)])
def test_one_gauges_own_error_moves_all_cylinders_alike(gauges, named):
    """Good to a turn, and to a tenth of one between two cylinders (JCGM 100:2008, 5.2.2)."""
    text = checklist(
        per_cylinder("screws", number("turns", "turn", uncertainty='"1 turn"',
                                      uncertainty_between='"0.1 turn"',
                                      limit='{ target = "spec.air_screw", tolerance = 0.25 }'))
    )  # fmt: skip
    taken = zip(NAMES, ["2.6", "2.1", "1.6"], gauges, strict=True)
    rows = [given(f"screws.turns@{name}", turns, gauge=gauge) for name, turns, gauge in taken]
    said = [one.text for one in exchanges(evaluated(text, *rows, machine=MACHINE)).values()]
    words = "Parts look exchanged between PTO and MAG (turns): each has the other's figures."
    assert said == ([words] if named else [])


def test_what_is_not_exchanged_after_all_is_not_asked_about_again_in_other_air():
    """Its decision stands beside it in the log; the finding itself says nothing any more."""
    decided = ("decision", {"finding": "X.main", "decision": "run-as-found", "why": "seen"})
    entries = [
        *row_of("main.jet", swap(RIGHT["main.jet"])), decided,
        *row_of("main.jet", RIGHT["main.jet"]),
        ("conditions", {"temperature": "-5 C"}),
    ]  # fmt: skip
    (only,) = exchanges(evaluated(CARBS, *entries, machine=MACHINE)).values()
    assert (only.decision, only.superseded_by, only.open) == ("run-as-found", "", False)


def test_once_put_right_it_stays_listed_and_is_closed():
    rows = [
        *row_of("main.jet", swap(RIGHT["main.jet"])),
        *row_of("main.jet", RIGHT["main.jet"], phase="as-left"),
    ]
    (only,) = exchanges(evaluated(CARBS, *rows, machine=MACHINE)).values()
    assert not only.open
    assert "PTO and centre" in only.text


CHART = """
[[jet_chart]]
temperature = ["-30 degC", "-10 degC"]
altitude = ["0 m", "1000 m"]
main_jet = [360, 370, 360]
"""
BASE = MACHINE.replace("[360, 370, 380]", "[340, 340, 340]")


def on_the_chart(*jets):
    readings = row_of("main.jet", list(jets))
    machine = BASE + CHART
    return evaluated(CARBS, *readings, machine=machine, temperature="-20 degC", altitude="100 m")


def test_jets_are_compared_with_the_charts_band():
    (only,) = exchanges(on_the_chart("370", "360", "360")).values()
    assert "PTO and centre (jet)" in only.text
    assert "jet, PTO: found 370, chart 360" in only.evidence
    assert exchanges(on_the_chart("360", "370", "360")) == {}


@pytest.mark.parametrize("chart", [CHART, CHART.replace("360, 370, 360", '"1 mm", "2 mm", "1 mm"')])
def test_parts_jetted_for_other_air_are_held_against_the_sheet(chart):
    """Neither as the chart says nor exchanged by it; or the chart speaks of something else."""
    machine = MACHINE.replace("[360, 370, 380]", "[340, 350, 340]") + chart
    air = {"temperature": "-20 degC", "altitude": "100 m"}

    def named(*jets):
        return exchanges(evaluated(CARBS, *row_of("main.jet", list(jets)), machine=machine, **air))

    (only,) = named("350", "340", "340").values()
    assert "jet, PTO: found 350, sheet 340" in only.evidence
    assert named("340", "350", "340") == {}


def test_the_charts_jets_are_a_remark_and_no_open_finding():
    right = on_the_chart("360", "370", "360").results
    said = [one for one in right.findings if one.id.startswith("main.jet")]
    assert {one.id for one in said} == {f"main.jet@{name}" for name in NAMES}
    assert all(one.remark and not one.open and one.counts for one in said)
    assert all("what the jet chart says" in one.text for one in said)
    wrong = on_the_chart("350", "370", "360").results
    assert [one.remark for one in wrong.findings if one.id == "main.jet@PTO"] == [False]


def test_a_setting_of_words_is_held_against_the_chart_as_stamps_are_read():
    """`6K` is a needle, and no temperature, where the sheet has the needle among its words."""
    machine = BASE + CHART + 'needle = ["6K", "6L", "6K"]\n'
    air = {"temperature": "-20 degC", "altitude": "100 m"}
    session = evaluated(CARBS, *row_of("needles.code", ["6k", "6K"]), machine=machine, **air)
    said = {
        line.cylinder: (line.chart, line.words)
        for line in session.results.chart.lines
        if line.setting == "needle"
    }
    assert said == {
        "PTO": ("6K", "as the chart"), "centre": ("6L", "not as the chart"),
        "MAG": ("6K", "not recorded yet"),
    }  # fmt: skip


def test_a_chart_of_another_kind_of_figure_is_shown_in_its_own_unit():
    machine = BASE + CHART.replace("[360, 370, 360]", '["1.4 mm", "1.5 mm", "1.4 mm"]')
    session = evaluated(CARBS, *row_of("main.jet", ["360"]), machine=machine,
                        temperature="-20 degC", altitude="100 m")  # fmt: skip
    first, second, _ = session.results.chart.lines
    assert (first.chart, first.found, first.words) == ("0.0014 m", "360", "not to be compared")
    assert (second.chart, second.found, second.words) == ("0.0015 m", "", "not recorded yet")


def test_a_band_whose_edges_say_nothing_leaves_the_others_standing():
    """A log holds what its sheet was; `check` had its say before."""
    odd = CHART.replace('"-30 degC", "-10 degC"', '"cold", "-10 degC"')
    session = evaluated(CARBS, machine=BASE + odd + CHART, temperature="-20 degC", altitude="1 m")
    assert [line.chart for line in session.results.chart.lines] == ["360", "370", "360"]


JUDGED = one_step(
    number("x", uncertainty='"0.2 mm"', limit="{ min = 30 }"),
    derived("y", "x - '1 mm'", limit="{ min = 29 }"),
)


@pytest.mark.parametrize("was", ["pass", "fail", "uncertain", "none"])
@pytest.mark.parametrize("now", ["pass", "fail", "uncertain"])
def test_every_verdict_that_changed_is_said_in_words(was, now):
    texts = {"pass": "31", "fail": "29", "uncertain": "30.05"}
    before, after = (
        evaluated(JUDGED, *(given("s.x", texts[each]) for _ in range(each in texts))).results
        for each in (was, now)
    )
    said = changed_in_words(before, after)
    if was == now:
        assert said == ()
        return
    word = "not judged" if was == "none" else was
    assert [text.partition(f": {word}, now {now}")[0] for text in said] == [
        "s, x as found", "s, y as found",
    ]  # fmt: skip


def test_without_a_limit_the_others_are_what_a_cylinder_is_held_against():
    """Where nothing says what it should be, no uncertainty of a target is added."""
    lot = one_step(number("x", uncertainty='"0.04 mm"', uncertainty_between='"0.04 mm"'),
                   per_cylinder=True)  # fmt: skip
    (only,) = evaluated(lot, *row_of("s.x", ["5", "5.01", "5.2"])).results.findings
    assert only.id == "O.s.x@MAG"
    # claim_limit(3) standard uncertainties of a reading against the mean of two: 0.02 sqrt(1.5)
    assert f"by chance up to {claim_limit(3) * 0.02 * 1.5**0.5:.3f} mm" in only.text


FAMILY = one_step(
    number("p", "kPa", uncertainty='"20 kPa"', uncertainty_between='"10 kPa"',
           limit='{ min = "700 kPa" }'),
    number("bare", "mm"), per_cylinder=True,
)  # fmt: skip


def family(*texts, **more):
    session = evaluated(FAMILY, *row_of("s.p", list(texts)), **more)
    return [one for one in session.results.findings if one.kind == "out-of-family"]


def test_the_one_that_stands_apart_is_named_and_inside_its_limits_it_is_a_remark():
    (only,) = family("800", "801", "840")
    assert only.id == "O.s.p@MAG"
    assert "MAG is out of family, 39.5 kPa above the others" in only.text
    assert only.remark and not only.open
    (low,) = family("800", "801", "650")
    assert low.id == "O.s.p@MAG"
    assert not low.remark and low.open
    assert low.under == "s.p@MAG", "it says no more than that the value is below its limit"


def test_a_cylinder_that_was_not_measured_again_is_still_inside_its_limits():
    """As left the others are measured anew; the odd one's reading is that of as found."""
    found = row_of("s.p", ["800", "801", "840"])
    left = row_of("s.p", ["802", "803"], phase="as-left")
    session = evaluated(FAMILY, *found, *left)
    (only,) = [one for one in session.results.findings if one.kind == "out-of-family"]
    assert only.id == "O.s.p@MAG" and only.remark and not only.open


def test_within_chance_nobody_is_named():
    # 2.9352 sqrt(1.5) 5 kPa = 17.97 kPa from the others' mean.
    assert family("800", "800", "817.9") == []
    assert len(family("800", "800", "818.1")) == 1


def test_where_all_differ_none_is_named():
    (only,) = family("800", "840", "880")
    assert "none stands apart" in only.text


def test_two_cylinders_differ_and_it_is_filed_under_the_one_further_off():
    machine = (
        'id = "m"\nname = "M"\ncylinders = ["PTO", "MAG"]\n[spec]\np = ["800 kPa", "810 kPa"]\n'
    )
    lot = FAMILY.replace('min = "700 kPa"', 'target = "spec.p", tolerance = "50 kPa"')
    session = evaluated(lot, given("s.p@PTO", "801"), given("s.p@MAG", "840"), machine=machine)
    (only,) = [one for one in session.results.findings if one.kind == "out-of-family"]
    assert only.id == "O.s.p@MAG"
    assert "PTO and MAG differ by 29 kPa" in only.text


def test_a_cylinder_without_a_target_among_those_that_have_one_makes_no_claim():
    lot = FAMILY.replace('min = "700 kPa"', 'target = "spec.p", tolerance = "50 kPa"')
    assert evaluated(lot, *row_of("s.p", ["800", "801", "900"])).results.findings == ()


def test_without_an_uncertainty_nobody_is_named():
    session = evaluated(FAMILY, *row_of("s.bare", ["1", "1", "9"]))
    assert session.results.findings == ()


def test_what_is_set_by_hand_names_nobody():
    known = {"uncertainty": '"1 kPa"', "uncertainty_between": '"0.5 kPa"'}
    lot = one_step(
        number("pumped", "kPa", by_hand="true", **known), number("end", "kPa", **known),
        number("other", "kPa", **known), derived("loss", "pumped - end", "kPa"),
        per_cylinder=True,
    )  # fmt: skip
    rows = [*row_of("s.pumped", ["20", "20", "25"]), *row_of("s.end", ["19", "19", "24"])]
    assert evaluated(lot, *rows).results.findings == ()
    found = evaluated(lot, *rows, *row_of("s.other", ["20", "20", "25"])).results.findings
    assert [one.id for one in found] == ["O.s.other@MAG"]


def test_parts_set_on_one_of_two_readings_that_a_screw_moves_are_still_as_found():
    """The screw moves the idle too: the row as left waits until that is measured again."""
    text = checklist(
        step(
            "screws",
            number("turns", "turn", uncertainty='"0.1 turn"', uncertainty_between='"0.1 turn"',
                   limit='{ target = "spec.air_screw", tolerance = 0.25 }'),
            number("idle", "rpm", limit="{ min = 1500 }"),
            setting("screw", "idle", "'1 turn'", "turn", moves='["turns", "idle"]'),
            per="cylinder",
        )
    )  # fmt: skip
    before = [
        *row_of("screws.turns", ["1.5", "1", "2"]),
        *row_of("screws.idle", ["1600"] * 3),
        *(given(f"screws.turns@{name}", turns, phase="as-left")
          for name, turns in (("PTO", "1"), ("centre", "1.5"))),
    ]  # fmt: skip
    again = [given(f"screws.idle@{name}", "1600", phase="as-left") for name in ("PTO", "centre")]

    def says(*readings):
        found = evaluated(text, *readings, machine=MACHINE).results.findings
        return [one.id for one in found if one.id.startswith("X.") and one.open]

    assert says(*before) == ["X.screws"]
    assert says(*before, *again[:1]) == ["X.screws"]
    assert says(*before, *again) == []


def test_the_distance_from_the_others_is_said_in_three_figures():
    (only,) = family("800", "801", "839.96")
    assert "39.5 kPa above the others" in only.text


PAIR = 'id = "m"\nname = "M"\ncylinders = ["left", "right"]\n'


@pytest.mark.parametrize(("limit", "whose"), [("min", "right"), ("max", "left")])
def test_of_two_the_one_on_the_worse_side_of_its_limit_is_named(limit, whose):
    """The lower of two compressions is the bad one (common practice)."""
    lot = FAMILY.replace('min = "700 kPa"', f'{limit} = "800 kPa"')
    session = evaluated(lot, given("s.p@left", "118 psi"), given("s.p@right", "96 psi"),
                        machine=PAIR)  # fmt: skip
    (only,) = [one for one in session.results.findings if one.kind == "out-of-family"]
    assert only.id == f"O.s.p@{whose}"


def test_a_difference_is_told_in_the_unit_that_both_were_typed_in():
    """118 psi less 96 psi is 22 psi; a psi is 6.894757 kPa (NIST SP 811, appendix B.8)."""
    psi, mixed = (
        evaluated(FAMILY, given("s.p@left", "118 psi"), given("s.p@right", low), machine=PAIR)
        for low in ("96 psi", "662 kPa")
    )
    (one,) = [each for each in psi.results.findings if each.kind == "out-of-family"]
    assert "left and right differ by 22 psi (152 kPa)" in one.text
    (one,) = [each for each in mixed.results.findings if each.kind == "out-of-family"]
    assert "left and right differ by 152 kPa" in one.text


def test_the_worse_is_also_told_by_what_the_reading_is_brought_to():
    lot = one_step(
        number("p", "kPa", uncertainty='"20 kPa"', uncertainty_between='"10 kPa"'),
        derived("there", "p * 1.1", unit="kPa", limit='{ min = "600 kPa" }'),
        per_cylinder=True,
    )  # fmt: skip
    session = evaluated(lot, given("s.p@left", "810"), given("s.p@right", "662"), machine=PAIR)
    (only,) = [one for one in session.results.findings if one.kind == "out-of-family"]
    assert only.id == "O.s.p@right"
