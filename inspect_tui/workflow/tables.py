"""The store's readings, findings, parts and sessions as tidy tables for engines that exist.

Parquet, one file a table and season, so that an engine opens few of them; a season is written anew
when one of its logs changed, and what stands in `_seasons.json` says from which logs it was made.
A season is a winter: it begins in July.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import msgspec

from inspect_tui.core.evaluation.evaluate_entries import Evaluated, evaluate_entries
from inspect_tui.core.evaluation.job.parts import parts_of
from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.errors import BadInput, InspectError, NotSaved, Refused
from inspect_tui.files import atomic_write
from inspect_tui.files.disk import (
    bytes_of,
    is_plain_file,
    kind_in_words,
    make_folder,
    reason_in_words,
)
from inspect_tui.files.log import reader
from inspect_tui.files.new_file import sweep
from inspect_tui.files.store import Store, list_sessions
from inspect_tui.report.status import status

if TYPE_CHECKING:
    import pyarrow

Row = dict[str, Any]
COLUMNS: Final[Mapping[str, Mapping[str, str]]] = {
    "readings": {
        "session": "text", "machine": "text", "checklist": "text", "state": "text",
        "date": "text", "step": "text", "reading": "text", "cylinder": "text", "phase": "text",
        "entered": "text", "value": "number", "text": "text", "unit": "text", "verdict": "text",
        "uncertainty": "number", "meter": "number",
    },
    "findings": {
        "session": "text", "machine": "text", "checklist": "text", "state": "text",
        "date": "text", "finding": "text", "step": "text", "reading": "text", "cylinder": "text",
        "text": "text", "decision": "text", "open": "truth", "under": "text", "remark": "truth",
        "sure": "text",
    },
    "parts": {
        "session": "text", "machine": "text", "date": "text", "part": "text",
        "quantity": "number", "number": "text", "state": "text",
    },
    "sessions": {
        "session": "text", "machine": "text", "checklist": "text", "state": "text", "by": "text",
        "opened": "text", "last": "text", "done": "number", "steps": "number",
        "open_findings": "number", "meter": "number",
    },
}  # fmt: skip
"""By table, its columns; every number is a double, since engines differ in what else they take."""
_MADE: Final = "_seasons.json"
_Season = Annotated[str, msgspec.Meta(pattern=r"^[0-9]{4}$")]
_DECODER: Final = msgspec.json.Decoder(dict[_Season, dict[str, str]])
_OF_A_FINDING: Final = (
    "step", "reading", "cylinder", "text", "decision", "open", "under", "remark", "sure",
)  # fmt: skip


def write_tables(store: Store, folder: Path, progress: Callable[[int, int], None]) -> int:
    """Write the tables of every season that changed; how many seasons that were.

    Args:
        store: Whose sessions.
        folder: Where the folders `readings`, `findings`, `parts`, `sessions` stand or will.
        progress: Told how many of how many logs were read.

    Raises:
        BadInput: the Parquet writer isn't installed, or the folder can't be one.
        NotSaved: the disk did not take it.
    """
    try:
        import pyarrow.parquet  # noqa: F401
    except ImportError:
        raise BadInput(
            "Tables want the package pyarrow.", "Install it: pip install 'inspect-tui[table]'."
        ) from None
    made = _made(folder)
    if not made:  # the folder is ours from now on, also if it ends before all is written
        _keep(folder / _MADE, b"{}")
    seasons: dict[str, dict[str, Path]] = {}
    hashes: dict[str, dict[str, str]] = {}
    for path in list_sessions(store):
        data = bytes_of(path, "log")
        season = season_of(data)
        if season:
            seasons.setdefault(season, {})[path.stem] = path
            hashes.setdefault(season, {})[path.stem] = hashlib.sha256(data).hexdigest()
    changed = [each for each in seasons if made.get(each) != hashes[each]]
    of = sum(len(seasons[each]) for each in changed)
    done = 0
    for season in sorted(changed):
        tables: dict[str, list[Row]] = {name: [] for name in COLUMNS}
        for called, evaluated in _evaluated(seasons[season]):
            for name, row in rows_of(called, evaluated):
                tables[name].append(row)
            done += 1
            progress(done, of)
        for name, rows in tables.items():
            _write(folder / name / f"season={season}" / f"{name}.parquet", name, rows)
        made[season] = hashes[season]
        _keep(folder / _MADE, json.dumps(made, indent=1).encode())
    for season in [each for each in made if each not in seasons]:
        _drop(folder, season)
        del made[season]
        _keep(folder / _MADE, json.dumps(made, indent=1).encode())
    return len(changed)


def season_of(log: bytes) -> str:
    """The winter in which a session was begun, by its first entry's time; "" where it has none."""
    at = log.find(b"\nat = ")
    text = log[at + 6 : at + 16].decode("ascii", "replace")
    if at < 0 or not (text[:4] + text[5:7]).isdecimal():
        return ""
    year, month = int(text[:4]), int(text[5:7])
    return str(year if month >= 7 else year - 1)


def rows_of(called: str, evaluated: Evaluated) -> Iterator[tuple[str, Row]]:
    """Every row of a session, with the table that it stands in.

    Args:
        called: What the store calls the session: two computers may have given one id to a session
            of their own, and here they lie side by side.
        evaluated: What its log says.
    """
    session, results = evaluated.session, evaluated.results
    said = status(session, results)
    machine, checklist = evaluated.evaluator.machine.id, results.checklist.id
    head = {
        "session": called,
        "machine": machine,
        "checklist": checklist,
        "state": said["state"],
    }
    meter = _meter(evaluated)
    for row in said["readings"]:
        key = row["step"], row["reading"], row["cylinder"], row["phase"]
        taken = session.readings.get(key)
        standing = results.row(*key)
        number, words = _apart(row["value"])
        uncertainty = None if standing is None else standing.judged.uncertainty
        yield "readings", head | {
            "date": "" if taken is None else taken.at.date().isoformat(), "step": row["step"],
            "reading": row["reading"], "cylinder": row["cylinder"], "phase": row["phase"],
            "entered": row["entered"], "value": number, "text": words, "unit": row["unit"],
            "verdict": row["verdict"], "meter": meter,
            "uncertainty": None if uncertainty is None else float(uncertainty),
        }  # fmt: skip
    day = session.last.date().isoformat()
    for finding in said["findings"]:
        yield (
            "findings",
            head
            | {
                "date": day,
                "finding": finding["id"],
                **{name: finding.get(name) for name in _OF_A_FINDING},
            },
        )
    for part in parts_of(session):
        yield "parts", {
            "session": called, "machine": machine, "date": day, "part": part.part,
            "quantity": part.quantity, "number": part.number, "state": part.state,
        }  # fmt: skip
    count = count_of(results.steps)
    yield "sessions", head | {
        "by": session.by, "opened": session.opened.date().isoformat(), "last": day,
        "done": count.done, "steps": count.of, "meter": meter,
        "open_findings": sum(bool(finding["open"]) for finding in said["findings"]),
    }  # fmt: skip


def _meter(evaluated: Evaluated) -> float | None:
    named = {
        (step.id, reading.id)
        for step in evaluated.results.checklist.steps
        for reading in step.readings
        if reading.meter == "odometer"
    }
    found = [
        row.value
        for row in evaluated.results.readings
        if (row.step, row.reading) in named and not isinstance(row.value, bool | str | None)
    ]
    return float(found[-1]) if found else None


def _apart(value: object) -> tuple[float | None, str | None]:
    """A value as a number, or as words."""
    if isinstance(value, bool):
        return None, "yes" if value else "no"
    if value is None or isinstance(value, str):
        return None, value
    return float(value), None  # type: ignore[arg-type]


def _evaluated(logs: Mapping[str, Path]) -> Iterator[tuple[str, Evaluated]]:
    for called, path in logs.items():
        try:
            yield called, evaluate_entries(reader.read(path).entries)
        except InspectError:
            continue  # `sessions` says what is wrong with it


def _made(folder: Path) -> dict[str, dict[str, str]]:
    """From which logs each season was made; what isn't ours is refused, so nothing is mixed in."""
    if folder.exists() and not folder.is_dir():
        raise BadInput(f"{folder} is {kind_in_words(folder.stat().st_mode)}.", "Name a folder.")
    try:
        sweep(folder, folder / _MADE)
        if not os.path.lexists(folder / _MADE):
            if folder.is_dir() and any(folder.iterdir()):
                raise Refused(f"{folder} holds other things.", "Name an empty folder.")
            return {}
        return _DECODER.decode(bytes_of(folder / _MADE, "list of tables"))
    except OSError as error:
        raise Refused(
            f"{folder} can't be looked into: {reason_in_words(error)}.", "Name another folder."
        ) from None
    except (msgspec.MsgspecError, ValueError):  # ValueError: no text
        raise Refused(
            f"{folder / _MADE} is not as this program writes it.", "Name another folder."
        ) from None


def _table(name: str, rows: list[Row]) -> pyarrow.Table:
    import pyarrow

    kinds = {"text": pyarrow.string(), "number": pyarrow.float64(), "truth": pyarrow.bool_()}
    columns = COLUMNS[name]
    schema = pyarrow.schema([(column, kinds[kind]) for column, kind in columns.items()])
    data = {
        column: [
            float(row[column]) if kind == "number" and row[column] is not None else row[column]
            for row in rows
        ]
        for column, kind in columns.items()
    }
    return pyarrow.table(data, schema=schema)


def _write(path: Path, name: str, rows: list[Row]) -> None:
    import io

    from pyarrow import parquet

    buffer = io.BytesIO()
    parquet.write_table(_table(name, rows), buffer, compression="zstd")
    _keep(path, buffer.getvalue())


_OURS = (b"PAR1", b"{")
"""How a table, and the list of what was written, begin."""


def _keep(path: Path, data: bytes) -> None:
    if os.path.lexists(path) and not is_plain_file(path):  # nobody named this file
        what = kind_in_words(path.lstat().st_mode)
        raise Refused(f"{path} is {what}, and no table of this program.", "Move it away.")
    try:
        make_folder(path.parent)
    except OSError as error:
        raise NotSaved(f"{path.parent} can't be made: {reason_in_words(error)}.") from error
    atomic_write.write(path, data, lambda there: there.startswith(_OURS))


def _drop(folder: Path, season: str) -> None:
    for name in COLUMNS:
        path = folder / name / f"season={season}" / f"{name}.parquet"
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            raise NotSaved(f"{path} can't be taken away: {reason_in_words(error)}.") from error
