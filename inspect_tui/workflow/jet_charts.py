"""A machine's jet chart, read and written as a table; the sheet's comments and order stay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks.figures_used import charted
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.sheets import edit_sheet
from inspect_tui.core.definitions.sheets.chart_table import ChartTable, Edges, chart_table
from inspect_tui.core.definitions.sheets.typed_figure import TypedFigure, expected_of, typed_figure
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.text.sanitize import required_text
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.own_definitions import change_sheet
from inspect_tui.files.store import Store
from inspect_tui.workflow.missing_figures import glossary_of
from inspect_tui.workflow.sheets import sound_sheet

SOURCE = "jet_chart"
"""The name under which the sheet says where its chart comes from."""


Direction = Literal["temperature", "altitude"]
"""Down the table, or across it."""


@dataclass(frozen=True, slots=True)
class ChartPage:
    """The chart as it stands."""

    machine: str
    """Its name."""
    cylinders: tuple[str, ...]
    table: ChartTable
    settings: tuple[tuple[str, str], ...]
    """(name, label) of the settings that it has or that the list asks of it."""
    source: str = ""


class JetChart:
    """What the page of the jet chart reads and writes."""

    def __init__(self, places: Store, machine: str, compiled: Compiled) -> None:
        """The chart of a machine.

        Args:
            places: The person's store.
            machine: Its id.
            compiled: The list that says which settings a chart has.
        """
        self._places, self._machine_id = places, machine
        self._asked = charted(compiled)
        self._glossary = glossary_of(places, [compiled])

    def page(self) -> ChartPage:
        """The chart by now.

        Raises:
            BadInput: there is no such machine.
            Refused: its sheet has problems.
        """
        machine = self._read(
            definition_files.read_text(
                definition_files.find("machine", self._machine_id, self._places)
            )
        )
        table = chart_table(machine)
        known = {written(name): name for name in (*machine.spec, *machine.spec_text)}
        names = dict.fromkeys((*table.settings, *(known.get(one, one) for one in self._asked)))
        labels = []
        for name in names:
            about = self._glossary.get(written(name))
            labels.append((name, about.label if about else name.replace("_", " ")))
        return ChartPage(
            machine.name, machine.cylinders, table, tuple(labels), machine.source.get(SOURCE, "")
        )

    def trouble(self, setting: str, text: str) -> None:
        """Raises BadInput where a text can't be this setting; writes nothing."""
        path = definition_files.find("machine", self._machine_id, self._places)
        self._typed(self._read(definition_files.read_text(path)), setting, text)

    def enter(
        self, temperature: Edges, altitude: Edges, setting: str, text: str, source: str
    ) -> None:
        """A setting into a band, which is made where it isn't there; a shipped sheet is copied.

        Raises:
            BadInput: it is no setting, or no source; nothing was changed.
            Refused: the sheet can't be changed here.
            NotSaved: the disk did not take it.
        """
        source = required_text("the source", source)

        def edit(old: str) -> str:
            machine = self._read(old)
            value = self._typed(machine, setting, text).value
            number = chart_table(machine).bands.get((temperature, altitude))
            if number is None:
                made = edit_sheet.add_band(old, temperature.texts, altitude.texts, {setting: value})
            else:
                made = edit_sheet.set_band(old, number, setting, value)
            if machine.source.get(SOURCE) != source:
                made = edit_sheet.set_source(made, SOURCE, source)
            sound_sheet(made)
            return made

        change_sheet(self._machine_id, self._places, edit)

    def change_edges(self, which: Direction, old: Edges, new: Edges) -> None:
        """Other edges for a row or a column of the table; a shipped sheet is copied.

        Raises:
            BadInput: the chart has such a band already; nothing was changed.
            Refused: the sheet can't be changed here.
            NotSaved: the disk did not take it.
        """

        def edit(text: str) -> str:
            table = chart_table(self._read(text))
            there = table.temperatures if which == "temperature" else table.altitudes
            if any((one.low, one.high) == (new.low, new.high) for one in there if one != old):
                raise BadInput(f"The chart has a band {new.words} already;", "type other edges.")
            made = edit_sheet.set_edges(text, _numbers(table, which, old), which, new.texts)
            sound_sheet(made)
            return made

        change_sheet(self._machine_id, self._places, edit)

    def take_out(self, which: Direction, edges: Edges) -> None:
        """A row or a column of the table goes, with its settings; a shipped sheet is copied.

        Raises:
            Refused: the sheet can't be changed here.
            NotSaved: the disk did not take it.
        """

        def edit(text: str) -> str:
            numbers = _numbers(chart_table(self._read(text)), which, edges)
            made = edit_sheet.without_bands(text, numbers)
            sound_sheet(made)
            return made

        change_sheet(self._machine_id, self._places, edit)

    def _typed(self, machine: Machine, setting: str, text: str) -> TypedFigure:
        about = self._glossary.get(written(setting))
        if written(setting) not in {written(one) for one in (*machine.spec, *machine.spec_text)}:
            raise BadInput(
                f"{about.label if about else setting} is not in the sheet yet;",
                "enter the machine's base figure first, on the page of figures (Esc).",
            )
        expected = expected_of(setting, machine, about, None)
        figure = typed_figure(setting, text, machine, expected)
        parts: Sequence[object] = (
            figure.value if isinstance(figure.value, tuple) else (figure.value,)
        )
        if figure.words or "?" in parts:
            raise BadInput(f"'{text}' is no number;", "write one for all, or one for each.")
        return figure

    def _read(self, text: str) -> Machine:
        loaded = definitions.load_machine(text, self._machine_id)
        if loaded.machine is None:
            raise Refused("\n".join(str(one) for one in loaded.problems if not one.note))
        return loaded.machine


def _numbers(table: ChartTable, which: Direction, edges: Edges) -> list[int]:
    """The bands of a row or of a column, by their numbers in the sheet."""
    at = 0 if which == "temperature" else 1
    return [number for places, number in table.bands.items() if places[at] == edges]
