"""A machine's sheet as screens get at it, of an open session or by itself. Knows no terminal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.tui.base.view_model import Outcome, Request

if TYPE_CHECKING:
    from inspect_tui.files.store import Store
    from inspect_tui.workflow.inspection import Inspection
    from inspect_tui.workflow.jet_charts import JetChart
    from inspect_tui.workflow.machine_figures import FigurePage, MachineFigures, PageRow

Submit = Callable[[Request], Outcome]


class SheetDesk:
    """One machine's figures: the page out, what is entered in; raises nothing but on opening."""

    def __init__(
        self,
        places: Store,
        machine: str,
        checklist: str = "",
        *,
        lists: Sequence[str] = (),
        inspection: Inspection | None = None,
        submit: Submit | None = None,
    ) -> None:
        """The desk of a machine's sheet.

        Args:
            places: The store.
            machine: The machine's id.
            checklist: The list that asks; the one that fits best for "".
            lists: All lists, to turn to another one.
            inspection: The open session that takes what is entered.
            submit: Does a request of that session, and shows it to every screen.

        Raises:
            InspectError: the sheet or the list can't be read.
        """
        self._places, self.machine, self._lists = places, machine, tuple(lists)
        self._inspection, self._submit = inspection, submit
        self._figures = self._of(checklist)

    def _of(self, checklist: str) -> MachineFigures:
        from inspect_tui.workflow.machine_figures import MachineFigures

        return MachineFigures(self._places, self.machine, checklist, self._inspection)

    def page(self) -> FigurePage:
        """The figures as they stand."""
        return self._figures.page()

    def trouble(self, row: PageRow, cylinder: str | None, text: str) -> str:
        """Why a text can't be this figure; "" where it can."""
        try:
            self._figures.trouble(row, cylinder, text)
        except InspectError as error:
            return str(error).replace(row.name, row.label)
        return ""

    def enter(self, row: PageRow, cylinder: str | None, text: str, source: str) -> Outcome:
        """Put it into the sheet, and into the session's log where one is open."""
        if self._submit is not None:
            return self._submit(lambda _: self._figures.enter(row, cylinder, text, source))
        try:
            return Outcome(self._figures.enter(row, cylinder, text, source))
        except (InspectError, OSError) as error:
            return Outcome(error=str(error))

    def mark_not_known(self, row: PageRow) -> str:
        """Nobody knows it, which the sheet keeps; why it can't, "" where it does."""
        try:
            self._figures.mark_not_known(row)
        except (InspectError, OSError) as error:
            return str(error)
        return ""

    def other_list(self) -> bool:
        """The next list asks; False where there is no other, or a session has its own."""
        if self._inspection is not None or len(self._lists) < 2:
            return False
        now = self._figures.compiled.checklist.id
        at = self._lists.index(now) if now in self._lists else -1
        for by in range(1, len(self._lists)):
            try:
                self._figures = self._of(self._lists[(at + by) % len(self._lists)])
            except InspectError:
                continue  # it has problems, which the start screen says
            return True
        return False

    @property
    def in_session(self) -> bool:
        """Whether a session is open, which goes on with the chart that it began with."""
        return self._inspection is not None

    def chart(self) -> JetChart:
        """The machine's jet chart, with the settings that the list asks of it."""
        from inspect_tui.workflow.jet_charts import JetChart

        return JetChart(self._places, self.machine, self._figures.compiled)
