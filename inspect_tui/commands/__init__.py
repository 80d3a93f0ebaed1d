"""The commands, thin: each takes the parsed command line and gives the exit status."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from inspect_tui.commands import (
    airing,
    calculating,
    carrying,
    definitions,
    photographs,
    recording,
    screens,
    showing,
    verifying,
)

COMMANDS: dict[str | None, Callable[[argparse.Namespace], int]] = {
    None: screens.app,
    "demo": screens.demo,
    "walk": screens.walk,
    "new": recording.new,
    "record": recording.record,
    "skip": recording.skip,
    "note": recording.note,
    "find": recording.find,
    "add-step": recording.add_step,
    "decide": recording.decide,
    "sign": recording.sign,
    "photo": photographs.photo,
    "bundle": carrying.bundle,
    "take": carrying.take,
    "join": carrying.join,
    "addendum": recording.addendum,
    "conditions": airing.conditions,
    "status": showing.status,
    "export": showing.export,
    "verify": verifying.verify,
    "sessions": showing.sessions,
    "check": definitions.check,
    "machines": definitions.machines,
    "checklists": definitions.checklists,
    "calc": calculating.calc,
}
"""By the command's name; None is no command at all."""
