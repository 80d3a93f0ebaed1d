"""A short checklist and machine sheet for the tests of the commands; figures invented."""

from __future__ import annotations

import json

import pytest

from tests.builders import checklist, derived, inference, reading, section, sheet, step

CHECKLIST = checklist(
    section("carburettors"),
    step(
        "main-jet",
        reading("stamp", unit="", label="Main jet", limit='{ equal = "spec.main_jet" }'),
        reading("needle", "text", label="Needle", limit='{ equal = "spec.needle" }'),
        title="Main jet",
        per="cylinder",
        how='"Read the stamp."',
    ),
    step(
        "compression",
        reading(
            "pressure",
            unit="kPa",
            label="Compression",
            uncertainty='"5 %"',
            uncertainty_between='"2 %"',
            limit="{ min = 700 }",
        ),
        derived(
            "between",
            "spread_percent(values=pressure)",
            "percent",
            label="Spread",
            across="true",
            limit="{ max = 10 }",
        ),
        title="Compression",
        per="cylinder",
        how='"Throttle open."',
    ),
    section("drive"),
    step(
        "belt",
        reading(
            "width", label="Width", uncertainty='"0.3 mm"', limit='{ min = "spec.belt_width_min" }'
        ),
        reading(
            "cracks",
            "choice",
            label="Cracks",
            options='["none", "surface", "through"]',
            limit='{ equal = ["none", "surface"] }',
        ),
        title="Belt",
        how='"Measure it."',
        caution='"Engine off, key out."',
    ),
    step(
        "brake",
        reading("holds", "check", label="Holds", limit="{ equal = true }"),
        title="Brake",
        how='"Pull the lever."',
        safety="true",
        gate='"move"',
    ),
    step(
        "fan",
        reading("sag", label="Sag"),
        title="Fan belt",
        how='"Press it."',
        only_if="\"machine.cooling == 'fan'\"",
    ),
    step("tidy", title="Tidy up", how='"Put the tools away."'),
    inference(
        "slip",
        "belt.width < '31 mm' and belt.cracks == 'surface'",
        "The belt slips: look at the faces.",
        sure='"medium"',
        look_at='["belt"]',
    ),
    id_="short",
    revision=1,
    title="Short look",
    top='cautions = ["Look before you reach."]\n',
)

MACHINE = sheet(
    "PTO",
    "centre",
    "MAG",
    id_="test-bed",
    facts={"cooling": '"liquid"'},
    spec={"main_jet": "[240, 230, 250]", "belt_width_min": '"31.5 mm"'},
    words={"needle": '["6K", "6L", "6M"]'},
)


@pytest.fixture
def definitions(places):
    """The short list and its sheet in the store."""
    (places.checklists / "short.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "test-bed.toml").write_text(MACHINE, encoding="utf-8")
    return places


@pytest.fixture
def session(definitions, run):
    """A new session of the short list."""
    ran = run("new", "short", "test-bed", "--by", "R. Tester")
    assert ran.status == 0, ran.err
    return ran.out.strip()


@pytest.fixture
def status(run):
    """The state of a session as `status --json` gives it."""

    def read(session):
        ran = run("status", session, "--json")
        assert ran.status == 0, ran.err
        return json.loads(ran.out)

    return read


@pytest.fixture
def shed(run, tmp_path):
    """A store with these lists and one sled; gives the commands of the program in it."""

    def laid_out(lists, cylinders='"PTO"'):
        store = tmp_path / "store"
        for kind in ("checklists", "machines"):
            (store / kind).mkdir(parents=True)
        for name, text in lists.items():
            (store / "checklists" / f"{name}.toml").write_text(text, encoding="utf-8")
        sheet = f'id = "sled"\nname = "The sled"\ncylinders = [{cylinders}]\n'
        (store / "machines" / "sled.toml").write_text(sheet, encoding="utf-8")

        def command(*words, status=0):
            ran = run(*words, "--store", store)
            assert ran.status == status, ran.err
            return ran

        return command

    return laid_out
