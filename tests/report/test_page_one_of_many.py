"""Page one of a machine with thirty faults, signed all the same: it holds what it has to."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

from inspect_tui.core.evaluation.conclusions.decisions import Decided, WantedPart
from inspect_tui.core.evaluation.conclusions.grouping import to_decide
from tests.report.write_golden import drawn_by
from tests.test_thirty_faults import recorded

MAX_PAGES = 12


def clock():
    ticks = itertools.count()
    return lambda: datetime(2026, 11, 2, 9, tzinfo=UTC) + timedelta(seconds=20 * next(ticks))


def decided(held):
    """A fifth of them each: a part, until a list, as found, until a date, not decided."""
    for place, finding in enumerate(to_decide(held.results.findings)):
        match place % 5:
            case 0:
                part = WantedPart(f"part {place}", 1, f"K-{place}")
                yield Decided(finding.id, "get-part", part=part)
            case 1:
                yield Decided(finding.id, "later", "parts come slowly", "first-ride")
            case 2:
                yield Decided(finding.id, "run-as-found", "watched")
            case 3:
                yield Decided(finding.id, "later", "", "2026-12-24")


def test_thirty_faults_and_the_set_up_card_stand_on_page_one(tmp_path):
    with recorded(tmp_path / "story", clock()) as held:
        held.decide_all(list(decided(held)))
        unpassed = [each for each in held.results_to_sign.blockers if each.kind == "safety"]
        accept = {each.id: "stands in the shed till mended" for each in unpassed}
        held.sign("R. Tester", "the rest waits for parts", accept=accept)
        drawn = drawn_by(lambda: held.export("pdf")).split("\n")
        results = held.results
    first = "\n".join(line for line in drawn if line.startswith("1: "))
    assert "NOT TO BE RUN, because" in first and "Signed off by R. Tester" in first
    for step in (each.step for each in results.steps):
        if step.id in accept and step.gate:
            assert step.title.split(",")[0] in first  # by name, each that stops it
    assert "Each of them accepted all the same: stands in the shed till mended" in first
    assert "Get a part (" in first and "until first ride (" in first and "K-0" in first
    assert "Set-up card" in first and "Main jet" in first
    last = [line for line in drawn if "Offset, parallel, centre: Centre distance" in line]
    assert last and last[0].startswith("1: ")  # the card's last line
    assert max(int(line.partition(":")[0]) for line in drawn if line[:1].isdigit()) <= MAX_PAGES
