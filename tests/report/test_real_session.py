"""A session done through the program itself, exported in every format."""

import json
from datetime import datetime, timedelta, timezone

import pytest

from inspect_tui.files.store import Store
from inspect_tui.report.export import FORMS
from inspect_tui.report.status import status
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import checklist, reading, section, sheet, step

CHECKLIST = checklist(
    section("drive"),
    step(
        "belt",
        reading(
            "width", label="Width", uncertainty='"0.2 mm"', limit='{ min = "spec.belt_width_min" }'
        ),
        title="Belt",
        safety="true",
    ),
    step("plugs", reading("gap", label="Gap"), title="Plugs", per="cylinder"),
    id_="short",
    revision=1,
    title="Short look",
    top='cautions = ["Engine off."]\n',
)
MACHINE = sheet("A", "B", id_="test-bed", spec={"belt_width_min": '"31.5 mm"'})


@pytest.fixture
def inspection(tmp_path):
    places = Store(tmp_path)
    places.make()
    for folder, name, text in (
        (places.checklists, "short", CHECKLIST),
        (places.machines, "test-bed", MACHINE),
    ):
        folder.mkdir(exist_ok=True)
        (folder / f"{name}.toml").write_text(text, "utf-8")
    clock = [datetime(2026, 11, 2, 18, 4, 11, tzinfo=timezone(timedelta(hours=1)))]

    def now():
        clock[0] += timedelta(minutes=1)
        return clock[0]

    opened = Inspection.new(places, "short", "test-bed", "R. Tester", now)
    opened.cautions.confirm()
    opened.record([(Target("belt", "width"), "31 mm")])
    opened.record([(Target("belt", "width"), "1 1/4 in")], "as-left")
    opened.record([(Target("plugs", "gap", "A"), "0")])
    yield opened
    opened.close()


def test_signed_over_what_is_open(inspection):
    inspection.sign("R. Tester", "Only to be pushed around.")
    for form in FORMS:
        data = inspection.export(form)
        if form == "pdf":
            assert data.startswith(b"%PDF-")
        else:
            assert b"Only to be pushed around." in data
    data = json.loads(inspection.export("json"))
    assert data["report"]["signed"]["open"] == list(inspection.session.signed.open)
    assert data["report"]["log"]["verifies"] is True


def test_the_status_is_part_of_the_json(inspection):
    data = json.loads(inspection.export("json"))
    wanted = status(inspection.session, inspection.results)
    assert {key: data[key] for key in wanted} == json.loads(json.dumps(wanted))
    assert [(row["phase"], row["value"], row["verdict"]) for row in data["readings"]][:2] == [
        ("as-found", 31.0, "fail"),
        ("as-left", 31.75, "pass"),
    ]
    assert data["readings"][2]["value"] == 0


def test_an_export_twice_is_the_same(inspection):
    for form in FORMS:
        assert inspection.export(form) == inspection.export(form)
