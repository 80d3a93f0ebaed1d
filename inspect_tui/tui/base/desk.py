"""The open inspection as screens get at it: views out, requests in. Knows no terminal.

The app and the tests of the walk share it, so that what is tested is what the program does.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.model.targets import Preview, Target
from inspect_tui.core.text.visible import of_this_log
from inspect_tui.errors import InspectError, NotSaved
from inspect_tui.tui.base.error_guard import fault
from inspect_tui.tui.base.view_model import Outcome, Request, View

if TYPE_CHECKING:
    from inspect_tui.core.model.drawing import MachineDrawing
    from inspect_tui.core.model.photo import Thumbnail
    from inspect_tui.core.seasons.carried import Carried
    from inspect_tui.workflow.inspection import Inspection

NOT_SAVED = (
    "It stays typed here: Enter tries again; 'Keep a copy' (Ctrl+P) writes it to another disk."
)
"""Said where the disk did not take something."""


class Desk:
    """One inspection, open for writing or for reading."""

    def __init__(
        self,
        inspection: Inspection,
        *,
        demo: bool = False,
        own_unit: Callable[[str], str | None] | None = None,
    ) -> None:
        """The desk of an inspection.

        Args:
            inspection: Open for writing or for reading.
            demo: It is the demonstration.
            own_unit: The unit in which the person reads figures of a list's unit.
        """
        self.inspection = inspection
        self.demo = demo
        self._own_units = _own_units(inspection, own_unit) if own_unit is not None else {}
        self._clock_note = ""
        # Late: it brings the definitions' loader, which no first picture should wait for.
        from inspect_tui.workflow.missing_figures import MissingFigures
        from inspect_tui.workflow.not_known import NotKnown
        from inspect_tui.workflow.put_off import PutOffUntil

        self._missing = MissingFigures(inspection.places)
        self._not_known = NotKnown(inspection.places)
        self._put_off = PutOffUntil(inspection.places)

    def read_in(self, own_unit: Callable[[str], str | None]) -> None:
        """The person reads figures in other units from now on."""
        self._own_units = _own_units(self.inspection, own_unit)

    def view(self, said: tuple[str, ...] = ()) -> View:
        """The inspection as it stands.

        Args:
            said: What has to be said on opening, before what the inspection itself has to say.
        """
        held = self.inspection
        broken = bool(held.log.problems)
        said += tuple(held.said)
        said = tuple(of_this_log(each, held.id) for each in said)
        missing = self._missing.at_steps(held.compiled, held.machine)
        return View(
            held.results, held.session, held.read_only, said, self.demo, broken, self._own_units,
            held.earlier.lasts, held.carried, held.earlier_stops, missing,
            self._not_known.of(held.machine.id) if missing else frozenset(), self._put_off,
        )  # fmt: skip

    def submit(self, request: Request, *, unsaved: str = "") -> Outcome:
        """Do it now; raises nothing.

        Args:
            request: What to do.
            unsaved: What to do next where the disk doesn't take it, instead of the usual advice.
        """
        held = self.inspection
        try:
            said = request(held) or ()
        except NotSaved as error:
            words = of_this_log(str(error), held.id)
            return Outcome(error=f"{words} {unsaved or NOT_SAVED}")
        except InspectError as error:
            return Outcome(error=of_this_log(str(error), held.id))
        except Exception as error:
            return Outcome(error=fault(error))
        if (note := held.log.clock_note) and note != self._clock_note:
            self._clock_note = note
            said += (of_this_log(self._clock_note, held.id),)
        return Outcome(said)

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What a typed text would be; writes nothing."""
        return self.inspection.preview(target, text, phase)

    def zone(self, target: Target, phase: Phase) -> ToleranceInterval | None:
        """The limits that a reading is held against."""
        evaluation = self.inspection.evaluator
        step = evaluation.compiled.steps[target.step]
        return evaluation.zone(step, target.reading, target.cylinder, phase)

    def figure_trouble(self, name: str, text: str) -> str:
        """Why a text can't be this figure of the machine's sheet; "" where it can."""
        from inspect_tui.workflow.sheet_figures import check_figure_of_session

        try:
            check_figure_of_session(self.inspection.places, self.inspection, f"{name}={text}")
        except InspectError as error:
            return str(error)
        return ""

    def drawing(self) -> MachineDrawing | None:
        """The machine's side view; None where the list names none, or it can't be read."""
        from inspect_tui.workflow.drawings import machine_drawing

        name = self.inspection.results.checklist.drawing
        if not name:
            return None
        try:
            return machine_drawing(name, self.inspection.places).drawing
        except InspectError:
            return None  # `check` says what is wrong with it; a table takes its place

    def carried(self) -> tuple[Carried, ...]:
        """What earlier sessions of the machine put off, and this one has not settled."""
        return self.inspection.carried

    def picture(self, photo: str, width: int, height: int) -> Thumbnail:
        """A photo of this session, small enough for so many pixels."""
        return self.inspection.photos.thumbnail(photo, width, height)


def _own_units(
    inspection: Inspection, own_unit: Callable[[str], str | None]
) -> dict[tuple[str, str], str]:
    """By (step, reading): the person's own unit for it, where it isn't the list's.

    A gauge's unit is no unit of the weather: a report's sea-level pressure stays in the list's.
    """
    known: dict[str, str] = {}
    found = {}
    for result in inspection.results.steps:
        for reading in result.step.readings:
            if reading.kind == "number" and reading.unit and reading.condition != "qnh":
                if reading.unit not in known:
                    known[reading.unit] = own_unit(reading.unit) or ""
                if known[reading.unit] not in ("", reading.unit):
                    found[result.step.id, reading.id] = known[reading.unit]
    return found
