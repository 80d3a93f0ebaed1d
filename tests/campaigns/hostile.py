"""Hostile words, texts, bytes, TOML and expressions, for the campaign of hostile input."""

from __future__ import annotations

import random
import re

Random = random.Random

STEERING = (
    "\x1b[31m", "\x1b]0;t\x07", "\x1b", "\x07", "\x9b2J", "\x00", "\r", "\n", "\t", "\x85",
    "\u2028", "\u202e", "\u2066", "\u200b", "\u200d", "\ufeff", "\ud800", "\udcff", "\U000e0041",
    "\U0010ffff", "\u0301" * 9,
)  # fmt: skip
"""What steers a terminal, turns the writing, hides, or is half a character."""
MARKUP = (
    "x[/]y", "[b]", "[/", "[@click=app.quit]q[/]", "<script>alert(1)</script>", "</style>", "&lt;",
    "=1+1", "+1", "-1", "@x", "=cmd|' /C calc'!A0", "{nb}", "{0}", "%s", "%n", "$(id)", "`id`",
    "../x", "..", "/x", "a/../../b", "x\\y", "~", "file:", "file:../x", "file:/dev/null", "--",
    "-x",
    "con.toml", ".toml", "a" * 300, "W" * 5000,
)  # fmt: skip
NUMBERS = (
    "0", "-0", "1", "31,7", "1-1/4", "9 1/2", ".028", "1/0", "1e30", "1e999999999", "-1e-400",
    "nan",
    "inf", "-inf", "9" * 40, "0x10", "1_000", "1,234.5", "1.2.3", "50:1", "0:0", "1:30", "99:99",
    "½", "²", "٣", "1 ±", "± 1", "1 ± 2 ± 3", "31.7 ± 0.2", "5 %", "1;2;3", ";", "1;" * 60, "-300",
    "5' 3\"", "2026-02-30", "2026-11-02", "0000-00-00", "true", "yes", "ok", "nok", "None", "",
)  # fmt: skip
UNITS = (
    "mm", "in", "degC", "degF", "delta_degC", "K", "kPa", "bar", "psi", "inHg", "N", "lbf", "ft-lb",
    "in-lb", "turn", "deg", "%", "percent", "s", "min", "L", "mL", "kg", "rpm", "1/min", "V", "ohm",
    "m**999999", "m^-2", "kg*m/s**2", "(((mm", "mm)", "mm mm", "µm", "Ω", "°", "'", '"', "sqrt(m)",
    "dimensionless", "__class__", "lambda: 0", "m; import os", "mega" * 40 + "m", "10", "m**m",
    "yy",
    "1e9m", "kilomegam", "decade", "byte", "degC*m", "dB", "dBm", "/m", "m/", "m//m", "m..m",
)  # fmt: skip
PIECES = (
    "width", "load", "gaps", "jets", "crack", "spec.width_min", "spec.nowhere", "machine.cooling",
    "conditions.qnh", "chart.main_jet", "track_tension.deflection", "'0.5 mm'", "'5 %'", "'x'", "1",
    "2.5", "1e9", "0", "True", "None", "+", "-", "*", "/", "**", "//", "%", "@", "<", "==", "!=",
    "in", "is", "and", "or", "not", "(", ")", "[", "]", "{", "}", ",", ".", ":", ":=", "=",
    "lambda",
    "if", "else", "for", "await", "yield", "min(", "max(", "abs(", "round(", "sqrt(", "mean(",
    "spread(", "span_tension(", "force=", "span=", "deflection=", "**jets", "*jets", "__class__",
    ".__class__", ".__globals__", "__import__('os')", "eval('1')", "f'{x}'", "b'x'", "'''", "\\",
    "#",
    "9**9**9", "8**8", "(-1)**0.5", "1/0", "1e-30", "0.1", "~", "!", "$", "?", "\n", "…", "ﬁ", "ℌ",
)  # fmt: skip
TOML_VALUES = (
    "0", "-1", "1e308", "inf", "nan", "9223372036854775808", "true", '""', '"x[/]y"', "[]", "[[]]",
    "{}", '{ min = "spec.x" }', '{ min = 1, max = 0 }', '{ equal = [] }', '{ target = "5 %" }',
    "2026-11-02", "2026-11-02T18:00:00Z", "07:00:00", '["a", "a"]', '[""]', "[1, 2, 3]",
    '"1e400 mm"',
    '"5 %"', '"spec.a + spec.b"', '"' + "(" * 60 + '"', '"width.width.width"', '"\\u0000"',
    '"\\u001b[2J"', '"\\u202e"', '"a" * 3', "[" * 60 + "]" * 60, "'''\nx\n'''", '"cylinder"',
    '"number"', '"choice"', '"check"', '"timer"', '"photo"', '"start"', "0x10", "1_0", "3.14",
    "-0.0",
    '["-29 degC", "-18 degC"]', '["600 m", "0 m"]', "[240, 230, 240]", "[240, 230]",
    '"' + "a" * 3000 + '"',
)  # fmt: skip
_KEY = re.compile(r"^(\s*)([A-Za-z_][\w-]*)(\s*=\s*)(.*)$")


def word(rng: Random) -> str:
    """One odd word."""
    return rng.choice(rng.choice((STEERING, MARKUP, NUMBERS, UNITS, PIECES)))


def text(rng: Random, most: int = 5) -> str:
    """Odd words, one after the other."""
    return "".join(word(rng) for _ in range(rng.randrange(1, most + 1)))


def any_text(rng: Random) -> str:
    """Characters from anywhere."""
    highest = rng.choice((0x7F, 0x24F, 0xFFFF, 0x10FFFF))
    return "".join(chr(rng.randrange(highest + 1)) for _ in range(rng.randrange(12)))


def typed(rng: Random) -> str:
    """What might be typed for a reading: a number with a unit, with something odd in it."""
    made = f"{rng.choice(NUMBERS)}{rng.choice(('', ' '))}{rng.choice(('', *UNITS))}"
    kind = rng.randrange(6)
    if kind == 0:
        made += rng.choice((";", " ± ", "/", " ", "\u2044", "-")) + rng.choice(NUMBERS)
    elif kind == 1:
        at = rng.randrange(len(made) + 1)
        made = made[:at] + word(rng) + made[at:]
    elif kind == 2:
        made = any_text(rng)
    elif kind == 3:
        made = changed_text(made, rng)
    elif kind == 4:
        made = made * rng.choice((2, 40, 900))
    return made


def unit(rng: Random) -> str:
    """A unit, or what looks like one."""
    parts = [rng.choice(UNITS) for _ in range(rng.randrange(1, 4))]
    made = rng.choice(("", "*", "/", " ", "**", "-", "·")).join(parts)
    return changed_text(made, rng) if rng.random() < 0.4 else made


def expression(rng: Random) -> str:
    """Pieces of expressions; now and then something deep, long or with very many names."""
    kind = rng.randrange(40)
    if kind == 0:
        return "(" * rng.choice((29, 200, 5000)) + "1" + ")" * rng.choice((29, 200, 5000))
    if kind == 1:
        return rng.choice(("-", "not ", "abs(", "[", "x.", "1+", "'a' 'b' ")) * rng.choice(
            (40, 900)
        )
    if kind == 2:
        return "+".join(f"name{n}" for n in range(rng.choice((30, 10_000))))
    if kind == 3:
        return "**".join(rng.choice(("9", "1e9", "-8", "0.5")) for _ in range(rng.randrange(2, 9)))
    if kind == 4:
        return "'" + "x" * rng.choice((1900, 100_000)) + "'"
    parts = [rng.choice(PIECES) for _ in range(rng.randrange(1, 12))]
    made = rng.choice(("", " ")).join(parts)
    return changed_text(made, rng) if kind < 12 else made


def changed_text(made: str, rng: Random) -> str:
    """A few characters put in, taken out or doubled."""
    for _ in range(rng.randrange(1, 4)):
        at = rng.randrange(len(made) + 1)
        kind = rng.randrange(4)
        if kind == 0:
            made = made[:at] + word(rng) + made[at:]
        elif kind == 1:
            made = made[:at] + made[at + rng.randrange(1, 4) :]
        elif kind == 2:
            made = made[:at] + made[at : at + 9] * 2 + made[at + 9 :]
        else:
            made = made[:at] + chr(rng.randrange(32, 0x250)) + made[at + 1 :]
    return made


def changed_bytes(data: bytes, rng: Random) -> bytes:
    """A few bytes changed, put in, taken out, moved; or the end lost."""
    made = bytearray(data)
    for _ in range(rng.choice((1, 1, 2, 5, 30))):
        at = rng.randrange(len(made) + 1)
        kind = rng.randrange(7)
        if kind == 0:
            made[at : at + 1] = bytes([rng.randrange(256)])
        elif kind == 1:
            made[at:at] = bytes(rng.randrange(256) for _ in range(rng.randrange(1, 9)))
        elif kind == 2:
            del made[at : at + rng.choice((1, 2, 9, 200))]
        elif kind == 3:
            end = at + rng.randrange(1, 300)
            made[at:at] = made[at:end]
        elif kind == 4 and at < len(made):
            made[at] ^= 1 << rng.randrange(8)
        elif kind == 5:
            made[at : at + 4] = rng.choice((b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff"))
        elif rng.random() < 0.2:
            del made[at:]
    return bytes(made)


def toml(source: str, others: list[str], rng: Random) -> str:
    """A definition with lines moved, values replaced, keys of another place, odd words."""
    lines = source.split("\n")
    for _ in range(rng.choice((1, 1, 2, 4, 12))):
        at = rng.randrange(len(lines))
        found = _KEY.match(lines[at])
        kind = rng.randrange(9)
        if kind == 0:
            del lines[at : at + rng.choice((1, 1, 3))]
            lines = lines or [""]
        elif kind == 1:
            lines.insert(rng.randrange(len(lines)), lines[at])
        elif kind == 2:
            lines.insert(at, rng.choice(rng.choice(others).split("\n")))
        elif kind == 3:
            lines[at] = changed_text(lines[at], rng)
        elif kind == 4:
            lines.insert(at, rng.choice(("[spec]", "[[section]]", "[[section.step]]", "[source]",
                "[[section.step.reading]]", "[[section.step.derived]]", "[[inference]]",
                "[machine]",
                "[[section.step.setting]]", "[spec.text]", "[[jet_chart]]", "[section]",
                "[x.y.z]")))  # fmt: skip
        elif found:
            lines[at] = found[1] + found[2] + found[3] + _toml_value(found[4], kind, rng)
    return "\n".join(lines)


def _toml_value(before: str, kind: int, rng: Random) -> str:
    if kind == 5:
        return rng.choice(TOML_VALUES)
    if kind == 6:
        return quoted(text(rng, 3))
    if kind == 7:
        return quoted(expression(rng))
    return changed_text(before, rng)


def quoted(words: str) -> str:
    """A TOML text of any words, as well as TOML can hold them."""
    escaped = (
        f"\\u{ord(sign):04x}" if ord(sign) < 32 or sign in '"\\\x7f' else sign for sign in words
    )
    return '"' + "".join(escaped) + '"'
