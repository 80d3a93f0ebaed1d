"""Questions of `record` about a value that is probably a slip: stored, exit 0, asked on stderr."""

from __future__ import annotations

import pytest

from tests.builders import checklist, derived, reading, section, step

TENSION = checklist(
    section("s"),
    step(
        "tension",
        reading("load", unit="N", label="Load"),
        reading("sag", label="Sag"),
        derived(
            "at", "sag * ('100 N' / load)", label="Sag at 100 N", limit="{ min = 30, max = 40 }"
        ),
        title="Tension",
    ),
    id_="track",
)


def test_a_bare_number_after_psi_in_that_row(run, session):
    ran = run("record", session, "compression.pressure@PTO=120 psi",
              "compression.pressure@centre=121")  # fmt: skip
    assert ran.status == 0
    assert "compression.pressure@centre: 121 kPa" in ran.err
    ran = run("record", session, "compression.pressure@centre=121 psi")
    assert ran.err == ""
    ran = run("record", session, "--as-left", "compression.pressure@MAG=122")
    assert "was it 122 psi" in ran.err


def test_a_bare_number_in_a_row_of_its_own_unit(run, session):
    run("record", session, "compression.pressure@PTO=820 kPa")
    assert run("record", session, "compression.pressure@centre=825").err == ""


def test_beside_its_neighbours(run, session):
    run("record", session, "main-jet.stamp@PTO=240", "main-jet.stamp@MAG=250")
    assert "was it 230?" in run("record", session, "main-jet.stamp@centre=23").err


@pytest.mark.parametrize("last", ["PTO", "centre", "MAG"])
def test_each_cylinder_is_held_against_all_others_and_not_itself(run, session, last):
    for name in ("PTO", "centre", "MAG"):
        if name != last:
            run("record", session, f"main-jet.stamp@{name}=240")
    assert "was it 230?" in run("record", session, f"main-jet.stamp@{last}=23").err


@pytest.fixture
def track(definitions, places, run):
    (places.checklists / "track.toml").write_text(TENSION)
    return run("new", "track", "test-bed", "--by", "X").out.strip()


def test_beside_a_derived_limit(run, track):
    ran = run("record", track, "tension.load=10", "tension.sag=35")
    assert ran.status == 0
    assert "tension.sag: with Load 10 N, Sag at 100 N is 350 mm; was it 10 kgf?" in ran.err
    assert run("record", track, "tension.load=10 kgf").err == ""
    run("record", track, "tension.load=98 N")
    ran = run("record", track, "tension.load=10")
    assert "tension.load: with 10 N, Sag at 100 N is 350 mm; was it 10 kgf?" in ran.err
    assert "was it" not in run("record", track, "tension.load=10 N").err


def test_a_pressure_in_kilograms_is_asked_about(run, session, status):
    ran = run("record", session, "compression.pressure@PTO=8.3 kg")
    assert ran.status == 0
    assert "8.3 kg was taken as 8.3 kg/cm²" in ran.err
    assert status(session)["readings"][0]["value"] == pytest.approx(813.95195)


@pytest.mark.parametrize("typed", ["6k", "6 K", "6-K"])
def test_a_stamp_is_read_without_its_hyphens_and_spaces(run, session, status, typed):
    ran = run("record", session, f"main-jet.needle@PTO={typed}")
    assert ran.status == 0
    row = status(session)["readings"][0]
    assert (row["value"], row["verdict"]) == (typed, "pass")


def test_how_a_stamp_was_taken_is_said(run, session):
    run("record", session, "main-jet.needle@PTO=6-K")
    assert "6-K taken as 6K" in run("export", session, "--to", "md").out


ONE_GAUGE = checklist(
    section("s"),
    step(
        "cold",
        reading("dry", unit="kPa", label="Dry", uncertainty='"5 %"', uncertainty_between='"2 %"'),
        reading(
            "wet", unit="kPa", label="With oil", uncertainty='"5 %"', uncertainty_between='"2 %"'
        ),
        derived("rise", "(wet - dry) / dry", "", label="Rise"),
        title="Cold",
        per="cylinder",
    ),
    id_="gauge",
)


@pytest.fixture
def gauge(definitions, places, run):
    (places.checklists / "gauge.toml").write_text(ONE_GAUGE)
    return run("new", "gauge", "test-bed", "--by", "X").out.strip()


def test_what_the_same_gauge_showed_on_the_same_cylinder(run, gauge):
    run("record", gauge, "cold.dry@PTO=118 psi")
    ran = run("record", gauge, "cold.wet@PTO=11.8 psi")
    assert ran.status == 0
    assert "11.8 psi is far from 'Dry', 118 psi; was it 118 psi?" in ran.err
    assert run("record", gauge, "cold.wet@PTO=140 psi").err == ""


def test_a_bare_number_is_said_where_ones_own_unit_is_another(run, gauge):
    run("settings", "units=psi, in")
    ran = run("record", gauge, "cold.dry@PTO=118")
    assert ran.status == 0
    assert (
        "118 was taken in kPa, while your own unit for it is psi; write '118 psi' where" in ran.err
    )
    assert run("record", gauge, "cold.dry@centre=118 kPa", "cold.dry@MAG=?").err == ""
    run("settings", "units=kPa")
    assert "own unit" not in run("record", gauge, "cold.dry@PTO=118").err


def test_what_misses_the_last_sessions_value_by_a_slip(run, gauge):
    run("record", gauge, "cold.dry@PTO=820", "cold.wet@PTO=900")
    again = run("new", "gauge", "test-bed", "--by", "X").out.strip()
    ran = run("record", again, "cold.dry@PTO=118", "cold.wet@centre=870")
    assert "cold.dry@PTO: 118 kPa is far from last time's, on" in ran.err
    assert "820 kPa; was it 118 psi (813.6 kPa)?" in ran.err
    assert ran.err.count("last time's") == 1
    assert run("record", again, "cold.dry@PTO=700").err == ""


@pytest.mark.parametrize(("typed", "taken"), [("surf", "surface"), ("3", "through")])
def test_an_option_that_is_not_written_out_is_said(run, session, typed, taken):
    run("record", session, "belt.width=32")
    ran = run("record", session, f"belt.cracks={typed}")
    assert ran.status == 0 and f"'{typed}' was taken as '{taken}'" in ran.err
    assert "was taken" not in run("record", session, f"belt.cracks={taken.upper()}").err
