"""A bay from in front: what the file places in it stands there, the rest is put where there is room and said to be proposed."""

import math
from dataclasses import dataclass

from ohmwright.drawing.sizes import opening_mm
from ohmwright.rig.bay_air import holes_of, way_of_air
from ohmwright.rig.bay_fit import AROUND, BayFit, fits_in
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.rig.ports import is_group
from ohmwright.rig.standing import Free, Standing, box_at, extent_of, free_of, sides_m, standing_in

#: Room that hands and lugs want between parts, millimetres (common practice, no source), as on boards.
APART_mm = 20.0
#: What stands on no wall and floor of a bay.
SKIPPED = ("module", "mounting", "electrode", "supply-post")
#: What is heavy stands on the floor; it is put there first.
HEAVY = ("battery", "generator", "isolation-transformer")
#: Corners that are tried for one part; beyond it nothing more is proposed.
MOST_SPOTS = 4000
_EDGE = 1e-6


@dataclass(frozen=True, slots=True)
class Stood:
    """A part as one sees it from in front: its lower left corner and sides, millimetres from the bay's own corner."""

    part: str
    standing: Standing
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    depth_mm: float
    free: Free
    proposed: bool
    fit: BayFit | None = None


@dataclass(frozen=True, slots=True)
class Pane:
    """Something flat in the front of a bay, millimetres: an opening, a vent, a board; `told` where the file says where it sits."""

    name: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    told: bool
    area_cm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Front:
    """A bay from in front."""

    place: Place
    width_mm: float
    height_mm: float
    stood: tuple[Stood, ...]
    left_over: tuple[str, ...]
    """Parts for which no room was found."""
    unsized: tuple[str, ...]
    opening: Pane | None
    vents: tuple[Pane, ...]
    board: Pane | None
    amiss: str
    """What is the matter with where the vents sit."""

    @property
    def proposed(self) -> tuple[str, ...]:
        """Parts that the file does not place."""
        return tuple(s.part for s in self.stood if s.proposed)


def stand_in(rig: Rig, place: Place) -> tuple[Part, ...]:
    """The parts that take room in a place: members of groups one by one; no device that is bolted onto a battery's post."""
    return tuple(
        p
        for p in rig.parts.values()
        if p.place == place.id and not is_group(p) and p.kind.name not in SKIPPED and not _bolted(rig, p)
    )


def bolted_in(rig: Rig, place: Place) -> tuple[str, ...]:
    """The devices that stand there on the posts of their batteries."""
    return tuple(p.id for p in rig.parts.values() if p.place == place.id and _bolted(rig, p))


def _bolted(rig: Rig, part: Part) -> bool:
    """A battery's own device, bolted onto its post, unless the file stands it elsewhere."""
    group = rig.parts.get(part.group)
    own = part.group != "" and not part.id.removeprefix(f"{part.group}.").replace(".", "").isdecimal()
    return own and part.standing is None and (group is None or group.join is None or group.join.post_length is None)  # fmt: skip


def front_of(rig: Rig, place: Place) -> Front:
    """The bay; without a size it is 0 wide and nothing is put in it."""
    wide, high = (place.size[0] * 1000.0, place.size[2] * 1000.0) if place.size is not None else (0.0, 0.0)
    parts = stand_in(rig, place)
    fits = {f.part: f for f in fits_in(rig, place)}
    told = [
        _stood(p, s, proposed=False, fit=fits.get(p.id))
        for p in parts
        if (s := standing_in(p, place)) is not None and extent_of(p) is not None
    ]
    stood = [s for s in told if s is not None]
    there = {s.part for s in stood}
    left_over: list[str] = []
    waiting = [p for p in parts if p.id not in there and extent_of(p) is not None]
    solid = [s for s in stood if rig.parts[s.part].kind.name not in AROUND]
    if wide:
        for part in sorted(waiting, key=_order):
            found = _room(part, solid, wide, high, place.size[1] * 1000.0 if place.size else 0.0)
            if found is None:
                left_over.append(part.id)
                continue
            stood.append(found)
            solid.append(found)
    return Front(
        place, wide, high,
        tuple(sorted(stood, key=lambda s: s.standing.out_m)),
        tuple(left_over),
        tuple(p.id for p in parts if extent_of(p) is None and p.kind.name not in AROUND),
        _opening(place), _vents(place), _board(place), _amiss(place),
    )  # fmt: skip


def hidden_by(s: Stood, front: Front) -> str:
    """The part in front of the middle of another; "" where one sees it."""
    x, y = s.x_mm + s.width_mm / 2, s.y_mm + s.height_mm / 2
    over = [
        o.part
        for o in front.stood
        if o.standing.out_m > s.standing.out_m and o.x_mm < x < o.x_mm + o.width_mm and o.y_mm < y < o.y_mm + o.height_mm
    ]  # fmt: skip
    return over[-1] if over else ""


def _stood(part: Part, s: Standing, *, proposed: bool, fit: BayFit | None = None) -> Stood | None:
    box = box_at(part, s)
    if box is None:
        return None
    return Stood(
        part.id, s, box.low[0] * 1000.0, box.low[1] * 1000.0, box.size(0) * 1000.0, box.size(1) * 1000.0, box.size(2) * 1000.0,
        free_of(part, s), proposed, fit,
    )  # fmt: skip


def _order(part: Part) -> tuple[int, float, str]:
    """What is heavy first, then the tallest."""
    extent = extent_of(part)
    return int(part.kind.name not in HEAVY), -(extent.height_mm if extent else 0.0), part.id


def _room(part: Part, there: list[Stood], wide: float, high: float, deep: float) -> Stood | None:
    """The lowest free spot, of these the one most to the left, with the free space that it and the others ask for."""
    floor = part.kind.name in HEAVY
    wall = Standing(0.0, 0.0, 0.0, "floor" if floor else "back")
    sides = sides_m(part, wall)
    if sides is None:
        return None
    w, h = sides[0] * 1000.0, sides[1] * 1000.0
    free = free_of(part)
    left, right, down, up = (1000.0 * v for v in (free.left, free.right, free.down, free.up))
    xs, ys = {max(left, APART_mm)}, {max(down, 0.0 if floor else APART_mm)}
    for s in there:
        xs.add(s.x_mm + s.width_mm + max(APART_mm, left, 1000.0 * s.free.right))
        ys.add(s.y_mm + s.height_mm + max(APART_mm, down, 1000.0 * s.free.up))
    depth = sides[2] * 1000.0
    rows = sorted({0.0, *(1000.0 * s.standing.out_m + s.depth_mm + APART_mm for s in there if _on_floor(s))}) if floor else [0.0]  # fmt: skip
    tried = 0
    for z in rows:
        if z and z + depth > deep + _EDGE:
            continue
        for y in sorted(ys) if not floor else [down]:
            for x in sorted(xs):
                tried += 1
                if tried > MOST_SPOTS:
                    return None
                if x + w + right > wide + _EDGE or y + h + up > high + _EDGE:
                    continue
                behind = [s for s in there if not (floor and _on_floor(s) and _in_another_row(s, z, depth))]
                if all(_clear(x, y, w, h, (left, right, down, up), s) for s in behind):
                    at = Standing(_m(x), _m(y), _m(z), wall.wall)
                    return _stood(part, at, proposed=True)
    return None


def _m(mm: float) -> float:
    return round(mm / 1000.0, 4)


def _on_floor(s: Stood) -> bool:
    return s.standing.wall == "floor"


def _in_another_row(s: Stood, out_mm: float, depth_mm: float) -> bool:
    back = 1000.0 * s.standing.out_m
    return back >= out_mm + depth_mm + APART_mm - _EDGE or out_mm >= back + s.depth_mm + APART_mm - _EDGE


def _clear(x: float, y: float, w: float, h: float, free: tuple[float, float, float, float], s: Stood) -> bool:
    left, right, down, up = free
    gap_x = max(
        APART_mm, left if s.x_mm < x else right, 1000.0 * (s.free.right if s.x_mm < x else s.free.left)
    )
    gap_y = max(APART_mm, down if s.y_mm < y else up, 1000.0 * (s.free.up if s.y_mm < y else s.free.down))
    apart_x = x >= s.x_mm + s.width_mm + gap_x - _EDGE or s.x_mm >= x + w + gap_x - _EDGE
    apart_y = y >= s.y_mm + s.height_mm + gap_y - _EDGE or s.y_mm >= y + h + gap_y - _EDGE
    return apart_x or apart_y


def _opening(place: Place) -> Pane | None:
    """The clear opening: where the file has it, else at the lower left corner."""
    size = opening_mm(place.words.get("opening", ""))
    if size is None or place.size is None:
        return None
    at = place.opening_at or (0.0, 0.0)
    return Pane("opening", at[0] * 1000.0, at[1] * 1000.0, *size, place.opening_at is not None)


def _vents(place: Place) -> tuple[Pane, ...]:
    """Each vent as a square of its free area or as its frame; without a position one at the floor, one under the top."""
    if place.size is None:
        return ()
    wide, high = place.size[0] * 1000.0, place.size[2] * 1000.0
    out = []
    holes = holes_of(place) or ()
    for n, hole in enumerate(holes):
        side = math.sqrt(hole.area_cm2) * 10.0
        w, h = (hole.size[0] * 1000.0, hole.size[1] * 1000.0) if hole.size is not None else (side, side)
        low = n == 0
        usual = (min(w, wide) / 2.0, min(h, high) / 2.0) if low else (wide - min(w, wide) / 2.0, high - min(h, high) / 2.0)  # fmt: skip
        x, y = (hole.at[0] * 1000.0, hole.at[1] * 1000.0) if hole.at is not None else usual
        out.append(Pane(hole.id, x - w / 2.0, y - h / 2.0, w, h, hole.told, hole.area_cm2))
    return tuple(out)


def _board(place: Place) -> Pane | None:
    if place.board is None or place.size is None:
        return None
    at = place.board_at or (0.0, 0.0)
    told = place.board_at is not None
    return Pane("board", at[0] * 1000.0, at[1] * 1000.0, place.board[0] * 1000.0, place.board[1] * 1000.0, told)  # fmt: skip


def _amiss(place: Place) -> str:
    holes = holes_of(place) or ()
    if place.size is None or not holes:
        return ""
    for hole in holes:
        if hole.at is not None and not (0.0 <= hole.at[0] <= place.size[0] and 0.0 <= hole.at[1] <= place.size[2]):  # fmt: skip
            name = {"low": "lower", "high": "upper"}.get(hole.id, hole.id)
            return f"The {name} vent is told to sit outside the size of the place."
    if not place.vents and len(holes) == 2 and way_of_air(place).height_m <= 0.0:
        return "The upper vent sits no higher than the lower one: warm air draws nothing through them."
    if len(holes) == 1:
        return "One vent alone: air goes in below and out above through the same hole, much less than through two. A fan finds nothing to blow through."
    if place.vents and any(h.at is None for h in holes):
        return "A vent that is told nowhere counts by itself alone: no draught between it and the others."
    return ""
