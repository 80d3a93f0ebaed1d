"""The set-up card in words: found, left and sheet side by side."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_tui.core.evaluation.job.setup_card import SetUpLine, setup_card
from inspect_tui.core.model.results import JetChartAdvice, Results, Verdict
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.report.content import value_words


@dataclass(frozen=True, slots=True)
class SetUpWords:
    """One reading of one cylinder, or of the machine."""

    cylinder: str | None
    found: str
    left: str
    """"" where it was not measured again: it stands as found."""
    sheet: str
    verdict: Verdict
    """Of what stands."""
    chart: str = ""
    """What the jet chart says for the session's air, where that is not the sheet's figure."""


@dataclass(frozen=True, slots=True)
class CardLine:
    """A line of the card."""

    step: str
    item: str
    label: str
    values: tuple[SetUpWords, ...]

    @property
    def per_cylinder(self) -> bool:
        """Whether each cylinder has its own value."""
        return any(value.cylinder is not None for value in self.values)


def card(results: Results) -> tuple[CardLine, ...]:
    """The whole card; lines of the cylinders first."""
    lines = setup_card(results)
    several = {line.step.id for line in lines if [one.step for one in lines].count(line.step) > 1}
    made = [_line(line, line.step.id in several, results.chart) for line in lines]
    return tuple(sorted(made, key=lambda line: not line.per_cylinder))


def _line(line: SetUpLine, labelled: bool, chart: JetChartAdvice | None) -> CardLine:
    title = line.step.title
    label = f"{title}: {line.item.label}" if labelled and line.item.label != title else title
    values = []
    for value in line.values:
        row = value.standing
        values.append(
            SetUpWords(
                value.cylinder,
                "" if value.found is None else row_words(value.found),
                "" if value.left is None else row_words(value.left),
                ""
                if row is None
                else value_words.sheet_words(line.item, row.judged.zone, row.unit),
                "none" if row is None else row.judged.verdict,
                _by_chart(line, value.cylinder, chart),
            )
        )
    return CardLine(line.step.id, line.item.id, label, tuple(values))


def _by_chart(line: SetUpLine, cylinder: str | None, chart: JetChartAdvice | None) -> str:
    """What the chart says for the air it runs in, where it isn't what the sheet says."""
    limit = line.item.limit
    if chart is None or limit is None:
        return ""
    for advice in chart.lines:
        if advice.cylinder == cylinder and limit.equal == f"spec.{advice.setting}":
            return "" if advice.chart == advice.sheet else advice.chart
    return ""
