"""The air that the session reckons with and the jet chart for it, as pictures made of text."""

from __future__ import annotations

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from inspect_tui.core.model.results import Air, ChartLine, JetChartAdvice, Results
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, UNCERTAIN, words

LEANER = "leaner"
"""What the chart's words hold where a jet is leaner than its band, the dangerous side."""


def air_line(air: Air) -> Text:
    """The air on one line, for a step that rests on it."""
    text = Text("AIR  ", style=DIM)
    if not air.lines:
        return text.append("not entered yet; Ctrl+D asks for it", style=UNCERTAIN)
    for place, each in enumerate(air.lines):
        text.append(" · " if place else "", style=DIM)
        if each.name != "temperature":
            text.append(f"{_short(each.name)} ", style=DIM)
        text.append(one_line(each.shown), style=DIM if each.worked_out else "")
    return text


def panel(results: Results, changed: Sequence[str]) -> Text:
    """The air figure by figure, the chart's band, and what the last change of it did."""
    known = {each.name: each for each in results.air.lines}
    parts = [Text("THE AIR OF THE DAY", style=DIM)]
    for name, said in {**wording.CONDITIONS, **wording.WORKED_OUT}.items():
        text = Text(f"{said}: ", style=DIM)
        each = known.get(name)
        text.append(one_line(each.shown) if each else _unknown(name), style=ASKED if each else DIM)
        if each is not None and each.worked_out:
            text.append("  worked out", style=DIM)
        parts.append(text)
    if results.chart is not None:
        parts += [Text(""), Text("JET CHART", style=DIM), *band(results.chart)]
    if changed:
        parts += [Text(""), Text("CHANGED ITS VERDICT", style=DIM)]
        parts += [words(f"± {each}", UNCERTAIN) for each in changed]
    return Text("\n").join(parts)


def band(chart: JetChartAdvice) -> list[Text]:
    """The band that holds and those near it, or why there is none."""
    if not chart.band:
        return [words(f"No band: {chart.reason}.", UNCERTAIN)]
    found = [Text.assemble("Band: ", (one_line(chart.band), ASKED))]
    found += [words(f"? Near the forecast: {each}", UNCERTAIN) for each in chart.near]
    return found


def chart_table(chart: JetChartAdvice) -> Table | None:
    """Per setting and cylinder: the chart, a neighbour near it, the sheet, what was found."""
    if not chart.lines:
        return None
    near = any(each.near for each in chart.lines)
    table = Table(box=None, expand=True, padding=(0, 1, 0, 0), header_style=DIM)
    for name, share in (("", 3), ("", 2), ("chart", 2), *((("near", 2),) if near else ())):
        table.add_column(name, ratio=share, overflow="fold")
    for name, share in (("sheet", 2), ("found", 2), ("", 6)):
        table.add_column(name, ratio=share, overflow="fold")
    before = ""
    for each in chart.lines:
        setting = one_line(each.setting.replace("_", " ")) if each.setting != before else ""
        before = each.setting
        cells = [
            Text(setting),
            Text(one_line(each.cylinder)),
            Text(one_line(each.chart), style="bold"),
        ]
        if near:
            cells.append(Text(one_line(each.near), style=UNCERTAIN))
        cells += [Text(one_line(each.sheet or "—"), style=DIM), Text(one_line(each.found or "—"))]
        table.add_row(*cells, _stands(each))
    return table


def _stands(each: ChartLine) -> Text:
    if LEANER in each.words:
        return words(f"▲ {each.words}", FAIL)
    if each.words == "as the chart":
        return words(f"✓ {each.words}", PASS)
    return words(each.words, UNCERTAIN if each.found else DIM)


def _short(name: str) -> str:
    return {"qnh": "at sea level", "relative_humidity": "humidity"}.get(name, name)


def _unknown(name: str) -> str:
    if name in wording.WORKED_OUT:
        return "waits for the figures above"
    if name == "qnh":
        return "not entered; taken as standard, 1013 hPa"
    return "not entered; taken as dry" if name == "relative_humidity" else "not entered"
