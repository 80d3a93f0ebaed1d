"""No screen and no report shows the id of a step, a reading or a finding, or a figure's name.

The whole demonstration, and a machine whose sheet has no figure at all, are walked through by the
program's own controller; what its screens draw is searched for every id that no text of the list
itself holds. Common practice: an id is the program's word, not the mechanic's.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from inspect_tui.files.store import Store
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.screens.figures_state import FiguresState
from inspect_tui.tui.screens.figures_text import table
from inspect_tui.tui.screens.findings_lines import lines_of
from inspect_tui.tui.screens.machine_text import machine_text
from inspect_tui.tui.screens.plan_text import plan_text
from inspect_tui.tui.screens.sign_state import SignState
from inspect_tui.tui.screens.sign_text import sheet as sign_sheet
from inspect_tui.workflow import demo, sheets
from inspect_tui.workflow.inspection import Inspection
from inspect_tui.workflow.machine_figures import MachineFigures
from inspect_tui.workflow.machine_page import machine_page
from tests.tui.plain_walk import PlainWalk

AT = datetime(2026, 11, 26, 18, 0, tzinfo=UTC)
PANELS = ("why", "details", "saved", "air")


def _words_of(results):
    """What the list itself says, in lower case: `leak-down` is an English word."""
    texts = []
    for section in results.checklist.section:
        texts.append(section.title)
        for step in section.step:
            texts += [step.title, step.how, step.why, step.caution, *step.tools]
            for each in (*step.reading, *step.derived):
                texts += [each.label, each.source]
            for each in step.reading:
                texts += each.options
            for each in step.setting:
                texts += [each.move, each.more, each.less]
    texts += [each.says for each in results.checklist.inference]
    machine = results.machine
    texts += [machine.name, *machine.source.values(), *map(str, machine.spec_text.values())]
    return "\n".join(map(str, texts)).lower()


def ids_of(results):
    """The ids that can't be taken for words: with a point, a hyphen or an underline in them."""
    ids = set()
    for result in results.steps:
        step = result.step
        ids.add(step.id)
        for each in (*step.reading, *step.derived, *step.setting):
            ids |= {each.id, f"{step.id}.{each.id}"}
    ids |= {finding.id for finding in results.findings}
    ids |= {name for result in results.steps for name in _figures(result)}
    said = _words_of(results)
    return {each for each in ids if re.search(r"[._-]", each) and each.lower() not in said}


def _figures(result):
    texts = [
        str(limit)
        for each in (*result.step.reading, *result.step.derived)
        if each.limit is not None
        for limit in (each.limit.min, each.limit.max, each.limit.target, each.limit.equal)
    ]
    return re.findall(r"spec\.(\w+)", "\n".join(texts))


def shown_ids(text, ids):
    """The ids that stand in a text as words of their own."""
    words = set(re.findall(r"[\w@.-]*[\w@]", text))
    words |= {word.partition("@")[0] for word in words}
    return sorted(ids & words)


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    store, session = demo.prepare(str(tmp_path_factory.mktemp("demo")), lambda: AT)
    with Inspection.open(store, session, lambda: AT, write=True) as inspection:
        yield inspection


@pytest.fixture(scope="module")
def bare(tmp_path_factory):
    """A machine without a figure, with a value at every step that wants a number."""
    store = Store(tmp_path_factory.mktemp("bare"))
    store.make()
    sheets.new_sheet(store, "bare", "The bare one", "PTO,MAG", ())
    with Inspection.new(store, "pre-season", "bare", "A. Owner", lambda: AT) as inspection:
        inspection.cautions.confirm()
        yield inspection


def drawn(walk):
    """What every screen says at every step, with its panels; by the place where it says so."""
    view = walk.state.view
    for result in walk.results.steps:
        walk.go(result.step.id)
        yield f"{result.step.id}", walk.text
        for panel in PANELS:
            walk.controller.set(walk.state.with_panel(panel))
            yield f"{result.step.id}, {panel}", walk.text
            walk.controller.set(walk.state.with_panel(panel))
        for target in reading_order.targets(result.step, walk.results.machine.cylinders[:1]):
            walk.go_to(target)
            yield f"{target}", walk.text
    yield "plan", plan_text(view, ()).plain
    signing = SignState()
    signing.show(view, ())
    yield "sign-off", sign_sheet(view, signing, 80, 24, whole=True).plain
    for line in lines_of(view, ()):
        yield f"finding {line.id}", f"{line.title} {line.said} {line.decided}"
    for finding in view.results.findings:
        yield f"what {finding.id} rests on", "\n".join((finding.text, *finding.evidence))


@pytest.mark.parametrize(("machine", "size"), [("told", (120, 40)), ("bare", (80, 24))])
def test_no_screen_shows_an_id(machine, size, request):
    inspection = request.getfixturevalue(machine)
    walk = PlainWalk(inspection, size)
    walk.open()
    ids = ids_of(walk.results)
    assert len(ids) > 200
    found = {place: shown for place, text in drawn(walk) if (shown := shown_ids(text, ids))}
    assert "\n".join(f"{place}: {', '.join(shown)}" for place, shown in found.items()) == ""


@pytest.mark.parametrize("machine", ["told", "bare"])
def test_the_page_of_a_machine_shows_no_id(machine, request):
    inspection = request.getfixturevalue(machine)
    known = inspection.machine
    page = machine_page(inspection.places, known.id, known.name, AT.date())
    ids = ids_of(inspection.results)
    text = machine_text(page).plain
    assert shown_ids(text, ids) == [] and f"{known.id}-pre-season" not in text


@pytest.mark.parametrize("machine", ["told", "bare"])
def test_the_page_of_figures_shows_no_id(machine, request):
    inspection = request.getfixturevalue(machine)
    figures = MachineFigures(inspection.places, inspection.machine.id, inspection=inspection)
    page = figures.page()
    text = table(FiguresState.begun(page), 120, len(page.rows) + 40).plain
    assert page.rows and shown_ids(text, ids_of(inspection.results)) == []


@pytest.mark.parametrize(("machine", "form"), [("told", "html"), ("bare", "md")])
def test_no_report_shows_an_id(machine, form, request):
    inspection = request.getfixturevalue(machine)
    text = inspection.export(form).decode()
    body = text.partition("</style>")[2] or text
    body = re.sub(r"\bid=\"[^\"]*\"|href=\"[^\"]*\"|<[^>]*>", " ", body)
    assert shown_ids(body, ids_of(inspection.results)) == []


def test_an_id_would_be_found(told):
    ids = ids_of(told.results)
    assert shown_ids("see belt-width.width-1, or brake-pads.", ids) == [
        "belt-width.width-1", "brake-pads",
    ]  # fmt: skip
