"""All figures and facts of one machine, to be gone through with the manual on the knees.

Of the sheet alone, or of an open session, whose log takes what is entered too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks.figures_used import facts_asked, steps_asking
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.sheets.typed_fact import typed_fact
from inspect_tui.core.definitions.spec_values import facts, figures, written
from inspect_tui.core.expressions.expression import NOT_MEASURED, Missing, Name, Value
from inspect_tui.core.model.figures import FactDescription, FigureDescription
from inspect_tui.core.model.machine import UNKNOWN, Machine
from inspect_tui.errors import Refused
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store
from inspect_tui.workflow import not_known, sheet_figures
from inspect_tui.workflow.missing_figures import facts_of, glossary_of
from inspect_tui.workflow.not_known import NotKnown
from inspect_tui.workflow.sheets import Lists, lists_of

if TYPE_CHECKING:
    from inspect_tui.workflow.inspection import Inspection

FACTS = "The machine"
OTHERS = "In the sheet, not asked for by this list"
SEEN = "seen on the machine"
"""Where a fact comes from, unless somebody says otherwise."""


@dataclass(frozen=True, slots=True)
class PageRow:
    """One figure or fact, as the page shows it."""

    name: str
    """As the sheet writes it, or will."""
    label: str
    section: str
    """The heading that it stands under."""
    values: tuple[str, ...]
    """As the sheet has them: one, or one for each cylinder; "" where it lacks."""
    cylinders: tuple[str, ...] = ()
    """Whose the values are; none where there is one for all."""
    unit: str = ""
    where: str = ""
    source: str = ""
    about: FactDescription | None = None
    """Of a fact that somebody describes."""
    is_fact: bool = False
    is_not_known: bool = False
    """The sheet says that nobody knows it."""

    @property
    def key(self) -> tuple[bool, str]:
        """What tells it from every other row."""
        return self.is_fact, self.name

    @property
    def is_missing(self) -> bool:
        """Whether the sheet lacks it, for some cylinder at least."""
        return "" in self.values


@dataclass(frozen=True, slots=True)
class FigurePage:
    """A machine's figures as they stand."""

    machine: str
    """Its name."""
    checklist: str
    """The title of the list that asks."""
    rows: tuple[PageRow, ...]
    """In the list's order, section by section; what it doesn't ask for last."""
    in_session: bool = False


class MachineFigures:
    """What the page of figures reads and writes."""

    def __init__(
        self,
        places: Store,
        machine: str,
        checklist: str = "",
        inspection: Inspection | None = None,
    ) -> None:
        """The figures of a machine.

        Args:
            places: The person's store.
            machine: Its id.
            checklist: The id of the list that asks; the one that the sheet fits best for "".
            inspection: The open session that takes them too.

        Raises:
            BadInput: there is no such machine or list.
            Refused: one of them has problems.
        """
        self._places = places
        self.machine_id = machine
        self._inspection = inspection
        self._facts = facts_of(places)
        self._not_known = NotKnown(places)
        if inspection is not None:
            compiled = inspection.compiled
            self._lists = Lists([compiled])
            self._lists.glossary = glossary_of(places, [compiled])
        else:
            self._lists = lists_of(places, checklist)
            if not checklist:
                compiled = _best_fitting(self._machine(), self._lists.compiled)
                self._lists.compiled = [compiled]
        self.compiled = self._lists.compiled[0]

    def page(self) -> FigurePage:
        """The page as it stands by now. Raises Refused where the sheet can't be read any more."""
        machine, compiled = self._machine(), self.compiled
        places = {
            step.id: section.title
            for section in compiled.checklist.section
            for step in section.step
        }
        rows = [self._fact(name, machine) for name in facts_asked(compiled)]
        asked = {row.name for row in rows}
        rows += [
            self._fact(name, machine) for name in machine.machine if written(name) not in asked
        ]
        there = {written(name): name for name in (*machine.spec, *machine.spec_text)}
        hidden = _hidden_steps(compiled, machine)
        asking = {
            name: [step for step in steps if step not in hidden]
            for name, steps in steps_asking(compiled).items()
            if not steps or not hidden.issuperset(steps)
        }
        order = {step: at for at, step in enumerate(places)}
        wanted = sorted(
            (name for name, steps in asking.items() if steps),
            key=lambda name: order[asking[name][0]],
        )
        wanted += [name for name, steps in asking.items() if not steps]
        charted = {written(name) for band in machine.jet_chart for name in band.settings}
        for name in wanted:
            steps = asking[name]
            section = places[steps[0]] if steps else "What is concluded"
            if name in there or name not in charted:
                rows.append(self._figure(there.pop(name, name), machine, section))
        rows += [self._figure(name, machine, OTHERS) for name in there.values()]
        return FigurePage(
            machine.name, compiled.checklist.title, tuple(rows), self._inspection is not None
        )

    def trouble(self, row: PageRow, cylinder: str | None, text: str) -> None:
        """Raises BadInput where a text can't be this figure; writes nothing."""
        if row.is_fact:
            typed_fact(row.label, text, row.about)
            return
        given = f"{_place(row, cylinder)}={_one_value(row, cylinder, text)}"
        if self._inspection is not None:
            sheet_figures.check_figure_of_session(self._places, self._inspection, given)
        else:
            machine = self._machine()
            texts = sheet_figures.given_of([given], machine)
            sheet_figures.understood(texts, machine, self._lists)

    def enter(self, row: PageRow, cylinder: str | None, text: str, source: str) -> tuple[str, ...]:
        """Put it into the sheet, and into the log of the session where one is open.

        Returns:
            What it changed, a sentence each.

        Raises:
            BadInput: it can't be one; nothing was written.
            Refused: the sheet or the session can't be changed.
            NotSaved: the disk did not take it.
        """
        held = self._inspection
        if row.is_fact:
            fact = typed_fact(row.label, text, row.about)
            source = source or SEEN
            if held is not None:
                said = sheet_figures.set_fact_of_session(self._places, held, row.name, fact, source)
                return tuple(said)
            sheet_figures.set_fact(self._places, self.machine_id, row.name, fact, source)
            return ()
        given = [f"{_place(row, cylinder)}={_one_value(row, cylinder, text)}"]
        if held is not None:
            _, said = sheet_figures.set_figures_of_session(
                self._places, held, given, source, for_screen=True
            )
            return tuple(said)
        sheet_figures.set_figures(self._places, self.machine_id, given, source, self._lists)
        return ()

    def mark_not_known(self, row: PageRow) -> None:
        """Nobody knows it: the sheet says so. Of a fact that is not kept.

        Raises:
            Refused: the sheet can't be changed here.
            NotSaved: the disk did not take it.
        """
        if not row.is_fact:
            not_known.mark(self._places, self.machine_id, row.name)

    # Rows

    def _machine(self) -> Machine:
        if self._inspection is not None:
            return self._inspection.machine
        path = definition_files.find("machine", self.machine_id, self._places)
        loaded = definitions.load_machine(definition_files.read_text(path), str(path))
        if loaded.machine is None:
            raise Refused("\n".join(str(one) for one in loaded.problems if not one.note))
        return loaded.machine

    def _fact(self, name: str, machine: Machine) -> PageRow:
        names = {written(each): each for each in machine.machine}
        there = names.get(written(name))
        about = self._facts.get(written(name))
        value = ""
        if there is not None:
            fact = machine.machine[there]
            value = ("yes" if fact else "no") if isinstance(fact, bool) else str(fact)
        return PageRow(
            there or name, about.label if about else _words(name), FACTS, (value,),
            where=about.where if about else "", source=_source(machine, name), about=about,
            is_fact=True,
        )  # fmt: skip

    def _figure(self, name: str, machine: Machine, section: str) -> PageRow:
        about = self._lists.glossary.get(written(name))
        value = machine.spec.get(name, machine.spec_text.get(name))
        per = isinstance(value, tuple) or (
            value is None and about is not None and about.per == "cylinder"
        )
        many = per and len(machine.cylinders) > 1
        if isinstance(value, tuple):
            values = tuple("" if part == UNKNOWN else str(part) for part in value)
            many = len(values) == len(machine.cylinders)
        else:
            one = "" if value is None else str(value)
            values = (one,) * (len(machine.cylinders) if many else 1)
        return PageRow(
            name, about.label if about else _words(name), section, values,
            machine.cylinders if many else (), self._unit(name, about),
            about.where if about else "", _source(machine, name),
            is_not_known=written(name) in self._not_known.of(self.machine_id),
        )  # fmt: skip

    def _unit(self, name: str, about: FigureDescription | None) -> str:
        if about is not None and about.unit:
            return about.unit
        item = self._lists.held_against(written(name))
        return item.unit if item is not None else ""


def _hidden_steps(compiled: Compiled, machine: Machine) -> set[str]:
    """The steps that this machine's facts settle it does without."""
    known = {("machine", name): fact for name, fact in facts(machine).items()}
    known |= {("spec", name): figure for name, figure in figures(machine).items()}

    def look_up(name: Name) -> Value | Missing:
        return known.get((name.where, name.id), NOT_MEASURED)

    return {step for step, only in compiled.only_if.items() if only.evaluate(look_up) is False}


def _place(row: PageRow, cylinder: str | None) -> str:
    return row.name if cylinder is None else f"{row.name}@{cylinder}"


def _one_value(row: PageRow, cylinder: str | None, text: str) -> str:
    """`31,5` is one number where one value is asked, however many cylinders there are."""
    if row.cylinders and cylinder is None:
        return text
    return re.sub(r"(?<=\d),(?=\d)", ".", text) if text.count(",") == 1 else text


def _words(name: str) -> str:
    plain = name.replace("_", " ").replace("-", " ")
    return f"{plain[:1].upper()}{plain[1:]}"


def _source(machine: Machine, name: str) -> str:
    sources = {written(each): source for each, source in machine.source.items()}
    return sources.get(written(name), "")


def _best_fitting(machine: Machine, lists: Sequence[Compiled]) -> Compiled:
    """The list that asks for the most of what the sheet has; of these the longest."""
    if not lists:
        raise Refused("There is no checklist that asks for figures.")
    known = {written(name) for name in (*machine.spec, *machine.spec_text)}

    def fits(compiled: Compiled) -> tuple[int, int]:
        asked = steps_asking(compiled)
        return len(known & set(asked)), len(asked)

    return max(lists, key=fits)
