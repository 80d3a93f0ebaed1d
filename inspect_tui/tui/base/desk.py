"""The open inspection as screens get at it: views out, requests in. Knows no terminal.

The app and the tests of the walk share it, so that what is tested is what the program does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.model.targets import Preview, Target
from inspect_tui.errors import InspectError, NotSaved
from inspect_tui.tui.base.error_guard import fault
from inspect_tui.tui.base.view_model import Outcome, Request, View

if TYPE_CHECKING:
    from inspect_tui.core.model.photo import Thumbnail
    from inspect_tui.workflow.inspection import Inspection

NOT_SAVED = (
    "It stays typed here: Enter tries again; 'Keep a copy' (Ctrl+P) writes it to another disk."
)
"""Said where the disk did not take something."""


class Desk:
    """One inspection, open for writing or for reading."""

    def __init__(self, inspection: Inspection, *, demo: bool = False) -> None:
        self.inspection = inspection
        self.demo = demo
        self._clock_note = ""

    def view(self, said: tuple[str, ...] = ()) -> View:
        """The inspection as it stands.

        Args:
            said: What has to be said on opening, before what the inspection itself has to say.
        """
        held = self.inspection
        broken = bool(held.log.problems)
        said += tuple(held.said)
        return View(held.results, held.session, held.read_only, said, self.demo, broken)

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
            return Outcome(error=f"{error} {unsaved or NOT_SAVED}")
        except InspectError as error:
            return Outcome(error=str(error))
        except Exception as error:
            return Outcome(error=fault(error))
        if (note := held.log.clock_note) and note != self._clock_note:
            self._clock_note = note
            said += (self._clock_note,)
        return Outcome(said)

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What a typed text would be; writes nothing."""
        return self.inspection.preview(target, text, phase)

    def zone(self, target: Target, phase: Phase) -> ToleranceInterval | None:
        """The limits that a reading is held against."""
        evaluation = self.inspection.evaluator
        step = evaluation.compiled.steps[target.step]
        return evaluation.zone(step, target.reading, target.cylinder, phase)

    def picture(self, photo: str, width: int, height: int) -> Thumbnail:
        """A photo of this session, small enough for so many pixels."""
        return self.inspection.photos.thumbnail(photo, width, height)
