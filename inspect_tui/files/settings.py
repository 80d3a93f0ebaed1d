"""What a person chose for themselves, in `settings.toml` of the store: name, units, theme."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput, InspectError, NotSaved, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.disk import is_file, reason_in_words
from inspect_tui.files.store import Store

NAMES: Final = ("by", "units", "theme")
THEMES: Final = ("dark", "paper", "high-contrast", "mono")
_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class Settings:
    """The person's choices; what was never chosen is empty."""

    by: str = ""
    """Who works and signs, where the command line doesn't say."""
    units: tuple[str, ...] = ()
    """Units in which the person reads gauges (`psi`, `in`, `ft-lb`), at most one a dimension."""
    theme: str = ""
    """One of THEMES."""

    def unit_for(self, unit: str) -> str:
        """The person's own unit for readings in `unit`; "" where they chose none."""
        # Late: most people chose none, and the first picture waits for this file.
        from inspect_tui.core.quantities import units as known_units

        if not self.units:
            return ""
        wanted = known_units.unit(unit)
        for each in self.units:
            own = known_units.unit(each)
            if own.dimension == wanted.dimension and own.quantity_kind == wanted.quantity_kind:
                return each
        return ""

    def as_text(self, name: str) -> str:
        """One setting as it is typed."""
        return ", ".join(self.units) if name == "units" else str(getattr(self, name))


def read(store: Store) -> Settings:
    """The settings of a store; the empty ones where it has no such file.

    Raises:
        Refused: the file is there and can't be read, or holds something else.
    """
    path = store.settings
    if not is_file(path):
        return Settings()
    import tomllib

    try:
        data = tomllib.loads(definition_files.read_text(path))
    except tomllib.TOMLDecodeError as error:
        raise Refused(f"{path}: {str(error)[:1].lower()}{str(error)[1:]}.") from None
    found = Settings()
    for name, value in data.items():
        try:
            texts = value if isinstance(value, list) else [value]
            if not all(isinstance(each, str) for each in texts):
                raise BadInput(f"{ellipsize(name)} must be text.")
            found = with_setting(found, name, ", ".join(texts))
        except InspectError as error:
            raise Refused(f"{path}: {error.message}", error.hint) from None
    return found


def read_or_none(store: Store) -> Settings:
    """The same; a file that can't be read chooses nothing."""
    try:
        return read(store)
    except (InspectError, OSError):
        return Settings()


def with_setting(settings: Settings, name: str, text: str) -> Settings:
    """The settings with one of them changed; an empty text takes it back.

    Raises:
        BadInput: there is no such setting, or the text can't be one.
    """
    text = sanitize(text)
    if name == "by":
        if len(text) > _LONGEST_NAME:
            raise BadInput(f"by: a name has at most {_LONGEST_NAME} characters.")
        return Settings(text, settings.units, settings.theme)
    if name == "theme":
        theme = text.casefold().replace(" ", "-")
        if theme and theme not in THEMES:
            raise BadInput(f"theme: there is no '{ellipsize(text)}'.", f"Use {', '.join(THEMES)}.")
        return Settings(settings.by, settings.units, theme)
    if name == "units":
        return Settings(settings.by, _units(text), settings.theme)
    near = suggest(name, NAMES)
    raise BadInput(
        f"There is no setting '{ellipsize(name)}';", near or f"there are {', '.join(NAMES)}."
    )


def _units(text: str) -> tuple[str, ...]:
    from inspect_tui.core.quantities import units as known_units

    chosen: dict[tuple[object, str], str] = {}
    for word in (part.strip() for part in text.split(",")):
        if not word:
            continue
        try:
            unit = known_units.unit(word)
        except InspectError as error:
            raise BadInput(f"units: {error.message}", error.hint) from None
        kind = (unit.dimension, unit.quantity_kind)
        if kind in chosen:
            raise BadInput(f"units: {chosen[kind]} and {word} are of one kind; choose one of them.")
        chosen[kind] = word
    return tuple(chosen.values())


def write(store: Store, settings: Settings) -> None:
    """Keep the settings in the store, whole or not at all.

    Raises:
        NotSaved: the disk did not take it.
    """
    import tomli_w

    from inspect_tui.files.new_file import sweep, write_new

    data: dict[str, object] = {}
    if settings.by:
        data["by"] = settings.by
    if settings.units:
        data["units"] = list(settings.units)
    if settings.theme:
        data["theme"] = settings.theme
    store.make()
    # Who keeps the file elsewhere and links to it goes on so; any other thing gives way.
    path = store.settings.resolve() if is_file(store.settings) else store.settings
    try:
        sweep(path.parent, path)
        write_new(path, tomli_w.dumps(data).encode(), replace=True)
    except OSError as error:
        raise NotSaved(f"{path} was not saved: {reason_in_words(error)}.") from error
