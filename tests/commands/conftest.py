"""A short checklist and machine sheet for the tests of the commands; figures invented."""

from __future__ import annotations

import json

import pytest

CHECKLIST = """
id = "short"
title = "Short look"
revision = 1
cautions = ["Look before you reach."]

[[section]]
id = "carburettors"
title = "Carburettors"

[[section.step]]
id = "main-jet"
title = "Main jet"
how = "Read the stamp."
per = "cylinder"
[[section.step.reading]]
id = "stamp"
label = "Main jet"
kind = "number"
limit = { equal = "spec.main_jet" }
[[section.step.reading]]
id = "needle"
label = "Needle"
kind = "text"
limit = { equal = "spec.needle" }

[[section.step]]
id = "compression"
title = "Compression"
how = "Throttle open."
per = "cylinder"
[[section.step.reading]]
id = "pressure"
label = "Compression"
kind = "number"
unit = "kPa"
uncertainty = "5 %"
uncertainty_between = "2 %"
limit = { min = 700 }
[[section.step.derived]]
id = "between"
label = "Spread"
value = "spread_percent(values=pressure)"
unit = "percent"
across = true
limit = { max = 10 }

[[section]]
id = "drive"
title = "Drive"

[[section.step]]
id = "belt"
title = "Belt"
how = "Measure it."
caution = "Engine off, key out."
[[section.step.reading]]
id = "width"
label = "Width"
kind = "number"
unit = "mm"
uncertainty = "0.3 mm"
limit = { min = "spec.belt_width_min" }
[[section.step.reading]]
id = "cracks"
label = "Cracks"
kind = "choice"
options = ["none", "surface", "through"]
limit = { equal = ["none", "surface"] }

[[section.step]]
id = "brake"
title = "Brake"
how = "Pull the lever."
safety = true
gate = "move"
[[section.step.reading]]
id = "holds"
label = "Holds"
kind = "check"
limit = { equal = true }

[[section.step]]
id = "fan"
title = "Fan belt"
how = "Press it."
only_if = "machine.cooling == 'fan'"
[[section.step.reading]]
id = "sag"
label = "Sag"
kind = "number"
unit = "mm"

[[section.step]]
id = "tidy"
title = "Tidy up"
how = "Put the tools away."

[[inference]]
id = "slip"
when = "belt.width < '31 mm' and belt.cracks == 'surface'"
says = "The belt slips: look at the faces."
sure = "medium"
look_at = ["belt"]
"""

MACHINE = """
id = "test-bed"
name = "Test bed"
cylinders = ["PTO", "centre", "MAG"]
[machine]
cooling = "liquid"
[spec]
main_jet = [240, 230, 250]
belt_width_min = "31.5 mm"
[spec.text]
needle = ["6K", "6L", "6M"]
"""


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
