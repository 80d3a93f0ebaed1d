"""What is printed for the shed: blank sheets of a list for a machine, the tag on the bars."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks.figures_used import steps_asking
from inspect_tui.core.definitions.sheets.sheet_rows import sheet_rows
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries, evaluate_session
from inspect_tui.core.model.log_entry import FORMAT, Entry
from inspect_tui.core.presentation.wording import TitleBlock
from inspect_tui.core.seasons.carried import CarriedNow
from inspect_tui.core.seasons.open_before import EarlierStop
from inspect_tui.core.session.replay import replay
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.errors import Refused
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store
from inspect_tui.workflow.missing_figures import glossary_of
from inspect_tui.workflow.session_log import SessionLog


def blank_sheets(store: Store, checklist: str, machine: str, at: datetime) -> bytes:
    """The blank sheets of a list for a machine, as PDF.

    Args:
        store: The person's, whose lists and sheets come before those that ship.
        checklist: An id, or a file's path.
        machine: The same of a sheet.
        at: When it is printed.

    Raises:
        BadInput: there is no such list or sheet.
        Refused: one of them has problems, each on a line.
    """
    from inspect_tui.report.pages import paper  # late: the PDF's library is heavy
    from inspect_tui.report.pdf import document as pdf

    list_path = definition_files.find("checklist", checklist, store)
    library = definition_files.Lists(store, list_path.parent)
    listed = definitions.load_checklist(
        definition_files.read_text(list_path), str(list_path), library
    )
    sheet_path = definition_files.find("machine", machine, store)
    sheet = definitions.load_machine(definition_files.read_text(sheet_path), str(sheet_path))
    problems = [str(each) for each in (*listed.problems, *sheet.problems) if not each.note]
    if problems or listed.compiled is None or sheet.machine is None:
        raise Refused("\n".join(problems))
    head = {"format": FORMAT, "program": "", "session": "", "checklist": "", "machine": ""}
    nothing = replay([Entry(0, "opened", at, "", head)])
    evaluated = evaluate_session(listed.compiled, sheet.machine, nothing)
    glossary = glossary_of(store, [listed.compiled])
    asking = steps_asking(listed.compiled)
    values: dict[str, list[str]] = {}
    for row in sheet_rows(sheet.machine, glossary, asking):
        values.setdefault(written(row.name), []).append(
            format_value(row.value, format_unit(row.unit))
        )
    blank = paper.Blank(
        sheet.machine, evaluated.results, evaluated.evaluator,
        tuple((name, glossary.get(name)) for name in asking),
        {name: " / ".join(said) for name, said in values.items()},
        at,
    )  # fmt: skip
    found = listed.compiled.checklist
    title = TitleBlock(
        sheet.machine.name or sheet.machine.id, found.title, found.revision, "", "", "blank", ""
    )
    return pdf.write_blocks(title, at, tuple(paper.paper_blocks(blank)))


def tag(
    log: SessionLog,
    at: datetime,
    earlier: Sequence[CarriedNow] = (),
    stops: Sequence[EarlierStop] = (),
) -> bytes:
    """The tag of a session, as PDF.

    Args:
        log: The session's.
        at: When it is printed.
        earlier: What earlier sessions of the machine put off.
        stops: What they left in the way of a run.

    Raises:
        Refused: nothing of it stops the machine.
    """
    from inspect_tui.report.content.report import Extras, LogState, report
    from inspect_tui.report.pdf import tag as tags

    evaluated = evaluate_entries(log.entries)
    state = LogState(log.problems, log.torn_bytes)
    extras = Extras(earlier=tuple(earlier), earlier_stops=tuple(stops))
    made = report(evaluated.session, evaluated.results, log.entries, state, extras)
    return tags.write(made, at)
