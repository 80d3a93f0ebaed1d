"""What was worked out before, kept while what it rests on stays the same."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

Name = TypeVar("Name")
Part = TypeVar("Part")


class Memo(Generic[Name, Part]):
    """The last value made under each name, made anew when its stamp has changed."""

    __slots__ = ("_made",)

    def __init__(self) -> None:
        self._made: dict[Name, tuple[object, Part]] = {}

    def get(self, name: Name, stamp: object, make: Callable[[], Part]) -> Part:
        """The value of this name.

        Args:
            name: What is kept apart.
            stamp: Everything that the value rests on; compared with `==`.
            make: Works it out.
        """
        known = self._made.get(name)
        if known is None or known[0] != stamp:
            known = self._made[name] = stamp, make()
        return known[1]

    def forget(self, name: Name) -> None:
        """Make it anew the next time, whatever its stamp."""
        self._made.pop(name, None)
