"""A vector picture as inline SVG, with its text alternative; everything escaped.

Colours are the page's own (custom properties of `html_style`), so that dark, light and print follow
it; `STYLE` belongs into the page that shows one.
"""

from __future__ import annotations

from html import escape
from typing import Final

from inspect_tui.core.presentation.pictures.vector_picture import (
    Disc,
    Path,
    Shape,
    Tone,
    VectorPicture,
    Words,
    shortened,
)
from inspect_tui.core.text.visible import visible

TONES: Final[tuple[Tone, ...]] = (
    "ink", "faint", "rule", "zone", "paper", "pass", "fail", "uncertain",
)  # fmt: skip
STYLE: Final = (
    "svg.picture { display: block; width: 100%; height: auto; min-width: 34rem; }\n"
    'svg.picture text { font-family: "DejaVu Sans Condensed", "Liberation Sans Narrow", Arial, '
    "sans-serif; stroke: none; white-space: pre; }\n"
    "svg.picture path, svg.picture circle { stroke-linejoin: round; stroke-linecap: round; }\n"
    + "".join(
        f".p-{tone} {{ stroke: var(--{tone}); }} .f-{tone} {{ fill: var(--{tone}); }}\n"
        for tone in TONES
    )
    + ".p-none { stroke: none; } .f-none { fill: none; }\n"
    "@media print { svg.picture { min-width: 0; break-inside: avoid; }\n"
    "  svg.picture * { print-color-adjust: exact; -webkit-print-color-adjust: exact; } }\n"
)
"""Of the pictures' classes; the custom properties `--ink`, `--paper` ... are the page's."""


_NO_CHARACTERS: Final = dict.fromkeys((0xFFFE, 0xFFFF), "\ufffd")


def svg(picture: VectorPicture, name: str) -> str:
    """The picture as one `<svg>` element.

    Args:
        picture: What to draw.
        name: A word for its ids, unique in the page (letters, digits, `-`).
    """
    said, title = _text(picture.description), _text(picture.title)
    box = " ".join(map(_n, (picture.left, picture.top, picture.width, picture.height)))
    parts = [
        f'<svg class="picture" viewBox="{box}" role="img" '
        f'aria-labelledby="{name}-title" aria-describedby="{name}-said">',
        f'<title id="{name}-title">{title}</title><desc id="{name}-said">{said}</desc>',
        *map(_shape, picture.shapes),
        "</svg>",
    ]
    return "\n".join(parts)


def _shape(shape: Shape) -> str:
    match shape:
        case Path():
            return _path(shape)
        case Disc():
            x, y = shape.centre
            return (
                f'<circle class="{_classes(shape.stroke, shape.fill)}" cx="{_n(x)}" cy="{_n(y)}" '
                f'r="{_n(shape.radius)}"{_width(shape.stroke, shape.width)}/>'
            )
        case Words():
            return _words(shape)


def _path(path: Path) -> str:
    points = "L".join(f"{_n(x)} {_n(y)}" for x, y in path.points)
    dash = ""
    if path.dash is not None:
        dash = f' stroke-dasharray="{_n(path.dash[0])} {_n(path.dash[1])}"'
    return (
        f'<path class="{_classes(path.stroke, path.fill)}"{_width(path.stroke, path.width)}{dash} '
        f'd="M{points}{"Z" if path.closed else ""}"/>'
    )


def _words(words: Words) -> str:
    x, y = words.at
    bold = ' font-weight="600"' if words.bold else ""
    return (
        f'<text class="f-{words.tone}" x="{_n(x)}" y="{_n(y)}" font-size="{_n(words.size)}" '
        f'text-anchor="{words.anchor}"{bold}>{_text(shortened(words))}</text>'
    )


def _text(words: str) -> str:
    """A text as HTML and XML both take it."""
    return escape(visible(words).translate(_NO_CHARACTERS))


def _classes(stroke: Tone | None, fill: Tone | None) -> str:
    return f"p-{stroke or 'none'} f-{fill or 'none'}"


def _width(stroke: Tone | None, width: float) -> str:
    return "" if stroke is None else f' stroke-width="{_n(width)}"'


def _n(number: float) -> str:
    """A number without noise: two decimals at most."""
    return f"{number:.2f}".rstrip("0").rstrip(".") or "0"
