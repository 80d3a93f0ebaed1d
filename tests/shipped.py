"""What ships, found and not listed: a new list or sheet in `checklists/` is in every test."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.load import Compiled, Loaded
from inspect_tui.core.model.machine import Machine

FOLDER = Path(__file__).parent.parent / "checklists"
LISTS = sorted(path.stem for path in FOLDER.glob("*.toml"))
SHEETS = sorted(path.stem for path in (FOLDER / "machines").glob("*.toml"))


class Shelf:
    """The shipped lists, for those that take steps from others."""

    def text(self, list_id: str) -> str | None:
        return text_of(list_id) if list_id in LISTS else None

    def ids(self) -> list[str]:
        return LISTS


def text_of(stem: str) -> str:
    """The text of a shipped list or sheet."""
    folder = FOLDER / "machines" if stem in SHEETS else FOLDER
    return (folder / f"{stem}.toml").read_text(encoding="utf-8")


@cache
def loaded(stem: str) -> Loaded:
    """A shipped list as it is checked, with what it takes from others."""
    return definitions.load_checklist(text_of(stem), f"{stem}.toml", Shelf())


@cache
def checklist(stem: str) -> Compiled:
    """A shipped list, which is sound."""
    found = loaded(stem)
    assert found.sound, "\n".join(map(str, found.problems))
    assert found.compiled is not None
    return found.compiled


def opened_text(stem: str) -> str:
    """What a session of a shipped list is opened with."""
    composed = loaded(stem).composed
    assert composed is not None
    return composed.text


@cache
def machine(stem: str) -> Machine:
    """A shipped sheet, which is sound."""
    found = definitions.load_machine(text_of(stem), f"{stem}.toml")
    assert not found.problems, "\n".join(map(str, found.problems))
    assert found.machine is not None
    return found.machine
