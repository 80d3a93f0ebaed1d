"""Bundles that come in: whole ones, and hostile ones that are refused whole."""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import struct
import warnings
import zipfile
from pathlib import Path

import pytest

from inspect_tui.errors import Refused
from inspect_tui.files import photos
from inspect_tui.files.bundle import bundle
from inspect_tui.files.log.writer import Writer
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
        from inspect_tui.core.model.log_entry import Entry

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


def packed(path, files, manifest=None, more=(), method=zipfile.ZIP_STORED, about=None):
    """A zip file of these, with a manifest that fits them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # doubled names are what is wanted
        with zipfile.ZipFile(path, "w") as archive:

            def put(name, data):
                one = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
                one.external_attr, one.create_system = (stat.S_IFREG | 0o600) << 16, 3
                one.compress_type = method
                for key, value in (about or {}).items():
                    setattr(one, key, value)
                archive.writestr(one, data)

            for name, data in files.items():
                put(name, data)
            for name, data in more:
                archive.writestr(name, data) if isinstance(name, zipfile.ZipInfo) else put(
                    name, data
                )
            if manifest is not False:
                written = manifest_of(files) if manifest is None else manifest
                if not isinstance(written, bytes):
                    written = json.dumps(written, indent=2).encode() + b"\n"
                put("manifest.json", written)
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
        "sessions\\..\\evil.toml",
    ],
)  # fmt: skip
def test_a_path_out_of_the_folder(tmp_path, files, name):
    refused(packed(tmp_path / "b.zip", files, more=[(name, b"x")]), "leads out of its folder")


@pytest.mark.parametrize(
    "name",
    [
        "run.sh", "photos/cat.jpg", "sessions/..toml", f"photos/{HASH}.exe", "sessions/a.toml.exe",
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


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_nothing_is_unpacked_so_nothing_can_be_a_bomb(tmp_path, files, method):
    grown = files | {"checklists/big.toml": b"#" * 4_000_000}
    refused(
        packed(tmp_path / "b.zip", grown, method=method),
        "is compressed, and nothing in a packed file",
    )


def test_a_size_that_is_another_than_said(tmp_path, files):
    path = packed(tmp_path / "b.zip", files | {"checklists/big.toml": b"#" * 4_000_000})
    data = path.read_bytes()
    for said in (900, 4_000_001, 2**31):
        path.write_bytes(data.replace(struct.pack("<I", 4_000_000), struct.pack("<I", said)))
        refused(path, "cut short or damaged|another size|it was changed|has more than")


@pytest.mark.parametrize(
    "about",
    [
        {"comment": b"words"}, {"extra": struct.pack("<HH4s", 0xCAFE, 4, b"more")},
        {"extra": struct.pack("<HHBI6s", 0x7075, 11, 1, 0, b"../../")},
        {"date_time": (2026, 1, 1, 0, 0, 0)}, {"external_attr": (stat.S_IFREG | 0o4777) << 16},
        {"external_attr": 0x10}, {"create_version": 45}, {"internal_attr": 1},
    ],
)  # fmt: skip
def test_what_an_archive_can_hold_beside_its_files(tmp_path, files, about):
    refused(packed(tmp_path / "b.zip", files, about=about), "it was changed")


def test_bytes_hidden_between_the_files_or_behind_them(tmp_path, files):
    path = packed(tmp_path / "b.zip", files)
    data = path.read_bytes()
    at, end = data.index(b"PK\x01\x02"), len(data) - 22
    where = struct.unpack("<I", data[end + 16 : end + 20])[0]
    moved = data[end : end + 16] + struct.pack("<I", where + 6) + data[end + 20 :]
    path.write_bytes(data[:at] + b"HIDDEN" + data[at:end] + moved)
    refused(path, "it was changed")
    for more in (b"x", data):
        path.write_bytes(data + more)
        refused(path, "cut short or damaged|before or after")


def test_a_list_of_files_that_is_longer_than_it_says(tmp_path, files):
    path = packed(tmp_path / "b.zip", files)
    data = path.read_bytes()
    path.write_bytes(data[:-10] + struct.pack("<I", 2**31) + data[-6:])
    refused(path, "its list of files is too long")
    path.write_bytes(data[:-22] + b"PK\x06\x07" + bytes(16) + data[-22:])
    refused(path, "its list of files is too long")


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace(b'"test"', b'"' + b"x" * 101 + b'"'),
        lambda text: text.replace(b'"test"', b'["test"]'),
        lambda text: text.replace(b'{\n  "format"', b'{\n  "more": 1,\n  "format"'),
        lambda text: text.replace(b'"format": 1', b'"format": 1, "format": 1'),
        lambda text: text.replace(b'"format": 1', b'"format": 0'),
        lambda text: text.replace(b'"format": 1', b'"format": true'),
        lambda text: text + b" ",
        lambda text: b"\xef\xbb\xbf" + text,
        lambda text: text.decode().encode("utf-16"),
    ],
)
def test_a_manifest_that_says_the_same_in_another_way(tmp_path, files, change):
    text = json.dumps(manifest_of(files), indent=2).encode() + b"\n"
    assert change(text) != text
    path = packed(tmp_path / "b.zip", files, change(text))
    refused(path, r"manifest.json (was changed|can't be read)")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xfe", "is no TOML text"), (b"\0" * 99, "is no TOML text"), (b"x =", "no TOML"),
        (b"a = " + b"[" * 5000, "no TOML"), (b"", "gives itself another id"),
        (b'id = "other"\n', "gives itself another id"), (b"id = 3\n", "gives itself another id"),
    ],
    ids=range(7),
)  # fmt: skip
def test_a_definition_that_is_none_or_anothers(tmp_path, files, data, words):
    refused(packed(tmp_path / "b.zip", files | {"checklists/short.toml": data}), words)


def test_a_definition_that_no_session_uses(tmp_path, files):
    more = files | {"machines/other.toml": b'id = "other"\n'}
    refused(packed(tmp_path / "b.zip", more), "no session in it uses machines/other.toml")


def test_a_pipe_is_no_bundle(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert not bundle.is_bundle(tmp_path / "pipe")


class Locked(type(Path())):
    """A file that is there and can't be read."""

    def open(self, *_, **__):
        raise PermissionError(13, "Permission denied")


def test_what_cannot_be_read_is_no_bundle(tmp_path):
    path = packed(tmp_path / "b.zip", {})
    assert bundle.is_bundle(path)
    assert not bundle.is_bundle(Locked(path))


def test_files_that_are_too_large_or_too_many(tmp_path, files, monkeypatch):
    path = packed(tmp_path / "b.zip", files, method=zipfile.ZIP_STORED)
    monkeypatch.setitem(bundle.LARGEST, "photos", 100)
    refused(path, "has more than 0 MB")
    monkeypatch.undo()
    much = packed(tmp_path / "much.zip", files | {"sessions/b.toml": b"#" * 2_100_000})
    monkeypatch.setattr(bundle, "MAX_TEXT", 2_000_000)
    refused(much, "its logs have more than 2 MB")
    monkeypatch.undo()
    monkeypatch.setattr(bundle, "MAX_BYTES", 1000)
    refused(path, "it has more")
    monkeypatch.undo()
    monkeypatch.setattr(bundle, "MAX_TEXT", 100)
    refused(path, "its logs have more")
    monkeypatch.undo()
    monkeypatch.setattr(bundle, "MAX_FILES", 2)
    refused(path, "it holds 4 files")


def test_more_than_two_gigabytes_are_not_even_looked_at(tmp_path):
    """As its list of files says: 34 pictures of 60 MB, none of which is there."""
    for last, words in ((20_000_000, "it was changed"), (20_000_001, r"it has more than 2 GB\.")):
        path = packed(tmp_path / "b.zip", {f"photos/{n:064x}.jpg": b"" for n in range(34)})
        data = bytearray(path.read_bytes())
        at = data.index(b"PK\x01\x02")
        sizes = [60_000_000] * 33 + [last]
        while (at := data.find(b"PK\x01\x02", at)) >= 0:
            size = sizes.pop(0) if data[at + 46 :].startswith(b"photos/") else 0
            data[at + 20 : at + 28] = struct.pack("<II", size, size)
            at += 46
        path.write_bytes(data)
        refused(path, words)


def test_a_definition_that_is_another_than_the_sessions_own_is_said(tmp_path, files):
    same = bundle.read(packed(tmp_path / "same.zip", files))
    assert len(same.logs[0].entries) > 1 and bundle.differences(same) == ()
    files["checklists/short.toml"] += b"# changed\n"
    (said,) = bundle.differences(bundle.read(packed(tmp_path / "other.zip", files)))
    assert said.startswith(f"The checklist short in it is another one than the session {ID}")


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


@pytest.mark.parametrize("length", [20, 79, 80, 81, 200])
def test_a_name_that_does_not_belong_is_said_whole_up_to_eighty_letters(tmp_path, files, length):
    name = "x" * length
    shown = name if length <= 80 else "x" * 80 + "..."
    path = packed(tmp_path / "b.zip", files, more=[(name, b"x")])
    refused(path, f"'{re.escape(shown)}' does not belong")


def test_a_photo_that_is_none_or_another_or_nobodys(tmp_path, files):
    path = tmp_path / "b.zip"
    refused(packed(path, files | {PHOTO: b"MZ executable"}), "is no picture")
    refused(packed(path, files | {PHOTO: JPEG[: len(JPEG) // 2]}), "cut short or damaged")
    refused(packed(path, files | {PHOTO: pictures.saved("PNG")}), "isn't the picture of that hash")
    for shade in range(8):  # whichever of the two names comes first
        other = pictures.saved("JPEG", pictures.drawn(shade=shade))
        refused(packed(path, files | {PHOTO: other}), "isn't the picture of that hash")
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


def test_an_encrypted_file(tmp_path, files):
    path = packed(tmp_path / "b.zip", files)
    data = path.read_bytes()
    at = data.index(b"PK\x01\x02")
    path.write_bytes(data[: at + 8] + b"\x01" + data[at + 9 :])
    refused(path, "encrypted")


def test_any_changed_lost_or_added_byte_is_noticed(tmp_path, files):
    path = packed(tmp_path / "b.zip", files)
    data = path.read_bytes()
    assert bundle.read(path).logs
    for at in range(0, len(data), 11):
        for changed in (
            data[:at] + bytes([data[at] ^ 0x01]) + data[at + 1 :],
            data[:at] + data[at + 1 :],
            data[:at] + b"\0" + data[at:],
        ):
            if changed != data:
                path.write_bytes(changed)
                with pytest.raises(Refused):
                    bundle.read(path)


@pytest.mark.parametrize(
    ("limit", "most", "said"),
    [
        ("MAX_FILES", 3, "4 files, and 3 at most"),
        ("MAX_TEXT", bundle.LARGEST[bundle.MANIFEST] + 100, "its logs have more than"),
        ("MAX_BYTES", bundle.LARGEST[bundle.MANIFEST] + 1000, "it would have more than"),
    ],
)
def test_what_could_be_taken_nowhere_is_not_written(
    tmp_path, files, monkeypatch, limit, most, said
):
    picture = tmp_path / "picture.jpg"
    picture.write_bytes(files.pop(PHOTO))
    monkeypatch.setattr(bundle, limit, most)
    with pytest.raises(Refused, match=said):
        bundle.write(tmp_path / "out.zip", "test", files, [(PHOTO, picture)])
    assert not list(tmp_path.glob("*.zip"))


def test_logs_of_just_the_size_that_is_taken_are_written(tmp_path, files, monkeypatch):
    texts = {LOG: files[LOG]}
    most = len(files[LOG])
    for spare in (0, -1):
        monkeypatch.setattr(bundle, "MAX_TEXT", bundle.LARGEST[bundle.MANIFEST] + most + spare)
        if spare == 0:
            assert bundle.write(tmp_path / "out.zip", "test", texts, []) == 1
        else:
            with pytest.raises(Refused, match="its logs have more than"):
                bundle.write(tmp_path / "more.zip", "test", texts, [])


def test_a_log_larger_than_any_that_is_taken_is_not_written(tmp_path, files):
    files[LOG] = bytes(32_000_001)
    with pytest.raises(Refused, match=rf"{LOG} has more than 32 MB\."):
        bundle.write(tmp_path / "out.zip", "test", files, [])
    assert not list(tmp_path.glob("*.zip"))
