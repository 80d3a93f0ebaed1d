"""The register against the table of the design: names, inputs and results, to the letter."""

from __future__ import annotations

import ast
import inspect
import sys
from pathlib import Path

import pytest

import inspect_tui.calc as calc
from inspect_tui.calc import REGISTER, calculation
from inspect_tui.calc.registry import SUBJECTS

TABLE = """
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
timing_angle | stroke rod distance | angle
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
electrolyte_freeze_point | specific_gravity | freeze_point
proof_load | diameter pitch property_class | stress_area proof_load
"""
ROWS = [line.split("|") for line in TABLE.strip().splitlines()]


def test_the_register_has_every_row_in_the_tables_order() -> None:
    assert list(REGISTER) == [row[0].strip() for row in ROWS]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0].strip())
def test_inputs_results_and_signature_are_the_tables(row: list[str]) -> None:
    name, inputs, results = (cell.split() for cell in row)
    entry = calculation(name[0])
    wanted = []
    for text in inputs:
        key, _, default = text.partition("=")
        wanted.append((key, bool(default), {"0": 0}.get(default)))
    assert [(i.name, i.optional, i.default) for i in entry.inputs] == wanted
    assert [r.key for r in entry.results] == results
    parameters = inspect.signature(entry.function).parameters.values()
    assert [p.name for p in parameters] == [i.name for i in entry.inputs]
    assert all(p.kind is p.KEYWORD_ONLY for p in parameters)
    defaults = {p.name: p.default for p in parameters if p.default is not p.empty}
    assert defaults == {i.name: i.default for i in entry.inputs if i.optional}


@pytest.mark.parametrize("entry", REGISTER.values(), ids=lambda entry: entry.name)
def test_every_entry_says_what_it_rests_on(entry: calc.Calculation) -> None:
    assert entry.subject in SUBJECTS
    assert all((entry.title, entry.formula, entry.source, entry.valid, entry.harm))
    assert not entry.title.endswith(".")
    assert all(i.meaning and i.example for i in entry.inputs)
    text = " ".join((entry.function.__doc__ or "").split())
    for word in ("Inputs:", "Results:", "Source:", "Harm:", "Raises:"):
        assert word in text, f"{entry.name}: its docstring says nothing under {word}"
    assert "Valid" in text or "Exact" in text or "average" in text
    assert text.isascii()
    for part in (*entry.inputs, *entry.results):
        name = part.name if hasattr(part, "name") else part.key
        assert name in text, f"{entry.name}: its docstring does not name {name}"


def test_jetting_says_which_side_is_dangerous() -> None:
    harm = calculation("jet_for_air").harm
    assert "Lean is the dangerous side" in harm and "plugs decide" in harm


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(ValueError, match="did you mean spring_rate"):
        calculation("spring_rat")


def test_calculations_import_the_standard_library_and_each_other_only() -> None:
    for path in Path(calc.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            elif isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            else:
                continue
            for name in names:
                own = name.startswith("inspect_tui.calc")
                assert own or name.split(".")[0] in sys.stdlib_module_names, f"{path.name}: {name}"
