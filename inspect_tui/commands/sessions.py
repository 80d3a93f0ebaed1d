"""Commands that write: new, record, skip, note, add-finding, add-step, decide, sign, addendum."""

from __future__ import annotations

import argparse
import contextlib
import getpass
import os
import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence

from inspect_tui.commands.common import now, opened, places, show, tell
from inspect_tui.core.evaluation.diff import noticed_findings
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.core.quantities import units
from inspect_tui.core.readings.parse import read
from inspect_tui.core.seasons.summary import as_date
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.errors import BadInput, InspectError
from inspect_tui.files import settings
from inspect_tui.files.store import typed_path
from inspect_tui.workflow import catalogue
from inspect_tui.workflow.inspection import Inspection, Target, WantedPart

_ID = r"[A-Za-z][A-Za-z0-9_-]*"
_VALUE = re.compile(rf"({_ID})\.({_ID})([@=])(.*)", re.DOTALL)
_PLACE = re.compile(rf"({_ID})(?:\.({_ID})(?:@(.*))?)?", re.DOTALL)


def person(given: argparse.Namespace) -> str:
    """Who does it: as given, else the settings' name, else the one used last, else asked.

    Where nobody can be asked it is the computer's account, which is said: it never signs.
    """
    if named := sanitize(given.by) or settings.read(places(given)).by:
        return named
    if named := catalogue.name_used_last(places(given)):
        tell(f"By {named}, as last time; --by NAME says another.")
        return named
    if sys.stdin is not None and sys.stdin.isatty() and sys.stderr.isatty():
        sys.stderr.write("Who does the inspection? ")
        sys.stderr.flush()
        if named := sanitize(sys.stdin.readline()).strip():
            return named
    account = _account()
    tell(f"By {account}, as this computer calls its account; --by NAME says who it is.")
    return account


def _account() -> str:
    try:
        return sanitize(getpass.getuser())
    except (OSError, KeyError):
        return f"user {os.getuid()}"


def new(given: argparse.Namespace) -> int:
    """Begin a session; its id alone on stdout."""
    with Inspection.new(
        places(given), given.checklist, given.machine, person(given), now,
        only=given.only, items=given.item,
    ) as inspection:  # fmt: skip
        for text in inspection.said:
            tell(text)
        show(inspection.id)
        _keep_sight(inspection)
    return 0


def _keep_sight(inspection: Inspection) -> None:
    """What `walk` will show first; the id is said before, since nothing rests on this."""
    from inspect_tui.tui.base.desk import Desk
    from inspect_tui.tui.loading.next_opening import keep_sight

    with contextlib.suppress(InspectError):  # the session is begun, whatever can't be read now
        keep_sight(inspection, Desk(inspection).view())


def _assigned(inspection: Inspection, text: str) -> tuple[Target, str]:
    """One STEP.READING[@CYLINDER]=VALUE. Cylinder names may hold any character, `=` too."""
    match = _VALUE.fullmatch(text)
    if match is None:
        raise BadInput(
            f"'{sanitize(text)[:80]}' is no reading to record.",
            "Write STEP.READING=VALUE, or STEP.READING@CYLINDER=VALUE.",
        )
    step, reading, mark, rest = match.groups()
    if mark == "=":
        return Target(step, reading), rest
    known = sorted(inspection.machine.cylinders, key=len, reverse=True)
    for cylinder in known:
        if rest.startswith(f"{cylinder}="):
            return Target(step, reading, cylinder), rest[len(cylinder) + 1 :]
    cylinder, equals, value = rest.partition("=")
    if not equals:
        raise BadInput(f"'{sanitize(text)[:80]}' has no value.", "Write it behind '='.")
    return Target(step, reading, cylinder), value


def _understood(
    inspection: Inspection, texts: Sequence[str], phase: Phase
) -> list[tuple[Target, str]]:
    """What is to be recorded; BadInput for the first that can't be."""
    values = [_assigned(inspection, text) for text in texts]
    targets = [target for target, _ in values]
    times = Counter(targets)
    doubled = [target for target in targets if times[target] > 1]
    if doubled:
        raise BadInput(f"{doubled[0]} is given twice.", "Give each reading once.")
    inspection.validator.validate(values, phase)
    return values


def record(given: argparse.Namespace) -> int:
    """Record readings, all or none."""
    phase = AS_LEFT if given.as_left else AS_FOUND
    with opened(given) as inspection:
        try:
            values = _understood(inspection, given.values, phase)
        except BadInput as error:
            if len(given.values) < 2:
                raise
            fault = str(error)
            end = "" if fault.endswith((".", "?", "!")) else "."
            raise BadInput(f"{fault}{end} Nothing was recorded.") from None
        for step in dict.fromkeys(target.step for target, _ in values):
            if inspection.cautions.text(step):
                title = inspection.results.step(step).step.title
                tell(f"CAUTION, {title}: {inspection.cautions.text(step)}")
        before = inspection.results
        in_own = list(_taken_otherwise(inspection, values, _own_units(given)))
        said = inspection.record(
            values, phase, state=given.state, gauge=given.gauge, with_cautions=True
        )
        found = noticed_findings(before, inspection.results)
        noticed = {finding.text for finding in found}
        for text in (*in_own, *said):
            if text not in noticed:
                tell(text)
        for target, _ in values:
            row = inspection.results.row(target.step, target.reading, target.cylinder, phase)
            if row is not None:
                verdict = row.judged.words or "no limit"
                show(f"{target} = {row_words(row)}: {verdict}")
        for finding in found:
            show(f"Noticed: {finding.id}: {finding.text}")
    return 0


def _own_units(given: argparse.Namespace) -> settings.Settings:
    try:
        return settings.read(places(given))
    except InspectError as error:  # what is recorded doesn't rest on it
        tell(str(error))
        return settings.Settings()


def _taken_otherwise(
    inspection: Inspection, values: Sequence[tuple[Target, str]], own: settings.Settings
) -> Iterator[str]:
    """What to say of bare numbers that the app would have taken in the person's own unit."""
    for target, text in values if own.units else ():
        reading = inspection.validator.place(target)
        if reading.kind != "number" or not reading.unit or reading.condition == "qnh":
            continue
        theirs = own.unit_for(reading.unit)
        typed = read(text, reading)
        if not theirs or typed.written or typed.value is None:
            continue
        if units.unit(theirs).name != units.unit(reading.unit).name:
            yield (
                f"{target}: {typed.entered} was taken in {format_unit(reading.unit)}, while your "
                f"own unit for it is {theirs}; write '{typed.entered} {theirs}' where that was "
                "meant."
            )


def skip(given: argparse.Namespace) -> int:
    """Skip a step or a reading."""
    match = _PLACE.fullmatch(given.what)
    if match is None:
        raise BadInput(
            f"'{sanitize(given.what)[:80]}' names no step.",
            "Write STEP or STEP.READING[@CYLINDER].",
        )
    step, reading, cylinder = match.groups()
    with opened(given) as inspection:
        inspection.skip(step, given.why, reading, cylinder)
    return 0


def note(given: argparse.Namespace) -> int:
    """Words at a step."""
    with opened(given) as inspection:
        inspection.note(given.step, given.text)
    return 0


def add_finding(given: argparse.Namespace) -> int:
    """A finding in a person's own words; its id on stdout."""
    with opened(given) as inspection:
        show(inspection.add_finding(given.step, given.text, given.cylinder))
    return 0


def add_step(given: argparse.Namespace) -> int:
    """Add a step; its id on stdout."""
    with opened(given) as inspection:
        show(inspection.add_step(given.section, given.title, given.unit))
    return 0


def wanted_part(given: argparse.Namespace) -> WantedPart | None:
    """The part of `--part --quantity --number`; None where none of them is given."""
    if not (given.part or given.quantity or given.number):
        return None
    try:
        quantity = int(given.quantity or "1")
    except ValueError:
        raise BadInput(
            f"'{sanitize(given.quantity)[:80]}' is no number of parts.", "Write one such as 2."
        ) from None
    return WantedPart(given.part, quantity, given.number)


def decide(given: argparse.Namespace) -> int:
    """Decide about a finding."""
    with opened(given) as inspection:
        inspection.look_back()  # what can't be read is said before anything is written
        inspection.decide(
            given.finding, given.decision, given.why, given.until, part=wanted_part(given)
        )
        day = as_date(given.until.strip())
        if day is not None and day < now().date():
            tell(f"{day} has gone by: it comes up again at once. Decide it again with a later day.")
        made = next((f for f in inspection.results.findings if f.id == given.finding), None)
        waits = made is not None and not made.counts
        if waits or any(each.id == given.finding for each in inspection.carried):
            tell(
                f"{given.finding}: '{wording.decision_words(given.decision)}' counts once a "
                "passing value is recorded as left."
            )
    return 0


def accepted_steps(given: Sequence[str]) -> dict[str, str]:
    """By step: the words of each `--accept STEP=TEXT`; BadInput for one that is none."""
    accepted: dict[str, str] = {}
    for text in given:
        step, equals, words = text.partition("=")
        if not equals or not step:
            raise BadInput(f"'{sanitize(text)[:80]}' accepts no step.", "Write --accept STEP=TEXT.")
        if step in accepted:
            raise BadInput(f"'{sanitize(step)}' is accepted twice.", "Accept each step once.")
        accepted[step] = words
    return accepted


def sign(given: argparse.Namespace) -> int:
    """Sign off, or say each open thing; with a key, sign the seal too."""
    key = None if given.key is None else typed_path(given.key)
    by = sanitize(given.by) or settings.read(places(given)).by
    if not by:
        raise BadInput("Nobody signs.", "Say who does: --by NAME, or once settings by=NAME.")
    with opened(given) as inspection:
        if key is not None and inspection.session.signed is not None:
            inspection.add_signature(by, key)
        else:
            inspection.sign(by, given.accept_open, key, accepted_steps(given.accept))
            assert inspection.session.signed is not None
            for text in inspection.session.signed.open:
                tell(f"Left open: {text}")
            for text in inspection.session.signed.left_out:
                tell(text)
        signed = inspection.session.signed
        show(f"Signed by {signed.by}. Seal {wording.short_seal(signed.seal)}")
        if key is None:
            short = wording.short_seal(signed.seal)
            show(
                "Write the seal on the paper copy; it is compared by: "
                f"inspect-tui verify {inspection.id} --seal '{short}'"
            )
        else:
            from inspect_tui.files.signing import signatures  # late: it brings subprocess

            made = inspection.entries[-1].get("public_key", "")
            show(f"Signature by the key {signatures.fingerprint(made)}")
    return 0


def addendum(given: argparse.Namespace) -> int:
    """Words after the sign-off."""
    with opened(given) as inspection:
        inspection.addendum(given.text, given.by)
    return 0
