"""The roof plan as a drawing: outline, modules, obstacles, shadows by hour, dimension chains. White, in ink."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from markupsafe import Markup, escape

from ohmwright.drawing.scales import feet_and_inches
from ohmwright.rig.model import Obstacle
from ohmwright.services.roof import Module, Shadow, Spot, Surface, amiss
from ohmwright.working import known

#: The drawing is so many units wide; the style sheet sizes its lettering by how wide it stands on the screen.
WIDE = 1000.0
LEFT, RIGHT, TOP, BELOW = 150.0, 60.0, 60.0, 190.0
MOST_HIGH = 620.0
#: Edges nearer than this count as one in a chain.
ONE_EDGE_m = 0.004
INK, GRAPHITE, RED = "#15191C", "#4A5257", "#9E1B1B"
DASHES = {9: "3 4", 12: "10 4", 15: "12 3 2 3"}


@dataclass(frozen=True, slots=True)
class Scale:
    """From metres on the outline to units of the drawing; y goes up."""

    x0: float
    y0: float
    k: float
    left: float
    """Where what stands beside the outline begins; dimensions stand left of it."""
    floor: float
    """Where what stands before the outline ends; dimensions stand below it."""

    @property
    def height(self) -> float:
        """Of the whole drawing."""
        return self.floor + BELOW

    def at(self, spot: Spot) -> tuple[float, float]:
        """A point of the outline on the drawing."""
        return self.x0 + self.k * spot[0], self.y0 - self.k * spot[1]

    def points(self, spots: Iterable[Spot]) -> str:
        """Points of a polygon."""
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in map(self.at, spots))


def drawing(surface: Surface, shadows: tuple[Shadow, ...], units: str, *, fixed: bool) -> Markup:
    """The plan of one surface, or "" while it has no outline."""
    if surface.outline is None:
        return Markup("")
    scale = _scale(surface.outline, surface.obstacles)
    name = escape(surface.place.id)
    many = sum(bool(m.corners) for m in surface.modules)
    head = Markup(
        '<svg class="roof" id="plan" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {} {}" role="group" aria-label="Plan of {}, {} m by {} m, {} modules" '
        'data-k="{}" data-x0="{}" data-y0="{}" data-w="{}" data-h="{}"{}>'
    ).format(
        f"{WIDE:.0f}", f"{scale.height:.0f}", name, *(f"{v:.10g}" for v in surface.outline), many,
        f"{scale.k:.6f}", f"{scale.x0:.3f}", f"{scale.y0:.3f}", *(f"{v:.10g}" for v in surface.outline),
        Markup(' data-fixed="yes"') if fixed else "",
    )  # fmt: skip
    clip = Markup('<clipPath id="view"><rect x="0" y="0" width="{}" height="{}"/></clipPath>').format(
        f"{WIDE:.0f}", f"{scale.height - BELOW + 34:.0f}"
    )
    return Markup("").join(
        [
            head,
            clip,
            _outline(surface, scale),
            Markup('<g clip-path="url(#view)">'),
            *(_obstacle(o, scale) for o in surface.obstacles),
            Markup("</g>"),
            *(_module(m, scale, fixed) for m in surface.modules if m.corners),
            Markup('<g clip-path="url(#view)" class="shadows">'),
            *(_shadow(s, scale) for s in shadows),
            *(_obstacle_name(o, scale, units) for o in surface.obstacles),
            Markup("</g>"),
            *_chains(surface, scale, units),
            Markup("</svg>"),
        ]
    )


def _scale(outline: Spot, obstacles: Iterable[Obstacle]) -> Scale:
    """So that the outline fits, and what stands beside it no farther off than the outline is long."""
    reach = max(outline)
    spans = []
    for axis in (0, 1):
        least, most = 0.0, outline[axis]
        for o in obstacles:
            if o.at is not None and o.size is not None and not _beyond(o, outline):
                least, most = min(least, o.at[axis]), max(most, o.at[axis] + o.size[axis])
        spans.append((max(least, -reach), min(most, outline[axis] + reach)))
    (x1, x2), (y1, y2) = spans
    k = min((WIDE - LEFT - RIGHT) / (x2 - x1), MOST_HIGH / (y2 - y1))
    left = LEFT + (WIDE - LEFT - RIGHT - k * (x2 - x1)) / 2.0
    return Scale(left - k * x1, TOP + k * y2, k, left, TOP + k * (y2 - y1))


def _beyond(o: Obstacle, outline: Spot) -> bool:
    """Whether it stands farther off than the outline is long, so that the drawing leaves it out."""
    assert o.at is not None
    assert o.size is not None
    reach = max(outline)
    return any(
        a > whole + reach or a + size < -reach for a, size, whole in zip(o.at, o.size, outline, strict=True)
    )


def left_out(surface: Surface) -> tuple[str, ...]:
    """What throws shadows from too far off to be drawn."""
    if surface.outline is None:
        return ()
    return tuple(
        o.id
        for o in surface.obstacles
        if o.at is not None and o.size is not None and _beyond(o, surface.outline)
    )


def _outline(surface: Surface, scale: Scale) -> Markup:
    assert surface.outline is not None
    w, h = surface.outline
    (x, y), (x2, y2) = scale.at((0.0, h)), scale.at((w, 0.0))
    ox, oy = scale.at((0.0, 0.0))
    return Markup(
        '<rect x="{}" y="{}" width="{}" height="{}" fill="none" stroke="{}" class="edge"/>'
        '<path d="M{} {}m-6 0h12m-6 -6v12" stroke="{}" fill="none" class="thin"/>'
    ).format(f"{x:.1f}", f"{y:.1f}", f"{x2 - x:.1f}", f"{y2 - y:.1f}", INK, f"{ox:.1f}", f"{oy:.1f}", INK)


def _obstacle(o: Obstacle, scale: Scale) -> Markup:
    if o.at is None or o.size is None:
        return Markup("")
    (x, y2), (x2, y) = scale.at(o.at), scale.at((o.at[0] + o.size[0], o.at[1] + o.size[1]))
    over = known(o.above) is not None
    return Markup(
        '<rect class="obstacle thick" x="{}" y="{}" width="{}" height="{}" fill="none" stroke="{}"{}/>'
    ).format(
        f"{x:.1f}", f"{y:.1f}", f"{x2 - x:.1f}", f"{y2 - y:.1f}", INK, Markup(' stroke-dasharray="8 5"') if over else ""
    )  # fmt: skip


def _obstacle_name(o: Obstacle, scale: Scale, units: str) -> Markup:
    """Over the modules, which would hide it."""
    if o.at is None or o.size is None:
        return Markup("")
    (x, _), (x2, y) = scale.at(o.at), scale.at((o.at[0] + o.size[0], o.at[1] + o.size[1]))
    high = known(o.open) or known(o.height)
    told = f"{o.id} {_length(high.value, units)}" if high else f"{o.id} ?"
    return Markup(
        '<text class="obstacle" x="{}" y="{}" text-anchor="middle" dominant-baseline="text-after-edge" fill="{}">{}</text>'
    ).format(f"{(max(x, 0.0) + min(x2, WIDE)) / 2:.1f}", f"{y - 4:.1f}", INK, told)


def _module(m: Module, scale: Scale, fixed: bool) -> Markup:
    c = m.corners
    mid = scale.at(((c[0][0] + c[2][0]) / 2, (c[0][1] + c[2][1]) / 2))
    (ax, ay), (bx, by) = scale.at(c[0]), scale.at(c[2])
    trouble = amiss(m.fit)
    assert m.corner is not None
    said = f"{m.id}, string {m.string}, at {m.corner[0]:.3f} {m.corner[1]:.3f} m" + (
        ", turned" if m.turned else ""
    )
    said += "".join(f"; {t}" for t in trouble)
    return Markup(
        '<g class="module{}" data-module="{}" data-x="{}" data-y="{}" data-long="{}" data-wide="{}" data-right="{}" data-up="{}" data-turned="{}" data-amiss="{}"{} aria-label="{}">'
        '<polygon points="{}" fill="#FFFFFF" stroke="{}"/><line x1="{}" y1="{}" x2="{}" y2="{}" stroke="{}" class="thin"/>'
        '<text x="{}" y="{}" text-anchor="middle" dominant-baseline="central" fill="{}">{}</text></g>'
    ).format(
        " amiss" if trouble else "", m.id, f"{m.corner[0]:.10g}", f"{m.corner[1]:.10g}", f"{m.length_m:.10g}", f"{m.width_m:.10g}",
        f"{m.right[0]:.9g} {m.right[1]:.9g}", f"{m.up[0]:.9g} {m.up[1]:.9g}", "yes" if m.turned else "no", "yes" if trouble else "no",
        Markup(' role="img"') if fixed else Markup(' role="button" aria-roledescription="module" aria-describedby="how" tabindex="0"'), said,
        scale.points(c), RED if trouble else INK, f"{ax:.1f}", f"{ay:.1f}", f"{bx:.1f}", f"{by:.1f}", GRAPHITE,
        f"{mid[0]:.1f}", f"{mid[1]:.1f}", RED if trouble else INK, m.id,
    )  # fmt: skip


def _shadow(s: Shadow, scale: Scale) -> Markup:
    points = [scale.at(p) for p in s.polygon]
    floor = scale.height - BELOW + 34.0
    if all(x > WIDE for x, _ in points) or all(x < 0 for x, _ in points) or all(y < 0 for _, y in points) or all(y > floor for _, y in points):  # fmt: skip
        return Markup("")
    x, y = max(points, key=lambda p: (p[0] - scale.at((0, 0))[0]) * (1 if s.hour != 9 else -1))
    x, y = min(max(x, 30.0), WIDE - 40.0), min(max(y, 24.0), scale.height - BELOW + 20.0)
    return Markup(
        '<g><polygon points="{}" fill="none" stroke="{}" stroke-dasharray="{}" class="thin"/>'
        '<text x="{}" y="{}" text-anchor="middle" class="hour" fill="{}">{} h</text></g>'
    ).format(scale.points(s.polygon), INK, DASHES[s.hour], f"{x:.1f}", f"{y:.1f}", GRAPHITE, s.hour)


# ------------------------------------------------------------------------------------------------------ dimensions


def _chains(surface: Surface, scale: Scale, units: str) -> list[Markup]:
    """Along x below the plan, along y at its left: the edges of all modules, and the whole."""
    assert surface.outline is not None
    out = []
    for axis in (0, 1):
        whole = surface.outline[axis]
        edges = [c[axis] for m in surface.modules if m.corners for c in (m.corners[0], m.corners[2])]
        out += _chain(_merged([0.0, *edges, whole]), scale, axis, 1, units) if edges else []
        out += _chain([0.0, whole], scale, axis, 2 if edges else 1, units)
    return out


def _merged(edges: list[float]) -> list[float]:
    out: list[float] = []
    for e in sorted(edges):
        if not out or e - out[-1] > ONE_EDGE_m:
            out.append(e)
    return out


def _chain(edges: list[float], scale: Scale, axis: int, row: int, units: str) -> list[Markup]:
    """One dimension line with oblique ticks; a short piece is told beside the line, every other one farther off."""
    out = []
    line = (scale.floor + 44.0 + 98.0 * (row - 1)) if axis == 0 else (scale.left - 40.0 - 62.0 * (row - 1))
    spots = [scale.at((e, 0.0))[0] if axis == 0 else scale.at((0.0, e))[1] for e in edges]
    first, last = spots[0], spots[-1]
    path = f"M{first:.1f} {line:.1f}H{last:.1f}" if axis == 0 else f"M{line:.1f} {first:.1f}V{last:.1f}"
    for s in spots:
        path += f"M{s - 5:.1f} {line + 5:.1f}l10 -10" if axis == 0 else f"M{line - 5:.1f} {s + 5:.1f}l10 -10"
    out.append(Markup('<path d="{}" fill="none" stroke="{}" class="thin"/>').format(path, INK))
    tier = 1
    for (a, b), (p, q) in zip(pairwise(edges), pairwise(spots), strict=True):  # fmt: skip
        small = abs(q - p) < 70.0
        tier = 1 - tier if small else tier
        mid = (p + q) / 2.0
        x, y = (
            (mid, line + (32.0 + 24.0 * tier if small else -6.0))
            if axis == 0
            else (line + (24.0 if small else -6.0), mid)
        )
        turn = (
            Markup("")
            if axis == 0
            else Markup(' transform="rotate(-90 {} {})"').format(f"{x:.1f}", f"{y:.1f}")
        )
        out.append(
            Markup('<text x="{}" y="{}" text-anchor="middle" class="dim{}" fill="{}"{}>{}</text>').format(
                f"{x:.1f}", f"{y:.1f}", " small" if small else "", INK, turn, _length(b - a, units)
            )
        )
    return out


def _length(metres: float, units: str) -> str:
    return feet_and_inches(1000 * metres) if units == "us" else f"{1000 * metres:.0f}"
