"""Pictures as they come: whole, cut short, huge, or something else under a picture's name."""

from __future__ import annotations

import contextlib
import hashlib
import io
import resource
import stat
import struct
import subprocess
import sys
import zlib

import pytest
from PIL import Image

from inspect_tui.errors import BadInput
from inspect_tui.files import photos
from tests import pictures

KINDS = {
    "jpg": pictures.saved("JPEG"),
    "png": pictures.saved("PNG"),
    "webp": pictures.saved("WEBP"),
    "heic": pictures.HEIC,
}


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_is_known_by_its_bytes(kind):
    found = photos.checked(KINDS[kind], "IMG_1")
    assert (found.kind, found.width, found.height) == (kind, 48, 32)
    assert found.file_name == f"{hashlib.sha256(KINDS[kind]).hexdigest()}.{kind}"
    assert not found.tells_place


@pytest.mark.parametrize("kind", KINDS)
def test_a_picture_cut_short_is_refused(kind):
    data = KINDS[kind]
    with pytest.raises(BadInput, match="cut short or damaged"):
        photos.checked(data[: len(data) * 3 // 5], "IMG_1")


@pytest.mark.parametrize(
    "data",
    [b"", b"MZ\x90\0" + b"\0" * 200, b"\x7fELF" + b"\0" * 200, b"GIF89a" + b"\0" * 40, b"words"],
)
def test_something_else_under_a_pictures_name_is_refused(data, tmp_path):
    path = tmp_path / "holiday.jpg"
    path.write_bytes(data)
    with pytest.raises(BadInput, match=r"'holiday\.jpg' is no picture"):
        photos.look_at(path)


def test_an_executable_behind_a_pictures_first_bytes_is_refused():
    with pytest.raises(BadInput, match="damaged"):
        photos.checked(b"\xff\xd8\xff\xe0" + b"MZ\x90\0" * 100, "IMG_1.jpg")


@pytest.mark.parametrize("size", [(10_000, 10_000), (30_000, 30_000), (2**31 - 1, 2**31 - 1)])
def test_a_picture_that_promises_too_many_pixels_is_refused_by_its_header(size):
    with pytest.raises(BadInput, match=r"megapixels|damaged"):
        photos.checked(pictures.png_header(*size), "big.png")


def test_a_hundred_megapixel_jpeg_is_refused_and_a_large_one_takes_little_memory(tmp_path):
    huge, large = tmp_path / "huge.jpg", tmp_path / "large.jpg"
    Image.new("L", (10_000, 10_000)).save(huge)
    Image.new("RGB", (9_000, 7_000)).save(large)
    code = (
        "import resource, sys; from pathlib import Path; from inspect_tui.files import photos\n"
        "from inspect_tui.errors import BadInput\n"
        "resource.setrlimit(resource.RLIMIT_AS, (400_000_000,) * 2)\n"
        "print(photos.look_at(Path(sys.argv[1])).width)\n"
        "try: photos.look_at(Path(sys.argv[2]))\n"
        "except BadInput as error: print(error)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, large, huge], capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines() == [
        "9000",
        "'huge.jpg' has more than 64 megapixels. Take it at a smaller size.",
    ]


def test_a_file_too_large_is_not_read_whole(tmp_path, monkeypatch):
    monkeypatch.setattr(photos, "LARGEST", 1_000_000)
    path = tmp_path / "IMG_1.jpg"
    path.write_bytes(KINDS["jpg"] + b"\0" * 2_000_000)
    with pytest.raises(BadInput, match="larger than 1 MB"):
        photos.look_at(path)


def test_the_same_picture_twice_is_one_private_file(tmp_path):
    picture = photos.checked(KINDS["png"], "IMG_1.png")
    folder = tmp_path / "photos"
    path = photos.keep(folder, picture)
    assert photos.keep(folder, picture) == path
    assert [each.name for each in folder.iterdir()] == [picture.file_name]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert photos.content(folder, picture.file_name) == KINDS["png"]


def test_a_missing_and_a_changed_picture_are_told_apart(tmp_path):
    picture = photos.checked(KINDS["png"], "IMG_1.png")
    assert photos.fault(tmp_path, picture.file_name) == "is missing"
    path = photos.keep(tmp_path, picture)
    assert photos.fault(tmp_path, picture.file_name) == ""
    path.write_bytes(KINDS["jpg"])
    assert photos.fault(tmp_path, picture.file_name) == "was changed"
    with pytest.raises(BadInput, match="was changed"):
        photos.content(tmp_path, picture.file_name)
    photos.keep(tmp_path, picture)
    assert photos.fault(tmp_path, picture.file_name) == ""
    assert (tmp_path / f"{picture.file_name}.damaged").read_bytes() == KINDS["jpg"]


@pytest.mark.parametrize("name", ["../secret.jpg", "a.jpg", "", "0" * 64, f"{'0' * 64}.exe"])
def test_only_a_hash_names_a_photo(name, tmp_path):
    with pytest.raises(BadInput):
        photos.content(tmp_path, name)
    assert photos.fault(tmp_path, name) == "is missing"


def test_an_export_copy_is_upright_and_holds_the_picture_alone(tmp_path):
    data = pictures.with_metadata()
    picture = photos.checked(data, "IMG_1.jpg")
    assert picture.tells_place
    photos.keep(tmp_path, picture)
    copy = photos.copy_for_export(tmp_path, picture.file_name)
    for secret in (b"Invented", b"Owner", b"comment", b"Exif"):
        assert secret not in copy
    with Image.open(io.BytesIO(copy)) as image:
        assert image.size == (32, 48)
        assert not dict(image.getexif())
        assert image.getpixel((2, 2))[0] > 150  # the corner that was at the left below
    kept = photos.copy_for_export(tmp_path, picture.file_name, with_metadata=True)
    with Image.open(io.BytesIO(kept)) as image:
        exif = image.getexif()
        assert exif[0x8298] == "Owner Of The Camera"
        assert exif.get_ifd(0x8825)
        assert 0x0112 not in exif


@pytest.mark.parametrize("kind", KINDS)
def test_a_thumbnail_fits(kind, tmp_path):
    picture = photos.checked(KINDS[kind], "IMG_1")
    photos.keep(tmp_path, picture)
    small = photos.thumbnail(tmp_path, picture.file_name, 24, 24)
    assert (small.width, small.height) == (24, 16)
    assert len(small.rgb) == 24 * 16 * 3
    red, _, blue = small.rgb[-3:]
    assert red > 150 > blue


def test_what_shows_through_becomes_white(tmp_path):
    picture = photos.checked(pictures.saved("PNG", Image.new("RGBA", (8, 8))), "IMG_1.png")
    photos.keep(tmp_path, picture)
    assert set(photos.thumbnail(tmp_path, picture.file_name, 8, 8).rgb) == {255}


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "I;16", "RGBA", "RGB"])
def test_a_picture_of_any_depth_that_is_taken_is_shown_and_copied(mode, tmp_path):
    grey = 255 if mode == "1" else 128
    made = Image.new("L", (30, 20), grey)
    if mode == "I;16":
        made = made.convert("I").point(lambda value: value * 256)
    picture = photos.checked(pictures.saved("PNG", made.convert(mode)), "x")
    photos.keep(tmp_path, picture)
    shown = photos.thumbnail(tmp_path, picture.file_name, 6, 4)
    with Image.open(io.BytesIO(photos.copy_for_export(tmp_path, picture.file_name))) as copy:
        assert all(abs(value - grey) < 3 for value in copy.convert("RGB").getpixel((3, 3)))
    assert all(abs(value - grey) < 3 for value in shown.rgb)


@pytest.mark.parametrize("kind", ["jpg", "CMYK", "progressive", "several"])
def test_jpegs_of_other_sorts_are_taken(kind, tmp_path):
    how = {
        "jpg": ("JPEG", "L", {}), "CMYK": ("JPEG", "CMYK", {}),
        "progressive": ("JPEG", "RGB", {"progressive": True}),
        "several": ("MPO", "RGB", {"save_all": True, "append_images": [pictures.drawn()]}),
    }[kind]  # fmt: skip
    data = pictures.saved(how[0], pictures.drawn().convert(how[1]), **how[2])
    picture = photos.checked(data, "x")
    photos.keep(tmp_path, picture)
    assert photos.copy_for_export(tmp_path, picture.file_name).startswith(b"\xff\xd8\xff")


def test_a_jpeg_that_repeats_its_last_scan_for_ever_is_refused():
    data = pictures.saved("JPEG", pictures.drawn(), progressive=True)
    at = data.rindex(b"\xff\xda")
    photos.checked(data[:at] + data[at:-2] * 50 + data[-2:], "x")
    with pytest.raises(BadInput, match="more than 100 times"):
        photos.checked(data[:at] + data[at:-2] * 100 + data[-2:], "x")


@pytest.mark.parametrize("chunk", [b"zTXt", b"iCCP", b"iTXt"])
def test_words_packed_into_a_picture_do_not_grow(chunk):
    data = pictures.saved("PNG")
    packed = zlib.compress(b"\0" * 80_000_000)
    inside = b"a\0\1\0\0\0" + packed if chunk == b"iTXt" else b"a\0\0" + packed
    words = struct.pack(">I", len(inside)) + chunk + inside
    words += struct.pack(">I", zlib.crc32(chunk + inside))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with contextlib.suppress(BadInput):
        photos.checked(data[:33] + words + data[33:], "x")
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 60_000
