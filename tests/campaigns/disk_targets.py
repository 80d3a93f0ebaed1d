"""The targets of hostile input that need a disk: files, sessions, bundles, photos, commands."""

from __future__ import annotations

import base64
import contextlib
import hashlib
import io
import json
import struct
import warnings
from pathlib import Path
from typing import Any

from inspect_tui import cli
from inspect_tui.core.definitions import load as definitions
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files, photos
from inspect_tui.files import store as places
from inspect_tui.files.bundle import bundle
from inspect_tui.files.bundle.manifest import Directory, put
from inspect_tui.files.signing import openssh, signatures
from inspect_tui.workflow.inspection import Inspection, Target
from tests.campaigns import environment, hostile
from tests.campaigns.hostile import Random
from tests.campaigns.targets import BAD, SHEETS, SHORT, Aim, a_log, a_session, harmless, now
from tests.pictures import HEIC, png_header, saved, with_metadata

FORMS = ("md", "html", "csv", "json", "pdf")


class Disk:
    """The campaign's own folder, with a store and an open session in it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        store = folder / "deep" / "store"
        store.parent.mkdir(exist_ok=True)
        self.places = places.Store(store)
        self.places.make()
        (self.places.checklists / "short.toml").write_text(SHORT, encoding="utf-8")
        with Inspection.new(self.places, "short", "tindrak-600", "A. Tester", now) as inspection:
            self.session = inspection.session.id

    def targets(self) -> dict[str, Aim]:
        """All of them, by name."""
        return {
            "file": Aim(a_file, self.feed_file, 4, bytes),
            "session": Aim(a_session, self.feed_session, 6, bytes),
            "bundle": Aim(a_bundle, self.feed_bundle, 5, bytes),
            "photo": Aim(a_picture, self.feed_picture, 25, bytes),
            "signature": Aim(a_signature, feed_signature, 1, str),
            "signers": Aim(some_signers, self.feed_signers, 1, str),
            "environment": Aim(environment.some_values, self.feed_environment, 1),
            "command": Aim(a_command, self.feed_command, 6),
        }

    def _file(self, name: str, data: bytes) -> Path:
        path = self.folder / name
        path.write_bytes(data)
        return path

    def feed_file(self, data: bytes) -> None:
        """A definition file of any bytes."""
        path = self._file("x.toml", data)
        definition_files.id_of(path)
        words = definition_files.read_text(path)
        definitions.load_checklist(words, "x.toml")
        definitions.load_machine(words, "x.toml")

    def feed_session(self, data: bytes) -> None:
        """A log of any bytes, opened, worked out, exported."""
        path = self._file("s.toml", data)
        chosen = hashlib.sha256(data).digest()[0]
        with Inspection.open(self.places, str(path), now, write=False) as inspection:
            # A drawing takes long: one in sixteen.
            form = "pdf" if chosen < 16 else FORMS[chosen % 4]
            report = inspection.export(form)
            assert form == "pdf" or harmless(report.decode()), form
            for step in inspection.results.steps:
                inspection.preview(Target(step.step.id, "x"), "1", "as-found")

    def feed_bundle(self, data: bytes) -> None:
        """A bundle of any bytes."""
        found = bundle.read(self._file("x.zip", data))
        list(found.pictures())

    def feed_picture(self, data: bytes) -> None:
        """A picture of any bytes, kept, shown and copied for an export."""
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            picture = photos.checked(data, "x[/]y.jpg")
            photos.keep(self.places.photos, picture)
            try:
                photos.thumbnail(self.places.photos, picture.file_name, 20, 10)
                photos.copy_for_export(self.places.photos, picture.file_name, with_metadata=True)
            finally:
                (self.places.photos / picture.file_name).unlink()

    def feed_signers(self, words: str) -> None:
        """An allowed-signers file."""
        path = self._file("signers", words.encode("utf-8", "surrogatepass"))
        allowed = signatures.read_signers(path)
        openssh.principals(SIGNATURE, signatures.message(SEAL), KEY, allowed, now())

    def feed_environment(self, values: dict[str, str]) -> None:
        """Odd environment variables; what is written goes into the store that is named."""
        store = ["--store", str(self.places.store)]
        with environment.put_up_with(values):
            for command in (["sessions"], ["status", "x"], ["machines"]):
                ended(command)
            chosen = hashlib.sha256(repr(values).encode()).digest()[0]
            for command in environment.COMMANDS[chosen % 4 :: 4]:
                ended([*store, *(part.replace("SESSION", self.session) for part in command)])

    def feed_command(self, arguments: list[str]) -> None:
        """A command line."""
        ended(
            ["--store", str(self.places.store)]
            + [argument.replace("SESSION", self.session) for argument in arguments]
        )


def a_file(rng: Random) -> bytes:
    source = rng.choice((rng.choice(BAD), rng.choice(SHEETS))).encode()
    return hostile.changed_bytes(source, rng)


# --- pictures, bundles, keys -------------------------------------------------------------------

PICTURES = (
    saved("PNG"), saved("JPEG"), saved("WEBP"), with_metadata(), HEIC, png_header(60_000, 60_000),
    saved("GIF"),
)  # fmt: skip


def a_picture(rng: Random) -> bytes:
    return hostile.changed_bytes(rng.choice(PICTURES), rng)


def a_bundle(rng: Random) -> bytes:
    log = a_log(rng)
    names = ("sessions/s.toml", "checklists/short.toml", "machines/x.toml", "photos/x.jpg")
    texts = {"sessions/s.toml": log, "checklists/short.toml": SHORT.encode()}
    if rng.random() < 0.3:
        texts[rng.choice((hostile.text(rng), rng.choice(names)))] = rng.choice((log, b"", b"x" * 9))
    out, directory, files = io.BytesIO(), Directory(), []
    for name, data in texts.items():
        with contextlib.suppress(UnicodeError, struct.error):
            put(out, directory, name, data)
            digest = hashlib.sha256(data).hexdigest()
            files.append({"name": name, "size": len(data), "sha256": digest})
    manifest: Any = {"format": 1, "program": "x", "files": files}
    if rng.random() < 0.3:
        manifest[rng.choice(("format", "files"))] = rng.choice(
            (None, -1, 2, "x", [1], [{}], [{"name": [], "size": 1, "sha256": 1}], {"a": 1})
        )
    put(out, directory, "manifest.json", json.dumps(manifest, indent=2).encode() + b"\n")
    out.write(directory.end())
    data = out.getvalue()
    return hostile.changed_bytes(data, rng) if rng.random() < 0.4 else data


SEAL = "ab" * 32
# Made once by ssh-keygen of OpenSSH 9.2p1 over SEAL.
KEY = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAICpAkrZE0oN4bQIbIE0Z75QLKNfkN/rDM8LLgky/ntQQ"
SIGNATURE = """\
-----BEGIN SSH SIGNATURE-----
U1NIU0lHAAAAAQAAADMAAAALc3NoLWVkMjU1MTkAAAAgKkCStkTSg3htAhsgTRnvlAso1+
Q3+sMzwsuCTL+e1BAAAAAVc2lnbmF0dXJlQGluc3BlY3QtdHVpAAAAAAAAAAZzaGE1MTIA
AABTAAAAC3NzaC1lZDI1NTE5AAAAQHvmK63+HXfkGGlyyrUJ20lyjNP+Ybp4RJidHCnTEQ
BcHKCrWQgUDTPhUz40mnzbxSLulOh3HX0FDni08EANCg0=
-----END SSH SIGNATURE-----
"""


def some_signers(rng: Random) -> str:
    lines = (
        f"a@x {KEY} c", f'*,!b namespaces="signature@inspect-tui",valid-after="20260101" {KEY}',
        f'c valid-before="20271301Z" {KEY}', "# x", f"d cert-authority {KEY}",
    )  # fmt: skip
    made = "\n".join(rng.choice(lines) for _ in range(3))
    return hostile.changed_text(made, rng)


def a_signature(rng: Random) -> str:
    """Changed as text, or as the bytes that the text stands for."""
    if rng.random() < 0.3:
        return hostile.changed_text(SIGNATURE, rng)
    lines = SIGNATURE.strip().split("\n")
    inside = hostile.changed_bytes(base64.b64decode("".join(lines[1:-1])), rng)
    return "\n".join([lines[0], base64.b64encode(inside).decode(), lines[-1], ""])


def feed_signature(words: str) -> None:
    """Whatever is not the signature itself is never good."""
    with contextlib.suppress(InspectError):
        signatures.fingerprint(words)
    if words != SIGNATURE:
        assert openssh.check(words, signatures.message(SEAL)).state != "good"


# --- commands ----------------------------------------------------------------------------------

COMMANDS = (
    "new", "record", "skip", "note", "add-finding", "add-step", "decide", "sign", "addendum",
    "status", "export", "verify", "check", "calc", "sessions", "machines", "checklists", "photo",
    "pack", "receive", "combine", "nothing", "--version", "record --help",
)  # fmt: skip
ARGUMENTS = (
    "SESSION", "SESSION", "SESSION", "short", "tindrak-600", "belt", "belt.width", "plugs.gap@PTO",
    "belt.width=31.7", "plugs.gap@PTO=0.7 mm", "belt.width=", "=", "@", "F1", "belt.width", "later",
    "put-right", "drive", "2026-11-02", "span_tension", "force=50 N", "span=1 m",
    "deflection=20 mm",
    "x.toml", ".", "..", "/dev/null", "/proc/self/status", "s.toml", "x.zip", "out.md", "../out.md",
)  # fmt: skip
OPTIONS = (
    ("--by", 1), ("--json", 0), ("--why", 1), ("--until", 1), ("--to", 1), ("-o", 2), ("--seal", 1),
    ("--as-left", 0), ("--state", 1), ("--gauge", 1), ("--unit", 1), ("--cylinder", 1), ("--in", 1),
    ("--accept-open", 1), ("--signers", 1), ("--help", 0), ("--", 0), ("--nothing", 0),
)  # fmt: skip


def a_command(rng: Random) -> list[str]:
    made = rng.choice(COMMANDS).split()
    if rng.random() < 0.5:
        made.append("SESSION")
    for _ in range(rng.randrange(5)):
        if rng.random() < 0.3:
            option, kind = rng.choice(OPTIONS)
            made.append(option)
            # Only into the campaign's own folder is anything written.
            made += [[], [_odd(rng)], [rng.choice(("out.md", "../out.md", "no/out"))]][kind]
        elif made[0] in ("pack", "export"):
            made.append(rng.choice(ARGUMENTS[:8]))
        else:
            made.append(rng.choice(ARGUMENTS) if rng.random() < 0.6 else _odd(rng))
    return made


def _odd(rng: Random) -> str:
    kind = rng.randrange(4)
    if kind == 0:
        return rng.choice(("belt.width=", "plugs.gap@PTO=", "force=")) + hostile.typed(rng)
    if kind == 1:
        return rng.choice(FORMS)
    # No system hands a NUL over on a command line, and half characters come as bytes.
    return hostile.text(rng, 2).replace("\0", "").encode("utf-8", "replace").decode()


def ended(arguments: list[str]) -> None:
    """Run a command in this process; what it printed must be text, and its status one of three."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = cli.main(arguments)
    printed = [_written(each) for each in (out, err)]
    assert status in (0, 1, 2), status
    said = printed[1].decode()
    assert "Traceback" not in said and "The program failed" not in said, said
    assert status == 0 or said or printed[0], "it ends in silence"
    assert harmless(said), ascii(said)
    if not printed[0].startswith(b"%PDF-"):
        assert harmless(printed[0].decode()), printed[0]


def _written(stream: io.TextIOWrapper) -> bytes:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, io.BytesIO)
    return buffer.getvalue()
