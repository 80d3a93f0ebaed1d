"""The command that says the air it will run in."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import opened, show
from inspect_tui.core.expressions import ambient
from inspect_tui.core.presentation.figures import format_quantity
from inspect_tui.core.quantities import units
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput


def conditions(given: argparse.Namespace) -> int:
    """Log the session's air; what changed its verdict, and the jet chart's band, on stdout."""
    said: dict[str, str] = {}
    for text in given.air:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                f"'{sanitize(text)[:60]}' is no figure of the air.",
                "Write name=value: temperature='-12 C'.",
            )
        if name in said:
            raise BadInput(f"{sanitize(name)} is given twice.", "Give it once.")
        said[name] = value
    with opened(given) as inspection:
        changed = inspection.set_conditions(**said)
        for name, value in inspection.evaluator.air("as-left").items():
            unit = units.unit(ambient.UNITS[name])
            show(f"{name} = {format_quantity(units.number_in(value, unit), unit.text)}")
        for text in changed:
            show(text)
        chart = inspection.results.chart
        if chart is not None:
            show(f"Jet chart: {chart.band or chart.reason}")
            for line in chart.lines:
                near = f" (near {line.near})" if line.near else ""
                show(f"  {line.setting} {line.cylinder}: {line.chart}{near}; {line.words}")
    return 0
