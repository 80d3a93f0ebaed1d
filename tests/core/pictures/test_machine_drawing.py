"""The machine in line drawing: every system marked at every size, none lost, all reachable."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.model.drawing import DrawingLine, DrawingPlace, MachineDrawing
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.pictures.machine_drawing import (
    MIN_COLUMNS,
    MIN_ROWS,
    collisions,
    draw,
    neighbour,
)
from inspect_tui.core.presentation.pictures.machine_vector import vector
from inspect_tui.core.presentation.pictures.systems import (
    SAFETY,
    SYSTEM_STATES,
    System,
    marks_used,
    system_state,
)
from inspect_tui.core.presentation.pictures.vector_picture import Words, extent
from tests.core.pictures.picture_examples import (
    DRAWINGS,
    STATES,
    shipped,
    sizes,
    sound,
    systems,
    texts,
)

NAMES = [path.stem for path in DRAWINGS]
SLED = shipped("sled")


@pytest.mark.parametrize("name", NAMES)
def test_nothing_touches_from_the_least_size_on(name):
    drawing = shipped(name)
    for columns in range(MIN_COLUMNS, 161):
        for rows in range(MIN_ROWS, 51, 3):
            assert not collisions(drawing, columns, rows), (columns, rows)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("size", [(80, 24), (46, 20), (120, 40), (200, 50), (40, 20)])
def test_every_system_has_its_sign_and_its_label_and_can_be_chosen(name, size):
    drawing, shown = shipped(name), systems(shipped(name))
    picture = draw(drawing, shown, *size)
    sound(picture, *size)
    assert {region.name for region in picture.regions} == {one.section for one in shown}
    for one in shown:
        mark = SYSTEM_STATES[one.state].sign
        cells = [
            picture.lines[region.row][region.first : region.end]
            for region in picture.regions
            if region.name == one.section
        ]
        assert all(mark in text for text in cells), one
        place = drawing.place(one.section)
        name = one.title if size[0] < MIN_COLUMNS or place is None else place.label
        assert any(name in text for text in cells)
        assert any(SAFETY.sign in text for text in cells) == one.safety
        if place is not None and place.at is not None and size[0] >= MIN_COLUMNS:
            assert len(cells) == 2


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("size", [(80, 24), (46, 20), (120, 40), (40, 20)])
def test_every_system_is_reached_by_the_arrow_keys(name, size):
    shown = systems(shipped(name))
    picture = draw(shipped(name), shown, *size)
    reached, new = set(), [neighbour(picture, "", "down")]
    while new:
        here = new.pop()
        if here not in reached:
            reached.add(here)
            new += [neighbour(picture, here, way) for way in ("up", "down", "left", "right")]
    assert reached == {one.section for one in shown}


def test_down_goes_down():
    picture = draw(SLED, systems(SLED), 80, 24)
    rows = {region.name: region.row for region in picture.regions}
    assert rows[neighbour(picture, "throttle", "down")] > rows["throttle"]
    assert neighbour(picture, "throttle", "down") == "brake"
    assert neighbour(picture, "throttle", "left") == "engine"


def test_a_click_finds_the_sign_on_the_machine_and_the_label():
    picture = draw(SLED, systems(SLED), 80, 24)
    row = next(n for n, line in enumerate(picture.lines) if "chaincase" in line)
    assert picture.region_at(picture.lines[row].index("chaincase"), row) == "chaincase"
    assert picture.region_at(79, 12) == ""


def test_what_is_chosen_shows_at_the_machine_and_at_its_label():
    picture = draw(SLED, systems(SLED), 80, 24, chosen="track")
    chosen = [run.text for row in picture.rows for run in row if run.role == "chosen"]
    assert "track" in chosen and len(chosen) == 2


def test_the_legend_names_every_sign_that_occurs_whole():
    for columns in (46, 60, 80):
        shown = draw(SLED, systems(SLED), columns, 24).text
        assert all(f"{mark.sign} {mark.word}" in shown for _, mark in marks_used(systems(SLED)))


def test_places_that_the_list_lacks_are_left_out():
    picture = draw(SLED, [System("belt", "Drive belt")], 80, 24)
    assert "belt" in picture.text and "chaincase" not in picture.text


def test_a_list_without_any_place_stands_as_a_table():
    picture = draw(SLED, [System("near", "First kilometre", "done")], 80, 24)
    assert picture.lines[0].startswith("■ First kilometre") and "done" in picture.lines[0]


def test_without_a_drawing_the_systems_stand_as_a_table():
    shown = systems(SLED)
    picture = draw(None, shown, 80, 24)
    for one, line in zip(shown, picture.lines, strict=False):
        assert one.title in line and SYSTEM_STATES[one.state].word in line


@pytest.mark.parametrize("chosen", ["before", "track", "start"])
def test_a_table_that_is_too_long_shows_where_one_is(chosen):
    picture = draw(SLED, systems(SLED), 30, 8, chosen=chosen)
    place = next(place for place in SLED.places if place.section == chosen)
    assert place.label.capitalize() in picture.text
    assert "more" in picture.text


def test_no_state_is_told_by_colour_alone():
    signs = [mark.sign for mark in SYSTEM_STATES.values()] + [SAFETY.sign]
    plain = [mark.ascii for mark in SYSTEM_STATES.values()] + [SAFETY.ascii]
    assert len(set(signs)) == len(signs) and len(set(plain)) == len(plain)
    assert all(mark.word and len(mark.ascii) == 1 for mark in SYSTEM_STATES.values())


def test_signs_and_words_are_those_of_the_step_list():
    for state, mark in wording.STEP_STATES.items():
        if state in SYSTEM_STATES:
            assert SYSTEM_STATES[state].sign == mark.sign
            assert SYSTEM_STATES[state].word in mark.word


@pytest.mark.parametrize(
    ("steps", "state"),
    [
        ("open open", "open"),
        ("open not-needed left-out", "open"),
        ("open done", "begun"),
        ("open skipped", "begun"),
        ("done again open", "again"),
        ("done done not-needed", "done"),
        ("done skipped left-out", "done"),
        ("skipped not-needed", "skipped"),
        ("left-out not-needed", "left-out"),
        ("not-needed", "not-needed"),
        ("", "not-needed"),
    ],
)
def test_a_system_s_state_follows_from_its_steps(steps, state):
    assert system_state(steps.split(), failed=False) == state
    assert system_state(steps.split(), failed=True) == "failed"


def test_in_plain_characters_nothing_else_is_drawn():
    for size in ((80, 24), (40, 20)):
        assert draw(SLED, systems(SLED), *size, ascii=True).text.isascii()


points = st.tuples(st.floats(-50, 250), st.floats(-50, 150))
places = st.builds(
    DrawingPlace,
    section=st.sampled_from(["a", "b", "c", "d"]),
    label=texts,
    label_at=points,
    side=st.sampled_from(["up", "down", "left", "right", "none"]),
    at=st.none() | points,
    via=st.none() | points,
)
lines = st.builds(
    DrawingLine,
    weight=st.sampled_from(["outline", "thin", "hidden"]),
    points=st.lists(points, max_size=4).map(tuple),
)
drawings = st.builds(
    MachineDrawing,
    name=texts,
    width=st.floats(1, 300),
    height=st.floats(1, 300),
    margin=st.floats(0, 50),
    lines=st.lists(lines, max_size=3).map(tuple),
    places=st.lists(places, max_size=4, unique_by=lambda one: one.section).map(tuple),
)
listed = st.lists(
    st.builds(
        System,
        section=st.sampled_from(["a", "b", "c", "d", "e", "f"]),
        title=texts,
        state=st.sampled_from(STATES),
        safety=st.booleans(),
        note=texts,
    ),
    max_size=6,
    unique_by=lambda one: one.section,
)


@settings(max_examples=60)
@given(st.none() | drawings, listed, sizes, st.sampled_from(["", "a", "f"]), st.booleans())
def test_any_drawing_at_any_size_has_that_size(drawing, shown, size, chosen, plain):
    picture = draw(drawing, shown, *size, chosen=chosen, ascii=plain)
    sound(picture, *size)
    columns, rows = size
    if columns >= 4 and rows >= len(shown):
        assert {region.name for region in picture.regions} == {one.section for one in shown}
    if drawing is not None:
        assert vector(drawing, shown).shapes is not None


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("state", STATES)
def test_in_reports_no_text_lies_over_another(name, state):
    drawing = shipped(name)
    shown = [replace(one, state=state, safety=True) for one in systems(drawing)]
    picture = vector(drawing, shown)
    boxes = [(one.text, extent(one)) for one in picture.shapes if isinstance(one, Words)]
    for number, (text, box) in enumerate(boxes):
        assert picture.left <= box[0] and box[2] <= picture.left + picture.width, text
        assert picture.top <= box[1] and box[3] <= picture.top + picture.height, text
        for other, there in boxes[number + 1 :]:
            apart = (
                box[2] <= there[0] or there[2] <= box[0] or box[3] <= there[1] or there[3] <= box[1]
            )
            assert apart, (text, other)
