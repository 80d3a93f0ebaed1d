"""The pictures as text, to be looked at.

`python -m tests.core.pictures.golden_pictures` draws them anew. Look at each beside the one
before, and commit them with the change.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from inspect_tui.core.presentation.pictures import (
    block_figures,
    cylinder_bars,
    machine_drawing,
    trend_plot,
)
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from tests.core.pictures.picture_examples import (
    AIR_SCREW,
    BELT,
    COMPRESSION,
    FACES,
    SAG,
    VIEWS,
    shipped,
    systems,
)

GOLDEN = Path(__file__).parent / "golden"


def pictures() -> Iterator[tuple[str, TextPicture]]:
    """Each with the name of its file."""
    for name in ("sled", "outboard"):
        shown = systems(shipped(name))
        for columns, rows in ((80, 24), (46, 20), (40, 20)):
            yield (
                f"{name}-{columns}x{rows}",
                machine_drawing.draw(shipped(name), shown, columns, rows),
            )
    for name, chart in (("compression", COMPRESSION), ("air-screw", AIR_SCREW)):
        for columns, rows in ((76, 12), (36, 12), (26, 9)):
            yield f"{name}-{columns}x{rows}", cylinder_bars.draw(chart, columns, rows)
    for name, plot in (("belt", BELT), ("sag", SAG)):
        for columns, rows in ((80, 20), (40, 14)):
            yield f"{name}-{columns}x{rows}", trend_plot.draw(plot, columns, rows)
    for number, view in enumerate(VIEWS, 1):
        for columns, rows in ((80, 24), (40, 20)):
            picture = block_figures.draw(view, FACES, columns, rows)
            yield f"two-metres-{number}-{columns}x{rows}", picture
    plain = machine_drawing.draw(shipped("sled"), systems(shipped("sled")), 80, 24, ascii=True)
    yield "sled-plain-80x24", plain
    yield "sag-plain-60x16", trend_plot.draw(SAG, 60, 16, ascii=True)
    yield "compression-plain-60x10", cylinder_bars.draw(COMPRESSION, 60, 10, ascii=True)


def main() -> None:
    """Draw them anew."""
    GOLDEN.mkdir(exist_ok=True)
    for old in GOLDEN.glob("*.txt"):
        old.unlink()
    for name, picture in pictures():
        (GOLDEN / f"{name}.txt").write_text(picture.text + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
