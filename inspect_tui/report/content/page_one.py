"""What page one answers: may it be run, who signed, what was put right, what stays open.

Worked out once, as data; `page_one_blocks` says it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.evaluation.job.sign_off import left_out_words
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Results, StepResult
from inspect_tui.core.presentation import wording
from inspect_tui.core.seasons.carried import CarriedNow, carried_text
from inspect_tui.core.seasons.open_before import EarlierStop
from inspect_tui.core.session.replay import Session
from inspect_tui.core.text.formatting import join_words
from inspect_tui.report.content.found import FindingGroup, FindingReport
from inspect_tui.report.content.rows import lines_of

NOT_TO_BE_RUN = "NOT TO BE RUN"
RUN_AS_FOUND = wording.DECISIONS["run-as-found"]
MAX_REASONS = 5
"""Lines of their own; more are said gate by gate, so that page one holds what it has to."""
EARLIER = "failed earlier and was put off"
"""The trouble of a safety step that an earlier session left so."""
DO_NOT = {
    "start": "Do not start the engine",
    "move": "Do not move the machine",
    "": "Not safe to run",
}
"""By the gate that has not passed; "" for a safety step that is none."""


@dataclass(frozen=True, slots=True)
class Stop:
    """A safety step that has not passed."""

    step: str
    title: str
    gate: str
    """`start`, `move`, or "" for another safety step."""
    trouble: str
    """`failed`, `was not done` ..."""
    because: tuple[str, ...]
    """What was read there that does not pass."""
    accepted: str
    """The words in which it was accepted at the sign-off; "" where it wasn't."""

    @property
    def is_undone(self) -> bool:
        """Whether nobody looked at it, and nothing is known of it from earlier."""
        return self.trouble == "was not done" and not self.because

    @property
    def words(self) -> str:
        """`'Fuel lines, shut-off' failed (Lines hard, wanted: soft)`."""
        said = f"'{self.title}' {self.trouble}"
        said += f" ({'; '.join(self.because)})" if self.because else ""
        return f"{said}. Accepted all the same: {self.accepted}" if self.accepted else said


@dataclass(frozen=True, slots=True)
class PageOne:
    """What page one says beside the sign-off itself."""

    stops: tuple[Stop, ...]
    """Safety steps that have not passed: those that stop the start first."""
    put_right: tuple[FindingReport, ...]
    """What was wrong and is so no more; of a group the one that explains it."""
    still_open: tuple[FindingReport, ...]
    """What is open, and what runs as it was found."""
    done: int
    of: int
    """Steps of the job."""
    not_done: tuple[StepResult, ...]
    """Open steps, and those to be measured again."""
    left_out: str
    left_before: tuple[EarlierStop, ...] = ()
    """Safety steps that nobody passed before an earlier session was signed, or left open."""

    @property
    def is_stopped(self) -> bool:
        """Whether anything says that the machine is not to be run."""
        return bool(self.stops or self.left_before)

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it is not to be ridden, a line for each thing that stops it."""
        earlier = (f"{DO_NOT[each.gate]}: {each.words}." for each in self.left_before)
        return (*_reasons(self.stops), *earlier)


def page_one(
    session: Session,
    results: Results,
    groups: Sequence[FindingGroup],
    earlier: Sequence[CarriedNow] = (),
    stops: Sequence[EarlierStop] = (),
) -> PageOne:
    """What page one says of a session as it stands, with what earlier ones put off."""
    counted = count_of(results.steps)
    told = [group for group in groups if not group.head.finding.remark]
    right = _of_state(told, lambda one: one.is_put_right)
    signed = session.signed
    left_out = left_out_words(results.steps)
    if signed is not None and signed.left_out:
        left_out = " ".join(signed.left_out)
    return PageOne(
        tuple(_stops(session, results, earlier)),
        tuple(one for one in right if not _doubled(one, right)),
        tuple(_of_state(told, lambda one: one.finding.open or one.state == RUN_AS_FOUND)),
        counted.done,
        counted.of,
        tuple(result for result in results.steps if result.state in ("open", "again")),
        left_out,
        tuple(each for each in stops if each.carried is None),
    )


def _of_state(
    groups: Iterable[FindingGroup], holds: Callable[[FindingReport], bool]
) -> list[FindingReport]:
    """Those of which it holds; what is explained by one of them goes without saying."""
    found: list[FindingReport] = []
    for group in groups:
        members = (group.head,) if holds(group.head) else group.under
        found += [one for one in members if holds(one) and not one.finding.remark]
    return found


def _doubled(one: FindingReport, heads: Iterable[FindingReport]) -> bool:
    """Whether a cylinder that was out of family is named already for the same reading."""
    if one.finding.kind != "out-of-family":
        return False
    place = (one.finding.step, one.finding.cylinder)
    return any(
        (other.finding.step, other.finding.cylinder) == place and other.finding.kind == "value"
        for other in heads
    )


def _stops(session: Session, results: Results, earlier: Sequence[CarriedNow]) -> Iterator[Stop]:
    signed = session.signed
    accepted = {} if signed is None else signed.accepted_steps
    found = []
    for result in results.steps:
        if not result.step.is_safety or result.state in NOT_OF_THE_JOB:
            continue
        trouble = safety_trouble(result)
        if trouble:
            step = result.step
            because = tuple(_because(session, results, result))
            words = accepted.get(step.id, "")
            found.append(Stop(step.id, step.title, step.gate, trouble, because, words))
    found = _with_earlier(found, results, earlier)
    order = list(DO_NOT)
    yield from sorted(found, key=lambda stop: order.index(stop.gate))


def _with_earlier(
    stops: Sequence[Stop], results: Results, earlier: Iterable[CarriedNow]
) -> list[Stop]:
    """The safety steps that failed in an earlier session and were not looked at since.

    One that this list has and that stops already is said with its earlier words.
    """
    titles = {result.step.id: result.step.title for result in results.steps}
    found = {stop.step: stop for stop in stops}
    for now in earlier:
        if not now.stops:
            continue
        each = now.carried
        title = titles.get(each.step) or each.title or each.step
        said = carried_text(each, title).removeprefix(f"{title}: ")
        if each.step in found:
            stop = found[each.step]
            because = f"{said}, put off earlier" if stop.trouble != EARLIER else said
            found[each.step] = replace(stop, because=(*stop.because, because))
        else:
            found[each.step] = Stop(each.step, title, each.gate, EARLIER, (said,), "")
    return list(found.values())


def _because(session: Session, results: Results, result: StepResult) -> Iterator[str]:
    if result.state == "skipped" and result.why_skipped:
        yield result.why_skipped
    for line in lines_of(session, results, result):
        stands = line.standing
        if stands is not None and stands.judged.verdict in ("fail", "uncertain"):
            yield f"{line.name} {stands.shown}, {stands.brief}"


def _reasons(stops: Sequence[Stop]) -> Iterator[str]:
    """What was looked at and doesn't pass by itself; what nobody did yet together."""
    shared = {stop.accepted for stop in stops}
    once = len(stops) > MAX_REASONS and len(shared) == 1
    for gate, begin in DO_NOT.items():
        here = [stop for stop in stops if stop.gate == gate]
        undone = [stop for stop in here if stop.is_undone and (once or not stop.accepted)]
        seen = [stop for stop in here if stop not in undone]
        if len(stops) > MAX_REASONS:
            yield from (f"{begin}: {words}" for words in _together(seen, said=not once))
        else:
            yield from (f"{begin}: {stop.words}." for stop in seen)
        if undone:
            titles = [f"'{stop.title}'" for stop in undone]
            yield f"{begin}: not done yet: {join_words(titles, most=len(titles))}."
    if once and (words := shared.pop()):
        yield f"Each of them accepted all the same: {words}"


def _together(stops: Sequence[Stop], *, said: bool) -> Iterator[str]:
    """Those that were accepted in the same words in one line, each by its name."""
    for accepted in dict.fromkeys(stop.accepted for stop in stops):
        same = [replace(stop, accepted="") for stop in stops if stop.accepted == accepted]
        behind = f" Accepted all the same: {accepted}" if accepted and said else ""
        yield f"{'; '.join(stop.words for stop in same)}.{behind}"
