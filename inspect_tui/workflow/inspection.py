"""One inspection being done: the only joiner of core and files.

Commands and the app hold one `Inspection`; screens get its `results` and `session`, both frozen
and replaced after every entry. Written first, shown second.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from inspect_tui.core.evaluation.diff import changed_verdicts, noticed
from inspect_tui.core.evaluation.validate import Preview, Target, logged, suggest_or_list
from inspect_tui.core.expressions import ambient
from inspect_tui.core.model.log_entry import DECISIONS, Entry, Phase
from inspect_tui.core.quantities import units
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files import definition_files
from inspect_tui.workflow.catalogue import (
    DefinitionLine,
    SessionLine,
    checklists,
    machines,
    sessions,
)
from inspect_tui.workflow.session_log import wanted
from inspect_tui.workflow.session_photos import PhotographedLog

__all__ = [
    "DefinitionLine", "Inspection", "Preview", "SessionLine", "Target", "checklists", "machines",
    "sessions",
]  # fmt: skip


class Inspection(PhotographedLog):
    """A session that is open for writing or for reading, and what a person does in it.

    `said` holds what has to be told on opening: a torn tail that was moved, broken entries,
    figures that the sheet lacks.
    """

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What this text would be as that reading; writes nothing, raises nothing."""
        return self.asking.preview(target, text, phase)

    def record(
        self,
        values: Sequence[tuple[Target, str]],
        phase: Phase = "as-found",
        *,
        state: str = "",
        gauge: str = "",
        with_cautions: bool = False,
    ) -> tuple[str, ...]:
        """Record readings, all or none; returns what has to be said (questions, advice).

        Args:
            values: Which reading, and what was typed; `file:PATH` takes a photo's file.
            phase: As found or as left.
            state: In what state it was taken (cold, loaded ...).
            gauge: Which gauge.
            with_cautions: Log the cautions of the steps as printed by a command.

        Raises:
            BadInput: something can't be taken; nothing was written.
            Refused: signed, or open for reading only.
            NotSaved: the disk did not take it.
        """
        self._writable()
        values, pictures = self._looked_at(values)
        asked = self.asking.validate(values, phase, sanitize(gauge))
        entries: list[tuple[str, dict[str, Any]]] = []
        said = list(self._keep(pictures.values()))
        for step in dict.fromkeys(target.step for target, _ in values):
            if with_cautions and self.caution_of(step) and not self._caution_logged(step):
                keys = {"step": step, "text": self.caution_of(step), "printed": True}
                entries.append(("caution", keys))
            first = next(place for place, one in enumerate(asked) if one.target.step == step)
            advice = self.results.step(step).advice
            if first:
                advice = self.asking.advice(step, asked[:first], phase, sanitize(gauge))
            advice = self._untold(step, advice)
            said.extend(advice)
            entries.extend(
                ("note", {"step": step, "text": f"Advice not followed: {text}"}) for text in advice
            )
        for one in asked:
            said.extend([one.question] if one.question else [])
            picture = pictures.get(one.target)
            entries.append(
                (
                    "reading",
                    {
                        "step": one.target.step, "reading": one.target.reading,
                        "cylinder": one.target.cylinder, "phase": phase,
                        "entered": one.entered,
                        "value": f"sha256:{picture.hash}" if picture else logged(one.value),
                        "unit": one.unit or None, "verdict": one.judged.verdict,
                        "photo": picture.file_name if picture else None,
                        "state": sanitize(state) or None,
                        "gauge": sanitize(gauge) or None,
                    },
                )
            )  # fmt: skip
        before = self.results
        self._write(*entries)
        if any(self.evaluation.says_air(target.step, target.reading) for target, _ in values):
            said.extend(changed_verdicts(before, self.results))
        said.extend(text for text in noticed(before, self.results) if text not in said)
        return tuple(said)

    def _untold(self, step: str, advice: Iterable[str]) -> tuple[str, ...]:
        """Of the advice that is not followed, what was not said in this session yet."""
        told = {note.text for note in self.session.notes if note.step == step}
        return tuple(text for text in advice if f"Advice not followed: {text}" not in told)

    def skip(
        self, step: str, why: str, reading: str | None = None, cylinder: str | None = None
    ) -> None:
        """Skip a step or one reading, with the reason.

        Raises:
            BadInput: no such step, reading or cylinder; no reason.
            Refused: the reading has a value, which would go on to stand.
        """
        self._writable()
        self.asking.step(step)
        if reading is not None:
            self.asking.without_value(Target(step, reading, cylinder))
        why = wanted("the reason", why)
        self._write(
            ("skipped", {"step": step, "reading": reading, "cylinder": cylinder, "why": why})
        )

    def note(self, step: str, text: str) -> None:
        """Words at a step."""
        self._writable()
        self.asking.step(step)
        self._write(("note", {"step": step, "text": wanted("the note", text)}))

    def add_finding(self, step: str, text: str, cylinder: str | None = None) -> str:
        """A finding in a person's own words; returns its id (F1, F2 ...)."""
        self._writable()
        self.asking.step(step)
        if cylinder is not None:
            self.asking.cylinder(cylinder)
        finding = _next_id("F", (each.id for each in self.session.findings))
        keys = {
            "id": finding, "step": step, "text": wanted("the finding", text),
            "cylinder": cylinder,
        }  # fmt: skip
        self._write(("finding", keys))
        return finding

    def add_step(self, section: str, title: str, unit: str = "") -> str:
        """A step thought of on the spot; returns its id (added-1 ...)."""
        self._writable()
        known = [each.id for each in self.compiled.checklist.section]
        if section not in known:
            raise BadInput(f"There is no section '{section}'.", suggest_or_list(section, known))
        if unit:
            units.unit(unit)
        step = _next_id("added-", (each.id for each in self.session.added))
        keys = {
            "section": section, "step": step, "title": wanted("the title", title),
            "unit": unit or None,
        }  # fmt: skip
        self._write(("step-added", keys))
        return step

    def decide(self, finding: str, decision: str, why: str = "", until: str = "") -> None:
        """What is done about a finding.

        Raises:
            BadInput: no such finding or decision; `later` without a date or a checklist's id.
        """
        self._writable()
        known = [each.id for each in self.results.findings]
        if finding not in known:
            hint = suggest_or_list(finding, known) if known else "There are no findings yet."
            raise BadInput(f"There is no finding '{sanitize(finding)}'.", hint)
        if decision not in DECISIONS:
            raise BadInput(
                f"'{sanitize(decision)}' is no decision.", f"Use {', '.join(DECISIONS)}."
            )
        until = self._until(decision, until)
        keys = {
            "finding": finding, "decision": decision, "why": sanitize(why) or None,
            "until": until or None,
        }  # fmt: skip
        self._write(("decision", keys))

    def _until(self, decision: str, until: str) -> str:
        until = until.strip()
        if not until:
            if decision == "later":
                raise BadInput(
                    "'later' wants --until: a date such as 2026-12-20, or a checklist's id such "
                    "as first-ride."
                )
            return ""
        try:
            return date.fromisoformat(until).isoformat()
        except ValueError:
            listed = definition_files.list_all("checklist", self.places)
            events = [definition_files.id_of(path) for path in listed]
            if until in events or until == self.compiled.checklist.id:
                return until
            raise BadInput(
                f"'{sanitize(until)}' is neither a date such as 2026-12-20 nor a checklist's id.",
                suggest_or_list(until, events),
            ) from None

    def caution_of(self, step: str) -> str:
        """The caution of a step; of the whole list for ""."""
        if not step:
            return "\n".join(self.compiled.checklist.cautions)
        return self.compiled.steps[step].caution

    def confirm_caution(self, step: str = "") -> None:
        """The caution of a step (or of the list, "") was read. Written once a session."""
        if self.caution_confirmed(step):
            return
        self._writable()
        self._write(("caution", {"step": step or None, "text": self.caution_of(step)}))

    def confirm_begin(self, step: str) -> None:
        """The person goes on at a step that starts the engine or moves the machine.

        What they were told before it, the gates that are open, is logged beside the step's own
        caution where that was not confirmed yet.

        Raises:
            BadInput: the step begins nothing.
        """
        self._writable()
        begins = self.asking.step(step).begins
        if not begins:
            raise BadInput(f"Step '{sanitize(step)}' starts and moves nothing.")
        what = "the engine runs" if begins == "start" else "the machine moves"
        told = self.results.step(step).advice or (f"Before {what}: no safety step is open.",)
        cautions = [" ".join(told)]
        if self.caution_of(step) and not self.caution_confirmed(step):
            cautions.insert(0, self.caution_of(step))
        self._write(*(("caution", {"step": step, "text": text}) for text in cautions))

    def _caution_logged(self, step: str) -> bool:
        return any(caution.step == step for caution in self.session.cautions)

    def caution_confirmed(self, step: str = "") -> bool:
        """Whether it was confirmed in this session."""
        return any(one.step == step and not one.printed for one in self.session.cautions)

    def set_conditions(self, /, **said: str) -> tuple[str, ...]:
        """Air of the day, as typed: temperature, qnh, altitude, relative_humidity.

        Everything that rests on it is worked out again; returns what changed its verdict.
        """
        self._writable()
        for name, text in said.items():
            if name not in ambient.UNITS:
                raise BadInput(
                    f"'{sanitize(name)}' is no condition.",
                    suggest_or_list(name, list(ambient.UNITS)),
                )
            ambient.typed(name, text)
        before = self.results
        self._write(("conditions", {name: sanitize(text) for name, text in said.items()}))
        return changed_verdicts(before, self.results)

    def move(self, target: Target, from_phase: Phase) -> None:
        """Move a value that was put in the wrong phase to the other one."""
        self._writable()
        self.asking.place(target)
        recorded = self.session.readings.get((*dataclasses.astuple(target), from_phase))
        if recorded is None:
            raise BadInput(f"{target} has no value {from_phase.replace('-', ' ')} to move.")
        to: Phase = "as-left" if from_phase == "as-found" else "as-found"
        (one,) = self.asking.validate([(target, recorded.entered)], to, recorded.gauge)
        keys = {
            "step": target.step, "reading": target.reading, "cylinder": target.cylinder,
            "phase": to, "entered": one.entered,
            "value": recorded.value if recorded.photo else logged(one.value),
            "photo": recorded.photo or None, "unit": one.unit or None,
            "verdict": one.judged.verdict,
            "state": recorded.state or None, "gauge": recorded.gauge or None,
            "moved_from": from_phase,
        }  # fmt: skip
        self._write(("reading", keys))

    def sign(self, by: str, accept_open: str = "", key: Path | None = None) -> None:
        """Sign off; with an SSH key, a signature over the sign-off's seal goes right after it.

        Raises:
            Refused: something is open, each named, and `accept_open` has no words; or the key
                did not sign, and then nothing is written.
            BadInput: nobody named, or a key that can't sign here.
        """
        self._writable()
        by = wanted("who signs", by)
        accepted = sanitize(accept_open)
        blocks = self.results.signoff_blockers
        if blocks and not accepted:
            raise Refused("Not signed, because this is open:\n" + "\n".join(blocks))
        keys = {"open": list(blocks), "accepted": accepted or None}
        self._write(("signed", keys), by=by, following=None if key is None else _signer(by, key))

    def add_signature(self, by: str, key: Path) -> None:
        """Put an SSH signature over the seal of the sign-off that is there already.

        Raises:
            Refused: the session is not signed off, or the key did not sign.
            BadInput: nobody named, or a key that can't sign here.
        """
        from inspect_tui.files.signing import signatures

        by = wanted("who signs", by)
        signed = next((entry for entry in self.entries if entry.kind == "signed"), None)
        if signed is None:
            raise Refused(f"Session {self.session.id} is not signed off yet.", "Sign it off first.")
        self._write(("signature", signatures.make(signed, key)), by=by)

    def addendum(self, text: str, by: str = "") -> None:
        """Words added after the sign-off. Raises Refused while the session is open."""
        if self.session.signed is None:
            raise Refused(
                f"Session {self.session.id} is not signed yet, so it takes no addendum.",
                "Use 'note'.",
            )
        self._write(("addendum", {"text": wanted("the addendum", text)}), by=sanitize(by))

    def export(self, form: str, photo_metadata: bool = False) -> bytes:
        """The report: md, html, csv, json or pdf.

        Args:
            form: The format. HTML shows the photos, made smaller; the others name them.
            photo_metadata: Keep in those what the camera wrote (place, camera, time, owner).
        """
        from inspect_tui.report.content import LogState, report
        from inspect_tui.report.export import export

        held = LogState(self.log.problems, self.log.torn_bytes)
        with_metadata = photo_metadata and form == "html"
        copies = self.photo_copies(with_metadata) if form == "html" else {}
        return export(
            form,
            report(self.session, self.results, self.entries, held, copies, with_metadata),
        )

    def save_report(self, form: str) -> str:
        """Write the report into the store's folder `reports`; returns the file's path.

        Raises:
            NotSaved: the disk did not take it.
        """
        from inspect_tui.files import atomic_write
        from inspect_tui.files.disk import make_folder, reason_in_words

        data = self.export(form)
        folder = self.places.store / "reports"
        try:
            make_folder(folder)
        except OSError as error:
            raise NotSaved(
                f"The folder '{folder}' can't be made: {reason_in_words(error)}."
            ) from error
        # The id is the log's own word: one that is no id must not become a path.
        path = folder / f"{self.places.log(self.session.id).stem}.{form}"
        atomic_write.write(path, data)
        return str(path)

    def resume(self) -> None:
        """Log that the app goes on with this session; nothing where it can't be written."""
        if not self.read_only:
            self._write(("resumed", {}))


def _signer(by: str, key: Path) -> Callable[[Entry], Entry]:
    # Late: it brings subprocess, which no start of the program should wait for.
    from inspect_tui.files.signing import signatures

    def follow(signed: Entry) -> Entry:
        return Entry(-1, "signature", signed.at, by, signatures.make(signed, key))

    return follow


def _next_id(start: str, taken: Iterable[str]) -> str:
    """The first number behind those that are given: F1, F2 ..."""
    numbers = [int(each[len(start) :]) for each in taken if each[len(start) :].isdecimal()]
    return f"{start}{max(numbers, default=0) + 1}"
