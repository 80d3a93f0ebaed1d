"""`settings`: the person's name, units and theme, shown or changed."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import places, show, show_json
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput
from inspect_tui.files import settings as kept


def settings(given: argparse.Namespace) -> int:
    """Show the settings, after the changes that were given; all of them or none."""
    store = places(given)
    chosen = kept.read(store)
    for text in given.values:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                f"'{ellipsize(text)}' is no setting.", "Write NAME=VALUE, such as units='psi, in'."
            )
        chosen = kept.with_setting(chosen, name.strip(), value)
    if given.values:
        kept.write(store, chosen)
    if given.json:
        show_json({"by": chosen.by, "units": list(chosen.units), "theme": chosen.theme})
        return 0
    for name in kept.NAMES:
        show(f"{name:<6} {chosen.as_text(name) or '(not chosen)'}")
    return 0
