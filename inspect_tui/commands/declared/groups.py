"""The commands by what one wants of them, in the order of the job: how `--help` lists them."""

from __future__ import annotations

from typing import Final

GROUPS: Final[dict[str, str]] = {
    "the app": "demo walk serve",
    "a machine and its lists": "new-sheet sheet figure new-list machines checklists check schema",
    "at the machine": "new record take-back skip note photo conditions add-step widen paper",
    "how it stands": "sessions status plan findings parts due history search",
    "decide and sign": "add-finding decide got sign addendum set-aside",
    "hand on": "export tag verify pack receive combine table",
    "by themselves": "calc settings completion",
}
"""Heading -> names of commands."""
