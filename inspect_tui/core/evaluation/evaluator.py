"""Readings as they stand -> the values that expressions see, derived values, verdicts.

An `Evaluator` belongs to one session as it stands, for good: what-ifs (a preview, a validation
before recording) ask another one, that of the session they suppose. Both share what was read of
entries before, so that a key press is cheap.

As found, an expression sees as-found readings; as left, each reading's as-left value, else its
as-found one, and the row exists as soon as one of them has an as-left value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction

from inspect_tui.core.evaluation.air.jet_chart import ChartLookup, look_up
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.memo import Memo
from inspect_tui.core.evaluation.uncertainty import conformity
from inspect_tui.core.evaluation.uncertainty.measured import (
    Measured,
    expanded_uncertainty,
)
from inspect_tui.core.evaluation.uncertainty.repeats import repeats_that_decide
from inspect_tui.core.evaluation.uncertainty.value_uncertainty import (
    UncertainReadings,
    inside_fixed_limits,
    propagated,
)
from inspect_tui.core.expressions import ambient
from inspect_tui.core.expressions.expression import NOT_MEASURED, Expression, Missing, Name, Value
from inspect_tui.core.model.checklist import Derived, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import (
    ConformityResult,
    DerivedRow,
    ReadingRow,
    ToleranceInterval,
)
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Quantity
from inspect_tui.core.session.replay import Key, ReadingKey, Recorded, Session
from inspect_tui.core.text.formatting import join_words
from inspect_tui.errors import InspectError


class Evaluator:
    """Values of one session, worked out from its readings."""

    def __init__(self, definitions: ChecklistOnMachine, session: Session) -> None:
        self.definitions = definitions
        self.session = session
        self.compiled = definitions.compiled
        self.machine = definitions.machine
        self.readings = definitions.readings
        self.units = definitions.units
        self._measured: dict[int, tuple[Recorded, Measured]] = {}
        self._band: Memo[None, ChartLookup | Missing] = Memo()

    def of(self, session: Session) -> Evaluator:
        """The evaluator of another session with the same definitions: the next, or a supposed."""
        other = Evaluator(self.definitions, session)
        other._measured = self._measured
        other._band = self._band
        return other

    # --- what stands ----------------------------------------------------------------------

    def key(self, place: Key, phase: Phase) -> ReadingKey | None:
        """The entry whose value counts for a reading in a phase; None where there is no value."""
        key = self.answered(place, phase)
        return key if key is not None and self.session.readings[key].value is not None else None

    def exists_as_left(self, places: Iterable[Key]) -> bool:
        """Whether what rests on these readings exists as left.

        One of them has an as-left answer, and of readings that a setting moves together all have.
        """
        readings = self.session.readings
        places = tuple(places)
        together = self.definitions.moved_together
        return any((*place, AS_LEFT) in readings for place in places) and all(
            (place[0], other, place[2], AS_LEFT) in readings
            for place in places
            for other in together.get(place[:2], ())
        )

    def is_half_left(self, place: Key) -> bool:
        """Whether a setting moved this reading, and only some of what it moves is measured again.

        Its row of the cylinders as left would hold old beside new.
        """
        together = self.definitions.moved_together.get(place[:2], frozenset())
        again = [
            (place[0], other, place[2], AS_LEFT) in self.session.readings for other in together
        ]
        return any(again) and not all(again)

    def answered(self, place: Key, phase: Phase) -> ReadingKey | None:
        """The entry that counts for a reading in a phase, one answered unknown too."""
        standing = self.session.readings
        if phase == AS_LEFT and (*place, AS_LEFT) in standing:
            return (*place, AS_LEFT)
        return (*place, AS_FOUND) if (*place, AS_FOUND) in standing else None

    def measured(self, key: ReadingKey) -> Measured:
        """What was measured, read again from what was typed (exact)."""
        recorded = self.session.readings[key]
        known = self._measured.get(recorded.n)
        if known is None or known[0] is not recorded:
            step, reading = key[0], key[1]
            known = (
                recorded,
                Measured.of(
                    recorded,
                    self.readings.get((step, reading)),
                    self.units.get((step, reading), units.PLAIN),
                    self.definitions.stated(step, reading),
                ),
            )
            self._measured[recorded.n] = known
        return known[1]

    # --- what expressions see -------------------------------------------------------------

    def lookup(self, cylinder: str | None, phase: Phase) -> Callable[[Name], Value | Missing]:
        """The values of names for one cylinder (None: lists of all) in one phase."""

        def find(name: Name) -> Value | Missing:
            if name.where == "value":
                return self._named(name, cylinder, phase)
            if name.where == "spec":
                return self.definitions.figure(name.id, cylinder)
            if name.where == "conditions":
                return ambient.condition(name.id, self.air(phase))
            if name.where == "chart":
                return self._charted(name.id, cylinder, phase)
            return self.definitions.fact(name.id)

        return find

    def air(self, phase: Phase) -> dict[str, Quantity]:
        """What is known of the air: the latest of what was typed for the session and readings."""
        return {name: value for name, (value, _) in self.air_entries(phase).items()}

    def air_entries(self, phase: Phase) -> dict[str, tuple[Quantity, ReadingKey | None]]:
        """The same, each with the reading that says it; None where it was typed for the session."""
        session = self.session
        known: dict[str, tuple[Quantity, ReadingKey | None]] = {}
        for name in ambient.UNITS:
            at = -1
            if name in session.conditions:
                try:
                    known[name] = ambient.typed(name, session.conditions[name]), None
                    at = session.conditions_at.get(name, 0)
                except InspectError:
                    at = -1  # a log may hold what can't be typed
            for place in self.definitions.air_readings.get(name, ()):
                key = self.key(place, phase)
                if key is None or session.readings[key].n < at:
                    continue
                value = self.measured(key).value
                if isinstance(value, Quantity):
                    known[name] = value, key
                    at = session.readings[key].n
        return known

    def charted(self, phase: Phase) -> ChartLookup | Missing:
        """What the jet chart says for the session's air."""
        known = self.air(phase)
        if not self.definitions.has_chart:
            return Missing("the sheet has no jet chart", measured=True)
        if "temperature" not in known or "altitude" not in known:
            return NOT_MEASURED
        at = (known["temperature"].si, known["altitude"].si)
        return self._band.get(None, at, lambda: look_up(self.definitions.chart, *at))

    def _charted(self, setting: str, cylinder: str | None, phase: Phase) -> Value | Missing:
        looked = self.charted(phase)
        if isinstance(looked, Missing):
            return looked
        value = looked.band.settings.get(setting)
        if value is None:
            return Missing(
                f"the jet chart has no '{self.definitions.in_words(setting)}'", measured=True
            )
        return self.definitions.of_cylinder(setting, value, cylinder)

    def _named(self, name: Name, cylinder: str | None, phase: Phase) -> Value | Missing:
        step = self.compiled.steps.get(name.step)
        if step is None:
            return NOT_MEASURED  # of a list that this one takes only some steps from
        if not self.definitions.by_cylinder(step, name.id):
            return self._single(name, None, phase)
        if cylinder is not None:
            return self._single(name, cylinder, phase)
        values: list[Value] = []
        for each in self.machine.cylinders:
            value = self._single(name, each, phase)
            if isinstance(value, Missing):
                return value
            values.append(value)
        return tuple(values)

    def _single(self, name: Name, cylinder: str | None, phase: Phase) -> Value | Missing:
        expression = self.compiled.value.get((name.step, name.id))
        if expression is not None:
            return expression.evaluate(self.lookup(cylinder, phase))
        place = (name.step, name.id, cylinder)
        key = self.key(place, phase)
        if key is None:
            if self.answered(place, phase) is None:
                return NOT_MEASURED
            label = self.readings[name.step, name.id].label
            return Missing(f"'{label}' is not known", measured=True)
        return self.measured(key).value

    # --- rows -----------------------------------------------------------------------------

    def zone(
        self, step: Step, value_id: str, cylinder: str | None, phase: Phase
    ) -> ToleranceInterval | None:
        """The limits of a value as they are for this cylinder and phase; None: it has none."""
        sides = self.compiled.limits.get((step.id, value_id))
        if not sides:
            return None
        place = (step.id, value_id, cylinder)
        if place in self.definitions.zones:
            return self.definitions.zones[place]
        look = self.lookup(cylinder, phase)
        zone = conformity.zone(
            {side: expression.evaluate(look) for side, expression in sides.items()},
            self.units[step.id, value_id],
        )
        names = (name for expression in sides.values() for name in expression.names)
        if all(name.where in ("spec", "machine") for name in names):
            self.definitions.zones[place] = zone
        return zone

    def reading_row(self, key: ReadingKey) -> ReadingRow:
        """A recorded reading with its verdict."""
        step_id, reading_id, cylinder, phase = key
        recorded = self.session.readings[key]
        if recorded.value is None:
            return self._unknown_row(recorded)
        measured = self.measured(key)
        step = self.compiled.steps[step_id]
        judged = self.judge(step, key, measured)
        return ReadingRow(
            step_id, reading_id, cylinder, phase, recorded.entered, measured.number,
            measured.unit.text, judged, recorded.n, self.session.earlier.count(key),
            recorded.state, recorded.gauge,
        )  # fmt: skip

    def _unknown_row(self, recorded: Recorded) -> ReadingRow:
        key = (recorded.step, recorded.reading, recorded.cylinder, recorded.phase)
        unit = self.units[recorded.step, recorded.reading].text
        return ReadingRow(
            *key, recorded.entered, "unknown", unit, self.judge_unknown(*key), recorded.n,
            self.session.earlier.count(key), recorded.state, recorded.gauge, unknown=True,
        )  # fmt: skip

    def judge_unknown(
        self, step: str, reading: str, cylinder: str | None, phase: Phase
    ) -> ConformityResult:
        """The verdict of the answer that nobody knows: none, or a fail where the list says so."""
        zone = self.zone(self.compiled.steps[step], reading, cylinder, phase)
        if self.readings[step, reading].unknown == "fail":
            return ConformityResult("fail", zone, words="fail: not known")
        return ConformityResult("none", zone, words="not known")

    def judge(self, step: Step, key: ReadingKey, measured: Measured) -> ConformityResult:
        """The verdict of a reading.

        Args:
            step: The reading's own.
            key: Which it is; its limits may rest on other readings.
            measured: What was measured there.
        """
        _, reading_id, cylinder, phase = key
        zone = self.zone(step, reading_id, cylinder, phase)
        number, unit = measured.number, measured.unit
        if zone is None or isinstance(number, bool | str):
            judged = conformity.assess_conformity(number, zone, unit.text, measured.expanded)
            return replace(judged, remarks=measured.remarks, coverage=measured.coverage)
        sides = self.compiled.limits.get((step.id, reading_id), {})
        remarks = list(measured.remarks)
        if all(name.where != "value" and name.where != "conditions"
               for side in sides.values() for name in side.names):  # fmt: skip
            probability = inside_fixed_limits(measured, number, zone)
        else:
            known, readings = propagated(self, key, sides, unit, cylinder, phase)
            probability = None if known is None else known.probability
            remarks += self._without_uncertainty(readings, besides=key)
        judged = conformity.assess_conformity(
            number, zone, unit.text, measured.expanded, probability,
            _repeats(measured, number, zone),
        )  # fmt: skip
        return replace(judged, remarks=tuple(remarks), coverage=measured.coverage)

    def _without_uncertainty(
        self, readings: UncertainReadings, besides: ReadingKey | None = None
    ) -> list[str]:
        """What has to be said where an input has no stated uncertainty beside others that have."""
        labels = [
            self.readings[key[:2]].label for key in readings.exact_ones if key[:2] in self.readings
        ]
        if not labels:
            return []
        counts = "counts" if len(set(labels)) == 1 else "count"
        named = join_words(list(dict.fromkeys(labels)))
        return [f"no uncertainty is stated for {named}, which {counts} as exact"]

    def derived_row(
        self, step: Step, derived: Derived, cylinder: str | None, phase: Phase
    ) -> DerivedRow | None:
        """A derived value in a phase; None where it isn't measured or doesn't exist there."""
        if phase == AS_LEFT and not self.session.readings:
            return None
        expression = self.compiled.value[step.id, derived.id]
        leaves = self.definitions.input_readings(expression, cylinder)
        if phase == AS_LEFT and not self.exists_as_left(leaves):
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
        wanted = (leaf for leaf in leaves if leaf not in self.definitions.all_air_readings)
        waits = any(self.answered(leaf, phase) is None for leaf in wanted)
        if waits and self.definitions.needs_all(expression):
            return None
        value = expression.evaluate(self.lookup(cylinder, phase))
        unit = self.units[step.id, derived.id]
        place = (step.id, derived.id, cylinder, phase)
        if isinstance(value, Missing):
            if not value.measured or waits:
                return None
            judged = ConformityResult("none", words=f"not worked out: {value.reason}")
            return DerivedRow(*place, None, unit.text, judged, value.reason)
        if not isinstance(value, Quantity):
            return self._derived_answer(step, derived, cylinder, phase, value)
        try:
            number = units.number_in(value, unit)
        except InspectError as error:
            judged = ConformityResult("none", words=f"not worked out: {error.message}")
            return DerivedRow(*place, None, unit.text, judged, error.message)
        sides = self.compiled.limits.get((step.id, derived.id), {})
        known, readings = propagated(self, expression, sides, unit, cylinder, phase)
        own = probability = None
        if known is not None:
            own = expanded_uncertainty(known.standard_uncertainty, known.degrees_of_freedom)
            probability = known.probability
        zone = self.zone(step, derived.id, cylinder, phase)
        judged = conformity.assess_conformity(number, zone, unit.text, own, probability)
        judged = replace(judged, remarks=tuple(self._without_uncertainty(readings)))
        return DerivedRow(*place, number, unit.text, judged)

    def _derived_answer(
        self, step: Step, derived: Derived, cylinder: str | None, phase: Phase, value: Value
    ) -> DerivedRow:
        """A derived value that is yes or no, a word or a list."""
        expression = self.compiled.value[step.id, derived.id]
        unit = self.units[step.id, derived.id]
        shown = ", ".join(map(str, value)) if isinstance(value, tuple) else value
        assert not isinstance(shown, Quantity)
        zone = self.zone(step, derived.id, cylinder, phase)
        probability = None
        if isinstance(value, bool) and zone is not None and not zone.reason:
            sides = self.compiled.limits.get((step.id, derived.id), {})
            known, _ = propagated(self, expression, sides, unit, cylinder, phase)
            probability = None if known is None else known.probability
        judged = conformity.assess_conformity(shown, zone, unit.text, probability=probability)
        return DerivedRow(step.id, derived.id, cylinder, phase, shown, unit.text, judged)

    def expanded(self, expression: Expression, cylinder: str | None, phase: Phase) -> float | None:
        """Expanded uncertainty (k = 2, coherent SI) of an expression's value; None: none stated."""
        value = expression.evaluate(self.lookup(cylinder, phase))
        if not isinstance(value, Quantity):
            return None
        unit = units.Unit("", "", value.dimension, Fraction(1), quantity_kind=value.quantity_kind)
        known, _ = propagated(self, expression, {}, unit, cylinder, phase)
        if known is None:
            return None
        return expanded_uncertainty(known.standard_uncertainty, known.degrees_of_freedom)


def _repeats(measured: Measured, number: Number, zone: ToleranceInterval) -> int | None:
    """Of how many repeats the mean would settle a reading, if it stays where it is."""
    inside = [number - zone.low] if zone.low is not None else []
    inside += [zone.high - number] if zone.high is not None else []
    if not inside:
        return None
    width = None
    if zone.low is not None and zone.high is not None:
        width = float(zone.high - zone.low)
    return repeats_that_decide(
        float(min(inside)), measured.stated, measured.error, measured.count, width
    )
