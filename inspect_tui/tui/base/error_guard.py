"""A fault in a handler is said on the screen; the program goes on and typed text stays."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any, Protocol, TypeVar, cast

F = TypeVar("F", bound=Callable[..., Any])


class Sayer(Protocol):
    """Whatever can show a line of trouble."""

    def trouble(self, error: Exception) -> None:
        """Say that the program failed at something."""
        ...


def guarded(otherwise: Any) -> Callable[[F], F]:
    """Wrap a handler: an unexpected error is said, and `otherwise` comes back."""

    def wrap(handler: F) -> F:
        @functools.wraps(handler)
        def wrapped(self: Sayer, *args: Any, **kwargs: Any) -> Any:
            try:
                return handler(self, *args, **kwargs)
            except Exception as error:
                self.trouble(error)
                return otherwise

        return cast(F, wrapped)

    return wrap


def fault(error: BaseException) -> str:
    """An unexpected error in one sentence."""
    return (
        f"The program failed at this ({type(error).__name__}: {error}); what was recorded before "
        "is safe, and what is typed was kept."
    )
