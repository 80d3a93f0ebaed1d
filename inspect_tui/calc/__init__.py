"""Calculations, one module a subject: pure functions, and the register of them all.

The TOML's expressions, the `calc` command and the app read `REGISTER`; nothing here imports any
other part of the package, and nothing but the standard library is imported at all. Each module
declares its own; they are found, not listed.
"""

from __future__ import annotations

from difflib import get_close_matches
from importlib import import_module
from pkgutil import iter_modules

from inspect_tui.calc.registry import SUBJECTS, Calculation, declared

__all__ = ["REGISTER", "calculation"]


def _found() -> dict[str, Calculation]:
    """What all modules of this folder declare, by subject, as they stand in the modules."""
    for module in sorted(one.name for one in iter_modules(__path__)):
        import_module(f"{__name__}.{module}")
    places = {subject: place for place, subject in enumerate(SUBJECTS)}
    last = len(places)
    return dict(sorted(declared().items(), key=lambda item: places.get(item[1].subject, last)))


REGISTER: dict[str, Calculation] = _found()
"""Every calculation by its name, subject by subject."""


def calculation(name: str) -> Calculation:
    """The calculation of that name.

    Raises:
        ValueError: there is none; the message names the nearest one.
    """
    found = REGISTER.get(name)
    if found is not None:
        return found
    near = get_close_matches(name, REGISTER, n=1)
    hint = f"; did you mean {near[0]}?" if near else ""
    raise ValueError(f"no calculation is called {name!r}{hint}")
