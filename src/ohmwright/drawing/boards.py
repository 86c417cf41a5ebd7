"""What stands on the board of a place and where: as the file says, else where this module would put it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ohmwright.drawing.field import Field
from ohmwright.drawing.shapes import GRID
from ohmwright.drawing.sizes import Fixing, fixing_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.rig.ports import is_group
from ohmwright.rig.standing import Extent, clearance_mm, extent_of, standing_on_board

#: Kinds that stand on a floor, on a roof or in a wall, and on no board.
ELSEWHERE = frozenset(
    (
        "module", "mounting", "supply-post", "electrode", "battery", "shore-inlet", "tow-socket", "outlet", "alternator",
        "generator", "hydrogenerator", "wind-generator", "starter", "windlass", "pad-heater",
    )
)  # fmt: skip
#: Side of the square that stands for a part whose size nobody wrote down.
NOMINAL_mm = 80.0
#: Room that hands and lugs want between parts on a board (common practice, no source).
APART_mm = 20.0
#: A step of the field stands for so many millimetres of the board.
STEP_mm = 10.0

Side = Literal["left", "right", "up", "down"]


@dataclass(frozen=True, slots=True)
class Seat:
    """A part on a board: its lower left corner, what of it is known, and where its conductors leave."""

    part: Part
    x_mm: float
    y_mm: float
    extent: Extent | None
    fixing: Fixing | None
    proposed: bool
    turned: bool = False
    """A quarter turn: its width stands upright, and the holes of its foot with it."""

    @property
    def width_mm(self) -> float:
        """How long it is across, or the square that stands for it."""
        return (self.extent.height_mm if self.turned else self.extent.width_mm) if self.extent else NOMINAL_mm

    @property
    def height_mm(self) -> float:
        """How long it is upwards, or the square that stands for it."""
        return (self.extent.width_mm if self.turned else self.extent.height_mm) if self.extent else NOMINAL_mm

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of its outline."""
        return self.x_mm + self.width_mm / 2, self.y_mm + self.height_mm / 2

    @property
    def drilled(self) -> tuple[tuple[float, float], ...]:
        """Holes that a template may bear: none where the position is only proposed."""
        return () if self.proposed else self.holes

    @property
    def holes(self) -> tuple[tuple[float, float], ...]:
        """Where its holes stand on the board; none unless size and holes are known."""
        if self.fixing is None or self.extent is None:
            return ()
        x, y = self.middle
        return tuple((x - dy, y + dx) if self.turned else (x + dx, y + dy) for dx, dy in self.fixing.at_mm)


@dataclass(frozen=True, slots=True)
class Lug:
    """A conductor that lands on a seat: its run, and the side towards which its lug points."""

    run: str
    side: Side


@dataclass(frozen=True, slots=True)
class Plan:
    """A board with what stands on it."""

    place: Place
    width_mm: float
    height_mm: float
    seats: tuple[Seat, ...]
    left_over: tuple[str, ...]

    @property
    def known(self) -> bool:
        """True when the board's own size stands in the file."""
        return self.place.board is not None

    @property
    def proposed(self) -> bool:
        """True when anything of it is only proposed."""
        return not self.known or any(s.proposed for s in self.seats)


def plans_of(rig: Rig, graph: Graph) -> tuple[Plan, ...]:
    """The boards of a rig, place by place."""
    made = (plan_of(rig, graph, place) for place in rig.host.places.values())
    return tuple(p for p in made if p.seats or p.left_over)


def mounted(rig: Rig, place: str) -> Iterator[Part]:
    """What is screwed to the board of a place."""
    for part in rig.parts.values():
        if part.place != place or is_group(part):
            continue
        told = standing_on_board(part, rig.host.places[place])
        usual = not (part.group or part.kind.name in ELSEWHERE)
        if told is not None if part.standing is not None and part.standing.wall != "board" else part.standing or usual:  # fmt: skip
            yield part


def plan_of(rig: Rig, graph: Graph, place: Place) -> Plan:
    """The board of a place: parts with a position stand there, the others where there is room near what they are wired to."""
    parts = list(mounted(rig, place.id))
    width, height = _board(place, parts)
    seats = {
        p.id: Seat(p, s.x_m * 1000, s.y_m * 1000, extent_of(p), fixing_of(p), False, s.turned)
        for p in parts
        if (s := standing_on_board(p, place)) is not None
    }
    field = Field(0.0, 0.0, max(1, int(width // STEP_mm)), max(1, int(height // STEP_mm)))
    for seat in seats.values():
        _take(field, seat)
    near = _neighbours(rig, graph)
    left_over = []
    waiting = [p for p in parts if p.id not in seats]
    while waiting:
        part = min(waiting, key=lambda p: _order(p, near, seats))
        waiting.remove(part)
        spot = _room(field, part, near, seats, width, height)
        if spot is None:
            left_over.append(part.id)
            continue
        seats[part.id] = Seat(part, *spot, extent_of(part), fixing_of(part), True)
        _take(field, seats[part.id])
    return Plan(place, width, height, tuple(seats[p.id] for p in parts if p.id in seats), tuple(left_over))


def _board(place: Place, parts: list[Part]) -> tuple[float, float]:
    """Width and height: the file's, else the wall of the place, else so much as the parts would fill half."""
    if place.board is not None:
        return place.board[0] * 1000, place.board[1] * 1000
    if place.size is not None:
        return place.size[0] * 1000, place.size[2] * 1000
    area = sum((w + 2 * APART_mm) * (h + 2 * APART_mm) for w, h in map(_sides, parts))
    tallest = max((h for _, h in map(_sides, parts)), default=0.0) + 2 * APART_mm
    widest = max((w for w, _ in map(_sides, parts)), default=0.0) + 2 * APART_mm
    width = max(widest, (2.0 * area * 1.5) ** 0.5)
    return _round_up(width), _round_up(max(tallest, 2.0 * area / width))


def _round_up(value_mm: float) -> float:
    return 50.0 * -(-value_mm // 50.0)


def _sides(part: Part) -> tuple[float, float]:
    extent = extent_of(part)
    return (extent.width_mm, extent.height_mm) if extent else (NOMINAL_mm, NOMINAL_mm)


def _margin(part: Part) -> float:
    free, where = clearance_mm(part)
    return max(APART_mm / 2, free if "around" in where or not where else 0.0)


def _take(field: Field, seat: Seat) -> None:
    scale, margin = GRID / STEP_mm, _margin(seat.part)
    x1, y1 = (seat.x_mm - margin) * scale, (seat.y_mm - margin) * scale
    x2, y2 = (seat.x_mm + seat.width_mm + margin) * scale, (seat.y_mm + seat.height_mm + margin) * scale
    field.block((GRID * (x1 // GRID), GRID * (y1 // GRID), x2 - GRID / 2, y2 - GRID / 2), 0.0)


def _room(
    field: Field, part: Part, near: dict[str, set[str]], seats: dict[str, Seat], width: float, height: float
) -> tuple[float, float] | None:
    """The lower left corner of free room near what a part is wired to; the first stands high on the left."""
    wide, high = _sides(part)
    margin, scale = _margin(part), GRID / STEP_mm
    friends = [seats[i].middle for i in near.get(part.id, ()) if i in seats] or [
        s.middle for s in seats.values()
    ]
    x = sum(f[0] for f in friends) / len(friends) if friends else 0.0
    y = sum(f[1] for f in friends) / len(friends) if friends else height
    spot = field.nearest_room(
        (wide + 2 * margin) * scale - GRID, (high + 2 * margin) * scale - GRID, x * scale, y * scale
    )
    if spot is None:
        return None
    left, low = spot[0] / scale + margin, spot[1] / scale + margin
    return (left, low) if left + wide <= width and low + high <= height else None


def _order(part: Part, near: dict[str, set[str]], seats: dict[str, Seat]) -> tuple[int, float, str]:
    """What is wired to most that stands already comes first, then the biggest."""
    wide, high = _sides(part)
    return -sum(i in seats for i in near.get(part.id, ())), -wide * high, part.id


def _neighbours(rig: Rig, graph: Graph) -> dict[str, set[str]]:
    out: dict[str, set[str]] = {}
    for run in rig.runs.values():
        for c in run.cores:
            a, b = graph.terminals[c.a].owner, graph.terminals[c.b].owner
            out.setdefault(a, set()).add(b)
            out.setdefault(b, set()).add(a)
    return out


def lugs_of(rig: Rig, graph: Graph, plan: Plan, seat: Seat) -> tuple[Lug, ...]:
    """Every conductor at a seat: towards the part at its other end, or the nearest edge when it leaves the board."""
    middles = {s.part.id: s.middle for s in plan.seats}
    out: dict[tuple[str, Side], Lug] = {}
    for run in rig.runs.values():
        for c in run.cores:
            for mine, far in ((c.a, c.b), (c.b, c.a)):
                if graph.terminals[mine].owner != seat.part.id:
                    continue
                other = middles.get(graph.terminals[far].owner)
                side = _side(seat.middle, other) if other else _edge(plan, seat.middle)
                out.setdefault((run.id, side), Lug(run.id, side))
    return tuple(out.values())


def _side(here: tuple[float, float], there: tuple[float, float]) -> Side:
    dx, dy = there[0] - here[0], there[1] - here[1]
    if abs(dx) >= abs(dy):
        return "right" if dx > 0 else "left"
    return "up" if dy > 0 else "down"


def _edge(plan: Plan, here: tuple[float, float]) -> Side:
    away: dict[Side, float] = {
        "left": here[0],
        "right": plan.width_mm - here[0],
        "down": here[1],
        "up": plan.height_mm - here[1],
    }
    return min(away, key=lambda side: away[side])
