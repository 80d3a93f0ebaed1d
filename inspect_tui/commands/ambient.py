"""The command that says the air to ride in."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import opened, show
from inspect_tui.core.expressions import ambient as air
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.readings.parse import clean
from inspect_tui.errors import BadInput


def conditions(given: argparse.Namespace) -> int:
    """Log the session's air; what changed its verdict, and the jet chart's band, on stdout."""
    said: dict[str, str] = {}
    for text in given.air:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                f"'{clean(text)[:60]}' is no condition.", "Write name=value: temperature='-12 C'."
            )
        if name in said:
            raise BadInput(f"{clean(name)} is given twice.", "Give it once.")
        said[name] = value
    with opened(given) as inspection:
        changed = inspection.set_conditions(**said)
        for name, value in inspection.evaluation.air("as-left").items():
            unit = units.unit(air.UNITS[name])
            show(f"{name} = {readings.show(units.number_in(value, unit), unit.text)}")
        for text in changed:
            show(text)
        chart = inspection.results.chart
        if chart is not None:
            show(f"Jet chart: {chart.band or chart.reason}")
            for line in chart.lines:
                near = f" (near {line.near})" if line.near else ""
                show(f"  {line.setting} {line.cylinder}: {line.chart}{near}; {line.words}")
    return 0
