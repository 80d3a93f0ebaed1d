"""Checklists and machine sheets on disk."""

import pytest

from inspect_tui.errors import BadInput, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.definition_files import LARGEST, find, list_all, read_text
from inspect_tui.files.store import Store


@pytest.fixture
def places(tmp_path, monkeypatch):
    """A store, and shipped files of the test's own."""
    ships = tmp_path / "ships"
    (ships / "machines").mkdir(parents=True)
    for name in ("pre-season", "storage"):
        (ships / f"{name}.toml").write_text(f'id = "{name}"\n')
    (ships / "machines" / "triple.toml").write_text('id = "triple"\n')
    monkeypatch.setattr(definition_files, "shipped", lambda: ships)
    found = Store(tmp_path / "store")
    found.make()
    return found


def test_a_shipped_one_by_its_id(places, tmp_path):
    assert find("checklist", "pre-season", places) == tmp_path / "ships" / "pre-season.toml"
    assert find("machine", "triple", places) == tmp_path / "ships" / "machines" / "triple.toml"


def test_the_persons_own_comes_first(places):
    own = places.checklists / "pre-season.toml"
    own.write_text("")
    assert find("checklist", "pre-season", places) == own
    assert list_all("checklist", places)[0] == own
    assert [path.stem for path in list_all("checklist", places)] == ["pre-season", "storage"]


def test_one_is_found_by_the_id_that_it_gives_itself(places):
    own = places.checklists / "my list (2).toml"
    own.write_text('\ufefftitle = "x"\n  id = "spring"\n[[section]]\nid = "drive"\n')
    assert find("checklist", "spring", places) == own
    assert own in list_all("checklist", places)
    with pytest.raises(BadInput):
        find("checklist", "drive", places)
    with pytest.raises(BadInput, match="Did you mean spring"):
        find("checklist", "sprong", places)


def test_a_file_of_that_name_comes_before_one_that_says_so(places):
    named = places.checklists / "spring.toml"
    named.write_text('id = "spring"\n')
    (places.checklists / "a-copy.toml").write_text('id = "spring"\n')
    assert find("checklist", "spring", places) == named
    assert [path.stem for path in list_all("checklist", places)] == [
        "pre-season", "spring", "storage"
    ]  # fmt: skip


def test_an_own_one_of_another_name_hides_the_shipped_one(places):
    own = places.checklists / "mine.toml"
    own.write_text('id = "storage"\n')
    assert find("checklist", "storage", places) == own
    assert [path.stem for path in list_all("checklist", places)] == ["pre-season", "mine"]


def test_a_broken_one_is_listed_too(places):
    (places.checklists / "odd name.toml").write_bytes(b"\xff\x00")
    assert "odd name" in [path.stem for path in list_all("checklist", places)]


def test_a_path(places, tmp_path, monkeypatch):
    path = tmp_path / "other place" / "my list.toml"
    path.parent.mkdir()
    path.write_text("")
    assert find("checklist", str(path), places) == path
    monkeypatch.chdir(path.parent)
    assert find("checklist", "my list.toml", places).samefile(path)


def test_the_nearest_is_named(places):
    with pytest.raises(BadInput, match=r"called 'pre-saeson'\. Did you mean pre-season"):
        find("checklist", "pre-saeson", places)
    with pytest.raises(BadInput, match=r"no checklist 'pre-seson.toml'\. Did you mean pre-season"):
        find("checklist", "pre-seson.toml", places)
    with pytest.raises(BadInput, match=r"no machine sheet called 'xyz'\. Known: triple"):
        find("machine", "xyz", places)


@pytest.mark.parametrize(
    "name", ["", "..", "../ships/storage", "machines/triple", "a\0b", "a\0.toml", "x" * 5000,
             "x" * 5000 + ".toml", "\x1b[2J", "/etc/passwd", ".toml"],
)  # fmt: skip
def test_odd_names_are_refused_in_plain_words(places, name):
    with pytest.raises(BadInput, match="There is no checklist") as refusal:
        find("checklist", name, places)
    assert str(refusal.value).isprintable()
    assert len(str(refusal.value)) < 300


def test_a_folder_is_no_definition(places):
    (places.checklists / "folder.toml").mkdir()
    with pytest.raises(BadInput):
        find("checklist", "folder", places)
    assert "folder" not in [path.stem for path in list_all("checklist", places)]


def test_no_folders_at_all(tmp_path, monkeypatch):
    monkeypatch.setattr(definition_files, "shipped", lambda: tmp_path / "none")
    places = Store(tmp_path / "none either")
    assert list_all("machine", places) == []
    with pytest.raises(BadInput, match=r"called 'a'\.$"):
        find("machine", "a", places)


def test_the_text_is_exact_but_for_a_byte_order_mark(tmp_path):
    path = tmp_path / "a.toml"
    path.write_bytes(b"\xef\xbb\xbf" + 'title = "Träger"\r\n\tx\n'.encode())
    assert read_text(path) == 'title = "Träger"\r\n\tx\n'


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"a\nb\nc\xffd", ":3: byte 6 is 0xFF"),
        ("é".encode("latin-1"), ":1: byte 1 is 0xE9"),
        (b"a\n\x00", ":2: byte 3 is 0x00"),
        ("a = 1\n".encode("utf-16"), ":1: byte 1 is 0xFF"),
        ("a = 1\n".encode("utf-16-le"), ":1: byte 2 is 0x00"),
    ],
)
def test_what_is_no_text_is_refused_with_its_place(tmp_path, data, said):
    path = tmp_path / "a.toml"
    path.write_bytes(data)
    with pytest.raises(Refused) as refusal:
        read_text(path)
    assert f"{path}{said}" in str(refusal.value)
    assert refusal.value.status == 1


def test_too_large_and_just_not(tmp_path):
    path = tmp_path / "a.toml"
    path.write_bytes(b"#" * LARGEST)
    assert len(read_text(path)) == LARGEST
    path.write_bytes(b"#" * (LARGEST + 1))
    with pytest.raises(Refused, match="larger than 5 MB"):
        read_text(path)


def test_no_such_file(tmp_path):
    with pytest.raises(BadInput, match="There is no file"):
        read_text(tmp_path / "a.toml")
    with pytest.raises(BadInput, match="is no file"):
        read_text(tmp_path)
