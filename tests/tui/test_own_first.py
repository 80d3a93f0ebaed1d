"""What is offered first: the machine that was used last, then the person's own; optional steps."""

from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.tui.base.styling import step_state
from inspect_tui.tui.base.view_model import Catalogue, own_first
from inspect_tui.tui.screens.start import closed_heading
from inspect_tui.workflow.catalogue import DefinitionLine, SessionLine
from tests.small_session import evaluated, given, number, one_step


def machine(name: str, *, own: bool) -> DefinitionLine:
    return DefinitionLine(name, name.title(), f"{name}.toml", own)


def test_the_one_used_last_comes_before_own_and_shipped_ones():
    sessions = tuple(
        SessionLine(name, "list", name.title(), "R. Tester", "signed", 1, 1, None)
        for name in ("mine", "other")
    )
    machines = (
        machine("shipped", own=False), machine("new", own=True), machine("other", own=True),
        machine("mine", own=True),
    )  # fmt: skip
    found = own_first(Catalogue(sessions=sessions, machines=machines))
    assert [each.id for each in found] == ["mine", "other", "new", "shipped"]


def test_an_optional_step_looks_done_once_something_is_said_and_counts_then():
    lot = one_step(number("x", optional="true"))
    for said, done in (((), 0), ((given("s.x", "3"),), 1)):
        results = evaluated(lot, *said).results
        (step,) = results.steps
        assert count_of(results.steps).done == done
        assert step_state(step)[1].startswith("done" if done else "open")


def test_broken_logs_are_named_only_where_there_is_one():
    def line(state: str) -> SessionLine:
        return SessionLine("id", "list", "Sled", "R. Tester", state, 1, 1, None)

    assert closed_heading([line("signed")]) == "SIGNED, TO READ"
    assert closed_heading([line("broken"), line("signed")]) == "SIGNED OR BROKEN, TO READ"
