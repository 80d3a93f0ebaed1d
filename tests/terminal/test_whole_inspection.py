"""A whole short inspection by keys alone, and the window drawn to other sizes in the middle."""

from __future__ import annotations

import subprocess
import sys
import tomllib

import pytest

from tests.terminal.conftest import asks, confirmed, status

pytestmark = pytest.mark.terminal

DOWN, ESCAPE, F2, F7, F9 = "\x1b[B", "\x1b", "\x1bOQ", "\x1b[18~", "\x1b[20~"
GO_TO, EXPORT, QUIT = "\x07", "\x0f", "\x11"

LOGGED = [
    ("opened",),
    ("caution", None),
    ("reading", "belt.width", None, "as-found", "30", "fail"),
    ("reading", "belt.cracks", None, "as-found", "none", "pass"),
    ("caution", "guard"),
    ("reading", "guard.on", None, "as-found", "yes", "pass"),
    ("reading", "jets.main", "PTO", "as-found", "240", "pass"),
    ("reading", "jets.main", "centre", "as-found", "231", "fail"),
    ("reading", "jets.main", "MAG", "as-found", "240", "pass"),
    ("reading", "jets.turns", "PTO", "as-found", "1.5", "none"),
    ("reading", "jets.turns", "centre", "as-found", "1 1/2", "none"),
    ("reading", "jets.turns", "MAG", "as-found", "1,5", "none"),
    ("caution", "first-start"),
    ("reading", "first-start.ran", None, "as-found", "yes", "none"),
    ("reading", "look.done", None, "as-found", "ok", "none"),
    ("decision", "belt.width", "put-right", None),
    ("decision", "jets.main@centre", "run-as-found", "a size rich"),
    ("reading", "belt.width", None, "as-left", "34.5 mm", "pass"),
    ("signed", "R. Rider", []),
]
"""What each entry of the log says, in order."""


def said(entry):
    """The part of a log entry that the keys decide."""
    kind = entry["kind"]
    if kind == "reading":
        asked = f"{entry['step']}.{entry['reading']}"
        keys = (entry["phase"], entry["entered"], entry["verdict"])
        return (kind, asked, entry.get("cylinder"), *keys)
    if kind == "decision":
        return (kind, entry["finding"], entry["decision"], entry.get("why"))
    if kind == "signed":
        return (kind, entry["by"], entry["open"])
    return (kind, entry.get("step")) if kind == "caution" else (kind,)


def typed(app, text):
    """Type words into a field, see them there, press Enter."""
    app.send(text)
    app.wait_for(text)
    app.send("\r")


def signed_line(app):
    """The answer that the sign stands at; "" while the picture is half drawn."""
    found = [line for line in app.text().splitlines() if "▶ " in line]
    return found[0].strip() if len(found) == 1 else ""


def chosen(app, wanted):
    """Go down, however many lists and machines ship, until the sign is at this answer; choose."""
    app.wait_for(wanted)
    while f"▶ {wanted}" not in app.text():
        at = signed_line(app)
        app.send(DOWN)
        app.wait_until(lambda at=at: signed_line(app) not in ("", at), f"the sign at {wanted}")
    app.send("\r")


def begun(app):
    """A new session from the start screen, its cautions confirmed."""
    app.wait_for("New session")
    app.send("n")
    chosen(app, "Bench list")
    chosen(app, "Test bed")
    chosen(app, "Go on: The whole list")
    app.wait_for("Who does the inspection?")
    typed(app, "R. Rider")
    return confirmed(app)


def answered(app, answers):
    """Answer one question after the other, each once it is asked; see it saved."""
    for asked, answer, saved in answers:
        label, _, cylinder = asked.partition("@")
        asks(app, label, cylinder)
        app.send(f"{answer}\r")
        app.wait_for(f"saved: {saved}")


def read(app):
    """Every reading, in the list's order; the belt is too narrow, one jet is not the sheet's."""
    answered(app, [("Width", "30", "Width 30 mm"), ("Cracks", "none", "Cracks none")])
    asks(app, "Picture")
    app.send("\r")  # optional: left out
    app.confirm("Engine off.", "AS FOUND")
    answered(
        app,
        [
            ("Guard is on", "yes", "Guard is on yes"),
            ("Main jet@PTO", "240", "Main jet PTO 240"),
            ("Main jet@centre", "231", "Main jet centre 231"),
            ("Main jet@MAG", "240", "Main jet MAG 240"),
            ("Air screw@PTO", "1.5", "Air screw PTO 1.5 turn"),
            ("Air screw@centre", "1 1/2", "Air screw centre 1 1/2 turn"),
            ("Air screw@MAG", "1,5", "Air screw MAG 1,5 turn"),
        ],
    )
    app.confirm("From here the engine runs", "AS FOUND")
    answered(app, [("It ran", "yes", "It ran yes"), ("Done", "ok", "Done yes")])
    app.wait_for("Every step is done or skipped")


def decided(app):
    """The belt is put right, the jet run as found; both are said back."""
    app.send(F7)
    app.wait_for("findings, 2 to decide")
    app.wait_for("p put right")
    app.send("p")
    app.wait_for("1 finding: put right. 1 left to decide.")
    app.send("r")
    app.wait_for("Why?")
    typed(app, "a size rich")
    app.wait_for("1 finding: run as found. None left to decide.")
    app.send(ESCAPE)


SIZES = [(40, 20), (120, 40), (80, 24), (200, 60), (80, 24), (120, 40), (40, 20)]
"""Columns and rows, one after the other."""


def fits(app):
    """Whether the question is drawn to the edges of the window, with what was typed and judged."""
    shown = app.screen.display
    narrow = app.screen.columns < 60  # there a rule above it is all the frame there is
    question = shown if narrow else [row for row in shown if row.endswith(("╮", "╯", "│"))]
    wanted = ("AS FOUND", "Width", "31 to 35 mm", "▸  31.5 ", "not entered yet", "pass")
    text = "\n".join(question)
    frame = (
        any(row.startswith("─ ○ AS FOUND ─") for row in shown) if narrow else text.count("╯") == 1
    )
    return (
        shown[-1].rstrip().endswith(("│ F1", "│ F1 help"))
        and frame
        and all(each in text for each in wanted)
    )


def test_what_is_half_typed_stays_when_the_window_is_resized(terminal, env, session):
    app = confirmed(terminal("walk", session))
    app.send("31.5")
    app.wait_for("not entered yet")
    for columns, rows in SIZES:
        app.resize(columns, rows)
        app.wait_until(lambda: fits(app), f"the question on {columns} by {rows}")
    app.send("5\r")
    app.wait_for("saved: Width 31.55 mm")
    app.send(QUIT)
    assert app.end() == 0
    assert [row["entered"] for row in status(env, session)["readings"]] == ["31.55"]


def test_a_whole_inspection_by_keys_alone(terminal, env, store):
    app = begun(terminal())
    read(app)
    decided(app)
    app.wait_for("No reading is asked here.")
    app.send(F2)
    app.wait_for("AS LEFT")
    app.send(GO_TO)
    app.wait_for("GO TO")
    typed(app, "belt")
    answered(app, [("Width", "34.5 mm", "Width 34.5 mm")])
    app.send(F9)
    app.wait_for("Nothing is open.")
    app.wait_for("Who signs?")
    typed(app, "R. Rider")
    app.wait_for("R. Rider signs; nothing can be changed afterwards.")
    typed(app, "sign")
    app.wait_for("Signed by R. Rider")
    app.send(EXPORT)
    app.wait_for("in which form?")
    app.wait_for("plain text to read or send")
    app.send(DOWN * 2 + "\r")
    app.wait_for("Written to")
    app.send(QUIT)
    assert app.end() == 0

    (log,) = (store / "sessions").glob("*.toml")
    entries = tomllib.loads(log.read_text(encoding="utf-8"))["entry"]
    assert [said(entry) for entry in entries] == LOGGED
    now = status(env, log.stem)
    assert now["state"] == "signed"
    assert {step["state"] for step in now["steps"]} == {"done"}
    found = [(each["id"], each["decision"], each["open"]) for each in now["findings"]]
    assert found == [
        ("belt.width", "put-right", False),
        ("jets.main@centre", "run-as-found", False),
    ]
    verify = subprocess.run(
        [sys.executable, "-m", "inspect_tui", "verify", log.stem],
        env=env, capture_output=True, text=True,
    )  # fmt: skip
    assert verify.returncode == 0 and f": whole, {len(LOGGED)} entries" in verify.stdout
    (report,) = (store / "reports").iterdir()
    assert report.suffix == ".md" and "R. Rider" in report.read_text(encoding="utf-8")
