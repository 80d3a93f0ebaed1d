"""A session's log held open, replayed, and worked out anew after each entry.

`inspection` does the acts of a person on top of this; together they are the only joiner of core
and files.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, count
from pathlib import Path
from typing import Any, Self

from inspect_tui import __version__
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.evaluation.evaluate import evaluate
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.validate import ReadingValidator
from inspect_tui.core.model.log_entry import FORMAT, Entry
from inspect_tui.core.model.results import Results
from inspect_tui.core.session.replay import Replay, Session
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store, new_session_id


@dataclass(frozen=True, slots=True)
class LogState:
    """What the log itself has to say."""

    path: Path
    problems: tuple[str, ...] = ()
    torn: str = ""
    torn_bytes: int = 0

    @property
    def whole(self) -> bool:
        """Whether every seal holds and nothing is torn."""
        return not self.problems and not self.torn_bytes


class SessionLog:
    """A session's log, open for writing or for reading.

    `said` holds what has to be told on opening: a torn tail that was moved, broken entries,
    figures that the sheet lacks.
    """

    session: Session
    results: Results

    def __init__(
        self,
        places: Store,
        now: Callable[[], datetime],
        contents: log.Contents,
        path: Path,
        writer: log.Writer | None,
        by: str = "",
    ) -> None:
        self.places = places
        self.now = now
        self.entries: tuple[Entry, ...] = contents.entries
        self.said: tuple[str, ...] = ()
        torn = contents.torn if writer is None else b""
        words = contents.torn_in_words if torn else ""
        self.log = LogState(path, contents.problems, words, len(torn))
        self._writer = writer
        self._replay = Replay(self.entries[0] if self.entries else None)
        for entry in self.entries[1:]:
            self._replay.take(entry)
        self.session = self._replay.session()
        self.by = by or self.session.by
        self._compile()
        self._work_out()

    # --- opening and closing ----------------------------------------------------------------

    @classmethod
    def new(
        cls, places: Store, checklist: str, machine: str, by: str, now: Callable[[], datetime]
    ) -> Self:
        """Begin a session.

        Raises:
            BadInput: no such checklist or sheet, or nobody named.
            Refused: problems in a file, each on a line.
        """
        by = wanted("who does the inspection", by)
        texts = {}
        loaded = {}
        files = {}
        for kind, name in (("checklist", checklist), ("machine", machine)):
            path = definition_files.find(kind, name, places)  # type: ignore[arg-type]
            files[kind] = str(path)
            texts[kind] = definition_files.read_text(path)
            load = definitions.load_checklist if kind == "checklist" else definitions.load_machine
            loaded[kind] = load(texts[kind], files[kind])
            _sound(loaded[kind].problems)
        sheet = loaded["machine"].machine
        compiled = loaded["checklist"].compiled
        assert sheet is not None and compiled is not None
        notes = definitions.check_together(
            loaded["checklist"], texts["checklist"], files["checklist"], sheet
        )
        _sound(notes)
        at = now()
        places.make()
        session = new_session_id(places, at.date(), sheet.id, compiled.checklist.id)
        path = places.log(session)
        keys = {
            "format": FORMAT, "program": f"inspect-tui {__version__}", "session": session,
            "checklist": texts["checklist"], "machine": texts["machine"],
        }  # fmt: skip
        writer = log.Writer.create(path, Entry(0, "opened", at, by, keys))
        try:
            inspection = cls(places, now, writer.contents, path, writer, by)
        except BaseException:
            writer.close()
            raise
        lock = (writer.lock_note,) if writer.lock_note else ()
        inspection.said = lock + tuple(problem.message for problem in notes)
        return inspection

    @classmethod
    def open(
        cls,
        places: Store,
        session: str,
        now: Callable[[], datetime],
        *,
        write: bool = True,
        by: str = "",
        despite_broken: bool = False,
    ) -> Self:
        """Open a session by its id, or by the path of a log that ends in `.toml`.

        Raises:
            BadInput: there is no such session.
            Refused: another program has it open, or the log is broken (and `write`).
        """
        path = Path(session) if session.endswith(".toml") else places.log(session)
        if not write:
            contents = log.read(path)
            inspection = cls(places, now, contents, path, None, by)
            torn = (inspection.log.torn,) if contents.torn else ()
            inspection.said = torn + contents.problems
            return inspection
        writer = log.Writer.open(path, despite_broken=despite_broken)
        try:
            inspection = cls(places, now, writer.contents, path, writer, by)
        except BaseException:
            writer.close()
            raise
        first = tuple(text for text in (writer.lock_note, writer.mended) if text)
        inspection.said = first + writer.contents.problems
        return inspection

    def close(self) -> None:
        """Give the log back. Safe to call twice."""
        if self._writer is not None:
            self._writer.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *about: object) -> None:
        self.close()

    @property
    def clock_note(self) -> str:
        """Said when this computer's clock is behind the log; "" otherwise."""
        return "" if self._writer is None else self._writer.clock_note

    @property
    def read_only(self) -> bool:
        """Whether nothing can be written: opened so, or signed."""
        return self._writer is None or self.session.signed is not None

    @property
    def close_note(self) -> str:
        """Said when the disk complained at closing; "" otherwise. What was saved stays saved."""
        return "" if self._writer is None else self._writer.close_note

    def _compile(self) -> None:
        compiled = definitions.compile_trusted(self.session.checklist_text)
        for added in self.session.added:
            compiled = definitions.add_step(
                compiled, added.section, added.id, added.title, added.unit
            )
        self.compiled = compiled
        self.machine = definitions.trusted_machine(self.session.machine_text)
        self.evaluation = Evaluator(compiled, self.machine)
        self.asking = ReadingValidator(self.evaluation)

    def _work_out(self) -> None:
        self.results = evaluate(self.evaluation, self.session)

    # --- keeping it elsewhere ---------------------------------------------------------------

    def keep_copy(self, folder: Path, unsaved: Sequence[str] = ()) -> tuple[str, ...]:
        """Write the log into another folder, and beside it what could not be saved in it.

        For when the log's own disk takes no more, or is gone: what was acknowledged is then still
        in memory, and is written from there.

        Args:
            folder: A folder that is there, on another disk.
            unsaved: What was typed and is in no log, a line each.

        Returns:
            Where it was written, a sentence each.

        Raises:
            BadInput: there is no such folder, or the log lies in it.
            NotSaved: that disk did not take it either, or what is left doesn't verify.
        """
        # Late: it brings tempfile, which no start of the program should wait for.
        from inspect_tui.files import atomic_write
        from inspect_tui.files.log import replace

        if not folder.is_dir():
            raise BadInput(f"There is no folder {folder}.", "Name one on another disk.")
        name = self.log.path.stem
        if folder.resolve() == self.log.path.resolve().parent:
            raise BadInput(f"{folder} is where the log lies.", "Name a folder on another disk.")
        ends = chain([""], (f"-{number}" for number in count(2)))
        named = (folder / f"{name}{end}.toml" for end in ends)
        path = next(each for each in named if not os.path.lexists(each))
        data = replace.bytes_held(self.log.path, self.entries)
        atomic_write.write(path, data)
        said = [f"The session's {len(self.entries)} entries are in {path} too."]
        if unsaved:
            beside = path.with_suffix(".unsaved.txt")
            head = f"Typed at {self.now().isoformat(timespec='seconds')} and not saved in {name}:"
            lines = [head, *(sanitize(text) for text in unsaved), ""]
            atomic_write.write(beside, "\n".join(lines).encode("utf-8", "replace"))
            said.append(f"What is not saved is in {beside.name} beside it, as text.")
        return tuple(said)

    # --- writing ----------------------------------------------------------------------------

    def _writable(self) -> log.Writer:
        if self.session.signed is not None:
            signed = self.session.signed
            raise Refused(
                f"Session {self.session.id} was signed by {signed.by} on {signed.at:%Y-%m-%d}; "
                "it can't be changed.",
                "Use 'addendum' to add words.",
            )
        if self._writer is None:
            raise Refused("This session is open for reading only.")
        return self._writer

    def _write(
        self,
        *kinds: tuple[str, dict[str, Any]],
        by: str = "",
        following: Callable[[Entry], Entry] | None = None,
    ) -> None:
        """Append entries in one write; only then is anything shown."""
        writer = self._writer
        if writer is None:
            raise Refused("This session is open for reading only.")
        at = self.now()
        fresh = writer.append(
            [Entry(-1, kind, at, by or self.by, _given(keys)) for kind, keys in kinds], following
        )
        self.entries += fresh
        for entry in fresh:
            self._replay.take(entry)
        self.session = self._replay.session()
        if any(kind == "step-added" for kind, _ in kinds):
            self._compile()
        self._work_out()


def _given(keys: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in keys.items() if value is not None}


def wanted(what: str, text: str) -> str:
    """A text that has to be there, cleaned. Raises BadInput."""
    cleaned = sanitize(text)
    if not cleaned:
        raise BadInput(f"{what[0].upper()}{what[1:]} is missing.")
    return cleaned


def _sound(problems: Iterable[Any]) -> None:
    errors = [str(problem) for problem in problems if not problem.note]
    if errors:
        raise Refused("\n".join(errors))
