"""A checklist on one machine: what stays the same while a session grows.

Which readings there are and in which unit, what an expression rests on, the figures of the sheet.
Made once for a list and a sheet; evaluators of any session of theirs share it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.spec_values import facts, figures, known_in_part, written
from inspect_tui.core.evaluation.air.jet_chart import Band, bands, has_bands
from inspect_tui.core.evaluation.uncertainty.measured import StatedUncertainty, stated
from inspect_tui.core.expressions.expression import Expression, Missing, Value
from inspect_tui.core.model.checklist import Derived, Inference, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Unit
from inspect_tui.core.session.replay import Key, ReadingKey
from inspect_tui.errors import InspectError


class ChecklistOnMachine:
    """One compiled checklist and one machine, with what follows from the two alone."""

    def __init__(self, compiled: Compiled, machine: Machine) -> None:
        self.compiled = compiled
        self.machine = machine
        self.readings: dict[tuple[str, str], Reading] = {}
        self.derived: dict[tuple[str, str], Derived] = {}
        self.units: dict[tuple[str, str], Unit] = {}
        self._stated: dict[tuple[str, str], StatedUncertainty] = {}
        for step in compiled.checklist.steps:
            for reading in step.readings:
                unit = _unit("s" if reading.kind == "timer" else reading.unit)
                self.readings[step.id, reading.id] = reading
                self.units[step.id, reading.id] = unit
            for setting in step.setting:
                self.units[step.id, setting.id] = _unit(setting.unit)
            for derived in step.derived:
                self.derived[step.id, derived.id] = derived
                self.units[step.id, derived.id] = _unit(derived.unit)
        glossary = compiled.checklist.figure
        self._labels = {written(name): about.label for name, about in glossary.items()}
        self.air_readings: dict[str, list[Key]] = {}
        """By condition: the readings that say it."""
        for (step_id, reading_id), reading in self.readings.items():
            if reading.condition and not compiled.steps[step_id].per_cylinder:
                self.air_readings.setdefault(reading.condition, []).append(
                    (step_id, reading_id, None)
                )
        self.zones: dict[Key, ToleranceInterval] = {}
        """Those that rest on the sheet alone, and so are the same in every phase and session."""
        self._leaves: dict[tuple[Expression, str | None], tuple[Key, ...]] = {}
        self._strict: dict[tuple[Expression, bool], bool] = {}
        self._step_keys: dict[str, tuple[ReadingKey, ...]] = {}
        self._inference_keys: dict[str, tuple[ReadingKey, ...]] = {}

    @cached_property
    def has_chart(self) -> bool:
        """Whether the sheet has a jet chart."""
        return has_bands(self.machine)

    @cached_property
    def figures(self) -> Mapping[str, Value]:
        """Those of the sheet, as expressions see them."""
        return figures(self.machine)

    @cached_property
    def figures_in_part(self) -> dict[tuple[str, str], Value]:
        """By (name, cylinder): of figures that lack for other cylinders."""
        return known_in_part(self.machine)

    @cached_property
    def facts(self) -> dict[str, Value]:
        """What the sheet says of the machine, as expressions see it."""
        return facts(self.machine)

    @cached_property
    def chart(self) -> tuple[Band, ...]:
        """The bands of its jet chart."""
        return bands(self.machine)

    def stated(self, step: str, reading: str) -> StatedUncertainty:
        """What the list states for a reading; nothing for one that it has not."""
        known = self._stated.get((step, reading))
        if known is None:
            about = self.readings.get((step, reading))
            known = StatedUncertainty()
            if about is not None:
                known = stated(about, self.units[step, reading])
            self._stated[step, reading] = known
        return known

    def figure(self, name: str, cylinder: str | None) -> Value | Missing:
        """A figure of the sheet; of a list the cylinder's own."""
        figure = self.figures.get(name)
        if figure is None and cylinder is not None:
            figure = self.figures_in_part.get((name, cylinder))
        if figure is None:
            lacks = f"the sheet lacks '{self.in_words(name)}'"
            return Missing(lacks, measured=True, is_figure=True)
        return self.of_cylinder(name, figure, cylinder)

    def fact(self, name: str) -> Value | Missing:
        """What the sheet says of the machine."""
        fact = self.facts.get(name)
        if fact is None:
            return Missing(f"the sheet does not say '{self.in_words(name)}'", measured=True)
        return fact

    def in_words(self, name: str) -> str:
        """What the list's own glossary calls a figure, else its name without the signs of one."""
        return self._labels.get(name) or name.replace("_", " ")

    def of_cylinder(self, name: str, figure: Value, cylinder: str | None) -> Value | Missing:
        """A list's value for one cylinder; anything else as it is."""
        if isinstance(figure, tuple) and cylinder is not None:
            try:
                return figure[self.machine.cylinders.index(cylinder)]  # type: ignore[return-value]
            except (ValueError, IndexError):
                lacks = f"the sheet has no '{self.in_words(name)}' for {cylinder}"
                return Missing(lacks, measured=True, is_figure=True)
        return figure

    def by_cylinder(self, step: Step, value_id: str) -> bool:
        """Whether a reading or derived value of this step has one value per cylinder."""
        derived = self.derived.get((step.id, value_id))
        return step.per_cylinder and not (derived is not None and derived.across)

    def cylinders(self, step: Step, value_id: str) -> tuple[str | None, ...]:
        """The cylinders that a value of this step has, or (None,)."""
        return self.machine.cylinders if self.by_cylinder(step, value_id) else (None,)

    def input_readings(self, expression: Expression, cylinder: str | None) -> tuple[Key, ...]:
        """The readings that an expression rests on, through other derived values too."""
        known = self._leaves.get((expression, cylinder))
        if known is None:
            found: dict[Key, None] = {}
            self._gather(expression, cylinder, found, frozenset())
            known = self._leaves[expression, cylinder] = tuple(found)
        return known

    def _gather(
        self,
        expression: Expression,
        cylinder: str | None,
        found: dict[Key, None],
        inside: frozenset[tuple[str, str]],
    ) -> None:
        for name in sorted(expression.names, key=lambda name: (name.step, name.id)):
            if name.where in ("conditions", "chart"):
                found.update(dict.fromkeys(self.all_air_readings))
            step = self.compiled.steps.get(name.step)
            if name.where != "value" or step is None or (name.step, name.id) in inside:
                continue
            inner = self.compiled.value.get((name.step, name.id))
            by_cylinder = self.by_cylinder(step, name.id)
            for each in self.machine.cylinders if by_cylinder else (None,):
                if by_cylinder and cylinder is not None and each != cylinder:
                    continue
                if inner is None:
                    found[name.step, name.id, each] = None
                else:
                    self._gather(inner, each, found, inside | {(name.step, name.id)})

    def needs_all(self, expression: Expression) -> bool:
        """Whether it has no value while one of the readings that it rests on lacks."""
        return self._needs(expression, inside=False)

    def needs_one(self, expression: Expression) -> bool:
        """Whether it can't be true while all readings that it rests on lack."""
        if not self.machine.cylinders:
            return False  # a list of none is there without a reading
        return expression.needs_one and self._needs(expression, inside=True)

    def _needs(self, expression: Expression, *, inside: bool) -> bool:
        """The derived values that it names have none while a reading lacks; so it itself.

        Args:
            expression: Which.
            inside: Whether only what it names is asked for, and each must rest on a reading.
        """
        known = self._strict.get((expression, inside))
        if known is None:
            known = inside or expression.needs_all
            for name in expression.names:
                inner = self.compiled.value.get((name.step, name.id))
                if name.where != "value" or inner is None:
                    continue
                known = known and self._needs(inner, inside=False)
                known = known and (not inside or bool(self.input_readings(inner, None)))
            self._strict[expression, inside] = known
        return known

    def says_air(self, step: str, reading: str) -> bool:
        """Whether a reading also says the session's air."""
        return bool(self.readings[step, reading].condition)

    @cached_property
    def all_air_readings(self) -> tuple[Key, ...]:
        """The readings that say a condition; whatever needs air rests on them."""
        return tuple(place for places in self.air_readings.values() for place in places)

    def air_places(self, expressions: Iterable[Expression]) -> tuple[Key, ...] | None:
        """The readings of the air, if any of these expressions rests on it; else None."""
        seen: set[Expression] = set()
        left = list(expressions)
        while left:
            expression = left.pop()
            if expression in seen:
                continue
            seen.add(expression)
            for name in expression.names:
                if name.where in ("conditions", "chart"):
                    return self.all_air_readings
                inner = self.compiled.value.get((name.step, name.id))
                if name.where == "value" and inner is not None:
                    left.append(inner)
        return None

    def figures_of(self, expressions: Iterable[Expression]) -> frozenset[str]:
        """The figures of the sheet that expressions rest on, through derived values too."""
        found: set[str] = set()
        seen: set[Expression] = set()
        left = list(expressions)
        while left:
            expression = left.pop()
            if expression in seen:
                continue
            seen.add(expression)
            for name in expression.names:
                inner = self.compiled.value.get((name.step, name.id))
                if name.where == "spec":
                    found.add(name.id)
                elif name.where == "value" and inner is not None:
                    left.append(inner)
        return frozenset(found)

    def step_keys(self, step: Step) -> tuple[ReadingKey, ...]:
        """Every entry that anything of a step may rest on, in both phases."""
        known = self._step_keys.get(step.id)
        if known is None:
            places: dict[Key, None] = {}
            for value_id in (
                *(reading.id for reading in step.readings), *(value.id for value in step.derived),
                *(setting.id for setting in step.setting),
            ):  # fmt: skip
                for cylinder in self.cylinders(step, value_id):
                    if (step.id, value_id) in self.readings:
                        places[step.id, value_id, cylinder] = None
                    for expression in self.expressions(step.id, value_id):
                        places.update(dict.fromkeys(self.input_readings(expression, cylinder)))
            only_if = self.compiled.only_if.get(step.id)
            if only_if is not None:
                places.update(dict.fromkeys(self.input_readings(only_if, None)))
            known = self._step_keys[step.id] = self._entries(places)
        return known

    @cached_property
    def steps_of_reading(self) -> dict[Key, tuple[str, ...]]:
        """By reading: the steps of which anything may rest on it."""
        found: dict[Key, dict[str, None]] = {}
        for step in self.compiled.checklist.steps:
            for key in self.step_keys(step):
                found.setdefault(key[:3], {})[step.id] = None
        return {place: tuple(steps) for place, steps in found.items()}

    @cached_property
    def disturbed_by_step(self) -> dict[str, tuple[str, ...]]:
        """By step: those that name it in `disturbed_by`, in the list's order."""
        found: dict[str, dict[str, None]] = {}
        for step in self.compiled.checklist.steps:
            for other in step.disturbed_by:
                found.setdefault(other, {})[step.id] = None
        return {step: tuple(others) for step, others in found.items()}

    @cached_property
    def gates(self) -> tuple[str, ...]:
        """The steps that are a gate, in the list's order."""
        steps = self.compiled.checklist.steps
        return tuple(dict.fromkeys(step.id for step in steps if step.gate))

    def _entries(self, places: Iterable[Key]) -> tuple[ReadingKey, ...]:
        """The entries of these readings in both phases, and of those that a setting moves too.

        Whether a value exists as left rests on all that moved together, not on its own alone.
        """
        together = self.moved_together
        found: dict[Key, None] = {}
        for place in places:
            found[place] = None
            for other in together.get(place[:2], ()):
                found[place[0], other, place[2]] = None
        phases: tuple[Phase, Phase] = (AS_FOUND, AS_LEFT)
        return tuple((*place, phase) for place in found for phase in phases)

    def expressions(self, step: str, value_id: str) -> list[Expression]:
        """What a value and its limits are worked out by."""
        found = list(self.compiled.limits.get((step, value_id), {}).values())
        value = self.compiled.value.get((step, value_id))
        return found if value is None else [value, *found]

    @cached_property
    def figures_by_cylinder(self) -> tuple[tuple[Step, Reading, Expression], ...]:
        """The readings that are held against a figure of each cylinder's own, with that side."""
        found = []
        for step in self.compiled.checklist.steps:
            for reading in step.readings if step.per_cylinder else ():
                sides = self.compiled.limits.get((step.id, reading.id), {})
                side = sides.get("equal") or sides.get("target")
                if side is not None and side.names:
                    found.append((step, reading, side))
        return tuple(found)

    @cached_property
    def exchange_keys(self) -> tuple[ReadingKey, ...]:
        """Every entry that a comparison of all cylinders' parts may rest on, in both phases."""
        places: dict[Key, None] = dict.fromkeys(self.all_air_readings)
        for step, reading, side in self.figures_by_cylinder:
            for cylinder in self.machine.cylinders:
                places[step.id, reading.id, cylinder] = None
                places.update(dict.fromkeys(self.input_readings(side, cylinder)))
        return self._entries(places)

    def inference_keys(self, inference: Inference) -> tuple[ReadingKey, ...]:
        """Every entry that an inference may rest on, in both phases."""
        known = self._inference_keys.get(inference.id)
        if known is None:
            leaves = self.input_readings(self.compiled.inference[inference.id], None)
            known = self._inference_keys[inference.id] = self._entries(leaves)
        return known

    @cached_property
    def moved_together(self) -> dict[tuple[str, str], frozenset[str]]:
        """By reading: all readings of its step that one move of a setting changes with it."""
        found: dict[tuple[str, str], frozenset[str]] = {}
        for (step, _), moved in self.compiled.moves.items():
            for reading in moved if len(moved) > 1 else ():
                found[step, reading] = found.get((step, reading), frozenset()) | frozenset(moved)
        return found

    @cached_property
    def judged_readings(self) -> frozenset[tuple[str, str]]:
        """The readings that a limit of their step judges: their own, or that of a derived value."""
        judged = {place for place in self.readings if self.compiled.limits.get(place)}
        for step, derived in self.derived:
            if self.compiled.limits.get((step, derived)):
                leaves = self.input_readings(self.compiled.value[step, derived], None)
                judged.update(leaf[:2] for leaf in leaves if leaf[0] == step)
        return frozenset(judged)

    @cached_property
    def steps_of_air(self) -> frozenset[str]:
        """The steps that say the air, or have a value or a limit that depends on it."""
        compiled = self.compiled
        expressions = [(place[0], each) for place, each in compiled.value.items()]
        expressions += [
            (place[0], each) for place, sides in compiled.limits.items() for each in sides.values()
        ]
        depends = {
            step
            for step, expression in expressions
            if any(name.where in ("conditions", "chart") for name in expression.names)
        }
        says = {step for (step, _), reading in self.readings.items() if reading.condition}
        return frozenset(depends | says)


def _unit(text: str) -> Unit:
    if not text:
        return units.PLAIN
    try:
        return units.unit(text)
    except InspectError:
        return units.PLAIN
