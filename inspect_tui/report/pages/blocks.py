"""What a page is made of: headings, texts, lists, tables, pictures. Every format draws these.

Pure. The texts stand as people and files wrote them; each format makes them harmless in its own
way. A format decides how a block looks and never what it says, so that none says more than another.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation.limit_strip import Geometry
from inspect_tui.core.presentation.pictures.vector_picture import VectorPicture
from inspect_tui.core.session.replay import Photo

TextKind = Literal["plain", "faint", "strong", "caution", "subtitle"]


@dataclass(frozen=True, slots=True)
class Heading:
    """The title of a part."""

    words: str
    level: Literal[1, 2, 3] = 2
    """1 is the document's own."""


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    words: str
    kind: TextKind = "plain"
    verdict: Verdict = "none"


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list."""

    items: tuple[str, ...]
    kind: Literal["plain", "faint", "box"] = "plain"
    """`box`: each has a box to tick."""
    columns: Literal[1, 2] = 1
    """2 where the items are short and many."""
    heads: frozenset[int] = frozenset()
    """The places of items that are titles of those that follow them."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels with their words."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Alarm:
    """What has to be read before anything else, in a frame."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing in a list of things: what it is, its state, and what is to be said of it."""

    words: str
    state: str
    lines: tuple[str, ...] = ()
    under: tuple[tuple[str, str], ...] = ()
    """(words, state) of what it explains."""
    verdict: Verdict = "none"


@dataclass(frozen=True, slots=True)
class Entries:
    """Such things, one after the other."""

    items: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    head: str
    share: float
    """Of the width."""
    kind: Literal["text", "value", "strip"] = "text"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell: words in the colour of a verdict, or limit strips."""

    words: str = ""
    verdict: Verdict = "none"
    strips: tuple[Geometry, ...] = ()
    strip_words: str = ""
    """What the strips show, for who can't see them."""
    span: int = 1
    box: bool = False
    """Empty, to be written in: of blank sheets."""


@dataclass(frozen=True, slots=True)
class Row:
    """Cells beside each other, spans counted, as many as there are columns."""

    cells: tuple[Cell, ...]
    joined: bool = False
    """Whether the next row belongs to it: strips under their values."""


@dataclass(frozen=True, slots=True)
class Band:
    """A step's title across a table, with its number and state, and what goes on behind it."""

    number: str
    words: str
    state: str = ""
    verdict: Verdict = "none"
    answers: str = ""
    """What was answered there, on the same line where there is room."""


@dataclass(frozen=True, slots=True)
class Across:
    """A text across a table."""

    words: str
    kind: Literal["plain", "faint", "caution"] = "plain"
    leads: bool = False
    """Whether it belongs to what comes after it."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A photo across a table."""

    photo: Photo
    words: str


TableRow = Row | Band | Across | Shown


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under their heads."""

    name: str
    """What it is of, for who can't see it."""
    columns: tuple[Column, ...]
    rows: tuple[TableRow, ...]
    over: tuple[tuple[str, int], ...] = ()
    """Heads over the heads: (words, columns); none where it is empty."""
    halves: bool = False
    """Short rows: where there is room its halves stand beside each other."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing, as shapes and as characters."""

    vector: VectorPicture
    characters: tuple[str, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Pictures:
    """Drawings of one kind."""

    items: tuple[Picture, ...]
    small: bool = False
    """Two beside each other where there is room."""


@dataclass(frozen=True, slots=True)
class Ink:
    """Lines to sign on, each with its label."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PageEnd:
    """What follows begins on a new sheet of paper."""


Block = Heading | Text | Bullets | Facts | Alarm | Entries | Table | Pictures | Ink | PageEnd


def some(heading: Heading, *blocks: Block) -> Iterable[Block]:
    """A heading with what stands under it; nothing where all of that is empty."""
    full = [block for block in blocks if not is_empty(block)]
    return (heading, *full) if full else ()


def is_empty(block: Block) -> bool:
    """Whether it has nothing to show."""
    match block:
        case Bullets() | Entries() | Pictures():
            return not block.items
        case Facts() | Table():
            return not block.rows
        case Text():
            return not block.words
        case _:
            return False
