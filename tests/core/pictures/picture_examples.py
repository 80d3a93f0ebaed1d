"""Pictures to look at in tests, of an invented machine, and what must hold of every picture."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from hypothesis import strategies as st
from rich.cells import cell_len

from inspect_tui.core.definitions.load_drawing import load_drawing
from inspect_tui.core.model.drawing import MachineDrawing
from inspect_tui.core.presentation.pictures.block_figures import LargeView, read_faces
from inspect_tui.core.presentation.pictures.cylinder_bars import BarChart, BarValue, CylinderBar
from inspect_tui.core.presentation.pictures.systems import System
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.core.presentation.pictures.trend_plot import TrendPlot, TrendPoint
from inspect_tui.core.text.visible import UNSEEN

ROOT = Path(__file__).parents[3]
DRAWINGS = sorted((ROOT / "checklists" / "drawings").glob("*.toml"))
FACES = read_faces(
    (ROOT / "inspect_tui/core/presentation/pictures/block_faces.toml").read_text(encoding="utf-8")
)

STATES = ("done", "failed", "again", "open", "begun", "skipped", "left-out", "not-needed")


def shipped(name: str) -> MachineDrawing:
    text = (ROOT / "checklists" / "drawings" / f"{name}.toml").read_text(encoding="utf-8")
    drawing = load_drawing(text, name).drawing
    assert drawing is not None
    return drawing


def systems(drawing: MachineDrawing) -> list[System]:
    """Every state in turn, and a section without a place."""
    known = [
        System(place.section, place.label.capitalize(), STATES[n % 8], n % 5 == 1, f"{n} of 9")
        for n, place in enumerate(drawing.places)
    ]
    return [*known, System("own", "Own items")]


COMPRESSION = BarChart(
    "Compression",
    "psi",
    (
        CylinderBar("PTO", BarValue(95, "95 psi", "fail", 3), None, 110, None, 118),
        CylinderBar(
            "centre",
            BarValue(98, "98 psi", "fail", 3),
            BarValue(120, "120 psi", "pass", 3),
            110,
            None,
            121,
        ),
        CylinderBar("MAG", BarValue(112, "112 psi", "uncertain", 3), None, 110, None),
    ),
    "110 psi or more",
)
AIR_SCREW = BarChart(
    "Air screw",
    "turn",
    (
        CylinderBar(
            "PTO",
            BarValue(1, "1 turn", "fail", 0.125),
            BarValue(1.5, "1-1/2 turns", "pass", 0.125),
            1.375,
            1.625,
        ),
        CylinderBar("MAG", None, None, 1.375, 1.625),
    ),
    "1-1/2 turns ± 1/8",
)
BELT = TrendPlot(
    "Belt width",
    "mm",
    (
        TrendPoint(410, 34.6, "as-found", 0.2, "pass"),
        TrendPoint(980, 33.9, "as-found", 0.2, "pass"),
        TrendPoint(1650, 33.1, "as-found", 0.2, "pass"),
        TrendPoint(2310, 32.2, "as-found", 0.2, "pass"),
        TrendPoint(2310, 34.8, "as-left", 0.2, "pass"),
        TrendPoint(2890, 34.0, "as-found", 0.2, "pass"),
    ),
    low=31.5,
    pieces=(((410, 34.65), (2310, 32.25)), ((2310, 34.8), (2890, 34.07))),
    crossing=(4500, 5600),
)
SAG = TrendPlot(
    "Chain sag",
    "mm",
    tuple(
        TrendPoint(day.toordinal(), value, phase, 1, verdict)
        for day, value, phase, verdict in (
            (date(2023, 11, 4), 9, "as-found", "pass"),
            (date(2023, 11, 4), 6, "as-left", "pass"),
            (date(2024, 11, 9), 8, "as-found", "pass"),
            (date(2025, 11, 1), 10.5, "as-found", "fail"),
            (date(2025, 11, 1), 6, "as-left", "pass"),
        )
    ),
    across="date",
    low=5,
    high=10,
)
VIEWS = (
    LargeView("Air screw", "centre", "1-1/4", "turns", "fail", "1/8 turn under"),
    LargeView("Compression, cold, throttle open", "PTO", "95", "psi", "fail", "15 psi under"),
    LargeView("Slide lift", "MAG"),
    LargeView("Plug colour", "PTO", "light tan to white at the rim", "", "uncertain"),
)

texts = st.one_of(
    st.text(max_size=30),
    st.sampled_from([
        "x[/]y", "\x1b[31mred", "a\tb\nc", "\u202eright to left", "中文标签", "e\u0301\u0301",
        "👩‍🔧", "❤️", "\x9b31m", "[@click=app.quit]go[/]", "W" * 300, "",
    ]),
)  # fmt: skip
sizes = st.tuples(st.integers(0, 130), st.integers(0, 45))


def sound(picture: TextPicture, columns: int, rows: int) -> None:
    """Exactly the size that was asked for (by Rich's own count of cells), and nothing steers."""
    assert len(picture.rows) == rows
    for line in picture.lines:
        assert cell_len(line) <= columns
        assert not UNSEEN.search(line) and "\n" not in line and "\t" not in line
    for region in picture.regions:
        assert 0 <= region.row < rows and 0 <= region.first < region.end <= columns
