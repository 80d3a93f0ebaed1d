"""Drawings by name: a person's own come first, faults are handed on, slips are answered."""

import pytest

from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.drawing_files import drawings
from inspect_tui.workflow.drawings import block_faces, machine_drawing

OWN = """
[drawing]
name = "My own"
size = [100, 50]
[[drawing.part]]
name = "x"
lines = []
[[drawing.place]]
section = "a"
label = "a"
at = [10, 10]
leader = "none"
"""


def own(places, name, text):
    folder = places.checklists / "drawings"
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.toml").write_bytes(text.encode() if isinstance(text, str) else text)


def test_what_ships_is_found(places):
    assert {"sled", "outboard"} <= set(drawings(places))
    loaded = machine_drawing("sled", places)
    assert loaded.sound and loaded.drawing.place("belt") is not None


def test_a_person_s_own_comes_first_and_is_read_anew(places):
    own(places, "sled", OWN)
    assert machine_drawing("sled", places).drawing.name == "My own"
    own(places, "sled", OWN.replace("My own", "Changed"))
    assert machine_drawing("sled", places).drawing.name == "Changed"


def test_its_faults_are_handed_on_with_the_file(places):
    own(places, "mine", OWN.replace("[100, 50]", "[100]"))
    loaded = machine_drawing("mine", places)
    assert loaded.drawing is None
    (problem,) = loaded.problems
    assert str(problem).startswith(f"{places.checklists / 'drawings' / 'mine.toml'}:4: ")


def test_a_file_that_is_no_text_is_refused(places):
    own(places, "mine", b"\xff\xfe")
    with pytest.raises(Refused, match="no UTF-8"):
        machine_drawing("mine", places)


@pytest.mark.parametrize(("name", "said"), [
    ("sledd", "Did you mean sled?"), ("zzz", "Known: outboard, sled."), ("../machines/x", "Known"),
    ("x\x1b[2J", "'x'"),
])  # fmt: skip
def test_a_name_that_isn_t_there_is_answered(places, name, said):
    with pytest.raises(BadInput) as error:
        machine_drawing(name, places)
    assert said in str(error.value) and "\x1b" not in str(error.value)


def test_the_block_letters_are_there():
    assert "A" in block_faces()["small"] and "A" in block_faces()["large"]
