"""The text of a list with pieces of others in the place of each `use`; the rest stays as it is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from inspect_tui.core.definitions.sheets import write_toml
from inspect_tui.core.definitions.toml_positions import Lines, Path

_HEADER = {
    2: re.compile(r"[ \t]*\[\[[ \t]*section[ \t]*\]\]"),
    4: re.compile(r"[ \t]*\[\[[ \t]*section[ \t]*\.[ \t]*step[ \t]*\]\]"),
}


def text_of(text: str, pieces: Mapping[Path, Any], sources: Mapping[Path, str]) -> str | None:
    """The text with the pieces in it; None where a `use` is written so that this can't be done.

    Args:
        text: The person's own.
        pieces: By the place that a piece takes; inferences and figures go to the end.
        sources: Where each comes from, for the comment that says so.
    """
    rows = re.split(r"(?<=\n)", text)
    lines = Lines(text)
    placed: dict[int, tuple[int, str]] = {}
    end: list[str] = []
    for place, piece in pieces.items():
        said = f"# from {sources[place]}\n"
        if place[0] != "section":
            end.append(f"\n{said}{_at_end(place, piece)}")
            continue
        header, use = lines.of(place), lines.of((*place, "use"))
        if header is None or use is None or not _HEADER[len(place)].match(rows[header - 1]):
            return None
        name = "section" if len(place) == 2 else "section.step"
        placed[header] = use, said + write_toml.tables(name, piece)
    made: list[str] = []
    at = 1
    while at <= len(rows):
        if at in placed:
            at, piece_text = placed[at]
            made.append(piece_text)
        else:
            made.append(rows[at - 1])
        at += 1
    if end and made and not made[-1].endswith("\n"):
        made.append("\n")
    return "".join([*made, *end])


def _at_end(place: Path, piece: Any) -> str:
    if place[0] == "inference":
        return write_toml.tables("inference", piece)
    return write_toml.table(tuple(map(str, place)), piece)
