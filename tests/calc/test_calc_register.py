"""The register: every row says what it has to, and keeps the names that the plan gives it."""

from __future__ import annotations

import ast
import dataclasses
import inspect
import sys
from pathlib import Path

import pytest

import inspect_tui.calc
from inspect_tui.calc import REGISTER, calculation
from inspect_tui.calc.registry import Calculation, Input, Result, declare
from tests.calc.declarations import PIECES, missing

PROMISED = """
standard_atmosphere | altitude | pressure temperature density
station_pressure | qnh altitude | pressure
air_density | temperature pressure relative_humidity=0 | density relative_density density_altitude
jet_difference | jet_a jet_b numbering | percent
jet_for_air | jet base_temperature base_pressure temperature pressure numbering step \
| exact jet percent
span_tension | force span deflection | tension
deflection_at_load | deflection load other_load unloaded=0 | deflection
chain_elongation | pitch links measured | elongation
chain_length | pitch teeth_a teeth_b centre_distance | links links_even
chain_sag | span slack | percent
spring_rate | force_1 length_1 force_2 length_2 | rate free_length
wire_spring_rate | wire mean_diameter active_coils shear_modulus | rate
piston_position | stroke rod angle | distance
timing_angle | stroke rod distance tilt=0 | angle
compression_at_sea_level | reading altitude | reading
spread | values | spread percent mean
swapped_parts | found expected | pairs explained
torque_with_extension | torque wrench extension angle=0 | setting
tightening_torque | force diameter nut_factor | torque
conformance | value uncertainty min=None max=None | probability verdict
repeat_readings | values | mean standard_uncertainty expanded outlier
road_speed | engine_speed cvt_ratio teeth_top teeth_bottom drive_teeth track_pitch | speed
belt_length | diameter_a diameter_b centre_distance | length
flyweight_force | mass radius speed | force
oil_for_fuel | fuel ratio | oil
oil_ratio | fuel oil | ratio
toe | front rear base | toe angle
coolant_freeze_point | glycol_volume | freeze_point
electrolyte_density | specific_gravity temperature | specific_gravity
electrolyte_freeze_point | specific_gravity temperature=299.8166667 | freeze_point
proof_load | diameter pitch property_class | stress_area proof_load
pressure_decay | start end time ambient=101325 temperature_start=293.15 temperature_end=293.15 \
| rate fall
winding_resistance | resistance temperature leads=0 reference=293.15 | resistance
length_at_reference | length expansion temperature reference=293.15 | length
ring_gap | gap bore_wear | gap
compression_ratio | bore stroke chamber trapped_stroke=None | ratio swept
leak_down | supply held orifice=0.001016 ambient=101325 | percent hole
port_timing | stroke rod depth | duration
chain_pitch | number | pitch
chain_elongation_limit | teeth | percent
spring_solid_length | wire total_coils | length
coolant_exchange | volume now wanted fresh=1 | draw_off
engagement_speed | speed force_now force_new mass_now mass_new | speed
mixed_premix | fuel_a ratio_a fuel_b ratio_b | ratio
wear_trend | at values when | value half_width slope slope_low slope_high
"""
"""Names and defaults that lists, scripts and logs rest on. A new calculation needs no line here;
what is here keeps its names, and `NAME(...)` in a formula stays its first result."""


@pytest.mark.parametrize("line", PROMISED.strip().splitlines(), ids=lambda line: line.split()[0])
def test_what_lists_rest_on_keeps_its_names_and_order(line: str) -> None:
    (name,), inputs, results = (cell.split() for cell in line.split("|"))
    entry = calculation(name)
    wanted = []
    for text in inputs:
        key, given, default = text.partition("=")
        value = None if default in ("", "None") else pytest.approx(float(default), rel=1e-9)
        wanted.append((key, bool(given), value))
    assert [(i.name, i.optional, _plain(i.default)) for i in entry.inputs] == wanted
    assert [r.key for r in entry.results] == results


def _plain(default: object) -> object:
    return default if default is None else float(default)  # type: ignore[arg-type]


@pytest.mark.parametrize("entry", REGISTER.values(), ids=lambda entry: entry.name)
def test_every_row_has_all_its_pieces(entry: Calculation) -> None:
    assert not missing(entry), "\n".join(missing(entry))


@pytest.mark.parametrize("entry", REGISTER.values(), ids=lambda entry: entry.name)
def test_the_docstring_says_what_the_row_says(entry: Calculation) -> None:
    text = entry.function.__doc__ or ""
    assert text.isascii() and not entry.title.endswith(".")
    for words in (entry.formula, entry.source, entry.valid, entry.harm, "Raises:"):
        assert words in text
    for part in (*entry.inputs, *entry.results):
        assert part.meaning in text


WHOLE = REGISTER["span_tension"]


@pytest.mark.parametrize("piece", PIECES)
def test_a_missing_piece_is_named_in_one_sentence(piece: str) -> None:
    (sentence,) = missing(dataclasses.replace(WHOLE, **{piece: ""}))
    assert sentence.startswith(f"span_tension: its row lacks `{piece}`")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"subject": "sleds"}, "its `subject` is none of air and jets"),
        ({"refuses": ()}, "its row lacks `refuses`"),
        ({"inputs": WHOLE.inputs[:2]}, "its row says ['force', 'span']"),
    ],
)
def test_a_wrong_piece_is_named_in_one_sentence(changes: dict[str, object], words: str) -> None:
    (sentence,) = missing(dataclasses.replace(WHOLE, **changes))  # type: ignore[arg-type]
    assert words in sentence


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"at": None}, "input force lacks its working point (`at`)"),
        ({"takes": None}, "input force lacks the figures that it `takes`"),
        ({"example": ""}, "input force lacks an `example`"),
        ({"meaning": ""}, "input force lacks its meaning"),
        ({"optional": True, "default": 5}, "its function's defaults {} are not its row's"),
    ],
)
def test_a_missing_piece_of_an_input_is_named(change: dict[str, object], words: str) -> None:
    first = dataclasses.replace(WHOLE.inputs[0], **change)  # type: ignore[arg-type]
    (sentence,) = missing(dataclasses.replace(WHOLE, inputs=(first, *WHOLE.inputs[1:])))
    assert words in sentence


def test_two_of_one_name_are_refused() -> None:
    row = {"subject": "drive", "title": "", "formula": "", "source": "", "valid": "", "harm": ""}
    with pytest.raises(ValueError, match="the calculation toe is declared twice"):

        @declare(**row, inputs=(Input("x", "", "", ""),), results=(Result("y", "", ""),))
        def toe(*, x: float) -> dict[str, object]:
            return {"y": x}


def test_jetting_says_which_side_is_dangerous() -> None:
    harm = calculation("jet_for_air").harm
    assert "Lean is the dangerous side" in harm and "plugs decide" in harm


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(ValueError, match="did you mean spring_rate"):
        calculation("spring_rat")


def test_a_result_s_key_makes_no_second_meaning_of_a_name() -> None:
    spelt = [f"{one.name}_{result.key}" for one in REGISTER.values() for result in one.results]
    assert len(set(spelt)) == len(spelt) and not set(spelt) & set(REGISTER)


def test_every_function_is_under_its_own_name() -> None:
    for name, entry in REGISTER.items():
        assert inspect.unwrap(entry.function).__name__ == name


def test_calculations_import_the_standard_library_and_each_other_only() -> None:
    for path in Path(inspect_tui.calc.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                own = name.startswith("inspect_tui.calc")
                assert own or name.split(".")[0] in sys.stdlib_module_names, f"{path.name}: {name}"
