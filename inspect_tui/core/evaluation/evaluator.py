"""Readings as they stand -> the values that expressions see, derived values, verdicts.

One `Evaluation` belongs to one compiled checklist and one machine. It is a function of the session
alone; it only remembers rows whose readings did not change, so that a key press is cheap.

As found, an expression sees as-found readings; as left, each reading's as-left value, else its
as-found one, and the row exists as soon as one of them has an as-left value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

from inspect_tui.core.definitions.load import Compiled
from inspect_tui.core.definitions.spec_values import facts, figures
from inspect_tui.core.evaluation import conformity
from inspect_tui.core.evaluation.jet_chart import ChartLookup, bands, look_up
from inspect_tui.core.evaluation.uncertainty import Measured, StatedUncertainty, propagate, stated
from inspect_tui.core.expressions import ambient
from inspect_tui.core.expressions.expression import NOT_MEASURED, Expression, Missing, Name, Value
from inspect_tui.core.model.checklist import Derived, Inference, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.model.results import (
    ConformityResult,
    DerivedRow,
    ReadingRow,
    ToleranceInterval,
)
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.session.replay import Key, ReadingKey, Recorded, Session
from inspect_tui.errors import InspectError

Overrides = Mapping[ReadingKey, Value]
Part = TypeVar("Part")


class Evaluator:
    """Values of one session, worked out from its readings."""

    def __init__(self, compiled: Compiled, machine: Machine) -> None:
        self.compiled = compiled
        self.machine = machine
        self.readings: dict[tuple[str, str], Reading] = {}
        self.derived: dict[tuple[str, str], Derived] = {}
        self.units: dict[tuple[str, str], Unit] = {}
        self.stated: dict[tuple[str, str], StatedUncertainty] = {}
        for step in compiled.checklist.steps:
            for reading in step.readings:
                unit = _unit("s" if reading.kind == "timer" else reading.unit)
                self.readings[step.id, reading.id] = reading
                self.units[step.id, reading.id] = unit
                self.stated[step.id, reading.id] = stated(reading, unit)
            for setting in step.setting:
                self.units[step.id, setting.id] = _unit(setting.unit)
            for derived in step.derived:
                self.derived[step.id, derived.id] = derived
                self.units[step.id, derived.id] = _unit(derived.unit)
        self._figures = figures(machine)
        self._facts = facts(machine)
        self.chart = bands(machine)
        self._says: dict[str, list[Key]] = {}
        for (step_id, reading_id), reading in self.readings.items():
            if reading.condition and not compiled.steps[step_id].per_cylinder:
                self._says.setdefault(reading.condition, []).append((step_id, reading_id, None))
        self._leaves: dict[tuple[Expression, str | None], tuple[Key, ...]] = {}
        self._measured: dict[int, tuple[Recorded, Measured]] = {}
        self._zones: dict[Key, ToleranceInterval] = {}
        """Those that rest on the sheet alone, and so are the same in every phase and session."""
        self._kept: dict[str, tuple[object, Any]] = {}
        self._step_keys: dict[str, tuple[ReadingKey, ...]] = {}
        self.session: Session | None = None

    # --- what stands ----------------------------------------------------------------------

    def use(self, session: Session) -> None:
        """Look at this session from now on."""
        self.session = session

    def _standing(self) -> Mapping[ReadingKey, Recorded]:
        return {} if self.session is None else self.session.readings

    def key(self, place: Key, phase: Phase) -> ReadingKey | None:
        """The entry that counts for a reading in a phase, if there is one."""
        standing = self._standing()
        if phase == AS_LEFT and (*place, AS_LEFT) in standing:
            return (*place, AS_LEFT)
        return (*place, AS_FOUND) if (*place, AS_FOUND) in standing else None

    def measured(self, key: ReadingKey) -> Measured:
        """What was measured, read again from what was typed (exact)."""
        recorded = self._standing()[key]
        known = self._measured.get(recorded.n)
        if known is None or known[0] is not recorded:
            step, reading = key[0], key[1]
            known = (
                recorded,
                Measured.of(
                    recorded,
                    self.readings.get((step, reading)),
                    self.units.get((step, reading), units.PLAIN),
                    self.stated.get((step, reading), StatedUncertainty()),
                ),
            )
            self._measured[recorded.n] = known
        return known[1]

    # --- what expressions see -------------------------------------------------------------

    def lookup(
        self, cylinder: str | None, phase: Phase, overrides: Overrides | None = None
    ) -> Callable[[Name], Value | Missing]:
        """The values of names for one cylinder (None: lists of all) in one phase."""

        def find(name: Name) -> Value | Missing:
            if name.where == "value":
                return self._named(name, cylinder, phase, overrides)
            if name.where == "spec":
                return self._figure(name.id, cylinder)
            if name.where == "conditions":
                return ambient.condition(name.id, self.air(phase, overrides))
            if name.where == "chart":
                return self._charted(name.id, cylinder, phase, overrides)
            fact = self._facts.get(name.id)
            if fact is None:
                return Missing(f"the machine sheet does not say '{name.id}'", measured=True)
            return fact

        return find

    def air(self, phase: Phase, overrides: Overrides | None = None) -> dict[str, Quantity]:
        """What is known of the air: the latest of what was typed for the session and readings."""
        session = self.session
        known: dict[str, Quantity] = {}
        for name in ambient.UNITS:
            at = -1
            if session is not None and name in session.conditions:
                try:
                    known[name] = ambient.typed(name, session.conditions[name])
                    at = session.conditions_at.get(name, 0)
                except InspectError:
                    at = -1  # a log may hold what can't be typed
            for place in self._says.get(name, ()):
                key = self.key(place, phase)
                if key is None or self._standing()[key].n < at:
                    continue
                value = (overrides or {}).get(key, self.measured(key).value)
                if isinstance(value, Quantity):
                    known[name] = value
                    at = self._standing()[key].n
        return known

    def charted(self, phase: Phase, overrides: Overrides | None = None) -> ChartLookup | Missing:
        """What the jet chart says for the session's air."""
        known = self.air(phase, overrides)
        if not self.chart:
            return Missing("the machine sheet has no jet chart", measured=True)
        if "temperature" not in known or "altitude" not in known:
            return NOT_MEASURED
        at = (known["temperature"].si, known["altitude"].si)
        # The blanks keep the name apart from the steps' ids.
        return self.memoized("band of the chart", at, lambda: look_up(self.chart, *at))

    def _charted(
        self, setting: str, cylinder: str | None, phase: Phase, overrides: Overrides | None
    ) -> Value | Missing:
        looked = self.charted(phase, overrides)
        if isinstance(looked, Missing):
            return looked
        value = looked.band.settings.get(setting)
        if value is None:
            return Missing(f"the jet chart has no '{setting}'", measured=True)
        return self._of_cylinder(setting, value, cylinder)

    def _figure(self, name: str, cylinder: str | None) -> Value | Missing:
        figure = self._figures.get(name)
        if figure is None:
            return Missing(f"the machine sheet has no '{name}'", measured=True)
        return self._of_cylinder(name, figure, cylinder)

    def figure(self, name: str) -> Value | None:
        """A figure of the sheet as it stands there, or None."""
        return self._figures.get(name)

    def _of_cylinder(self, name: str, figure: Value, cylinder: str | None) -> Value | Missing:
        """A list's value for one cylinder; anything else as it is."""
        if isinstance(figure, tuple) and cylinder is not None:
            try:
                return figure[self.machine.cylinders.index(cylinder)]  # type: ignore[return-value]
            except (ValueError, IndexError):
                return Missing(f"'{name}' has no value for cylinder {cylinder}", measured=True)
        return figure

    def _named(
        self, name: Name, cylinder: str | None, phase: Phase, overrides: Overrides | None
    ) -> Value | Missing:
        step = self.compiled.steps.get(name.step)
        if step is None:
            return Missing(f"there is no step '{name.step}'", measured=True)
        if not self.by_cylinder(step, name.id):
            return self._single(name, None, phase, overrides)
        if cylinder is not None:
            return self._single(name, cylinder, phase, overrides)
        values: list[Value] = []
        for each in self.machine.cylinders:
            value = self._single(name, each, phase, overrides)
            if isinstance(value, Missing):
                return value
            values.append(value)
        return tuple(values)

    def _single(
        self, name: Name, cylinder: str | None, phase: Phase, overrides: Overrides | None
    ) -> Value | Missing:
        expression = self.compiled.value.get((name.step, name.id))
        if expression is not None:
            return expression.evaluate(self.lookup(cylinder, phase, overrides))
        key = self.key((name.step, name.id, cylinder), phase)
        if key is None:
            return NOT_MEASURED
        if overrides is not None and key in overrides:
            return overrides[key]
        return self.measured(key).value

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
                found.update(dict.fromkeys(self._air_places()))
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

    def says_air(self, step: str, reading: str) -> bool:
        """Whether a reading also says the session's air."""
        return bool(self.readings[step, reading].condition)

    def _air_places(self) -> list[Key]:
        """The readings that say a condition; whatever needs air rests on them."""
        return [place for places in self._says.values() for place in places]

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
                    return tuple(self._air_places())
                inner = self.compiled.value.get((name.step, name.id))
                if name.where == "value" and inner is not None:
                    left.append(inner)
        return None

    # --- rows -----------------------------------------------------------------------------

    def zone(
        self, step: Step, value_id: str, cylinder: str | None, phase: Phase
    ) -> ToleranceInterval | None:
        """The limits of a value as they are for this cylinder and phase; None: it has none."""
        sides = self.compiled.limits.get((step.id, value_id))
        if not sides:
            return None
        place = (step.id, value_id, cylinder)
        if place in self._zones:
            return self._zones[place]
        look = self.lookup(cylinder, phase)
        zone = conformity.zone(
            {side: expression.evaluate(look) for side, expression in sides.items()},
            self.units[step.id, value_id],
        )
        names = (name for expression in sides.values() for name in expression.names)
        if all(name.where in ("spec", "machine") for name in names):
            self._zones[place] = zone
        return zone

    def memoized(self, name: str, stamp: object, make: Callable[[], Part]) -> Part:
        """What was made for this name, made anew when its stamp has changed."""
        known = self._kept.get(name)
        if known is None or known[0] != stamp:
            known = self._kept[name] = stamp, make()
        part: Part = known[1]
        return part

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
            known = self._step_keys[step.id] = _both(places)
        return known

    def expressions(self, step: str, value_id: str) -> list[Expression]:
        """What a value and its limits are worked out by."""
        found = list(self.compiled.limits.get((step, value_id), {}).values())
        value = self.compiled.value.get((step, value_id))
        return found if value is None else [value, *found]

    def inference_keys(self, inference: Inference) -> tuple[ReadingKey, ...]:
        """Every entry that an inference may rest on, in both phases."""
        name = f"inference {inference.id}"
        known = self._step_keys.get(name)
        if known is None:
            leaves = self.input_readings(self.compiled.inference[inference.id], None)
            known = self._step_keys[name] = _both(dict.fromkeys(leaves))
        return known

    def reading_row(self, key: ReadingKey) -> ReadingRow:
        """A recorded reading with its verdict."""
        step_id, reading_id, cylinder, phase = key
        recorded = self._standing()[key]
        measured = self.measured(key)
        step = self.compiled.steps[step_id]
        judged = self.judge(step, reading_id, cylinder, phase, measured)
        assert self.session is not None
        return ReadingRow(
            step_id, reading_id, cylinder, phase, recorded.entered, measured.number,
            measured.unit.text, judged, recorded.n, self.session.earlier.count(key),
            recorded.state, recorded.gauge,
        )  # fmt: skip

    def judge(
        self, step: Step, value_id: str, cylinder: str | None, phase: Phase, measured: Measured
    ) -> ConformityResult:
        """The verdict of something measured, whether recorded or only typed."""
        zone = self.zone(step, value_id, cylinder, phase)
        return conformity.assess_conformity(
            measured.number, zone, measured.unit.text, measured.expanded
        )

    def derived_row(
        self, step: Step, derived: Derived, cylinder: str | None, phase: Phase
    ) -> DerivedRow | None:
        """A derived value in a phase; None where it isn't measured or doesn't exist there."""
        expression = self.compiled.value[step.id, derived.id]
        leaves = self.input_readings(expression, cylinder)
        standing = self._standing()
        if phase == AS_LEFT and not any((*leaf, AS_LEFT) in standing for leaf in leaves):
            return None
        return self._derive(step, derived, cylinder, phase, leaves)

    def _derive(
        self,
        step: Step,
        derived: Derived,
        cylinder: str | None,
        phase: Phase,
        leaves: tuple[Key, ...],
    ) -> DerivedRow | None:
        expression = self.compiled.value[step.id, derived.id]
        value = expression.evaluate(self.lookup(cylinder, phase))
        unit = self.units[step.id, derived.id]
        place = (step.id, derived.id, cylinder, phase)
        if isinstance(value, Missing):
            air_alone = self._air_places()
            waits = any(self.key(leaf, phase) is None for leaf in leaves if leaf not in air_alone)
            if not value.measured or waits:
                return None
            judged = ConformityResult("none", words=f"not worked out: {value.reason}")
            return DerivedRow(*place, None, unit.text, judged, value.reason)
        if not isinstance(value, Quantity):
            shown = ", ".join(map(str, value)) if isinstance(value, tuple) else value
            zone = self.zone(step, derived.id, cylinder, phase)
            return DerivedRow(
                *place, shown, unit.text, conformity.assess_conformity(shown, zone, unit.text)
            )
        try:
            number = units.number_in(value, unit)
        except InspectError as error:
            judged = ConformityResult("none", words=f"not worked out: {error.message}")
            return DerivedRow(*place, None, unit.text, judged, error.message)
        spread = self.expanded(expression, cylinder, phase, leaves)
        own = None if spread is None else spread / abs(float(unit.factor))
        zone = self.zone(step, derived.id, cylinder, phase)
        return DerivedRow(
            *place, number, unit.text, conformity.assess_conformity(number, zone, unit.text, own)
        )

    def expanded(
        self, expression: Expression, cylinder: str | None, phase: Phase, leaves: tuple[Key, ...]
    ) -> float | None:
        """Expanded uncertainty (k = 2, coherent SI) of an expression's value; None: none stated."""
        keys = [key for leaf in leaves if (key := self.key(leaf, phase)) is not None]
        measured = {key: self.measured(key) for key in keys}

        def at(overrides: Overrides) -> Value | Missing:
            return expression.evaluate(self.lookup(cylinder, phase, overrides))

        return propagate(at, measured)


def _both(places: Iterable[Key]) -> tuple[ReadingKey, ...]:
    phases: tuple[Phase, Phase] = (AS_FOUND, AS_LEFT)
    return tuple((*place, phase) for place in places for phase in phases)


def _unit(text: str) -> Unit:
    if not text:
        return units.PLAIN
    try:
        return units.unit(text)
    except InspectError:
        return units.PLAIN
