"""Hostile words in every place of a session: shown as text by every command and every export."""

from __future__ import annotations

import json
import re
import unicodedata

import pytest

from inspect_tui.core.text.sanitize import sanitize
from tests.campaigns.targets import harmless
from tests.tui.conftest import job, screen_text, settled, type_in  # noqa: F401

STEERING = "\x1b[31mred\x1b]0;title\x07\x9b2J\u202eturned\u2066\u200b\u061c\x7f\u2028"
WORDS = f"=1+1 x[/]y [b] <b>&amp;</b> `id` ../x {STEERING} end"
PLAIN = sanitize(WORDS)
FORMS = ("md", "html", "csv", "json", "pdf")


def toml(words: str) -> str:
    """A TOML text; nothing in it is raw, as a hostile file would write it."""
    return json.dumps(words).replace("\x7f", "\\u007f")


CHECKLIST = f"""
id = "odd"
title = {toml("Title " + WORDS)}
revision = 1
cautions = [{toml("Caution " + WORDS)}]
[[section]]
id = "drive"
title = {toml("Section " + WORDS)}
[[section.step]]
id = "belt"
title = {toml("Step " + WORDS)}
how = {toml("How " + WORDS)}
why = {toml("Why " + WORDS)}
caution = {toml("Mind " + WORDS)}
tools = [{toml("Tool " + WORDS)}]
per = "cylinder"
[[section.step.reading]]
id = "width"
label = {toml("Label " + WORDS)}
kind = "number"
unit = "mm"
limit = {{ min = "31.5 mm" }}
source = {toml("Source " + WORDS)}
[[section.step.reading]]
id = "look"
label = "Look"
kind = "text"
limit = {{ equal = {toml("Good " + WORDS)} }}
[[section.step]]
id = "tidy"
title = "Tidy"
"""
CYLINDER = "PTO x[/]y =1 <b>"
MACHINE = f"""
id = "odd-bed"
name = {toml("Name " + WORDS)}
cylinders = [{toml(CYLINDER)}, "MAG"]
[machine]
cooling = {toml("Fact " + WORDS)}
[spec.text]
needle = {toml("Figure " + WORDS)}
[source]
needle = {toml("From " + WORDS)}
"""


@pytest.fixture
def told(places, run):
    """A session with hostile words wherever a person can put some; everything that was printed."""
    (places.checklists / "odd.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "odd-bed.toml").write_text(MACHINE, encoding="utf-8")
    said = []

    def do(*arguments, status=0):
        ran = run(*arguments)
        assert ran.status == status, (arguments, ran.err)
        said.append(ran.out + ran.err)
        return ran.out.strip()

    session = do("new", "odd", "odd-bed", "--by", f"R. {WORDS}")
    do("record", session, f"belt.look@{CYLINDER}={WORDS}", "--state", WORDS, "--gauge", WORDS)
    do("record", session, f"belt.width@{CYLINDER}=30 mm\x1b[0m\u202e\x07")
    do("record", session, f"belt.width@MAG={WORDS}", status=2)
    do("record", session, f"belt.{WORDS}=1", status=2)
    do("record", session, f"belt.width@{WORDS}=1", status=2)
    do("skip", session, f"belt.width@{WORDS}", "--why", WORDS, status=2)
    do("skip", session, "tidy", "--why", WORDS)
    do("note", session, "belt", WORDS)
    do("note", session, WORDS, WORDS, status=2)
    do("add-finding", session, "belt", WORDS, "--cylinder", CYLINDER)
    do("add-finding", session, "belt", WORDS, "--cylinder", WORDS, status=2)
    do("add-step", session, "drive", WORDS, "--unit", WORDS, status=2)
    do("add-step", session, "drive", WORDS)
    do("add-step", session, WORDS, "x", status=2)
    do("decide", session, "F1", "later", "--why", WORDS, "--until", "2026-12-20")
    do("decide", session, WORDS, WORDS, status=2)
    do("decide", session, "F1", "later", "--until", WORDS, status=2)
    do("decide", session, "F1", WORDS, status=2)
    do("photo", session, "belt", WORDS, status=2)
    do("sign", session, "--by", WORDS, status=1)
    do("sign", session, "--by", f"S. {WORDS}", "--accept-open", WORDS)
    do("addendum", session, WORDS)
    return session, said, do


def test_no_command_prints_what_steers(told, run, tmp_path, places):
    session, said, do = told
    for command in (["status", session], ["status", session, "--json"], ["sessions"], ["machines"],
                    ["checklists"], ["machines", "--json"], ["verify", session],
                    ["calc"]):  # fmt: skip
        do(*command)
    for command in (["status", WORDS], ["verify", WORDS], ["export", WORDS, "--to", "md"],
                    ["new", WORDS, WORDS], ["new", "odd", WORDS], ["check", WORDS], [WORDS],
                    ["calc", WORDS], ["calc", "span_tension", f"{WORDS}=1"],
                    ["record", WORDS, WORDS],
                    ["calc", "span_tension", f"force={WORDS}"], ["export", session, "--to", WORDS],
                    ["export", session, "--to", "md", "-o", f"{tmp_path}/no/{WORDS}"],
                    ["verify", session, "--seal", WORDS], ["receive", WORDS],
                    ["--store", f"{tmp_path}/{WORDS}", "status", "x"],
                    ["pack", WORDS, "-o", "x.zip"],
                    ["combine", session, WORDS, "--by", WORDS]):  # fmt: skip
        do(*command, status=2)
    bad = tmp_path / "bad.toml"
    bad.write_text(CHECKLIST.replace('kind = "number"', f"kind = {toml(WORDS)}"), encoding="utf-8")
    do("check", bad, status=1)
    do("check", bad, "--json", status=1)
    for text in said:
        assert harmless(text), ascii(text)


def test_a_broken_log_that_steers_is_shown_as_text(told, run, places):
    session, _, _ = told
    path = places.log(session)
    data = path.read_text(encoding="utf-8")
    path.write_text(data.replace('kind = "note"', f"kind = {toml(WORDS)}", 1), encoding="utf-8")
    said = [run(*command) for command in (
        ["status", session], ["verify", session], ["note", session, "belt", "x"], ["sessions"],
        ["export", session, "--to", "md"], ["export", session, "--to", "csv"],
    )]  # fmt: skip
    assert [ran.status for ran in said] == [0, 1, 1, 0, 0, 0]
    for ran in said:
        assert harmless(ran.out + ran.err), ascii(ran.err)


@pytest.mark.parametrize("form", FORMS)
def test_no_export_holds_what_steers(told, form, tmp_path):
    session, _, do = told
    out = tmp_path / f"report.{form}"
    do("export", session, "--to", form, "-o", out)
    data = out.read_bytes()
    if form == "pdf":
        # Texts are drawn as glyphs; what stands in its own words is the title and the like.
        assert b"\x1b[31m" not in data and b"\x1b]0;" not in data
        return
    text = data.decode()
    assert harmless(text)
    assert not [
        sign for sign in text if unicodedata.category(sign) in ("Cc", "Cf") and sign not in "\r\n"
    ]
    if form == "html":
        assert "<b>" not in text and "&lt;b&gt;" in text
    if form == "csv":
        assert not re.search(r'(?m)(?:^|,)"?[=+@\t]', text)
    if form == "json":
        assert json.loads(text)["readings"][0]["cylinder"] == CYLINDER


def test_what_is_written_is_clean_already(told, places):
    session, _, _ = told
    log = places.log(session).read_text(encoding="utf-8")
    assert f"text = {toml(PLAIN)}" in log
    assert harmless(log)


@pytest.mark.parametrize("size", [(80, 24), (40, 20)])
async def test_the_app_shows_markup_as_text(told, job, size):  # noqa: F811
    session, _, _ = told
    async with job(session, size) as pilot:
        for keys in (["enter"], ["down"], ["f1"], ["escape"], ["pagedown"], ["tab"], ["tab"]):
            await pilot.press(*keys)
            await settled(pilot)
            shown = screen_text(pilot.app)
            assert harmless(shown), ascii(shown)
        assert "x[/]y" in "".join(shown.split()) or "[/]" in shown


async def test_hostile_words_typed_and_pasted_in_the_app(places, clock, job):  # noqa: F811
    from textual import events

    from inspect_tui.workflow.inspection import Inspection

    (places.checklists / "odd.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "odd-bed.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "odd", "odd-bed", "R. Tester", clock) as inspection:
        inspection.cautions.confirm()
        session = inspection.session.id
    async with job(session) as pilot:
        await type_in(pilot, "x[/]y", "enter")
        pilot.app.post_message(events.Paste(WORDS))
        await pilot.pause(0.1)
        await settled(pilot)
        assert harmless(screen_text(pilot.app))
        await pilot.press("enter")
        await settled(pilot)
        assert harmless(screen_text(pilot.app))
    log = places.log(session).read_text(encoding="utf-8")
    assert harmless(log.split("[[entry]]", 3)[-1])
