"""The jet chart as a table: bands, cells, and what is said of gaps and overlaps."""

from __future__ import annotations

import tomllib

import pytest

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.sheets import edit_sheet
from inspect_tui.core.definitions.sheets.chart_table import (
    ALTITUDE,
    TEMPERATURE,
    chart_table,
    troubles,
    typed_edges,
)
from inspect_tui.core.evaluation.air import jet_chart
from inspect_tui.errors import BadInput
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store
from inspect_tui.tui.base.sheet_desk import SheetDesk
from inspect_tui.tui.screens import chart_text
from inspect_tui.tui.screens.chart_state import ChartState
from tests.tui.conftest import settled, type_in


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "store")


def chart_of(store, machine="tindrak-600"):
    chart = SheetDesk(store, machine, "pre-season").chart()
    return chart, ChartState.begun(chart.page())


def table_of(*bands):
    text = 'id = "m"\nname = "m"\ncylinders = ["1"]\n[spec]\nmain_jet = 200\n'
    for temperature, altitude in bands:
        text += (
            f"[[jet_chart]]\ntemperature = {list(temperature)}\naltitude = {list(altitude)}\n"
            "main_jet = 210\n"
        )
    return chart_table(definitions.load_machine(text, "m").machine)


@pytest.mark.parametrize(
    ("text", "unit", "texts"),
    [
        ("-29 to -18", TEMPERATURE, ("-29 degC", "-18 degC")),
        ("-16 .. -5,5 C", TEMPERATURE, ("-16 C", "-5.5 C")),
        ("0 to 2000 ft", ALTITUDE, ("0 ft", "2000 ft")),
        ("600 m to 1500", ALTITUDE, ("600 m", "1500 m")),
    ],
)
def test_edges_are_typed_as_people_write_them(text, unit, texts):
    assert typed_edges(text, unit).texts == texts


@pytest.mark.parametrize("text", ["-29", "-18 to -29", "0 kg to 3 kg", "a to b", "", "5 to 5"])
def test_no_edges_are_said_so(text):
    with pytest.raises(BadInput):
        typed_edges(text, TEMPERATURE)


COLD, MILD = ("-29 degC", "-18 degC"), ("-18 degC", "-7 degC")
LOW, HIGH = ("0 m", "600 m"), ("600 m", "1500 m")


def test_bands_that_meet_have_nothing_said_of_them():
    assert troubles(table_of((COLD, LOW), (MILD, LOW), (COLD, HIGH), (MILD, HIGH))) == ()


def test_gaps_overlaps_and_holes_are_said_in_words():
    assert troubles(table_of((COLD, LOW), (("-16 degC", "-7 degC"), LOW))) == (
        "A gap between -18 °C and -16 °C.",
    )
    (said,) = troubles(table_of((COLD, LOW), (("-20 degC", "-7 degC"), LOW)))
    assert said == "-29 to -18 °C at 0 to 600 m and -20 to -7 °C at 0 to 600 m overlap."
    assert troubles(table_of((COLD, LOW), (MILD, HIGH))) == (
        "Nothing yet for -29 to -18 °C at 600 to 1500 m and 1 more.",
    )
    feet = table_of((COLD, LOW), (COLD, ("1968.5 ft", "1500 m")))  # 1968.5 ft are 599.9988 m
    assert any("overlap" in one for one in troubles(feet))


def test_every_air_that_the_table_shows_is_what_the_look_up_finds(store):
    path = definition_files.find("machine", "tindrak-600", store)
    machine = definitions.load_machine(path.read_text(encoding="utf-8"), "m").machine
    table, bands = chart_table(machine), jet_chart.bands(machine)
    assert len(table.bands) == len(bands) > 5
    for (temperature, altitude), number in table.bands.items():
        found = jet_chart.look_up(bands, temperature.low, altitude.low)  # the lower edge is in it
        assert found.band is bands[number]


def test_a_cell_is_changed_and_a_band_added_with_comments_kept(store):
    chart, state = chart_of(store)
    old = definition_files.find("machine", "tindrak-600", store).read_text(encoding="utf-8")
    rows, columns = state.rows, state.columns
    chart.enter(rows[0], columns[0], "main_jet", "355; 365; 355", "manual, page 40")
    new = (store.machines / "tindrak-600.toml").read_text(encoding="utf-8")
    changed = set(new.splitlines()) - set(old.splitlines())
    assert "main_jet = [355, 365, 355]" in changed and len(changed) == 2  # and where from
    state = state.with_page(chart.page())
    assert state.here == "355; 365; 355"
    colder = typed_edges("-55 to -40", TEMPERATURE)
    state = state.asking("temperature").with_band(colder)
    assert state.place == (colder, columns[0]) and not state.said and state.troubles
    chart.enter(*state.place, "main_jet", "380", "manual, page 40")
    state = state.with_page(chart.page())
    assert state.here == "380" and state.place[0] == colder
    made = tomllib.loads((store.machines / "tindrak-600.toml").read_text(encoding="utf-8"))
    assert made["jet_chart"][-1]["main_jet"] == 380
    assert made["source"]["jet_chart"] == "manual, page 40"


def test_what_is_no_setting_changes_nothing(store):
    chart, state = chart_of(store)
    for text in ("fat", "12 mm", "1; 2", "?"):
        with pytest.raises(BadInput):
            chart.enter(*state.place, "main_jet", text, "manual")
    assert not list(store.machines.glob("*.toml"))


def test_an_empty_chart_asks_for_its_bands_first_and_for_the_base_figure(store):
    chart, state = chart_of(store, "ormvessa-6")
    assert (
        state.asks == "temperature" and "No jet chart yet" in chart_text.table(state, 80, 9).plain
    )
    state = state.with_band(typed_edges("-10 to 5", TEMPERATURE))
    assert state.asks == "altitude"
    state = state.with_band(typed_edges("0 to 500", ALTITUDE))
    assert state.asks == "cell" and state.next() == state
    with pytest.raises(BadInput, match="is not in the sheet yet"):
        chart.trouble("pilot_jet", "30")
    chart.enter(*state.place, "main_jet", "64", "decal")
    assert "main_jet = 64" in (store.machines / "ormvessa-6.toml").read_text(encoding="utf-8")


def test_an_overlapping_band_is_said_at_once(store):
    _, state = chart_of(store)
    state = state.asking("temperature").with_band(typed_edges("-30 to -20", TEMPERATURE))
    assert "-30 to -20 °C overlaps" in state.said and state.tone == "bad"


def test_the_asked_cell_is_drawn_at_every_size(store):
    _, state = chart_of(store)
    for width, height in ((78, 12), (36, 6), (118, 25)):
        for row in range(len(state.rows)):
            for column in range(len(state.columns)):
                drawn = chart_text.table(state.moved(row, column), width, height).plain
                assert drawn.count("▶") == 1 and drawn.count("\n") < height
                where = next(line for line in drawn.split("\n") if "▶" in line)
                assert where.index("▶") < width


def bands_of(store, machine="tindrak-600"):
    path = definition_files.find("machine", machine, store)
    return tomllib.loads(path.read_text(encoding="utf-8"))["jet_chart"]


def test_other_edges_of_a_row_keep_its_settings_and_the_comments(store):
    chart, state = chart_of(store)
    before = bands_of(store)
    text = definition_files.find("machine", "tindrak-600", store).read_text(encoding="utf-8")
    old = state.rows[1]
    new = typed_edges(f"{old.texts[0]} to {old.texts[1]}", TEMPERATURE)
    assert new == old
    new = typed_edges("-33 to -20", TEMPERATURE)
    chart.change_edges("temperature", old, new)
    after = bands_of(store)
    moved = [band for band in after if band["temperature"] == ["-33 degC", "-20 degC"]]
    kept = [band for band in before if band["temperature"] == list(old.texts)]
    assert len(moved) == len(kept) > 1
    assert [{**band, "temperature": 0} for band in after] == [
        {**band, "temperature": 0} for band in before
    ]
    made = (store.machines / "tindrak-600.toml").read_text(encoding="utf-8")
    comments = [line for line in text.splitlines() if line.startswith("#")]
    assert comments and [line for line in made.splitlines() if line.startswith("#")] == comments
    with pytest.raises(BadInput, match="already"):
        chart.change_edges("temperature", new, chart.page().table.temperatures[0])


def test_a_column_that_is_taken_out_goes_alone(store):
    chart, state = chart_of(store)
    before, gone = bands_of(store), state.columns[0]
    chart.take_out("altitude", gone)
    assert bands_of(store) == [band for band in before if band["altitude"] != list(gone.texts)]
    for column in state.columns[1:]:
        chart.take_out("altitude", column)
    text = (store.machines / "tindrak-600.toml").read_text(encoding="utf-8")
    assert "jet_chart" not in tomllib.loads(text)
    assert ChartState.begun(chart.page()).asks == "temperature"


CHART = """id = "m"
[[jet_chart]]  # the cold one
temperature = ["-29 degC", "-18 degC"]
main_jet = [
    1,  # PTO
    2,
]
# about the mild one
[[ jet_chart ]]
temperature = ["-18 degC", "-7 degC"]

# the end
[source]
x = "y"
"""


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_band_is_cut_out_of_the_text_with_what_stands_around_it_kept(end):
    text = CHART.replace("\n", end)
    cold = edit_sheet.without_bands(text, [0])
    assert cold == text[: text.index("[[jet")] + text[text.index("# about") :]
    mild = edit_sheet.without_bands(text, [1])
    assert mild == text[: text.index("[[ jet")] + text[text.index("# the end") :]
    assert "jet_chart" not in edit_sheet.without_bands(text, [0, 1])
    assert "# about the mild one" in edit_sheet.without_bands(text, [1, 0])


async def test_edges_are_changed_and_a_band_taken_out_on_the_page(job, session, places):
    """The page itself: F7 asks, Enter twice takes out, Esc keeps."""
    path = places.machines / "test-bed.toml"
    bands = "".join(
        f'[[jet_chart]]\ntemperature = ["{low} degC", "{low + 10} degC"]\n'
        'altitude = ["0 m", "600 m"]\nmain_jet = [1, 2, 3]\n' for low in (-30, -20)
    )  # fmt: skip
    path.write_text(path.read_text(encoding="utf-8") + bands, encoding="utf-8")

    def edges():
        made = tomllib.loads(path.read_text(encoding="utf-8"))
        return [band["temperature"][0] for band in made["jet_chart"]]

    async with job(session) as pilot:
        pilot.app.screen.walk.do("all_figures")
        await settled(pilot)
        await pilot.press("f4")
        await settled(pilot)
        await pilot.press("f7")
        assert "CHANGE BAND" in pilot.screen_text()
        await type_in(pilot, "-32 to -20", "enter")
        assert edges() == ["-32 degC", "-20 degC"]
        await pilot.press("down", "f7", "enter")
        assert "Enter again takes out -20 to -10 °C with 1 setting" in pilot.screen_text()
        await pilot.press("escape", "f7", "enter", "enter")
        assert edges() == ["-32 degC"]
        assert "Taken out: -20 to -10" in pilot.screen_text()
