"""Four looks: whatever is said can be read on each ground, and without colours too.

Contrast by WCAG 2.1, 1.4.3 (4.5 to 1 for text; the formula of "relative luminance" there; from
memory).
"""

from __future__ import annotations

import pytest
from rich.color import Color, ColorSystem
from rich.color_triplet import ColorTriplet
from rich.style import Style

from inspect_tui.files.settings import THEMES as SETTINGS
from inspect_tui.tui.app import make_app
from inspect_tui.tui.base import look as colours
from inspect_tui.tui.base.themes import THEMES

STYLES = (colours.PASS, colours.FAIL, colours.UNCERTAIN, colours.ASKED, colours.DIM,
          colours.AS_LEFT_STYLE, *colours.PHASE_STYLE.values())  # fmt: skip


def luminance(colour):
    parts = [part / 255 for part in colour]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_known_contrast_of_black_on_white():
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)


@pytest.mark.parametrize("name", THEMES)
def test_every_style_stands_out_from_its_ground(name):
    shades = THEMES[name].shades
    ground = shades.background_color
    assert contrast(shades.foreground_color, ground) >= 7
    for text in STYLES:
        colour = Style.parse(text).color.get_truecolor(shades)
        assert contrast(colour, ground) >= 4.5, (name, text)


def test_what_is_not_well_is_bold_and_never_dim():
    for text in (colours.FAIL, colours.UNCERTAIN):
        assert Style.parse(text).bold and not Style.parse(text).dim
    for look in THEMES.values():
        dim = Style.parse(colours.DIM).color.get_truecolor(look.shades)
        for text in (colours.FAIL, colours.UNCERTAIN):
            colour = Style.parse(text).color.get_truecolor(look.shades)
            ground = look.shades.background_color
            assert contrast(colour, ground) >= contrast(dim, ground) * 0.9, look.label


def test_the_settings_know_the_same_four():
    assert list(THEMES) == list(SETTINGS)


async def test_without_colours_the_look_is_mono(places, clock, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    app = make_app(places, clock)
    async with app.run_test(size=(80, 24)):
        assert app.theme == THEMES["mono"].theme.name


def in_sixteen(look, colour):
    """The number of the terminal's own colour that a shade becomes where it has sixteen."""
    shade = Color.from_triplet(ColorTriplet(*colour))
    return shade.downgrade(ColorSystem.STANDARD).number


@pytest.mark.parametrize("name", THEMES)
def test_with_sixteen_colours_warnings_and_prompts_are_not_the_dim_ones(name):
    """As on a Linux console: what is not well stays bold and in a colour of its own, what is asked
    stands out from the ground. Common practice; the sixteen are those of ECMA-48's SGR 30 to 37
    and their bright ones (from memory)."""
    look = THEMES[name]
    ground = in_sixteen(look, look.shades.background_color)
    shown = {
        text: in_sixteen(look, Style.parse(text).color.get_truecolor(look.shades))
        for text in (*STYLES, colours.DIM)
    }
    assert ground not in shown.values(), shown
    if name != "mono":  # which has no colours: there bold says it
        for text in (colours.FAIL, colours.UNCERTAIN):
            assert shown[text] != shown[colours.DIM], (text, shown)
    assert all(Style.parse(text).bold for text in (colours.FAIL, colours.UNCERTAIN, colours.ASKED))
