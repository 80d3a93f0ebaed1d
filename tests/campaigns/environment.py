"""Environment variables as no person sets them, for the campaign of hostile input."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator

from tests.campaigns import hostile
from tests.campaigns.hostile import Random

FOLDERS = (
    "", " ", "~", "~nobody-here", "~/x", "/dev/null", "/dev/null/x", "/proc/1/x", ".", "..",
    "x" * 300, "/" + "x/" * 3000, "\udcff", "é\u202e", "/\x1b[31m", "$HOME", "file:x", "relative/x",
    "/nowhere/at/all",
)  # fmt: skip
NAMES = {
    "INSPECT_TUI_HOME": FOLDERS,
    "HOME": FOLDERS,
    "XDG_DATA_HOME": FOLDERS,
    "XDG_CONFIG_HOME": FOLDERS,
    "XDG_CACHE_HOME": FOLDERS,
    "TMPDIR": FOLDERS,
    "SSH_AUTH_SOCK": (*FOLDERS, "127.0.0.1:22"),
    "TERM": ("", "dumb", "xterm-256color", "x" * 5000, "../../etc/passwd", "\x1b[2J", "\udcff"),
    "LANG": ("", "C", "C.UTF-8", "de_DE.ISO-8859-1", "tr_TR.UTF-8", "xx", "\udcff", "x" * 5000),
    "LC_ALL": ("", "C", "POSIX", "ja_JP.SJIS", "xx_XX@y", "\x1b[2J"),
    "TZ": (
        "", "UTC", "Asia/Kathmandu", ":", ":/etc/passwd", "../../etc/passwd", "XXX-99", "A" * 9000,
        "EST5EDT,M3.2.0,M11.1.0", "<\x1b[2J>3", "\udcff", "UTC+24:59:59", "UTC-167", "AAA0:00:59",
    ),
    "COLUMNS": ("", "0", "-1", "1", "9" * 40, "x", "1e9", "80"),
    "LINES": ("", "0", "-5", "9" * 40, "x"),
    "NO_COLOR": ("", "1", "x" * 5000),
    "FORCE_COLOR": ("", "1"),
    "PATH": ("", ".", "/nowhere", "\udcff", ":" * 3000),
    "PYTHONIOENCODING": ("ascii", "utf-16", "nonsense"),
    "TEXTUAL": ("devtools,debug",),
}  # fmt: skip
COMMANDS = (
    ["export", "SESSION", "--to", "md"], ["status", "SESSION", "--json"], ["verify", "SESSION"],
    ["note", "SESSION", "belt", "words"], ["export", "SESSION", "--to", "html"],
    ["new", "short", "tindrak-600", "--by", "A"], ["checklists"], ["check", "~/x.toml"],
    ["calc", "span_tension", "force=50 N", "span=1 m", "deflection=20 mm"],
    ["verify", "SESSION", "--signers", "~/x"], ["photo", "SESSION", "belt", "~/x.jpg"],
    ["sign", "SESSION", "--by", "A", "--key", "~/x"], ["pack", "SESSION", "-o", "no/such/x.zip"],
)  # fmt: skip


def some_values(rng: Random) -> dict[str, str]:
    """A few variables; "unset" stands for none."""
    made = {}
    for name in rng.sample(sorted(NAMES), rng.randrange(1, 6)):
        odd = rng.choice(NAMES[name]) if rng.random() < 0.7 else hostile.text(rng)
        made[name] = "unset" if rng.random() < 0.15 else odd
    return made


@contextlib.contextmanager
def put_up_with(values: dict[str, str]) -> Iterator[None]:
    """These variables and no others of the list, until the end."""
    before = {name: os.environ.get(name) for name in NAMES}
    # No system has a variable with a NUL, or with half a character that stands for no byte.
    can_be = {
        name: value.replace("\0", "").encode("utf-8", "replace").decode()
        if not value.isascii() and value not in NAMES[name]
        else value.replace("\0", "")
        for name, value in values.items()
    }
    try:
        for name, value in can_be.items():
            _set(name, None if value == "unset" else value)
        time.tzset()
        yield
    finally:
        for name, old in before.items():
            _set(name, old)
        time.tzset()


def _set(name: str, value: str | None) -> None:
    if value is None:
        os.environ.pop(name, None)
    else:
        os.environ[name] = value
