"""Symbols as tables of strokes: in the manner of IEC 60617, and of IEEE 315 (ANSI Y32.2) for North America.

Both sets are drawn from memory.

A device in a conductor stands between a pin on top at (0, 0) and a pin below at (0, 7.5).  A stroke is
`line x1 y1 x2 y2`, `box x1 y1 x2 y2`, `ring cx cy r`, `dot cx cy r`, `arc cx cy r start end`, or `word x y text`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import CAPITAL, LEAST_mm
from ohmwright.drawing.shapes import POWER, SYMBOL, THIN, Polyline
from ohmwright.rig.model import Job

Stroke: TypeAlias = tuple[str | float, ...]

#: Letters inside a symbol.
SMALLEST = LEAST_mm / CAPITAL

#: Height of a device in a conductor: three steps of the grid.
DEVICE = 7.5

_LEADS: tuple[Stroke, ...] = (("lead", 0, 0, 0, 1.6), ("lead", 0, 5.6, 0, 7.5))
_BLADE: tuple[Stroke, ...] = (("line", 0, 5.6, -2.1, 2.0),)
_CROSS: tuple[Stroke, ...] = (("line", -0.8, 0.8, 0.8, 2.4), ("line", -0.8, 2.4, 0.8, 0.8))

IN_LINE: dict[str, tuple[Stroke, ...]] = {
    "fuse": (("lead", 0, 0, 0, 7.5), ("box", -1.25, 1.0, 1.25, 6.5)),
    "breaker": (*_LEADS, *_BLADE, *_CROSS),
    "switch": (*_LEADS, *_BLADE),
    "disconnector": (*_LEADS, *_BLADE, ("line", -1.2, 1.6, 1.2, 1.6)),
    "load-switch": (
        ("lead", 0, 0, 0, 1.2),
        ("lead", 0, 5.6, 0, 7.5),
        *_BLADE,
        ("line", -1.2, 1.2, 1.2, 1.2),
        ("ring", 0, 1.85, 0.6),
    ),
    "contactor": (*_LEADS, *_BLADE, ("arc", 0, 0.9, 0.75, 0, 180)),
    "shunt": (
        ("lead", 0, 0, 0, 1.25),
        ("box", -1.25, 1.25, 1.25, 6.25),
        ("lead", 0, 6.25, 0, 7.5),
        ("line", 1.25, 2.2, 2.6, 2.2),
        ("line", 1.25, 5.3, 2.6, 5.3),
        ("ring", 3.0, 2.2, 0.4),
        ("ring", 3.0, 5.3, 0.4),
    ),
    "rcd": (
        *_LEADS,
        *_BLADE,
        ("ring", 0, 6.4, 1.0),
        ("thin", -1.0, 6.4, -2.6, 6.4),
        ("thin", -2.6, 6.4, -2.6, 3.6),
        ("thin", -2.6, 3.6, -1.1, 3.6),
    ),
    "rcbo": (
        *_LEADS,
        *_BLADE,
        *_CROSS,
        ("ring", 0, 6.4, 1.0),
        ("thin", -1.0, 6.4, -2.6, 6.4),
        ("thin", -2.6, 6.4, -2.6, 3.6),
        ("thin", -2.6, 3.6, -1.1, 3.6),
    ),
    "thermostat": (*_LEADS, *_BLADE, ("word", -3.6, 4.6, "θ")),
    "relay": (
        *_LEADS,
        *_BLADE,
        ("box", -5.6, 2.6, -3.0, 5.2),
        ("word", -4.3, 4.7, "U"),
        ("thin", -3.0, 3.9, -1.1, 3.9),
    ),
    "isolator": (
        ("lead", 0, 0, 0, 1.0),
        ("lead", 0, 6.5, 0, 7.5),
        ("box", -1.5, 1.0, 1.5, 6.5),
        ("line", -1.0, 2.4, 1.0, 2.4),
        ("line", -1.0, 2.4, 0, 4.4),
        ("line", 1.0, 2.4, 0, 4.4),
        ("line", -1.0, 4.4, 1.0, 4.4),
    ),
    "device": (("lead", 0, 0, 0, 1.0), ("box", -1.5, 1.0, 1.5, 6.5), ("lead", 0, 6.5, 0, 7.5)),
}

#: How far a symbol reaches left and right of its conductor.
REACH: dict[str, tuple[float, float]] = {
    "fuse": (1.25, 1.25), "breaker": (2.1, 0.8), "switch": (2.1, 0.3), "disconnector": (2.1, 1.2), "load-switch": (2.1, 1.2), "contactor": (2.1, 0.8),
    "shunt": (1.25, 3.4), "rcd": (2.6, 1.0), "rcbo": (2.6, 1.0), "thermostat": (5.0, 0.3), "relay": (5.6, 0.3), "isolator": (1.5, 1.5), "device": (1.5, 1.5),
}  # fmt: skip

#: The same by IEEE 315: the fuse a wave, the breaker an arc beside its gap, contacts of coils two bars, knife
#: switches between rings, the shunt a zigzag.
_RINGS: tuple[Stroke, ...] = (("ring", 0, 1.95, 0.35), ("ring", 0, 5.55, 0.35))
_LEADS_TO_RINGS: tuple[Stroke, ...] = (("lead", 0, 0, 0, 1.6), ("lead", 0, 5.9, 0, 7.5))
_KNIFE: tuple[Stroke, ...] = (("line", -0.1, 5.2, -1.9, 2.3),)
_ARC: tuple[Stroke, ...] = (*_LEADS_TO_RINGS, *_RINGS, ("arc", 1.4, 3.75, 2.9, 136, 224))
_BARS: tuple[Stroke, ...] = (
    ("lead", 0, 0, 0, 3.1),
    ("lead", 0, 4.4, 0, 7.5),
    ("line", -1.4, 3.1, 1.4, 3.1),
    ("line", -1.4, 4.4, 1.4, 4.4),
)
_ZIGZAG: tuple[Stroke, ...] = tuple(
    ("line", x1, y1, x2, y2)
    for (x1, y1), (x2, y2) in pairwise(
        [(0, 1.25), (1.1, 1.67), (-1.1, 2.5), (1.1, 3.33), (-1.1, 4.17), (1.1, 5.0), (-1.1, 5.83), (0, 6.25)]
    )
)

IN_LINE_US: dict[str, tuple[Stroke, ...]] = {
    "fuse": (
        ("lead", 0, 0, 0, 1.6),
        ("lead", 0, 5.9, 0, 7.5),
        ("arc", 0, 2.68, 1.08, 270, 90),
        ("arc", 0, 4.83, 1.08, 90, 270),
    ),
    "breaker": _ARC,
    "switch": (*_LEADS_TO_RINGS, *_RINGS, *_KNIFE),
    "disconnector": (*_LEADS, ("line", 0, 5.6, -2.1, 2.0), ("dot", 0, 1.8, 0.45), ("dot", 0, 5.6, 0.45)),
    "load-switch": (*_LEADS_TO_RINGS, *_RINGS, *_KNIFE, ("arc", 0, 1.95, 1.1, 200, 340)),
    "contactor": _BARS,
    "shunt": (
        ("lead", 0, 0, 0, 1.25),
        *_ZIGZAG,
        ("lead", 0, 6.25, 0, 7.5),
        ("line", 0, 1.25, 2.6, 1.25),
        ("line", 0, 6.25, 2.6, 6.25),
        ("ring", 3.0, 1.25, 0.4),
        ("ring", 3.0, 6.25, 0.4),
    ),
    "rcd": (*_LEADS_TO_RINGS, *_RINGS, *_KNIFE, ("word", -4.0, 4.8, "GF")),
    "rcbo": (*_ARC, ("word", -4.0, 4.8, "GF")),
    "thermostat": (*_LEADS_TO_RINGS, *_RINGS, *_KNIFE, ("word", -3.6, 4.8, "T")),
    "relay": (*_BARS, ("ring", -4.3, 3.75, 1.4), ("word", -4.3, 4.7, "V"), ("thin", -2.9, 3.75, -1.4, 3.75)),
    "isolator": IN_LINE["isolator"],
    "device": IN_LINE["device"],
}

REACH_US: dict[str, tuple[float, float]] = {
    "fuse": (1.1, 1.1), "breaker": (1.5, 1.4), "switch": (1.9, 0.4), "disconnector": (2.1, 0.5), "load-switch": (1.9, 1.1), "contactor": (1.4, 1.4),
    "shunt": (1.1, 3.4), "rcd": (5.6, 0.4), "rcbo": (5.6, 1.4), "thermostat": (5.0, 0.4), "relay": (5.7, 1.4), "isolator": (1.5, 1.5), "device": (1.5, 1.5),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SymbolSet:
    """How devices in a conductor are drawn. `told` names the standard in the legend."""

    told: str
    tables: Mapping[str, tuple[Stroke, ...]]
    reach: Mapping[str, tuple[float, float]]
    thin_plates: bool = False
    """True when the short plates of a battery are as thin as the long ones."""

    def in_line(self, canvas: Canvas, ref: str, name: str, x: float, y: float) -> None:
        """A device in a conductor, its upper pin at (x, y)."""
        strokes(canvas, ref, self.tables[name], x, y)

    def battery(self, canvas: Canvas, ref: str, x: float, y: float, em: float) -> None:
        """Two cells between (x, y) plus and (x, y + 7.5) minus: the long plate is plus."""
        short = SYMBOL if self.thin_plates else 0.9
        canvas.line(ref, x, y, x, y + 2.2, POWER)
        for at, half, weight in (
            (2.2, 2.6, SYMBOL),
            (3.2, 1.3, short),
            (4.4, 2.6, SYMBOL),
            (5.4, 1.3, short),
        ):
            canvas.line(ref, x - half, y + at, x + half, y + at, weight)
        canvas.line(ref, x, y + 5.4, x, y + 7.5, POWER)
        canvas.text(ref, x - 2.9, y + 1.6, "+", em, "sans", "middle")


SETS = {
    "iec": SymbolSet("symbols after IEC 60617, from memory", IN_LINE, REACH),
    "us": SymbolSet(
        "symbols after IEEE 315 (ANSI Y32.2), from memory", IN_LINE_US, REACH_US, thin_plates=True
    ),
}


def set_for(job: Job) -> SymbolSet:
    """The symbols of a job: as it says, else as its rule set does."""
    return SETS[job.symbols or ("us" if job.rules.startswith("us") else "iec")]


#: Which symbol a kind has; the class of a fuse and the duty of a switch change nothing in it.
OF_KIND: dict[str, str] = {
    "fuse": "fuse", "breaker": "breaker", "battery-switch": "load-switch", "switch": "switch", "pv-disconnect": "disconnector",
    "contactor": "contactor", "shunt": "shunt", "rcd": "rcd", "rcbo": "rcbo", "thermostat": "thermostat", "voltage-sensing-relay": "relay",
    "galvanic-isolator": "isolator",
}  # fmt: skip


def strokes(canvas: Canvas, ref: str, table: tuple[Stroke, ...], x: float, y: float) -> None:
    """Draw a table of strokes."""
    for stroke in table:
        what = stroke[0]
        n = [float(v) for v in stroke[1:] if not isinstance(v, str)]
        if what in ("line", "lead", "thin"):
            weight = {"line": SYMBOL, "lead": POWER, "thin": THIN}[str(what)]
            canvas.line(ref, x + n[0], y + n[1], x + n[2], y + n[3], weight)
        elif what == "box":
            canvas.box(ref, x + n[0], y + n[1], x + n[2], y + n[3])
        elif what == "ring":
            canvas.circle(ref, x + n[0], y + n[1], n[2], THIN)
        elif what == "dot":
            canvas.circle(ref, x + n[0], y + n[1], n[2], 0.0, fill="ink")
        elif what == "arc":
            canvas.arc(ref, x + n[0], y + n[1], n[2], n[3], n[4])
        else:
            canvas.text(ref, x + n[0], y + n[1], str(stroke[3]), SMALLEST, "sans", "middle")


def module(canvas: Canvas, ref: str, x: float, y: float, w: float, h: float) -> None:
    """A PV module: an outline with the mark of its upper edge."""
    canvas.box(ref, x, y, x + w, y + h)
    canvas.add(ref, Polyline(((x, y), (x + w / 2, y + h * 0.4), (x + w, y)), THIN))


def converter(canvas: Canvas, ref: str, x: float, y: float, size: float, upper: str, lower: str) -> None:
    """The square of a converter with its diagonal; `upper` and `lower` are dc or ac."""
    canvas.box(ref, x, y, x + size, y + size, 0.25)
    canvas.line(ref, x, y + size, x + size, y, 0.25)
    for what, cx, cy in (
        (upper, x + size * 0.28, y + size * 0.26),
        (lower, x + size * 0.72, y + size * 0.76),
    ):
        if what == "dc":
            canvas.line(ref, cx - size * 0.17, cy - size * 0.05, cx + size * 0.17, cy - size * 0.05, 0.25)
            for k in (-0.17, -0.045, 0.08):
                canvas.line(
                    ref, cx + size * k, cy + size * 0.07, cx + size * (k + 0.09), cy + size * 0.07, 0.25
                )
        else:
            canvas.arc(ref, cx - size * 0.085, cy, size * 0.085, 180, 360, 0.25)
            canvas.arc(ref, cx + size * 0.085, cy, size * 0.085, 0, 180, 0.25)


def earth(canvas: Canvas, ref: str, x: float, y: float) -> None:
    """Earth: three strokes that grow shorter, under (x, y)."""
    canvas.line(ref, x, y, x, y + 1.6)
    for i, half in enumerate((2.2, 1.4, 0.6)):
        canvas.line(ref, x - half, y + 1.6 + i * 0.9, x + half, y + 1.6 + i * 0.9)


def frame(canvas: Canvas, ref: str, x: float, y: float) -> None:
    """Frame or chassis: a stroke with slanted feet, under (x, y)."""
    canvas.line(ref, x, y, x, y + 1.6)
    canvas.line(ref, x - 2.4, y + 1.6, x + 2.4, y + 1.6)
    for k in (-2.4, -0.8, 0.8, 2.4):
        canvas.line(ref, x + k, y + 1.6, x + k - 1.2, y + 3.4)


def core_marks(
    canvas: Canvas, ref: str, x: float, y: float, cores: tuple[str, ...], *, upright: bool = True
) -> None:
    """The slashes of a cable drawn as one line: plain = a live core, with dot = neutral, with bar = earth."""
    pitch = 1.5
    start = -(len(cores) - 1) * pitch / 2
    for i, core in enumerate(cores):
        at = start + i * pitch
        cx, cy = (x, y + at) if upright else (x + at, y)
        canvas.line(ref, cx - 1.3, cy + 0.75, cx + 1.3, cy - 0.75, 0.25, layer="core")
        if core == "N":
            canvas.circle(ref, cx + 1.3, cy - 0.75, 0.42, 0.0, fill="ink", layer="core")
        elif core == "PE":
            canvas.line(ref, cx + 0.9, cy - 1.45, cx + 1.7, cy - 0.05, 0.25, layer="core")
