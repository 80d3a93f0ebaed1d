"""What `--help` says: each command under a heading, a word on each argument, examples that work.

Common practice: an example that was never run teaches a fault.
"""

from __future__ import annotations

import argparse
import re
import shlex
import shutil
from pathlib import Path

import pytest

from inspect_tui.commands import COMMANDS
from inspect_tui.commands.declared.groups import GROUPS
from inspect_tui.commands.parser import parse, parser
from inspect_tui.core.text.sanitize import sanitize

LISTED = [name for name, command in COMMANDS.items() if not command.hidden]
OPENS_SCREENS = ("demo", "walk", "serve")
PHOTO = Path(__file__).parents[1] / "files" / "data" / "old-keys-photo.jpg"


def test_every_command_stands_under_one_heading():
    assert sorted(" ".join(GROUPS.values()).split()) == sorted(LISTED)


def test_the_list_of_commands_says_what_each_is_for():
    said = re.sub(r"\s+", " ", parser().format_help())
    assert [name for name in LISTED if f"{name} {COMMANDS[name].what}" not in said] == []


@pytest.mark.parametrize("name", LISTED)
def test_no_argument_is_left_without_a_word(name):
    (commands,) = (
        each for each in parser([name])._actions if isinstance(each, argparse._SubParsersAction)
    )
    made = commands.choices[name]
    assert [each.dest for each in made._actions if not each.help] == []
    assert COMMANDS[name].example in made.format_help()


@pytest.mark.parametrize("name", OPENS_SCREENS)
def test_an_example_that_opens_screens_can_be_read(name):
    assert parse(shlex.split(COMMANDS[name].example)[1:]).command == name


@pytest.fixture
def shown(run, tmp_path, monkeypatch):
    """Run a command's own example, or other words, in a folder of its own; all have to succeed."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(PHOTO, "plug.jpg")
    done = set()

    def go(*words):
        if len(words) == 1 and words[0] in COMMANDS:
            done.add(words[0])
            words = tuple(shlex.split(COMMANDS[words[0]].example.partition(">")[0])[1:])
        ran = run(*words)
        assert ran.status == 0, f"{' '.join(words)}: {ran.err}"
        return ran

    go.done = done
    return go


def test_every_example_works(shown, tmp_path):
    for name in ("settings", "new-sheet", "new-list", "figure", "check", "sheet", "machines"):
        shown(name)
    for name in ("checklists", "schema", "calc", "completion", "paper", "new", "record", "skip"):
        shown(name)
    for name in ("note", "add-finding", "add-step", "conditions", "photo", "decide", "widen"):
        shown(name)
    for name in ("plan", "findings", "parts", "got", "status", "sessions", "due", "history"):
        shown(name)
    for name in ("search", "table", "tag", "export", "verify", "pack"):
        shown(name)
    # The other laptop goes on from what was packed, and so does this one.
    shown("receive", "to-the-laptop.zip", "--store", str(other := tmp_path / "other"))
    shown("note", "last", "belt-width", "seen there", "--store", str(other))
    shown("pack", "last", "-o", "from-the-shed.zip", "--store", str(other))
    shown("receive")
    shown("note", "last", "belt-width", "seen here")
    shown("combine")
    shown("take-back")
    shown("set-aside")
    own = shown("new", "my-evening", "my-machine", "--by", "A. Owner").out.strip()
    shown("record", own, "own-1.value=2.5")
    shown("sign")
    shown("addendum")
    assert sorted(shown.done) == sorted(set(LISTED) - set(OPENS_SCREENS))


def test_the_login_s_name_is_said_where_nobody_can_be_asked_and_never_signs(run, monkeypatch):
    monkeypatch.setenv("LOGNAME", "shedpc")
    run("new-sheet", "sled", "--name", "The blue one")
    run("new-list", "evening", "--title", "Evening", "--item", "Cable play")
    ran = run("new", "evening", "sled")
    assert ran.status == 0 and "By shedpc, as this computer calls its account" in ran.err
    assert run("sign", ran.out.strip()).status == 2
    assert run("set-aside", ran.out.strip(), "--why", "try").status == 0
    assert run("new", "evening", "sled", "--by", "A. Owner").status == 0
    ran = run("new", "evening", "sled")
    assert ran.status == 0 and "By A. Owner, as last time" in ran.err
    run("settings", "by=B. Owner")
    assert run("new", "evening", "sled").err == ""
    names = {
        sanitize(each) for each in run("sessions", "--json").out.splitlines() if '"by"' in each
    }
    assert {each.strip() for each in names} >= {'"by": "A. Owner",', '"by": "B. Owner",'}


def test_what_is_wrong_points_to_the_command_s_own_help(run):
    ran = run("record", "last")
    assert ran.status == 2 and ran.err.endswith("See 'inspect-tui record --help'.\n")


@pytest.mark.parametrize(
    ("words", "near"),
    [
        (["statsu"], "status"),
        (["status", "2026-sled-evning"], "2026-sled-evening"),
        (["walk", "2026-sled-evning"], "2026-sled-evening"),
        (["new", "evning", "sled", "--by", "A."], "evening"),
        (["new", "evening", "slad", "--by", "A."], "sled"),
        (["new", "evening", "sled", "--by", "A.", "--only", "own-l"], "own-1"),
        (["due", "slad"], "sled"),
        (["plan", "last", "--jsn"], "--json"),
    ],
)
def test_every_slip_is_told_the_nearest_in_the_same_words(run, places, words, near):
    run("new-sheet", "sled", "--name", "The blue one")
    run("new-list", "evening", "--title", "Evening", "--item", "Cable play")
    made = run("new", "evening", "sled", "--by", "A. Owner").out.strip()
    ran = run(*(each.replace("2026-sled", made.removesuffix("-evening")) for each in words))
    wanted = near.replace("2026-sled", made.removesuffix("-evening"))
    assert ran.status == 2 and ran.err.endswith(f"Did you mean {wanted}?\n")
