"""Commands for the work on a machine: opening a session, recording, deciding, signing."""

from __future__ import annotations

from typing import Final

from inspect_tui.commands.declared.spec import (
    BY,
    CYLINDER,
    DESPITE_BROKEN,
    JSON,
    SESSION,
    Command,
    arg,
)

_WRITES: Final = (BY, DESPITE_BROKEN)

COMMANDS: Final = (
    Command(
        "demo", "the app on an invented machine, in a store of its own", "app:demo",
        (
            arg(
                "--fresh", action="store_true",
                help="from the beginning of its story; what was tried before is kept",
            ),
        ),
        example="inspect-tui demo --fresh",
    ),
    Command(
        "walk", "the app at a session, else at the last one left open", "app:walk",
        (
            arg(
                "session", nargs="?", metavar="SESSION",
                help="a session (else the last one left open)",
            ),
            arg("--read-only", action="store_true", help="look and write nothing"),
            *_WRITES,
        ),
        "inspect-tui walk last",
    ),
    Command(
        "serve", "the app in a browser, for a tablet; prints the address", "serve:serve",
        (
            arg("session", nargs="?", metavar="SESSION", help="a session (else the start)"),
            arg(
                "--host", default="127.0.0.1", metavar="H",
                help="this computer's address on your network (else only this computer)",
            ),
            arg("--port", default=0, type=int, metavar="N", help="the port (else a free one)"),
        ),
        "inspect-tui serve last --host 192.0.2.10",
    ),
    Command(
        "new", "begin a session; prints its id", "sessions:new",
        (
            arg("checklist", metavar="CHECKLIST"),
            arg("machine", metavar="MACHINE"),
            arg(
                "--only", nargs="+", action="extend", default=[], metavar="ID",
                help="sections or steps that today's job takes in; the rest is left out",
            ),
            arg(
                "--item", nargs="+", action="extend", default=[], metavar="TEXT",
                help="steps of your own, such as 'Hitch pin play | mm | max 1'",
            ),
            arg(
                "--by", metavar="NAME", default="",
                help="who does it (else the settings' name, else the one used last)",
            ),
        ),
        "inspect-tui new pre-season my-machine --by 'A. Owner'",
    ),
    Command(
        "record", "record readings, all or none", "sessions:record",
        (
            SESSION,
            arg("values", nargs="+", metavar="STEP.READING[@CYLINDER]=VALUE"),
            arg("--as-left", action="store_true", help="as left rather than as found"),
            arg(
                "--state", default="", metavar="TEXT",
                help="the machine's state at it: cold, warm, loaded ...",
            ),
            arg(
                "--gauge", default="", metavar="TEXT",
                help="the gauge, such as 'micrometer ±0.02 mm'",
            ),
            *_WRITES,
        ),
        "inspect-tui record last belt-width.width-1='31.7 mm' --gauge 'caliper ±0.05 mm'",
    ),
    Command(
        "skip", "skip a step, or one reading, with the reason", "sessions:skip",
        (
            SESSION,
            arg("what", metavar="STEP[.READING[@CYLINDER]]"),
            arg("--why", required=True, metavar="TEXT", help="the reason"),
            *_WRITES,
        ),
        "inspect-tui skip last chain-slack --why 'chaincase is off'",
    ),
    Command(
        "take-back", "take the last reading back; what stood before stands again",
        "jobs:take_back", (SESSION, *_WRITES), "inspect-tui take-back last",
    ),
    Command(
        "widen", "take sections or steps in that were left out", "jobs:widen",
        (SESSION, arg("ids", nargs="+", metavar="ID"), *_WRITES),
        "inspect-tui widen last brake",
    ),
    Command(
        "set-aside", "put a session aside that was begun by mistake: readable, counts no more",
        "jobs:set_aside",
        (SESSION, arg("--why", required=True, metavar="TEXT", help="the reason"), *_WRITES),
        "inspect-tui set-aside last --why 'the wrong machine'",
    ),
    Command(
        "note", "a note at a step", "sessions:note",
        (SESSION, arg("step", metavar="STEP"), arg("text", metavar="TEXT"), *_WRITES),
        "inspect-tui note last belt-width 'glazed on one side'",
    ),
    Command(
        "add-finding", "a finding in your own words; prints its id", "sessions:add_finding",
        (SESSION, arg("step", metavar="STEP"), arg("text", metavar="TEXT"), CYLINDER, *_WRITES),
        "inspect-tui add-finding last belt-width 'two cogs torn'",
    ),
    Command(
        "add-step", "add a step thought of on the spot; prints its id", "sessions:add_step",
        (
            SESSION,
            arg("section", metavar="SECTION"),
            arg("title", metavar="TITLE"),
            arg("--unit", default="", metavar="UNIT"),
            *_WRITES,
        ),
        "inspect-tui add-step last driven 'Hitch pin play' --unit mm",
    ),
    Command(
        "decide", "decide what is done about a finding", "sessions:decide",
        (
            SESSION,
            arg("finding", metavar="FINDING"),
            arg("decision", metavar="put-right|run-as-found|later|get-part", help="one of them"),
            arg("--why", default="", metavar="TEXT", help="the reason"),
            arg(
                "--until", default="", metavar="DATE|CHECKLIST-ID",
                help="of later: until 2026-12-20, or until that list is gone through",
            ),
            arg("--part", default="", metavar="TEXT", help="of get-part: what is to be got"),
            arg("--quantity", default="", metavar="N", help="how many"),
            arg("--number", default="", metavar="TEXT", help="the part's number"),
            *_WRITES,
        ),
        "inspect-tui decide last F1 get-part --part 'Drive belt' --why 'two cogs torn'",
    ),
    Command(
        "conditions", "the air it will run in; prints what changes by it", "ambient:conditions",
        (
            SESSION,
            arg(
                "air", nargs="+", metavar="NAME=VALUE",
                help="temperature, altitude, relative_humidity, and qnh: the pressure at sea "
                "level, from the weather report",
            ),
            *_WRITES,
        ),
        "inspect-tui conditions last temperature=-12C altitude='600 ft'",
    ),
    Command(
        "photo", "put a photo at a step; prints its name in the store", "photos:photo",
        (
            SESSION,
            arg("step", metavar="STEP"),
            arg("file", metavar="FILE", help="the picture"),
            CYLINDER,
            *_WRITES,
        ),
        "inspect-tui photo last plugs plug.jpg --cylinder PTO",
    ),
    Command(
        "sign", "sign off; refused while something is open", "sessions:sign",
        (
            SESSION,
            arg("--by", default="", metavar="NAME", help="who signs"),
            arg(
                "--accept-open", default="", metavar="TEXT",
                help="sign over undecided findings and open steps, in these words",
            ),
            arg(
                "--accept", nargs="+", action="extend", default=[], metavar="STEP=TEXT",
                help="sign over safety steps that have not passed, each in words of its own",
            ),
            arg(
                "--key", metavar="FILE",
                help="sign with this SSH key (ed25519) too, or with a .pub whose other half the "
                "agent holds",
            ),
            DESPITE_BROKEN,
        ),
        "inspect-tui sign last --by 'A. Owner'",
    ),
    Command(
        "addendum", "words added after the sign-off", "sessions:addendum",
        (SESSION, arg("text", metavar="TEXT"), *_WRITES),
        "inspect-tui addendum last 'plugs renewed on the way'",
    ),
    Command(
        "plan", "what stops the start, what is left, what it takes, what comes next",
        "jobs:plan", (SESSION, JSON), "inspect-tui plan last", prints=True,
    ),
    Command(
        "findings", "what was found, under what explains it", "jobs:findings", (SESSION, JSON),
        "inspect-tui findings last", prints=True,
    ),
    Command(
        "parts", "the parts to get, got and fitted", "jobs:parts",
        (arg("what", nargs="?", metavar="SESSION|MACHINE"), JSON),
        "inspect-tui parts my-machine", prints=True,
    ),
    Command(
        "got", "a part is here, or fitted", "jobs:got",
        (
            arg("machine", metavar="MACHINE"),
            arg("part", metavar="PART"),
            arg("--fitted", action="store_true", help="it is fitted too"),
            BY,
        ),
        "inspect-tui got my-machine 'Drive belt' --fitted",
    ),
    Command(
        "status", "how far a session is, with the ids of its steps and readings",
        "inspect:status", (SESSION, JSON),
        "inspect-tui status last --json", prints=True,
    ),
)  # fmt: skip
