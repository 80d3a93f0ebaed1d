"""Commands around the work: handing over, other computers, definitions, the store itself."""

from __future__ import annotations

from typing import Final

from inspect_tui.commands.completion import IDS, SHELLS
from inspect_tui.commands.declared.spec import BY, DESPITE_BROKEN, JSON, SESSION, Command, arg

COMMANDS: Final = (
    Command(
        "export", "the session's report, to print, keep or send", "inspect:export",
        (
            SESSION,
            arg(
                "--to", required=True, choices=("md", "html", "csv", "json", "pdf"), dest="form",
                help="pdf and html to print and hand on, md as text, csv for a spreadsheet, json "
                "for another program",
            ),
            arg(
                "-o", "--output", metavar="FILE",
                help="the file to write; - is the terminal, as without it",
            ),
            arg(
                "--with-log", action="store_true",
                help="the whole log at the end, entry by entry: corrections stand there alone",
            ),
            arg(
                "--photo-metadata", action="store_true",
                help="in HTML: keep what the camera wrote into the photos (place, camera, time, "
                "owner)",
            ),
        ),
        "inspect-tui export last --to pdf -o report.pdf",
        prints=True,
    ),
    Command(
        "verify", "say whether a log, or an export of it, is whole and unchanged; writes nothing",
        "verify:verify",
        (
            arg("session", metavar="SESSION|FILE"),
            arg(
                "--seal", metavar="TEXT",
                help="the seal that was written down; its first 16 signs will do",
            ),
            arg(
                "--signers", metavar="FILE",
                help="who may sign: a file of allowed signers, as ssh-keygen takes it",
            ),
            JSON,
        ),
        "inspect-tui verify last",
    ),
    Command(
        "pack", "put a session, or all of a machine, with its photos into one file",
        "transfer:pack",
        (
            arg("what", metavar="SESSION|MACHINE"),
            arg("-o", "--output", required=True, metavar="FILE", help="the file to write"),
        ),
        "inspect-tui pack last -o to-the-laptop.zip",
    ),
    Command(
        "receive", "bring in what was packed, or a log, from another laptop", "transfer:receive",
        (arg("file", metavar="FILE", help="what was packed, or a log"),),
        "inspect-tui receive to-the-laptop.zip",
    ),
    Command(
        "combine", "make one log of two copies that went on apart", "transfer:combine",
        (
            SESSION,
            arg("file", metavar="FILE", help="the other copy: packed, or its log"),
            arg("--by", required=True, metavar="NAME", help="who combines them"),
        ),
        "inspect-tui combine last from-the-shed.zip --by 'A. Owner'",
    ),
    Command(
        "check", "say every problem of checklists, machine sheets, figures and drawings",
        "definitions:check",
        (arg("files", nargs="+", metavar="FILE|ID"), JSON),
        "inspect-tui check pre-season my-machine",
    ),
    Command(
        "new-list", "make a checklist from lines, one step a line; prints its id",
        "sheets:new_list",
        (
            arg("id", metavar="ID", help="its id: letters, digits, - and _"),
            arg("--title", required=True, metavar="TITLE"),
            arg(
                "--item", action="extend", nargs="+", required=True, metavar="TEXT",
                help="'Look under the seat', 'Cable play | mm', 'Pressure | kPa | min 33' (max 12, "
                "target 5 +- 1), 'Coolant | one of clear, dark' (the first is the wanted one)",
            ),
        ),
        "inspect-tui new-list my-evening --title 'One evening' --item 'Cable play | mm | max 3'",
    ),
    Command(
        "new-sheet", "make a machine's sheet from its name and cylinders; prints its id",
        "sheets:new_sheet",
        (
            arg("id", metavar="ID", help="its id: letters, digits, - and _"),
            arg("--name", required=True, metavar="NAME", help="what you call it"),
            arg(
                "--cylinders", metavar="A,B,C",
                help="their names, as the machine has them; left out, it has none",
            ),
            arg(
                "--fact", action="extend", nargs="+", default=[], metavar="NAME=VALUE",
                help="what steps ask for, such as cooling=liquid",
            ),
        ),
        "inspect-tui new-sheet my-machine --name 'The blue one' --cylinders PTO,MAG",
    ),
    Command(
        "sheet", "a machine's figures, and what it lacks for a list", "sheets:sheet",
        (
            arg("machine", metavar="MACHINE"),
            arg(
                "--for", dest="checklist", metavar="CHECKLIST",
                help="say also what this list asks for and the sheet lacks",
            ),
            JSON,
        ),
        "inspect-tui sheet my-machine --for pre-season", prints=True,
    ),
    Command(
        "figure", "what the manual says, into a machine's sheet and a session", "sheets:figure",
        (
            arg("what", metavar="MACHINE|SESSION"),
            arg("values", nargs="+", metavar="NAME[@CYLINDER]=VALUE"),
            arg(
                "--source", required=True, metavar="TEXT",
                help="where it comes from: the manual's page, a decal, measured",
            ),
            BY,
            DESPITE_BROKEN,
        ),
        "inspect-tui figure my-machine belt_width_min='31.5 mm' --source 'manual, page 12'",
    ),
    Command(
        "schema", "the keys of a kind of file, as JSON Schema for editors", "definitions:schema",
        (arg("what", choices=("checklist", "sheet", "figures"), help="which kind of file"),),
        "inspect-tui schema checklist > checklist.schema.json", prints=True,
    ),
    Command(
        "calc", "work out one of the calculations; alone, the list of them", "calc:calc",
        (
            arg(
                "name", nargs="?", metavar="NAME",
                help="a calculation; without inputs: what it takes",
            ),
            arg("inputs", nargs="*", metavar="key=value"),
            arg(
                "--in", dest="units", action="append", metavar="UNIT",
                help="show results of that kind in this unit",
            ),
            JSON,
        ),
        "inspect-tui calc span_tension force='50 N' span='1 m' deflection='20 mm'",
        prints=True,
    ),
    Command(
        "sessions", "the sessions in the store", "inspect:sessions", (JSON,),
        "inspect-tui sessions",
        prints=True,
    ),
    Command(
        "machines", "the machine sheets", "definitions:machines", (JSON,), "inspect-tui machines",
        prints=True,
    ),
    Command(
        "checklists", "the checklists", "definitions:checklists", (JSON,),
        "inspect-tui checklists",
        prints=True,
    ),
    Command(
        "settings", "your name, units and theme; shown, or changed", "settings:settings",
        (arg("values", nargs="*", metavar="NAME=VALUE", help="by, units, theme"), JSON),
        "inspect-tui settings by='A. Owner' units='psi, in, ft-lb' theme=paper",
    ),
    Command(
        "completion", "a script that completes commands and ids in your shell",
        "completion:completion",
        (arg("shell", choices=SHELLS, metavar="SHELL", help="bash, zsh or fish"),),
        "inspect-tui completion bash >> ~/.bashrc",
        prints=True,
    ),
    Command(
        "ids", "ids for the shell's completion", "completion:ids",
        (arg("kind", choices=IDS), arg("words", nargs="*")),
        prints=True, hidden=True,
    ),
)  # fmt: skip
