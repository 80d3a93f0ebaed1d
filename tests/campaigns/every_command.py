"""Every command of the program with an example that does its work, on a store made for it.

A new command wants its line here: the campaigns on streams, kills and odd files then know it.
`tests/campaigns/test_streams.py` holds the lines to what the commands declare.
"""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path

from inspect_tui import cli
from inspect_tui.commands import COMMANDS
from inspect_tui.core.quantities import units
from inspect_tui.errors import BadInput
from inspect_tui.files.log import writer as log
from tests import pictures
from tests.builders import checklist, reading, section, step
from tests.ssh_keys import make_key

SCREENS = ("demo", "walk", "serve")
"""They open the app: tests/terminal and tests/tui have them."""
OPEN, SIGNED, BROKEN, TORN = "an-open-one", "a-signed-one", "a-broken-one", "a-torn-one"
NO_ENTRIES = (
    "export", "pack", "settings", "table", "new-list", "new-sheet", "figure", "paper", "tag",
)  # fmt: skip
"""They write files and no log."""
MEASURED, NARROW = "a-measured-one", "a-narrow-one"
ANSWERS = ("check", "verify")
"""Their status is what was asked; the words beside it explain it."""

CHECKLIST = checklist(
    section("s"),
    step(
        "belt",
        reading("width", label="Width", limit="{ min = 31 }", source='"invented"'),
        title="Belt",
    ),
    section("hitch"),
    step("pin", title="Pin"),
    id_="short",
    top='cautions = ["Key out."]\n',
)
MACHINE = 'id = "bed"\nname = "Bed"\ncylinders = ["A"]\n'


@dataclass(frozen=True)
class Example:
    """One command line and what it comes to where nothing is in its way."""

    words: tuple[str, ...]
    status: int = 0
    writes: bool = False
    """Whether an entry or a file is made by it."""

    @property
    def name(self) -> str:
        """The command."""
        return self.words[0]

    @property
    def adds_entries(self) -> bool:
        """Whether what it makes is an entry in a log, or a log."""
        return self.writes and self.name not in NO_ENTRIES

    @property
    def follows(self) -> bool:
        """Whether it writes where a link leads that a person named: `export -o LINK`."""
        return self.name in ("export", "paper", "tag") and "-o" in self.words

    @property
    def prints(self) -> bool:
        """Whether what it prints is its whole work."""
        return COMMANDS[self.name].prints


def _example(words: str, status: int = 0, writes: bool = False) -> Example:
    return Example(tuple(words.split()), status, writes)


def _writes(words: str) -> Example:
    return _example(words, 0, True)


EXAMPLES = (
    _writes("new short bed --by A"),
    _writes(f"record {OPEN} belt.width=30"),
    _writes(f"record {OPEN} belt.width=32 --as-left"),
    _writes(f"record {TORN} belt.width=31"),
    _example(f"record {OPEN} belt.width=wide", 2),
    _writes(f"skip {OPEN} belt --why worn"),
    _writes(f"note {OPEN} belt frayed"),
    _writes(f"add-finding {OPEN} belt frayed"),
    _writes(f"add-step {OPEN} s Hitch"),
    _writes(f"decide {OPEN} F1 run-as-found --why sound"),
    _writes(f"conditions {OPEN} temperature=-12C"),
    _writes(f"photo {OPEN} belt picture.heic"),
    _example(f"sign {OPEN} --by A", 1),
    _writes(f"sign {OPEN} --by A --accept-open all"),
    _writes(f"addendum {SIGNED} more"),
    _example(f"note {SIGNED} belt more", 1),
    _writes(f"take-back {MEASURED}"),
    _writes(f"widen {NARROW} belt"),
    _writes(f"set-aside {OPEN} --why mistaken"),
    _writes("got bed Boot"),
    _example(f"plan {OPEN}"),
    _example(f"findings {OPEN} --json"),
    _example("parts --json"),
    _example(f"status {OPEN}"),
    _example(f"status {OPEN} --json"),
    _example(f"export {OPEN} --to md"),
    _example(f"export {OPEN} --to pdf"),
    _writes(f"export {OPEN} --to html -o report.html"),
    _example(f"verify {OPEN}"),
    _example(f"verify {BROKEN}", 1),
    _example(f"verify {TORN}", 1),
    _example("verify carried.zip"),
    _writes("paper short bed -o paper.pdf"),
    _writes(f"tag {OPEN} -o tag.pdf"),
    _writes(f"pack {OPEN} -o packed.zip"),
    _writes("receive carried.zip"),
    _writes(f"combine {OPEN} apart.toml --by A"),
    _example("check good.toml"),
    _example("check bad.toml", 1),
    _example("calc"),
    _example("calc chain_sag span=1m slack=2cm"),
    _example("calc nothing", 2),
    _example("sessions"),
    _example("sessions --json"),
    _example("machines"),
    _example("checklists"),
    _writes("settings by=A"),
    _example("completion bash"),
    _example("ids sessions"),
    _example("schema checklist"),
    _writes("new-list evening --title Evening --item Seat"),
    _writes("new-sheet other --name Other --cylinders A,B"),
    _example("sheet bed"),
    _writes("figure bed belt_min=31 --source manual"),
    _writes(f"figure {OPEN} belt_min=31 --source manual"),
    _example("sheet bed --for short --json"),
    _example("due"),
    _example("due bed --json"),
    _example("history bed"),
    _example("search frayed"),
    _writes("table -o tables"),
)


MORE = (
    _writes(f"skip {OPEN} belt.width --why worn"),
    _writes(f"decide {OPEN} F1 later --until 2027-01-01"),
    _writes(f"sign {OPEN} --by A --accept-open all --key key"),
    _example(f"verify {SIGNED} --signers signers", 0 if shutil.which("ssh-keygen") else 1),
    _writes("got bed Boot --fitted"),
    _writes("new short tindrak-600 --by A --item Seat"),
    _writes(f"photo {OPEN} belt known.jpg"),
    _example(f"export {MEASURED} --to json"),
    _writes(f"export {MEASURED} --to html -o report.html"),
    _writes(f"export {MEASURED} --to csv -o report.csv"),
    _writes(f"pack {MEASURED} -o packed.zip"),
    _example("pack bed -o packed.zip", 1),
    _writes("receive longer.toml"),
    _example("receive apart.toml", 1),
    _writes("figure tindrak-600 main_jet@PTO=260 --source manual"),
    _writes("table -o made"),
    _example("history bed --json"),
    _example("search frayed --json"),
    _example("parts bed"),
    _example("check bed"),
)
"""Other ways through some of them: for the campaigns that are run by hand."""
ALL = (*EXAMPLES, *MORE)


@cache
def warm_up() -> None:
    """Load here what the commands load, so that no child has to."""
    for command in COMMANDS.values():
        import_module(f"inspect_tui.commands.{command.function.partition(':')[0]}")
    for name in ("workflow.verification", "report.pdf", "report.html", "files.photos"):
        import_module(f"inspect_tui.{name}")
    for name in ("PIL.Image", "pi_heif", "filelock", "tomli_w", "fpdf", "shtab"):
        import_module(name)
    units.warm_up()
    # What is loaded later still: each example once, in this process.
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        _furnish(Path(folder))
        for example in ALL:
            with redirect_stdout(_nowhere()), redirect_stderr(_nowhere()):
                cli.main(["--store", "store", *example.words])


def _nowhere() -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO())


def lacking() -> list[str]:
    """What the commands declare that no example does, a line each."""
    missing = [f"{name} has no example" for name in COMMANDS if not _of(name)]
    for name, command in COMMANDS.items():
        if name in SCREENS:
            continue
        if not (command.prints or name in ANSWERS or any(each.writes for each in _of(name))):
            missing.append(f"{name} prints nothing that counts: what does it write?")
        missing += [
            f"{name} takes a file as {' or '.join(argument.names)}, and no example gives it one"
            for argument in command.arguments
            if any(word in str(argument.options.get("metavar", "")) for word in ("FILE", "FOLDER"))
            and argument.names[0].startswith("-")
            and not any(set(argument.names) & set(example.words) for example in _of(name))
        ]
    return missing


def _of(name: str) -> list[Example]:
    return [example for example in ALL if example.name == name] or [
        Example((name,)) for each in SCREENS if each == name
    ]


@contextmanager
def stage() -> Iterator[Path]:
    """A folder with a store in `store`, and files beside it for the examples."""
    warm_up()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _furnish(folder)
        yield folder


def _furnish(folder: Path) -> None:
    store, other = folder / "store", folder / "other"
    for each in (store, other):
        for kind, text in (("checklists/short", CHECKLIST), ("machines/bed", MACHINE)):
            path = each / f"{kind}.toml"
            path.parent.mkdir(parents=True)
            path.write_text(text)
    (folder / "good.toml").write_text(CHECKLIST)
    (folder / "bad.toml").write_text("".join(f"wrong{n} = {n}\n" for n in range(300)) + CHECKLIST)
    (folder / "picture.heic").write_bytes(pictures.HEIC)
    for name in (OPEN, SIGNED, BROKEN, TORN, MEASURED, NARROW):
        done(store, f"new short bed --by A{' --only hitch' * (name == NARROW)}")
        (made,) = set((store / "sessions").glob("20*.toml"))
        made.rename(store / "sessions" / f"{name}.toml")
    done(store, f"record {MEASURED} belt.width=30")
    done(store, f"add-finding {MEASURED} belt torn")
    done(store, f"decide {MEASURED} F1 get-part --part Boot --quantity 1 --number 7")
    done(store, f"add-finding {OPEN} belt frayed")
    (folder / "known.jpg").write_bytes(pictures.saved("JPEG"))
    done(store, f"photo {MEASURED} belt {folder / 'known.jpg'}")
    apart = folder / "apart"
    shutil.copytree(store, apart)
    done(store, f"note {OPEN} belt here")
    longer = folder / "longer"
    shutil.copytree(store, longer)
    done(longer, f"note {OPEN} belt longer")
    (longer / "sessions" / f"{OPEN}.toml").rename(folder / "longer.toml")
    shutil.rmtree(longer)
    done(apart, f"note {OPEN} belt there")
    (apart / "sessions" / f"{OPEN}.toml").rename(folder / "apart.toml")
    shutil.rmtree(apart)
    done(store, f"table -o {folder / 'made'}")
    with_key = ""
    if shutil.which("ssh-keygen"):
        (folder / "signers").write_text(f"A {make_key(folder / 'key')}\n")
        with_key = f" --key {folder / 'key'}"
    done(store, f"sign {SIGNED} --by A --accept-open all{with_key}")
    broken = store / "sessions" / f"{BROKEN}.toml"
    broken.write_bytes(broken.read_bytes().replace(b'by = "A"', b'by = "B"'))
    with (store / "sessions" / f"{TORN}.toml").open("ab") as torn:
        torn.write(b'[[entry]]\nn = 1\nkind = "no')
    done(other, "new short bed --by B")
    (carried,) = (other / "sessions").glob("20*.toml")
    (folder / "picture2.heic").write_bytes(pictures.HEIC)
    done(other, f"photo {carried.stem} belt {folder / 'picture2.heic'}")
    done(other, f"pack {carried.stem} -o {folder / 'carried.zip'}")
    shutil.rmtree(other)


def done(store: Path, words: str) -> None:
    """Run a command that must go through."""
    ended = in_a_child(["--store", str(store), *words.split()], store.parent)
    assert ended.status == 0, (words, ended)


@dataclass(frozen=True)
class Ended:
    """How a child ended."""

    status: int
    """Negative: the signal."""
    out: str = ""
    err: str = ""


STREAMS = ("kept", "full", "closed", "left")
"""What a stream may be: read by us, a full disk, closed, a pipe whose reader left."""


def in_a_child(
    arguments: list[str],
    folder: Path,
    out: str = "kept",
    err: str = "kept",
    before: Callable[[], None] = lambda: None,
) -> Ended:
    """Run one command line in a child of this process, which has all modules loaded already.

    Its streams are made as the interpreter makes them, and flushed at its end as by it: one that
    can't be is status 120.

    Args:
        arguments: The command line.
        folder: Where it runs.
        out: What stdout is, one of STREAMS.
        err: What stderr is.
        before: Called in the child right before the command.
    """
    kept = {number: tempfile.TemporaryFile() for number in (1, 2)}  # noqa: SIM115
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child == 0:
        status = 99
        try:
            os.chdir(folder)
            os.environ.pop("INSPECT_TUI_TRACE", None)
            _streams(out, err, {number: file.fileno() for number, file in kept.items()})
            before()
            status = cli.main(arguments)
            status = _as_at_the_end(status)
        except BaseException:
            with Path("child-failed").open("w") as file:
                traceback.print_exc(file=file)
        finally:
            os._exit(status)
    _, wait = os.waitpid(child, 0)
    said = []
    for file in kept.values():
        file.seek(0)
        said.append(file.read().decode("utf-8", "replace"))
        file.close()
    failed = folder / "child-failed"
    if failed.exists():
        said[1] += failed.read_text()
        failed.unlink()
    return Ended(os.waitstatus_to_exitcode(wait), *said)


def _streams(out: str, err: str, kept: dict[int, int]) -> None:
    for number, kind in ((1, out), (2, err)):
        match kind:
            case "kept":
                os.dup2(kept[number], number)
            case "full":
                os.dup2(os.open("/dev/full", os.O_WRONLY), number)
            case "left":
                hear, tell = os.pipe()
                os.close(hear)
                os.dup2(tell, number)
                os.close(tell)
    for number, kind in ((1, out), (2, err)):
        if kind == "closed":
            os.close(number)
    sys.stdout = None if out == "closed" else _text(1)  # type: ignore[assignment]
    sys.stderr = None if err == "closed" else _text(2)  # type: ignore[assignment]


def _text(number: int) -> io.TextIOWrapper:
    raw = os.fdopen(number, "wb", closefd=False)
    return io.TextIOWrapper(raw, encoding="utf-8", line_buffering=number == 2)


def _as_at_the_end(status: int) -> int:
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except OSError:
            status = 120
    return status


@contextmanager
def copy_of(stage: Path) -> Iterator[Path]:
    """A copy of a stage for one case."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "stage"
        shutil.copytree(stage, folder, symlinks=True)
        yield folder


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder but what stands beside a log while it is written."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and path.suffix not in (".lock", ".owner")
        and not path.name.startswith("index")  # made anew whenever it is wanted
    }


def entries(folder: Path) -> int:
    """How many entries all logs of the store hold; what is no log counts as none."""
    count = 0
    for path in (folder / "store" / "sessions").glob("*.toml"):
        try:
            count += len(log.read(path).entries)
        except BadInput:
            continue
    return count
