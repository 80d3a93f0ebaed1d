"""Small drawings in characters: what of a calculation is measured where.

Each is at most `WIDEST` columns, so that it fits a 40-column screen. Words in
them are the names of the calculation's inputs.

Who calls it: the app's bench.
"""

from __future__ import annotations

WIDEST = 38
"""Columns."""

_PLAIN = str.maketrans({
    "─": "-", "│": "|", "┌": "+", "┐": "+", "└": "+", "┘": "+", "├": "|", "┤": "|", "┬": "+",
    "┴": "+", "┼": "+", "╭": "/", "╮": "\\", "╰": "\\", "╯": "/", "╱": "/", "╲": "\\", "●": "o",
    "○": "o", "·": ".", "↓": "v", "↑": "^", "←": "<", "→": ">", "═": "=", "┄": "-", "×": "x",
    "−": "-", "α": "a",
})  # fmt: skip

_SPAN = """
├─────────── span ───────────┤
●┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄●  ┬
   ·                      ·     │
       ·              ·         │
            ·  ●  ·             ┴
               ↓ force     deflection
"""
_LOADS = """
●┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄●  ┬   ┬
  · ·                · ·    │   │
    ·   ·   ·○·   ·   ·     ┴   │
       ·         ·      unloaded│
           ·●·                  ┴
            ↓ load        deflection
"""
_SLACK = """
├────────── span ──────────┤
            · · ·             ┬
       ·            ·         │
●──────────────────────────●  │ slack
       ·            ·         │
            · · ·             ┴
slack: the whole way, up and down
"""
_TOE = """
├──── front ────┤
 ╲             ╱   ┬
  ╲     ↑     ╱    │
   ╲  ahead  ╱    base
    ╲       ╱      │
     │     │       ┴
     ├rear ┤
front more than rear is toe-out
"""
_PISTON = """
│         │┄┄ top dead centre ┬
│┌───────┐│          distance │
││piston ││┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄ ┴
│└───●───┘│
│    │    │
      ╲    rod: pin to crank pin
   ╭───╲─╮
   │    ●│ angle before top
   │  ┼  │ stroke: twice the crank
   ╰─────╯
"""
_EXTENSION = """
bolt   square               hand
 ●───────●────────────────────●
 ├───────┼────────────────────┤
 extension       wrench
angle: the extension turned out of the
wrench's line; 0 straight, 90 degree
square to it, where nothing changes
"""
_LOOP = """
    ├─── centre_distance ───┤
  ╭─┼───────────────────────┼─╮
 ╱  │                       │  ╲
│   ●                       ●   │
 ╲                             ╱
  ╰───────────────────────────╯
 {a:<16}{b:>15}
"""
_SPRING = """
free     force_1   force_2
═════       ↓
 ╲         ═════       ↓
 ╱    ┬     ╲    ┬    ═════   ┬
 ╲    │     ╱    │     ╱      │
 ╱    │     ╲    │     ╲      │
═════ ┴    ═════ ┴    ═════   ┴
 free_   length_1    length_2
 length
"""
_WIRE = """
 ├─ mean_diameter ─┤
 ○─────────────────○  ┬
 ○─────────────────○  │ active_coils:
 ○─────────────────○  │ those that can
 ○─────────────────○  ┴ move
wire: the thickness of one ○
"""
_LINKS = """
├─────── measured ───────┤
●──●──●──●──●──●──●──●──●
├──┤ pitch        links: 8 here
Pull it straight; measure from pin to
pin over as many links as you can.
"""
_FLYWEIGHT = """
  axis
   │    radius
   ├─────────────● mass → force
   │
   ↑ speed (turns about the axis)
"""
_BOLT = """
   ├────┤ diameter
 ┌─┴────┴─┐
 │ 8.8    │ property_class
 └─┬────┬─┘
   │╲╲╲╲│ ┬
   │╲╲╲╲│ ┴ pitch: crest to crest
   │╲╲╲╲│
   └────┘
"""
_JOINT = """
   torque ╭→
      ┌───┴──┐
      └┬────┬┘ ↑ force
 ══════│    │══════
 ══════│    │══════
       │    │ ↓ force
       ├────┤ diameter
"""

_DRAWINGS = {
    "span_tension": _SPAN,
    "deflection_at_load": _LOADS,
    "chain_sag": _SLACK,
    "toe": _TOE,
    "piston_position": _PISTON,
    "timing_angle": _PISTON,
    "torque_with_extension": _EXTENSION,
    "belt_length": _LOOP.format(a="diameter_a", b="diameter_b"),
    "chain_length": _LOOP.format(a="teeth_a", b="teeth_b"),
    "spring_rate": _SPRING,
    "wire_spring_rate": _WIRE,
    "chain_elongation": _LINKS,
    "flyweight_force": _FLYWEIGHT,
    "proof_load": _BOLT,
    "tightening_torque": _JOINT,
}


def drawing(name: str, *, ascii: bool = False) -> str:  # noqa: A002
    """The drawing of a calculation; "" where nothing has to be drawn.

    Args:
        name: As registered.
        ascii: In plain ASCII signs, for a terminal that has no others.
    """
    lines = _DRAWINGS.get(name, "").strip("\n")
    return lines.translate(_PLAIN) if ascii else lines


def drawn() -> tuple[str, ...]:
    """The calculations that have a drawing."""
    return tuple(_DRAWINGS)
