"""`calc` with stated uncertainties; without them its output is as it always was."""

import json

import pytest

from inspect_tui.cli import main

GIVEN = ["span=1 m", "deflection=20 mm"]


def test_an_uncertainty_is_shown_and_given_as_data(capsys):
    assert main(["calc", "span_tension", "force=50 ± 1 N", *GIVEN]) == 0
    assert capsys.readouterr().out.startswith("tension = 625 ± 12 newton (625 ± 12 N)\n")
    assert main(["calc", "span_tension", "force=50 +/- 1 N", *GIVEN, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["results"] == {
        "tension": {"value": 625, "unit": "newton", "uncertainty": 12.5}
    }


def test_without_one_the_data_has_its_two_keys_alone(capsys):
    assert main(["calc", "span_tension", "force=50 N", *GIVEN, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert list(data) == ["name", "results", "source"]
    assert data["results"] == {"tension": {"value": 625, "unit": "newton"}}


def test_it_is_in_the_unit_that_is_asked_for(capsys):
    given = ["calc", "toe", "front=1006 ± 1 mm", "rear=1000 mm", "base=1 m", "--in", "mm"]
    assert main([*given, "--json"]) == 0
    toe = json.loads(capsys.readouterr().out)["results"]["toe"]
    assert toe["unit"] == "millimeter"
    assert (toe["value"], toe["uncertainty"]) == pytest.approx((6, 1))


def test_words_and_lists_have_none(capsys):
    assert main(["calc", "conformance", "value=13 ± 1", "uncertainty=1", "min=10", "--json"]) == 0
    results = json.loads(capsys.readouterr().out)["results"]
    assert results["verdict"] == {"value": "pass", "unit": None}
    assert results["probability"]["unit"] == ""


def test_a_wrong_uncertainty_ends_with_one_sentence(capsys):
    assert main(["calc", "span_tension", "force=50 N ± 1 mm", *GIVEN]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and "another kind" in captured.err
    assert len(captured.err.splitlines()) == 1


@pytest.mark.parametrize("found", ["230, 240, 240", "[230, 240, 240]", "[230; 240; 240]"])
def test_a_list_may_stand_in_brackets_as_in_a_definition(capsys, found):
    assert main(["calc", "swapped_parts", f"found={found}", "expected=[240, 230, 240]"]) == 0
    out = capsys.readouterr().out
    assert main(["calc", "swapped_parts", "found=230,240,240", "expected=240,230,240"]) == 0
    assert out == capsys.readouterr().out
    assert "explained = yes" in out


@pytest.mark.parametrize("values", ["[]", "[1, 2", "1, 2]", "[1, ]"])
def test_brackets_that_hold_no_list_are_refused(capsys, values):
    assert main(["calc", "spread", f"values={values}"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def results_of(capsys, *given):
    assert main(["calc", *given, "--json"]) == 0
    return json.loads(capsys.readouterr().out)["results"]


def test_each_unit_asked_for_counts_where_it_fits(capsys):
    given = ["standard_atmosphere", "altitude=0 m", "--in", "hPa", "--in", "degC"]
    results = results_of(capsys, *given)
    assert results["pressure"] == {"value": pytest.approx(1013.25), "unit": "hectopascal"}
    assert results["temperature"] == {"value": pytest.approx(15), "unit": "degree_Celsius"}
    assert results["density"]["unit"] == "kilogram / meter ** 3"


@pytest.mark.parametrize("unit", ["mm", "delta_degC", "mmm", "tension=N"])
def test_a_unit_that_no_result_can_have_is_refused(capsys, unit):
    assert main(["calc", "standard_atmosphere", "altitude=0 m", "--in", "hPa", "--in", unit]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and unit in captured.err
    assert len(captured.err.splitlines()) == 1


def test_of_two_units_that_fit_the_last_one_counts(run):
    given = ["calc", "span_tension", "force=50 N", "span=1 m", "deflection=20 mm"]
    ran = run(*given, "--in", "N", "--in", "lbf")
    assert ran.status == 0, ran.err
    assert ran.out.startswith("tension = 140.51 lbf\n")
    assert run(*given, "--in", "lbf", "--in", "mm").status == 2
