"""Bundles that come in: whole ones, and hostile ones that are refused whole."""

from __future__ import annotations

import hashlib
import json
import stat
import struct
import warnings
import zipfile

import pytest

from inspect_tui.errors import Refused
from inspect_tui.files import bundle, photos
from inspect_tui.files.log import Writer
from tests import pictures
from tests.files.log_examples import START, note, opened

ID = "2026-10-03-bench-short"
LOG = f"sessions/{ID}.toml"
JPEG = pictures.saved("JPEG")
HASH = hashlib.sha256(JPEG).hexdigest()
PHOTO = f"photos/{HASH}.jpg"


@pytest.fixture
def files(tmp_path):
    """The files of a sound bundle: a log that names a photo, the photo, and a checklist."""
    path = tmp_path / "made.toml"
    named = note("see").keys | {"photo": f"{HASH}.jpg", "name": "IMG_1.jpg", "size": len(JPEG)}
    with Writer.create(path, opened()) as writer:
        from inspect_tui.core.entries import Entry

        writer.append([note("a"), Entry(-1, "photo", START.replace(hour=9), "A. Tester", named)])
    return {LOG: path.read_bytes(), "checklists/short.toml": b'id = "short"\n', PHOTO: JPEG}


def manifest_of(files):
    return {
        "format": 1,
        "program": "test",
        "files": [
            {"name": name, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}
            for name, data in files.items()
        ],
    }


def packed(path, files, manifest=None, more=(), method=zipfile.ZIP_DEFLATED):
    """A zip file of these, with a manifest that fits them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # doubled names are what is wanted
        with zipfile.ZipFile(path, "w", method) as archive:
            for name, data in files.items():
                archive.writestr(name, data)
            for name, data in more:
                archive.writestr(name, data)
            if manifest is not False:
                archive.writestr("manifest.json", json.dumps(manifest or manifest_of(files)))
    return path


def refused(path, words):
    with pytest.raises(Refused, match=words) as caught:
        bundle.read(path)
    assert "\n" not in caught.value.message
    assert caught.value.message.isascii()


def test_a_sound_bundle_is_read(tmp_path, files):
    found = bundle.read(packed(tmp_path / "b.zip", files))
    assert [one.session for one in found.logs] == [ID]
    assert found.definitions == (("checklist", "short", b'id = "short"\n'),)
    assert [picture.data for picture in found.pictures()] == [JPEG]


def test_what_is_written_is_read_and_always_the_same_bytes(tmp_path, files):
    texts = {name: data for name, data in files.items() if name != PHOTO}
    source = tmp_path / "x.jpg"
    source.write_bytes(JPEG)
    first, second = tmp_path / "1.zip", tmp_path / "2.zip"
    for path in (first, second):
        assert bundle.write(path, "test", texts, [(PHOTO, source)]) == 3
    assert first.read_bytes() == second.read_bytes()
    assert stat.S_IMODE(first.stat().st_mode) & 0o077 in (0, 0o044)
    found = bundle.read(first)
    assert found.logs[0].data == files[LOG]
    with pytest.raises(Refused, match="already"):
        bundle.write(first, "test", texts, [])


@pytest.mark.parametrize(
    "name",
    [
        "../evil.toml", "sessions/../../evil.toml", "/etc/evil", "C:\\evil.toml", "..\\evil.toml",
        "sessions\\..\\evil.toml", "sessions/..toml",
    ],
)  # fmt: skip
def test_a_path_out_of_the_folder(tmp_path, files, name):
    refused(packed(tmp_path / "b.zip", files, more=[(name, b"x")]), "leads out|does not belong")


@pytest.mark.parametrize(
    "name",
    [
        "run.sh", "photos/cat.jpg", f"photos/{HASH}.exe", "sessions/a.toml.exe",
        "checklists/short.toml/x", f"sessions/{ID}.toml\n", "sessions/.hidden.toml",
        "sessions/nul\0byte.toml", "sessions/\u202egnp.toml", f"photos/{HASH.upper()}.jpg",
    ],
)  # fmt: skip
def test_a_file_that_does_not_belong(tmp_path, files, name):
    path = packed(tmp_path / "b.zip", files, more=[(name, b"x")])
    refused(path, "does not belong|is in it twice")


@pytest.mark.parametrize("mode", [stat.S_IFLNK, stat.S_IFDIR, stat.S_IFCHR, stat.S_IFIFO])
def test_a_link_or_no_plain_file(tmp_path, files, mode):
    about = zipfile.ZipInfo("checklists/other.toml")
    about.external_attr = (mode | 0o777) << 16
    refused(
        packed(tmp_path / "b.zip", files, more=[(about, b"/etc/passwd")]), "is a link|no plain file"
    )


@pytest.mark.parametrize("name", [LOG, "checklists/Short.toml", "Manifest.json"])
def test_a_doubled_name(tmp_path, files, name):
    refused(packed(tmp_path / "b.zip", files, more=[(name, b"x")]), "is in it twice|belong")


def test_a_bomb(tmp_path, files):
    grown = files | {"checklists/big.toml": b"#" * 4_000_000}
    refused(packed(tmp_path / "b.zip", grown), "would grow more than 200 times")


def test_a_bomb_that_lies_about_its_size(tmp_path, files):
    path = packed(tmp_path / "b.zip", files | {"checklists/big.toml": b"#" * 4_000_000})
    data = path.read_bytes().replace(struct.pack("<I", 4_000_000), struct.pack("<I", 900))
    path.write_bytes(data)
    refused(path, "cut short or damaged|another size")


def test_files_that_are_too_large_or_too_many(tmp_path, files, monkeypatch):
    path = packed(tmp_path / "b.zip", files, method=zipfile.ZIP_STORED)
    monkeypatch.setitem(bundle.LARGEST, "photos", 100)
    refused(path, "has more than 0 MB")
    monkeypatch.undo()
    monkeypatch.setattr(bundle, "MOST_BYTES", 1000)
    refused(path, "unpacked it has more")
    monkeypatch.undo()
    monkeypatch.setattr(bundle, "MOST_TEXT", 100)
    refused(path, "its logs have more")
    monkeypatch.undo()
    monkeypatch.setattr(bundle, "MOST_FILES", 2)
    refused(path, "it holds 4 files")


def test_the_manifest_has_to_fit(tmp_path, files):
    path = tmp_path / "b.zip"
    refused(packed(path, files, manifest=False), "holds no manifest")
    refused(packed(path, files, {"format": 2, "files": []}), "newer than the 1")
    for odd in ([], {"format": 1}, {"format": 1, "files": [3]}, {"format": "1", "files": []}):
        refused(packed(path, files, odd or {"x": 1}), "can't be read")
    unlisted = manifest_of(files)
    unlisted["files"].pop()
    refused(packed(path, files, unlisted), "is in it but not in its manifest")
    missing = manifest_of(files | {"checklists/more.toml": b""})
    refused(packed(path, files, missing), "is missing from it")
    wrong = manifest_of(files)
    wrong["files"][1]["sha256"] = "0" * 64
    refused(packed(path, files, wrong), "checklists/short.toml isn't what the manifest says")
    doubled = manifest_of(files)
    doubled["files"].append(doubled["files"][0])
    refused(packed(path, files, doubled), "can't be read")


def test_a_log_that_does_not_hold(tmp_path, files):
    changed = files[LOG].replace(b'text = "a"', b'text = "b"')
    refused(packed(tmp_path / "b.zip", files | {LOG: changed}), "was changed after it was written")
    torn = files[LOG][:-30]
    refused(packed(tmp_path / "b.zip", files | {LOG: torn}), "is cut short")
    mailed = files[LOG].replace(b"\n", b"\r\n")
    refused(packed(tmp_path / "b.zip", files | {LOG: mailed}), "no log as this program writes")
    renamed = {"sessions/other.toml": files[LOG], PHOTO: JPEG}
    refused(packed(tmp_path / "b.zip", renamed), "holds another session")
    refused(packed(tmp_path / "b.zip", {"checklists/a.toml": b""}), "there is no session in it")


def test_a_photo_that_is_none_or_another_or_nobodys(tmp_path, files):
    path = tmp_path / "b.zip"
    refused(packed(path, files | {PHOTO: b"MZ executable"}), "is no picture")
    refused(packed(path, files | {PHOTO: JPEG[: len(JPEG) // 2]}), "cut short or damaged")
    refused(packed(path, files | {PHOTO: pictures.saved("PNG")}), "isn't the picture of that hash")
    nobodys = photos.checked(pictures.saved("WEBP"), "x")
    more = files | {f"photos/{nobodys.file_name}": nobodys.data}
    refused(packed(path, more), "no session in it names photos/")


def test_a_zip_with_something_before_behind_or_missing(tmp_path, files):
    path = packed(tmp_path / "b.zip", files)
    data = path.read_bytes()
    path.write_bytes(b"#!/bin/sh\nrm -rf /\n" + data)
    assert not bundle.is_bundle(path)
    refused(path, "before or after|damaged")
    path.write_bytes(data + b"x" * 70_000)
    refused(path, "cut short or damaged")
    for share in (0, 1, 3, 7, 9):
        path.write_bytes(data[: len(data) * share // 10])
        refused(path, "cut short or damaged")


def test_an_encrypted_file_and_an_odd_packing(tmp_path, files):
    path = packed(tmp_path / "b.zip", files)
    data = path.read_bytes()
    at = data.index(b"PK\x01\x02")
    path.write_bytes(data[: at + 8] + b"\x01" + data[at + 9 :])
    refused(path, "encrypted")
    packed(path, files, method=zipfile.ZIP_LZMA)
    refused(path, "packed in a way")


@pytest.mark.parametrize("at", range(0, 100, 7))
def test_any_changed_byte_is_noticed_or_means_nothing(tmp_path, files, at):
    path = packed(tmp_path / "b.zip", files)
    data = bytearray(path.read_bytes())
    data[len(data) * at // 100] ^= 0x41
    path.write_bytes(data)
    try:
        found = bundle.read(path)
    except Refused:
        return
    # Times, and sizes that the archive's directory says again, may change without harm.
    assert found.logs[0].data == files[LOG]
    assert [picture.data for picture in found.pictures()] == [JPEG]
