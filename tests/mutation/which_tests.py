"""A plugin for pytest: which test passes over which line of the program, and how long it takes.

Coverage's own dynamic contexts name a test's function, not its parameters; this one names the test
as pytest does, so that a mutant can be given the very tests that meet it.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import coverage
import pytest

SETTINGS = "[run]\nbranch = false\ncore = ctrace\n"


class Watch:
    """Measures the package's lines, in a context for each test."""

    def __init__(self, out: Path) -> None:
        self.out = out
        settings = out / "settings"
        settings.write_text(SETTINGS, encoding="ascii")
        self.measured = coverage.Coverage(
            data_file=str(out / "lines.db"), config_file=str(settings), source=["inspect_tui"]
        )
        self.times: dict[str, float] = {}
        self.failed: list[str] = []
        self.before = {"times": {}, "failed": []}
        if (out / "lines.db").exists() and (out / "times.json").exists():
            self.before = json.loads((out / "times.json").read_text(encoding="utf-8"))
            self.measured.load()
        else:
            self.measured.erase()
        self.measured.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item):
        self.measured.switch_context(item.nodeid)
        ran = yield
        self.measured.switch_context("")
        return ran

    def pytest_runtest_logreport(self, report):
        self.times[report.nodeid] = self.times.get(report.nodeid, 0.0) + report.duration
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_sessionfinish(self):
        self.measured.stop()
        self.measured.save()
        again = {each.partition("::")[0] for each in self.times}
        kept = {
            test: took
            for test, took in self.before["times"].items()
            if test.partition("::")[0] not in again
        }
        failed = [*self.failed, *(each for each in self.before["failed"] if each in kept)]
        told = {"times": {**kept, **self.times}, "failed": failed}
        (self.out / "times.json").write_text(json.dumps(told), encoding="utf-8")


def pytest_configure(config):
    config.pluginmanager.register(Watch(Path(os.environ["MUTATION_FOLDER"])))
