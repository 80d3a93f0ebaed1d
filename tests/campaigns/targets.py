"""What the campaign of hostile input feeds, target by target; each raises what it must not raise.

A target makes one hostile input from a random source, and feeds it to the program. Whatever
`InspectError` says is a right answer; any other exception is a finding.
"""

from __future__ import annotations

import contextlib
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions import of_log
from inspect_tui.core.expressions import calculations
from inspect_tui.core.expressions.expression import Missing, Name, Type, parse
from inspect_tui.core.model.checklist import Limit, Reading
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import replay
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import InspectError
from inspect_tui.files.log.block import block
from inspect_tui.files.log.reader import contents_of
from tests.builders import checklist, derived, reading, section, step
from tests.campaigns import hostile
from tests.campaigns.changes import sealed
from tests.campaigns.hostile import Random

ROOT = Path(__file__).parents[2]
LISTS = ("before-every-ride", "lay-up", "first-ride")
START = datetime(2026, 11, 2, 18, tzinfo=UTC)
FORMS = ("md", "html", "csv", "json", "pdf")


@dataclass(frozen=True)
class Aim:
    """One kind of input."""

    make: Callable[[Random], Any]
    feed: Callable[[Any], None]
    weight: int
    """Its share of a long run."""
    plain: type | None = None
    """str or bytes: what a coverage-guided run may feed."""


def now() -> datetime:
    return START


# --- what is typed -----------------------------------------------------------------------------

KINDS = ("number", "number", "number", "count", "choice", "check", "text", "date", "photo", "timer")
GOOD_UNITS = ("", "mm", "degC", "kPa", "N*m", "turn", "percent", "delta_degC", "1/min", "mL", "s")


def a_reading(rng: Random) -> tuple[str, Reading]:
    kind = rng.choice(KINDS)
    unit = rng.choice(GOOD_UNITS) if kind == "number" else ""
    limit = Limit(equal=rng.random() < 0.5) if kind == "check" else None
    options = ("none", "surface", "through", "No", "x[/]y", "1", "") if kind == "choice" else ()
    return hostile.typed(rng), Reading("r", "Width", kind, unit, options, limit=limit)


def feed_reading(given: tuple[str, Reading]) -> None:
    words, reading = given
    typed = readings.read(words, reading)
    assert harmless(typed.entered), ascii(typed.entered)
    for low, high in ((30, 35), (None, None), (Fraction(-1, 3), None)):
        readings.probable_slip(typed, reading, low, high)
    assert harmless(format_value(typed.value, typed.unit))


def feed_text_reading(words: str) -> None:
    for kind, unit in (("number", "mm"), ("timer", ""), ("count", ""), ("date", "")):
        with contextlib.suppress(InspectError):
            feed_reading((words, Reading("r", "Width", kind, unit)))


def feed_unit(words: str) -> None:
    found = units.unit(words)
    assert isinstance(found.factor, Fraction), words


def feed_quantity(given: tuple[str, str, bool]) -> None:
    words, unit, bare = given
    found = readings.quantity(words, units.unit(unit) if unit else None, bare=bare)
    units.si_unit_name(found.dimension)


def feed_calculation(given: tuple[str, list[tuple[str, str]]]) -> None:
    calculations.from_text(*given)


def a_calculation(rng: Random) -> tuple[str, list[tuple[str, str]]]:
    name = rng.choice(calculations.names())
    made = []
    for entry in calculations.calculation(name).inputs:
        if entry.optional and rng.random() < 0.5:
            continue
        kind = rng.randrange(4)
        words = entry.example if kind else hostile.typed(rng)
        if kind == 2:
            words = f"{rng.choice(hostile.NUMBERS)} {entry.unit}"
        elif kind == 3:
            words = hostile.changed_text(words, rng)
        made.append((entry.name if rng.random() < 0.98 else hostile.word(rng), words))
    return (name if rng.random() < 0.98 else hostile.word(rng)), made


# --- expressions -------------------------------------------------------------------------------

_MM, _N = units.unit("mm"), units.unit("N")
VALUES: dict[str, Any] = {
    "width": units.of(Fraction(63, 2), _MM), "load": units.of(Fraction(20), _N),
    "gaps": tuple(units.of(Fraction(n), _MM) for n in (1, 3, 2)), "crack": "through",
    "jets": tuple(units.of(Fraction(n), units.PLAIN) for n in (240, 230, 240)),
    "track_tension.deflection": units.of(Fraction(35), _MM),
}  # fmt: skip
NAMES = {word: Name("value", *("belt", word)) for word in VALUES}


def feed_expression(words: str) -> None:
    found = parse(words, NAMES)
    value = found.evaluate(lambda name: VALUES.get(name.id, Missing("not there", measured=True)))
    assert value is not None
    found.check(lambda name: Type("any"))


# --- definitions -------------------------------------------------------------------------------


def _source(name: str) -> str:
    return (ROOT / "checklists" / f"{name}.toml").read_text(encoding="utf-8")


CHECKLISTS = [_source(name) for name in LISTS]
SHEETS = [_source(f"machines/{name}") for name in ("tindrak-600", "ostrebek-440")]
BAD = [
    path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "tests" / "core" / "data" / "bad").glob("list-*.toml"))
]
MACHINE = definitions.load_machine(SHEETS[0], "sheet.toml").machine


def a_checklist(rng: Random) -> str:
    source = rng.choice(BAD) if rng.random() < 0.85 else rng.choice(CHECKLISTS)
    return hostile.toml(source, BAD, rng)


def a_sheet(rng: Random) -> str:
    return hostile.toml(rng.choice(SHEETS), SHEETS, rng)


def feed_checklist(words: str) -> None:
    loaded = definitions.load_checklist(words, "list.toml")
    for problem in loaded.problems:
        assert harmless(str(problem)), ascii(str(problem))
    definitions.kind_of(words)
    with contextlib.suppress(InspectError):
        of_log.compile_trusted(words)
    if loaded.compiled is not None and MACHINE is not None:
        definitions.check_together(loaded, words, "list.toml", MACHINE)


def feed_sheet(words: str) -> None:
    loaded = definitions.load_machine(words, "sheet.toml")
    for problem in loaded.problems:
        assert harmless(str(problem)), ascii(str(problem))
    of_log.trusted_machine(words)


# --- logs --------------------------------------------------------------------------------------

SHORT = checklist(
    section("drive"),
    step(
        "belt",
        reading("width", label="Width", uncertainty='"0.3 mm"', limit='{ min = "31.5 mm" }'),
        reading("shot", "photo", label="Picture", optional="true"),
        title="Belt",
        caution='"Engine off."',
    ),
    step(
        "plugs",
        reading("gap", label="Gap"),
        derived("apart", "spread(gap)", label="Spread", across="true", limit='{ max = "0.2 mm" }'),
        title="Plugs",
        per="cylinder",
    ),
    id_="short",
    title="Short look x[/]y",
    top='cautions = ["Look before you reach."]\n',
)
KINDS_OF_ENTRY = (
    "reading", "reading", "note", "skipped", "step-added", "finding", "decision", "caution",
    "conditions", "photo", "sheet", "resumed", "signed", "signature", "addendum", "combined",
    "joined", "opened",
    "polished",
)  # fmt: skip
KEYS = (
    "step", "reading", "cylinder", "phase", "entered", "value", "unit", "verdict", "state", "gauge",
    "why", "text", "id", "section", "title", "finding", "decision", "until", "temperature", "qnh",
    "altitude", "photo", "name", "open", "accepted", "taken", "moved_from", "clock", "common",
    "entries", "last_seal", "log", "text", "format", "session", "checklist", "machine", "signature",
    "public_key",
)  # fmt: skip
LIKELY: dict[str, tuple[Any, ...]] = {
    "step": ("belt", "plugs", "added-1", ""), "reading": ("width", "gap", "shot", "value"),
    "cylinder": ("PTO", "MAG", "x"), "phase": ("as-found", "as-left"), "value": (31.7, 0, True,
    -1e300),
    "entered": ("31.7", "31.7 ± 0.2 mm", "1e9"), "unit": ("mm", "furlong"), "section": ("drive",),
    "finding": ("F1", "belt.width", "plugs.apart"), "decision": ("later", "put-right"),
    "photo": ("a" * 64 + ".jpg",), "temperature": ("-12 degC",), "open": (["x"], [1], 5),
    "taken": (START, START - timedelta(days=999)), "moved_from": ("as-found",),
    "common": (0, 3), "entries": (1, ["x"], "[[entry]]\n"),
}  # fmt: skip


def a_value(key: str, rng: Random) -> Any:
    if key in LIKELY and rng.random() < 0.7:
        return rng.choice(LIKELY[key])
    odd = (0, -1, 2**62, 1.5, True, [], ["x", 1], [[1]], START, START.date())
    return rng.choice(odd) if rng.random() < 0.25 else hostile.text(rng).encode(
        "utf-8", "replace").decode()  # fmt: skip


def a_log(rng: Random) -> bytes:
    """A log of odd entries, rightly sealed."""
    checklist = SHORT if rng.random() < 0.8 else hostile.toml(SHORT, BAD, rng)
    machine = SHEETS[0] if rng.random() < 0.8 else hostile.toml(SHEETS[0], SHEETS, rng)
    keys: dict[str, Any] = {
        "format": 1, "program": "x", "session": "s",
        "checklist": checklist.encode("utf-8", "replace").decode(),
        "machine": machine.encode("utf-8", "replace").decode(),
    }  # fmt: skip
    made = [("opened", keys)]
    for _ in range(rng.randrange(8)):
        kind = rng.choice(KINDS_OF_ENTRY)
        wanted = ["step", "reading", "phase", "entered", "value"] if kind == "reading" else []
        wanted += [key for key in KEYS if rng.random() < (0.5 if kind != "reading" else 0.1)]
        made.append((kind, {key: a_value(key, rng) for key in dict.fromkeys(wanted)}))
    blocks = [
        block(Entry(n, kind, START + timedelta(minutes=n), "A. T[/]", keys))
        for n, (kind, keys) in enumerate(made)
    ]
    return sealed(tuple(blocks))


def a_session(rng: Random) -> bytes:
    data = a_log(rng)
    return hostile.changed_bytes(data, rng) if rng.random() < 0.3 else data


def a_changed_log(rng: Random) -> bytes:
    return hostile.changed_bytes(a_log(rng), rng)


def feed_log(data: bytes) -> None:
    contents = contents_of(data, "x.toml")
    assert contents.torn_in_words or not contents.torn
    replay(contents.entries)


_STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def harmless(words: str) -> bool:
    """Whether nothing in a printed text steers a terminal or turns the writing."""
    return _STEERS.search(words.replace("\r\n", "\n")) is None and not any(
        unicodedata.category(sign) == "Cs" for sign in words
    )


def of_memory() -> dict[str, Aim]:
    """The targets that need no disk."""
    return {
        "reading": Aim(a_reading, feed_reading, 300),
        "typed text": Aim(hostile.typed, feed_text_reading, 100, str),
        "clean": Aim(lambda rng: hostile.text(rng) + hostile.any_text(rng),
                     lambda words: _check_clean(words), 60, str),
        "unit": Aim(hostile.unit, feed_unit, 100, str),
        "quantity": Aim(
            lambda rng: (hostile.typed(rng), rng.choice(GOOD_UNITS), rng.random() < 0.5),
            feed_quantity, 150,
        ),
        "expression": Aim(hostile.expression, feed_expression, 170, str),
        "calculation": Aim(a_calculation, feed_calculation, 60),
        "checklist": Aim(a_checklist, feed_checklist, 20, str),
        "sheet": Aim(a_sheet, feed_sheet, 10, str),
        "log": Aim(a_changed_log, feed_log, 20, bytes),
    }  # fmt: skip


def _check_clean(words: str) -> None:
    for made in (sanitize(words), sanitize(words, lines=True)):
        assert harmless(made), ascii(words)
