"""Which session or machine a person means by a word: an id, a beginning of one, or `last`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Literal

from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import nearest
from inspect_tui.errors import BadInput
from inspect_tui.files import definition_files
from inspect_tui.files.disk import is_file
from inspect_tui.files.store import Store, can_be_session_id, list_sessions

LAST: Final = "last"
"""The session with the newest entry: of those left open, else of all. Never a beginning."""
_SHOWN = 5


def session_id(store: Store, word: str) -> str:
    """The id of the session that a word names.

    Args:
        store: Where to look.
        word: An id, a beginning that fits one session only, or `last`.

    Raises:
        BadInput: it fits none or several; the sentence names them, or the nearest.
    """
    if word == LAST:
        return last_session(store)
    if can_be_session_id(word) and is_file(store.log(word)):
        return word  # of ten thousand no other one is looked at
    ids = [path.stem for path in list_sessions(store)]
    fitting = [each for each in ids if word and each.startswith(word)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        raise BadInput(
            f"'{ellipsize(word)}' is the beginning of {len(fitting)} sessions.",
            f"Say more of it: {join_words(fitting, most=_SHOWN)}.",
        )
    store.log(word)  # what can't be an id at all is said as that
    raise BadInput(f"There is no session '{ellipsize(word)}'.", _hint(word, ids))


def last_session(store: Store) -> str:
    """The session with the newest entry, of those left open, else of those signed.

    Raises:
        BadInput: there is none.
    """
    # Late: an exact id needs no index, and the first picture should not wait for SQLite.
    from inspect_tui.workflow import store_index

    found = store_index.asked(store, lambda index: index.last(), lambda: _last_by_logs(store))
    if found is not None:
        return found
    raise BadInput(
        "There is no session yet.", "'inspect-tui new CHECKLIST MACHINE --by NAME' begins one."
    )


def _last_by_logs(store: Store) -> str | None:
    from inspect_tui.files.log.peek import peek

    found = [(peek(path), path.stem) for path in list_sessions(store)]
    for state in ("open", "signed"):
        if those := [(look.last, name) for look, name in found if look.state == state]:
            return max(those)[1]
    return None


def machine_or_session(
    store: Store, word: str, also: Callable[[str], bool] | None = None
) -> tuple[Literal["machine", "session"], str]:
    """What a word names: an exact machine id first, an exact session id, then a beginning.

    A machine counts as there if it has a sheet.

    Args:
        store: Where to look.
        word: An id, a beginning that fits one session only, or `last`.
        also: Whether a machine without a sheet counts as there; asked where nothing is called so.

    Raises:
        BadInput: it names neither.
    """
    files = definition_files.list_all("machine", store)
    machines = [definition_files.id_of(path) for path in files]
    if word in machines:
        return "machine", word
    exact = word == LAST or word in [path.stem for path in list_sessions(store)]
    if not exact and also is not None and also(word):
        return "machine", word
    try:
        return "session", session_id(store, word)
    except BadInput as error:
        if near := nearest(word, machines):
            raise BadInput(
                f"There is no machine or session '{ellipsize(word)}'.", f"Did you mean {near}?"
            ) from error
        raise


def _hint(word: str, ids: Sequence[str]) -> str:
    if near := nearest(word, ids, alike=0.5):
        return f"Did you mean {near}?"
    if not ids:
        return "'inspect-tui new CHECKLIST MACHINE --by NAME' begins one."
    return f"Known: {join_words(ids, most=_SHOWN)}."
