"""What the entries of a log add up to: one session, replayed; and which entry is allowed next."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from inspect_tui.core.model.log_entry import (
    AFTER_SIGNED,
    BOOKKEEPING,
    DECISIONS,
    KINDS,
    PART_STATES,
    UNKNOWN_ANSWERS,
    Entry,
    Phase,
    is_time,
)
from inspect_tui.core.model.photo import hash_of
from inspect_tui.core.session.reading_history import (
    Key,
    ReadingHistory,
    ReadingKey,
    Recorded,
    SupersededReadings,
    Value,
)
from inspect_tui.core.session.session import (
    AddedStep,
    Caution,
    Combined,
    Decision,
    Note,
    PartState,
    PersonFinding,
    Photo,
    Session,
    SetAside,
    SheetFigure,
    Signed,
    Skip,
    Withdrawn,
)
from inspect_tui.errors import Refused

__all__ = [
    "AddedStep", "Caution", "Combined", "Decision", "Key", "Note", "PartState", "PersonFinding",
    "Photo", "ReadingKey", "Recorded", "Replay", "Session", "SetAside", "SheetFigure", "Signed",
    "Skip", "SupersededReadings", "Value", "Withdrawn", "replay",
]  # fmt: skip

SkipKey = tuple[str, str | None, str | None]


class Replay:
    """The growing state while entries are read; `session` gives what they add up to so far.

    Raises:
        Refused: the first entry isn't `opened`.
    """

    def __init__(self, opened: Entry | None) -> None:
        if opened is None or opened.kind != "opened":
            raise Refused("The log does not begin with its 'opened' entry, so it is no session.")
        self.opened = opened
        self.last = opened.at
        only = opened.get("only")
        self.only = tuple(map(str, only)) if isinstance(only, list | tuple) else None
        self.standing = ReadingHistory()
        self.skips: dict[tuple[str, str | None, str | None], Skip] = {}
        self.notes: list[Note] = []
        self.findings: list[PersonFinding] = []
        self.decisions: dict[str, Decision] = {}
        self.cautions: list[Caution] = []
        self.added: list[AddedStep] = []
        self.conditions: dict[str, str] = {}
        self.conditions_at: dict[str, int] = {}
        self.signed: Signed | None = None
        self.addenda: list[Note] = []
        self.unknown: list[Entry] = []
        self.photos: list[Photo] = []
        self.combined: list[Combined] = []
        self.widened: list[str] = []
        self.figures: list[SheetFigure] = []
        self.parts: list[PartState] = []
        self.withdrawn: list[Withdrawn] = []
        self.set_aside: SetAside | None = None
        self.count = 1
        self._taken: list[Entry] = []
        """Readings and skips, in the order of the log."""

    def take(self, entry: Entry) -> None:
        """Add one entry; what can't be understood is kept as unknown, never dropped."""
        self.count += 1
        if entry.at > self.last:
            self.last = entry.at
        act = _ACTS.get(entry.kind)
        late = self.signed is not None and entry.kind not in AFTER_SIGNED
        if act is None or late:
            if late or entry.kind not in KINDS:
                self.unknown.append(entry)
            return
        taken = entry.keys.get("taken")
        if is_time(taken):
            entry = replace(entry, at=taken)  # from the other copy: it was taken then
        try:
            act(self, entry)
        except (KeyError, TypeError, ValueError, OverflowError):
            self.unknown.append(entry)

    def _reading(self, entry: Entry) -> None:
        key, moved = _reading_key(entry), _moved_from(entry)
        entered = _text(entry.keys["entered"])
        if "value" in entry.keys or entered.casefold() not in UNKNOWN_ANSWERS:
            _number_or_text(entry.keys["value"])
        self._taken.append(entry)
        here = self.count - 1
        self.standing.take(key, entry, here)
        if moved is not None:
            self.standing.end(moved, here)
        for lifted in _lifted(key) if self.skips else ():
            self.skips.pop(lifted, None)

    def _skipped(self, entry: Entry) -> None:
        skip = _skip(entry)
        self._taken.append(entry)
        self.skips[skip.step, skip.reading, skip.cylinder] = skip

    def _withdraw(self, entry: Entry) -> None:
        """Take a reading back: all stands as if it had never been taken."""
        of = entry.keys["of"]
        if type(of) is not int or all(each.n != of for each in self._taken):
            raise ValueError("no reading has this number")
        self.withdrawn.append(Withdrawn(of, entry.at, entry.by, entry.n))
        gone = {each.of for each in self.withdrawn}
        standing: dict[ReadingKey, Entry] = {}
        skips: dict[SkipKey, Skip] = {}
        for each in self._taken:
            if each.kind == "skipped":
                skip = _skip(each)
                skips[skip.step, skip.reading, skip.cylinder] = skip
            elif each.n not in gone:
                key, moved = _reading_key(each), _moved_from(each)
                standing[key] = each
                if moved is not None:
                    standing.pop(moved, None)
                for lifted in _lifted(key):
                    skips.pop(lifted, None)
        self.standing.become(standing, self.count - 1)
        self.skips = skips

    def _note(self, entry: Entry) -> None:
        self.notes.append(_note(entry))

    def _addendum(self, entry: Entry) -> None:
        self.addenda.append(_note(entry))

    def _finding(self, entry: Entry) -> None:
        keys = entry.keys
        self.findings.append(
            PersonFinding(
                str(keys.get("id", f"F{len(self.findings) + 1}")), _text(keys["step"]),
                _text(keys["text"]), _maybe(keys.get("cylinder")), entry.at, entry.by, entry.n,
            )
        )  # fmt: skip

    def _decision(self, entry: Entry) -> None:
        keys = entry.keys
        finding, decided = _text(keys["finding"]), _text(keys["decision"])
        if decided not in DECISIONS:
            raise ValueError("nobody knows what was decided")  # so the finding stays open
        self.decisions[finding] = Decision(
            finding, decided, str(keys.get("why", "")), str(keys.get("until", "")),
            entry.at, entry.by, entry.n, self.standing.basis(self.count - 1), dict(self.conditions),
            str(keys.get("part", "")), _quantity(keys.get("quantity", 1)),
            str(keys.get("number", "")),
        )  # fmt: skip

    def _caution(self, entry: Entry) -> None:
        printed = entry.get("printed") is True
        self.cautions.append(Caution(str(entry.get("step", "")), entry.at, entry.by, printed))

    def _step_added(self, entry: Entry) -> None:
        keys = entry.keys
        number = len(self.added) + 1
        self.added.append(
            AddedStep(
                str(keys.get("step", f"added-{number}")), _text(keys["section"]),
                _text(keys["title"]), str(keys.get("unit", "")), str(keys.get("item", "")),
                str(keys.get("text", "")),
            )
        )  # fmt: skip

    def _conditions_set(self, entry: Entry) -> None:
        said = {key: str(value) for key, value in entry.keys.items() if key not in BOOKKEEPING}
        self.conditions.update(said)
        self.conditions_at.update(dict.fromkeys(said, entry.n))

    def _sign(self, entry: Entry) -> None:
        if self.signed is None:
            left = tuple(str(text) for text in entry.get("open", []))
            accepted = str(entry.get("accepted", ""))
            steps = [str(text).partition("=") for text in entry.get("accepted_steps", [])]
            self.signed = Signed(
                entry.by, entry.at, left, accepted, entry.n, entry.seal,
                {step: words for step, _, words in steps},
                tuple(str(text) for text in entry.get("left_out", [])),
            )  # fmt: skip

    def _photo(self, entry: Entry) -> None:
        keys = entry.keys
        if not hash_of(keys["photo"]):
            raise ValueError("a photo is called by its hash")
        self.photos.append(
            Photo(
                _text(keys["step"]), _maybe(keys.get("cylinder")), keys["photo"],
                str(keys.get("name", "")), entry.at, entry.by, entry.n,
            )
        )  # fmt: skip

    def _combine(self, entry: Entry) -> None:
        keys = entry.keys
        self.combined.append(
            Combined(
                int(keys["common"]), int(keys["entries"]), _text(keys["last_seal"]), entry.at,
                entry.by, entry.n,
            )
        )  # fmt: skip

    def _widen(self, entry: Entry) -> None:
        self.widened.extend(_texts(entry.keys["ids"]))

    def _set_aside(self, entry: Entry) -> None:
        if self.set_aside is None:
            self.set_aside = SetAside(str(entry.get("why", "")), entry.at, entry.by, entry.n)

    def _sheet(self, entry: Entry) -> None:
        keys = entry.keys
        value = keys["value"]
        if isinstance(value, list):
            value = tuple(value)
        for part in value if isinstance(value, tuple) else (value,):
            _number_or_text(part)
        self.figures.append(
            SheetFigure(
                _text(keys["name"]), _maybe(keys.get("cylinder")), value,
                str(keys.get("source", "")), entry.at, entry.by, entry.n,
            )
        )  # fmt: skip

    def _part(self, entry: Entry) -> None:
        state = _text(entry.keys["state"])
        if state not in PART_STATES:
            raise ValueError("a part is got or fitted")
        self.parts.append(PartState(_text(entry.keys["part"]), state, entry.at, entry.by, entry.n))

    def session(self) -> Session:
        """What the entries so far add up to."""
        return Session(
            id=str(self.opened.get("session", "")),
            by=self.opened.by,
            opened=self.opened.at,
            last=self.last,
            program=str(self.opened.get("program", "")),
            checklist_text=str(self.opened.get("checklist", "")),
            machine_text=str(self.opened.get("machine", "")),
            readings=self.standing.readings(),
            earlier=self.standing.earlier(),
            skips=dict(self.skips),
            notes=tuple(self.notes),
            findings=tuple(self.findings),
            decisions=dict(self.decisions),
            cautions=tuple(self.cautions),
            added=tuple(self.added),
            conditions=dict(self.conditions),
            conditions_at=dict(self.conditions_at),
            signed=self.signed,
            addenda=tuple(self.addenda),
            unknown=tuple(self.unknown),
            entries=self.count,
            photos=tuple(self.photos),
            combined=tuple(self.combined),
            only=self.only,
            widened=tuple(self.widened),
            figures=tuple(self.figures),
            parts=tuple(self.parts),
            withdrawn=tuple(self.withdrawn),
            set_aside=self.set_aside,
        )


_ACTS = {
    "reading": Replay._reading,
    "skipped": Replay._skipped,
    "note": Replay._note,
    "addendum": Replay._addendum,
    "finding": Replay._finding,
    "decision": Replay._decision,
    "caution": Replay._caution,
    "step-added": Replay._step_added,
    "conditions": Replay._conditions_set,
    "signed": Replay._sign,
    "photo": Replay._photo,
    "combined": Replay._combine,
    "joined": Replay._combine,
    "withdrawn": Replay._withdraw,
    "widened": Replay._widen,
    "set-aside": Replay._set_aside,
    "sheet": Replay._sheet,
    "part": Replay._part,
}


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("text is wanted")
    return value


def _reading_key(entry: Entry) -> ReadingKey:
    keys = entry.keys
    phase: Phase = "as-left" if keys["phase"] == "as-left" else "as-found"
    return _text(keys["step"]), _text(keys["reading"]), _maybe(keys.get("cylinder")), phase


def _moved_from(entry: Entry) -> ReadingKey | None:
    """The reading of the other phase that an entry was moved from, if it was."""
    moved = entry.keys.get("moved_from")
    step, reading, cylinder, phase = _reading_key(entry)
    if moved not in ("as-found", "as-left") or moved == phase:
        return None
    other: Phase = "as-left" if moved == "as-left" else "as-found"
    return step, reading, cylinder, other


def _lifted(key: ReadingKey) -> tuple[SkipKey, SkipKey]:
    """The skips that a reading lifts: of its step, and its own."""
    step, reading, cylinder, _ = key
    return (step, None, None), (step, reading, cylinder)


def _skip(entry: Entry) -> Skip:
    keys = entry.keys
    return Skip(
        _text(keys["step"]), _maybe(keys.get("reading")), _maybe(keys.get("cylinder")),
        str(keys.get("why", "")), entry.at, entry.by, entry.n,
    )  # fmt: skip


def _texts(value: object) -> list[str]:
    if not isinstance(value, list | tuple):
        raise TypeError("a list of texts is wanted")
    return [_text(each) for each in value]


def _quantity(value: object) -> int | float:
    if type(value) not in (int, float) or not math.isfinite(value):  # type: ignore[arg-type]
        raise ValueError("how many is a number")
    return value  # type: ignore[return-value]


def _number_or_text(value: object) -> None:
    kind = type(value)
    if kind not in (int, float, str, bool):
        raise TypeError("a reading's value is a number, true/false or text")
    if kind in (int, float) and not math.isfinite(value):  # type: ignore[arg-type]
        raise ValueError("a reading's value is finite")


def _maybe(value: object) -> str | None:
    return None if value is None else _text(value)


def _note(entry: Entry) -> Note:
    return Note(str(entry.get("step", "")), _text(entry.keys["text"]), entry.at, entry.by, entry.n)


def replay(entries: Iterable[Entry]) -> Session:
    """The session that these entries add up to.

    Broken entries (a seal that doesn't hold) count as they stand; the log says what is wrong
    with them. Entries after `signed` that would change something are kept apart as unknown.

    Raises:
        Refused: the first entry isn't `opened`.
    """
    stream = iter(entries)
    state = Replay(next(stream, None))
    for entry in stream:
        state.take(entry)
    return state.session()
