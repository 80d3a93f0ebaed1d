"""Commands over all sessions of a machine or of the store."""

from __future__ import annotations

from typing import Final

from inspect_tui.commands.declared.spec import JSON, Command, arg

COMMANDS: Final = (
    Command(
        "history", "a machine's readings over the seasons, and when they reach their limits",
        "seasons:history",
        (
            arg("machine", metavar="MACHINE"),
            arg("--reading", default="", metavar="STEP.READING[@CYLINDER]"),
            JSON,
        ),
        "inspect-tui history my-machine --reading belt-width.width-1", prints=True,
    ),
    Command(
        "due", "what is due, by the meter or by the calendar", "seasons:due",
        (arg("machine", nargs="?", metavar="MACHINE", help="a machine (else all)"), JSON),
        "inspect-tui due my-machine", prints=True,
    ),
    Command(
        "search", "where in all logs the words stand", "seasons:search",
        (arg("text", metavar="TEXT", help="the words"), JSON),
        "inspect-tui search 'belt glazed'", prints=True,
    ),
    Command(
        "table", "all sessions as Parquet tables, for engines such as DuckDB", "seasons:table",
        (arg("-o", "--output", required=True, metavar="FOLDER"),),
        "inspect-tui table -o club-tables",
    ),
)  # fmt: skip
