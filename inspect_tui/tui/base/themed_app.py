"""The app's look: the theme that the person chose, remembered by whoever knows how."""

from __future__ import annotations

from abc import abstractmethod

from textual.app import App

from inspect_tui.tui.base import themes
from inspect_tui.tui.driver.clean_exit import CleanExitApp


class ThemedApp(CleanExitApp[int]):
    """An app with one of our themes."""

    def __init__(self, theme: str) -> None:
        """In this theme; "" is the usual one."""
        super().__init__()
        for each in themes.THEMES.values():
            self.register_theme(each.theme)
        # Without colours the framework makes greys of them, and of red a dim one.
        self._begin_with(themes.MONO if self.no_color else theme)

    def _begin_with(self, name: str) -> None:
        """Take a theme before anything is drawn: set as usual it has everything styled anew."""
        chosen = themes.THEMES.get(name, themes.THEMES[themes.DEFAULT])
        self.set_reactive(App.ansi_theme_dark, chosen.shades)
        self.set_reactive(App.ansi_theme_light, chosen.shades)
        self.set_reactive(App.theme, chosen.theme.name)
        self._refresh_truecolor_filter(self.ansi_theme)
        dark = chosen.theme.dark
        self.update_classes({"-dark-mode": dark, "-light-mode": not dark}, update=False)

    def use_theme(self, name: str, *, keep: bool = True) -> None:
        """Take a theme, and remember it."""
        chosen = themes.THEMES.get(name, themes.THEMES[themes.DEFAULT])
        self.ansi_theme_dark = self.ansi_theme_light = chosen.shades
        self.theme = chosen.theme.name
        if keep and (trouble := self.remember_theme(name)):
            said = f"{chosen.label} is on, but it can't be remembered: {trouble}"
            self.notify(said, markup=False, severity="warning")

    @abstractmethod
    def remember_theme(self, name: str) -> str:
        """Keep it for the next time; why it can't be, "" where it is."""
