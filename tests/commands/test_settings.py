"""The settings of a store, the parser's answers to slips, and completion."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest

from inspect_tui.commands import COMMANDS
from inspect_tui.files import settings
from inspect_tui.files.store import Store


def test_settings_are_kept_and_shown(run):
    assert run("settings", "by=A. Tester", "units=psi, in", "theme=High contrast").status == 0
    kept = json.loads(run("settings", "--json").out)
    assert kept == {"by": "A. Tester", "units": ["psi", "in"], "theme": "high-contrast"}
    assert run("settings", "units=").status == 0
    assert json.loads(run("settings", "--json").out)["units"] == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("theme=purple", "Use dark, paper"),
        ("units=psi, kPa", "of one kind"),
        ("units=furlongs of", "units:"),
        ("unit=psi", "did you mean units?"),
        ("psi", "Write NAME=VALUE"),
    ],
)
def test_a_setting_that_can_not_be_is_said_and_nothing_changes(run, typed, said):
    run("settings", "by=A. Tester")
    ran = run("settings", "by=B. Tester", typed)
    assert ran.status == 2 and said in ran.err
    assert json.loads(run("settings", "--json").out)["by"] == "A. Tester"


def test_the_unit_of_a_kind_of_figure(tmp_path):
    chosen = settings.with_setting(settings.Settings(), "units", "psi, in, ft-lb")
    assert [chosen.unit_for(unit) for unit in ("kPa", "mm", "N.m", "degC")] == [
        "psi", "in", "ft-lb", "",
    ]  # fmt: skip
    store = Store(tmp_path / "s")
    settings.write(store, chosen)
    assert settings.read(store) == chosen


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["recrod", "last"], "Did you mean record?"),
        (["record", "last", "--as-lef", "a.b=1"], "Did you mean --as-left?"),
        (["status", "last", "more"], "'more' is too much"),
        (["status"], "It wants SESSION."),
        (["xyzzy"], "See 'inspect-tui --help'"),
    ],
)
def test_a_slip_is_answered_with_the_nearest(run, arguments, said):
    ran = run(*arguments)
    assert ran.status == 2 and said in ran.err and ran.err.count("\n") == 1


READS = [
    ["sessions"], ["machines"], ["checklists"], ["status", "last"], ["walk", "last"],
    ["export", "last", "--to", "md"], ["record", "last", "a.b=1"], ["pack", "x", "-o", "x.zip"],
]  # fmt: skip


@pytest.mark.parametrize("arguments", READS, ids=lambda words: words[0])
def test_a_store_that_is_not_there_is_said_by_what_reads_it(run, tmp_path, arguments):
    (tmp_path / "winter").mkdir()
    ran = run(*arguments, "--store", str(tmp_path / "wintr"))
    assert ran.status == 2 and "There is no store" in ran.err and "winter" in ran.err
    assert not (tmp_path / "wintr").exists()


def test_the_environments_store_that_is_not_there_yet_is_an_empty_one(run, tmp_path, monkeypatch):
    monkeypatch.setenv("INSPECT_TUI_HOME", str(tmp_path / "not yet"))
    assert run("machines").status == 0


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_completion_names_every_command(run, shell, tmp_path):
    ran = run("completion", shell)
    assert ran.status == 0
    for command in COMMANDS.values():
        assert command.hidden or command.name in ran.out
    program = shutil.which(shell)
    if program is not None:
        script = tmp_path / "script"
        script.write_text(ran.out, encoding="utf-8")
        checked = subprocess.run([program, "-n", script], capture_output=True, text=True)
        assert checked.returncode == 0, checked.stderr
