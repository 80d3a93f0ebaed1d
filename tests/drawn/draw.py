"""Pictures of the screens, drawn by the program itself with the demonstration's session.

    python -m tests.drawn.draw

draws them anew into this folder; `test_drawn.py` fails where one no longer shows what the program
shows. The README's picture is one of them.
"""

from __future__ import annotations

import asyncio
import itertools
import os
import re
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree

from inspect_tui.core.quantities import units
from inspect_tui.tui.app import make_app
from inspect_tui.workflow import demo

FOLDER = Path(__file__).parent
WAITS = 30.0
"""Seconds that a picture is given to come to rest, at the most."""
PICTURES: dict[str, tuple[tuple[int, int], tuple[str, ...]]] = {
    "plan": ((120, 40), ()),
    "walk": ((100, 30), ("escape", "ctrl+g", *"needle and clip", "enter")),
    "strip": ((80, 24), ("escape", "ctrl+g", *"belt as fitted", "enter", "enter", *"1.3 mm")),
    "walk-small": ((40, 20), ("escape",)),
    "findings": ((100, 30), ("f7",)),
    "sign-off": ((100, 30), ("f9",)),
}
"""By name: columns and rows, and the keys that lead there from the opened session."""
ASKED = ("▸", "NEXT")
"""Drawn as soon as something is asked, or the plan says what comes next."""
_SVG = "{http://www.w3.org/2000/svg}"
_FONT_FACE = re.compile(r"@font-face\s*\{[^}]*\}\s*")


def clock() -> Callable[[], datetime]:
    """A second later at each look, from one fixed evening on."""
    ticks = itertools.count()
    return lambda: datetime(2026, 11, 2, 18, 0, tzinfo=UTC) + timedelta(seconds=next(ticks))


async def drawn(name: str) -> str:
    """One picture as SVG, with no font that would have to be fetched."""
    size, keys = PICTURES[name]
    units.warm_up()
    with tempfile.TemporaryDirectory() as folder:
        now = clock()
        places, session = demo.prepare(folder, now)
        app = make_app(places, now, session=session, demo=True)
        async with app.run_test(size=size) as pilot:
            for _ in range(int(WAITS / 0.1)):
                if getattr(app.screen, "view", None) is not None:
                    break
                await pilot.pause(0.1)  # the session is opened beside the screen
            picture = await _at_rest(pilot, "")
            for key in keys:
                await pilot.press("space" if key == " " else key)
            if keys:
                picture = await _at_rest(pilot, lines_of(picture))
    return _FONT_FACE.sub("", picture)


async def _at_rest(pilot, before: str) -> str:
    """The picture once it is another than before and has stopped changing."""
    last = ""
    for _ in range(int(WAITS / 0.2)):
        await pilot.pause(0.2)
        picture = pilot.app.export_screenshot()
        shown = lines_of(picture)
        if shown == last and shown != before and (before or any(each in shown for each in ASKED)):
            break
        last = shown
    return picture


def lines_of(picture: str) -> str:
    """The text of a picture, line by line."""
    rows: dict[float, list[tuple[float, str]]] = {}
    for text in ElementTree.fromstring(picture).iter(f"{_SVG}text"):
        if "clip-path" in text.attrib and text.text:
            row = rows.setdefault(float(text.attrib["y"]), [])
            row.append((float(text.attrib["x"]), text.text.replace("\N{NO-BREAK SPACE}", " ")))
    return "\n".join("".join(part for _, part in sorted(rows[y])).rstrip() for y in sorted(rows))


def main() -> None:
    """Draw all of them."""
    os.environ.pop("NO_COLOR", None)
    for name in PICTURES:
        path = FOLDER / f"{name}.svg"
        path.write_text(asyncio.run(drawn(name)), encoding="utf-8")
        print(path)


if __name__ == "__main__":
    main()
