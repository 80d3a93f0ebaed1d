"""The tests that meet a mutant, run in a fork that has loaded the libraries and nothing of ours."""

from __future__ import annotations

import compileall
import gc
import importlib
import os
import shutil
import signal
import sqlite3
import sys
import time
import traceback
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from py_compile import PycInvalidationMode

import coverage
import pytest
from _pytest.config import default_plugins

from tests.mutation.draw import Mutant

LIBRARIES = (
    "hypothesis", "hypothesis.strategies", "jsonschema", "msgspec", "numpy", "numpy.testing",
    "PIL.Image", "pint", "platformdirs", "pytest_asyncio", "rich.text", "scipy.stats", "tomlkit",
    "tomli_w", "xdist", "xdist.looponfail", "execnet", "pytest_rerunfailures", "referencing",
    "filelock", "fluids", "ambiance", "pdb", "xml.etree.ElementTree", "encodings.unicode_escape",
    *(f"_pytest.{name}" for name in default_plugins),
)  # fmt: skip
SETTINGS = (
    "-q", "-x", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning",
    "-p", "no:unraisableexception", "-p", "no:hypothesispytest",  # half of the time of a short run
)  # fmt: skip
COPIED = ("inspect_tui", "checklists", "tests", "README.md", "DEVELOPERS.md", "pyproject.toml")
NARROW = {"calc": ("tests/calc/", "tests/reference/", "tests/core/"), "core": ("tests/core/",),
          "files": ("tests/files/",)}  # fmt: skip
OF_ROWS = ("tests/calc/test_ranges_stay.py::", "tests/calc/test_calc_register.py::")
"""They read the rows that stand at a calculation, and so pass over no line of it."""
NEAREST, NEAREST_SECONDS = 40, 3.0
WIDE_SECONDS, NARROW_SECONDS, REST_SECONDS = 12.0, 4.0, 4.0
FILES, FILE_SECONDS = 3, 6.0
"""Of tests, as the map timed them, that a mutant is given."""


@dataclass
class Tests:
    """Which test passes over which line, and for how long it runs."""

    times: dict[str, float]
    data: coverage.CoverageData
    widths: dict[str, int]
    """How many lines of the program each test passes over."""
    hints: dict[str, str] = field(default_factory=dict)
    """By mutant, what caught it before."""
    _lines: dict[str, dict[int, list[str]]] = field(default_factory=dict)

    def of(self, module: str) -> dict[int, list[str]]:
        """By line of a module, the tests that pass over it; "" where it runs at the import."""
        if module not in self._lines:
            end = f"/inspect_tui/{module}"
            path = next((each for each in self.data.measured_files() if each.endswith(end)), "")
            self._lines[module] = self.data.contexts_by_lineno(path) if path else {}
        return self._lines[module]

    def stages(self, mutant: Mutant, wide: bool) -> list[list[str]]:
        """First what caught it before, then the nearest, then the package's own tests
        that pass over the lines; or, where wide, all others that do, and those that pass over
        anything of the module: of what is worked out once and kept, only the first test tells."""
        by_line = self.of(mutant.module)
        lines = range(mutant.first, mutant.last + 1)
        here = {each for line in lines for each in by_line.get(line, ())} & set(self.times)
        near = {each for tests in by_line.values() for each in tests} & set(self.times)
        folders = NARROW[mutant.package.partition("/")[0]]
        narrow = {each for each in here or near if each.startswith(folders)}
        quick = self._nearest(narrow)
        first = self._in_turn(narrow - set(quick), NARROW_SECONDS)
        if not wide:
            before = self.hints.get("\n".join(mutant.key()), "")
            hint = [before] if before in self.times else []
            rows = [each for each in self.times if each.startswith(OF_ROWS)]
            rows = rows if mutant.package == "calc" and not here else []
            return [each for each in (hint, quick, rows, first) if each]
        rest = self._in_turn(here - set(quick) - set(first), WIDE_SECONDS)
        left = WIDE_SECONDS - sum(self.times[each] for each in rest)
        rest += self._in_turn(near - set(quick) - set(first) - set(rest), max(left, REST_SECONDS))
        whole = self._whole_files(by_line, {*quick, *first, *rest}, folders)
        return [each for each in (rest, whole) if each]

    def _whole_files(
        self, by_line: dict[int, list[str]], done: set[str], folders: tuple[str, ...]
    ) -> list[str]:
        """What is left of the package's own files that pass over most of the module: a value that
        is kept hides from the map which test asked for it again."""
        lines: dict[str, set[int]] = defaultdict(set)
        for line, tests in by_line.items():
            for each in tests:
                if each.startswith(folders):
                    lines[each.partition("::")[0]].add(line)
        found: list[str] = []
        for file in sorted(lines, key=lambda each: (-len(lines[each]), each))[:FILES]:
            own = [each for each in self.times if each.startswith(f"{file}::")]
            found += self._in_turn(set(own) - done, FILE_SECONDS)
        return found

    def _nearest(self, tests: Iterable[str]) -> list[str]:
        """Those that pass over little else."""
        found, seconds = [], NEAREST_SECONDS
        for each in sorted(tests, key=lambda test: (self.widths.get(test, 0), test))[:NEAREST]:
            if self.times[each] <= seconds:
                found.append(each)
                seconds -= self.times[each]
        return found

    def _in_turn(self, tests: Iterable[str], seconds: float) -> list[str]:
        """The quickest of every file, then each file's second, and so on, for so many seconds."""
        files: dict[str, list[str]] = defaultdict(list)
        for each in sorted(tests, key=lambda test: (self.times[test], test)):
            files[each.partition("::")[0]].append(each)
        places = sorted(
            (place, self.times[test], test)
            for several in files.values()
            for place, test in enumerate(several)
        )
        found: list[str] = []
        for _, took, test in places:
            if took <= seconds:
                found.append(test)
                seconds -= took
        return found


class Chosen:
    """Runs these tests, in this order, and notes the first that fails."""

    def __init__(self, tests: list[str], note: Path) -> None:
        self.places = {test: place for place, test in enumerate(tests)}
        self.note = note

    def pytest_collection_modifyitems(self, items):
        items[:] = sorted(
            (item for item in items if item.nodeid in self.places),
            key=lambda item: self.places[item.nodeid],
        )

    def pytest_runtest_logreport(self, report):
        if report.failed and not self.note.exists():
            self.note.write_text(report.nodeid, encoding="utf-8")


def widths_of(lines: Path) -> dict[str, int]:
    """How many lines each test passes over, as coverage noted it."""
    found: dict[str, int] = defaultdict(int)
    with sqlite3.connect(f"file:{lines}?mode=ro", uri=True) as noted:
        for test, bits in noted.execute(
            "select context, numbits from line_bits join context on context.id = context_id"
        ):
            found[test] += int.from_bytes(bits, "little").bit_count()
    return found


def copy_of(root: Path, copy: Path) -> None:
    """A tree that can be changed; its compiled files are known by what they were made from."""
    shutil.rmtree(copy, ignore_errors=True)
    copy.mkdir(parents=True)
    for name in COPIED:
        if (root / name).is_dir():
            shutil.copytree(root / name, copy / name,
                            ignore=shutil.ignore_patterns("__pycache__"))  # fmt: skip
        else:
            shutil.copy(root / name, copy / name)
    compileall.compile_dir(
        copy / "inspect_tui", quiet=1, invalidation_mode=PycInvalidationMode.CHECKED_HASH
    )


def load_libraries() -> None:
    """Load what the tests want and isn't ours; one that isn't there is loaded by nobody."""
    for name in LIBRARIES:
        try:
            importlib.import_module(name)
        except ImportError:
            print(f"without {name}", file=sys.stderr)
    assert not any(name.partition(".")[0] == "inspect_tui" for name in sys.modules)
    gc.collect()
    gc.freeze()


def passes(copy: Path, tests: list[str], seconds: float) -> str:
    """Run tests in the copy: "" where they pass, or what caught the change."""
    note = copy / "caught.txt"
    note.unlink(missing_ok=True)
    child = os.fork()
    if not child:
        _run(copy, tests, note)
    end = time.monotonic() + seconds
    while True:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            break
        if time.monotonic() > end:
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return f"no end in {seconds:.0f} s"
        time.sleep(0.02)
    code = os.waitstatus_to_exitcode(status)
    if code in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        return ""  # none where the test that caught it before is there no more
    if code not in (pytest.ExitCode.TESTS_FAILED, pytest.ExitCode.INTERRUPTED) and code >= 0:
        raise RuntimeError(f"pytest ended with {code}: see {copy / 'out.txt'}")
    return note.read_text(encoding="utf-8") if note.exists() else "nothing can be collected"


def _run(copy: Path, tests: list[str], note: Path) -> None:
    status = 99
    try:
        os.setsid()
        os.chdir(copy)
        sys.path[:] = [each for each in sys.path if each not in ("", str(Path.cwd()))]
        sys.path.insert(0, str(copy))
        os.environ |= {"PYTHONPATH": str(copy), "CI": "true"}
        out = os.open(copy / "out.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, 1)
        os.dup2(out, 2)
        files = sorted({test.partition("::")[0] for test in tests})
        status = int(
            pytest.main(
                [*SETTINGS, "--rootdir", str(copy), *files],
                plugins=[Chosen(tests, note)],
            )
        )
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
    finally:
        sys.stdout.flush()
        os._exit(status)
