"""Where a part stands in its place: the words of the file, and the box that it takes there.

A place is seen from in front: x to the right and y up from its lower left corner, z out from its back wall.
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from ohmwright.rig.telling import listed, mapping, refuse, scalar, short
from ohmwright.working import Given, QuantityError, parse, parse_lengths
from ohmwright.working import tree as t

if TYPE_CHECKING:
    from ohmwright.rig.model import Part, Place

Wall: TypeAlias = Literal["back", "floor", "left", "right", "board"]
WALLS: tuple[Wall, ...] = ("floor", "left", "right")
TURNED, SIDEWAYS = "turned", "sideways"
_EXAMPLE = "for instance 0.12 0.04 m, 0.1 0 0.05 m floor, or 0.12 0.04 m turned"
_ON_BOARD = "for instance 120 40 mm, or 120 40 mm turned"
#: Boards that are as large as the wall of their place cover it.
SAME_m = 0.005

_SIZE = re.compile(r"([\d.]+)\s*x\s*([\d.]+)\s*x\s*([\d.]+)\s*(mm|cm|m|in)\b")
_FREE = re.compile(r"([\d.]+)\s*(mm|cm|m|in)\b\s*(.*)")
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}


@dataclass(frozen=True, slots=True)
class Standing:
    """A part's lower left corner as the file has it, metres, and how it is turned.

    `out_m` is from the back wall to its back, or to its nearer edge on a side wall.
    """

    x_m: float
    y_m: float
    out_m: float = 0.0
    wall: Wall = "back"
    turned: bool = False
    """A quarter turn as seen from in front: its width stands upright."""
    sideways: bool = False
    """A quarter turn about the upright: its width runs from back to front."""


@dataclass(frozen=True, slots=True)
class Box:
    """What a part takes of its place, metres from the lower left corner of the back wall: `low` and `high` by x, y, z."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]

    def size(self, axis: int) -> float:
        """How long it is along an axis: 0 across, 1 up, 2 out from the back wall."""
        return self.high[axis] - self.low[axis]

    def overlap_m(self, other: "Box") -> float:
        """How deep two boxes are in each other, along the axis on which that is least; below 0 how far they are apart there."""
        return min(min(self.high[k], other.high[k]) - max(self.low[k], other.low[k]) for k in (0, 1, 2))

    def apart_m(self, other: "Box") -> float:
        """The nearest distance of two boxes; 0 where they meet."""
        gaps = (max(0.0, self.low[k] - other.high[k], other.low[k] - self.high[k]) for k in (0, 1, 2))
        return math.hypot(*gaps)

    def farthest_m(self, other: "Box") -> float:
        """The greatest distance of a point of one from a point of the other."""
        spans = (max(self.high[k] - other.low[k], other.high[k] - self.low[k]) for k in (0, 1, 2))
        return math.hypot(*spans)


# ------------------------------------------------------------------------------------------------ words of the file


def read_standing(text: str) -> Standing:
    """`0.12 0.04 m`, `0.1 0 0.05 m floor`, `0 0.3 m left`, `0.12 0.04 m turned`: two lengths or three, then words.

    >>> read_standing("120 40 mm turned")
    Standing(x_m=0.12, y_m=0.04, out_m=0.0, wall='back', turned=True, sideways=False)
    """
    words = text.split()
    said: list[str] = []
    while words and words[-1] in (*WALLS, TURNED, SIDEWAYS):
        said.insert(0, words.pop())
    walls = [w for w in said if w in WALLS]
    if len(walls) > 1 or len(set(said)) != len(said):
        raise QuantityError(f"'{short(text)}' stands in two ways at once", f"write one of each, {_EXAMPLE}")
    if SIDEWAYS in said and walls and walls[0] != "floor":
        raise QuantityError(
            f"'{short(text)}': on a side wall a part stands sideways already", f"leave {SIDEWAYS} out"
        )
    try:
        lengths = parse_lengths(" ".join(words), 3 if len(words) == 4 else 2)
    except QuantityError as error:
        raise QuantityError(
            error.message, f"write two lengths (and a third, out from the back wall) and one unit, {_EXAMPLE}"
        ) from None
    out = lengths[2] if len(lengths) == 3 else 0.0
    if out < 0.0:
        raise QuantityError(
            f"'{short(text)}' stands behind the back wall", "write how far out from it, 0 or more"
        )
    wall: Wall = next((w for w in WALLS if w in walls), "back")
    return Standing(lengths[0], lengths[1], out, wall, TURNED in said, SIDEWAYS in said)


def read_on_board(text: str) -> Standing:
    """`120 40 mm`, `120 40 mm turned`: on the board of its place, from the board's own corner."""
    turned = text.endswith(f" {TURNED}")
    try:
        x, y = parse_lengths(text.removesuffix(f" {TURNED}"), 2)
    except QuantityError as error:
        raise QuantityError(error.message, f"write two lengths and one unit, {_ON_BOARD}") from None
    return Standing(x, y, 0.0, "board", turned)


def standing_text(s: Standing) -> str:
    """As the file writes it."""
    lengths = [s.x_m, s.y_m, *([s.out_m] if s.out_m else [])]
    words = [w for w, yes in ((s.wall, s.wall in WALLS), (TURNED, s.turned), (SIDEWAYS, s.sideways)) if yes]
    return " ".join([*(f"{round(v, 5):g}" for v in lengths), "m", *words])


def read_standings(tree: t.Tree, key: str, ids: tuple[str, ...], name: str) -> dict[str, Standing | Given]:
    """By member, "" for a part that is no group; what was asked and not had stays so."""
    one: Callable[[str], Standing] = read_on_board if key == "on-board" else read_standing
    if isinstance(tree, t.Scalar) or not ids:
        s = scalar(tree, _EXAMPLE)
        alone = [i for i in ids if "." not in i]
        if len(alone) == 1:
            return {alone[0]: _one(s, one)}
        if ids:
            refuse(
                s.at,
                f"{name} has {len(alone)} members and one position for them",
                f"write {key}: {{{ids[0]}: {short(s.text) or '0.1 0 m'}, ...}}",
                s.text,
            )
        return {"": _one(s, one)}
    out: dict[str, Standing | Given] = {}
    for member, e in mapping(tree).entries.items():
        if member not in ids:
            refuse(e.key.at, f"{name} has no member {short(member)}", f"write one of: {listed(ids)}", member)
        out[member] = _one(scalar(e.value, _EXAMPLE), one)
    return out


def not_told(text: str) -> bool:
    """Whether it says that nobody knows, or that it stands nowhere."""
    return text.startswith("unknown") or text == "none"


def _one(s: t.Scalar, read: Callable[[str], Standing]) -> Standing | Given:
    text = s.text.strip()
    try:
        return parse(text) if not_told(text) else read(text)
    except QuantityError as error:
        refuse(s.at, error.message, error.remedy, s.text)


# ------------------------------------------------------------------------------------------------ sizes and boxes


@dataclass(frozen=True, slots=True)
class Extent:
    """Width, height and depth in millimetres."""

    width_mm: float
    height_mm: float
    depth_mm: float


def extent_of(part: "Part") -> Extent | None:
    """The size of a part as its record words it: width x height x depth."""
    found = _SIZE.search(part.word("size"))
    if found is None:
        return None
    unit = _MM[found[4]]
    return Extent(float(found[1]) * unit, float(found[2]) * unit, float(found[3]) * unit)


def clearance_mm(part: "Part") -> tuple[float, str]:
    """The free space a part asks for, and where; 0 when its record says nothing."""
    found = _FREE.search(part.word("clearance"))
    return (float(found[1]) * _MM[found[2]], found[3].strip()) if found else (0.0, "")


@dataclass(frozen=True, slots=True)
class Free:
    """Free space that a part asks for on each side as it stands, metres."""

    left: float = 0.0
    right: float = 0.0
    down: float = 0.0
    up: float = 0.0
    front: float = 0.0
    back: float = 0.0

    @property
    def sides(self) -> tuple[float, float, float, float, float, float]:
        """Left, right, below, above, in front, behind."""
        return self.left, self.right, self.down, self.up, self.front, self.back

    @property
    def any(self) -> bool:
        """True where it asks for some."""
        return max(self.sides) > 0.0


#: What the words of a clearance mean for left, right, below, above, in front.
_SIDES = {
    "around": (1, 1, 1, 1, 0),
    "above and below": (0, 0, 1, 1, 0),
    "above": (0, 0, 0, 1, 0),
    "below": (0, 0, 1, 0, 0),
    "beside": (1, 1, 0, 0, 0),
    "in front": (0, 0, 0, 0, 1),
}


def free_of(part: "Part", s: Standing | None = None) -> Free:
    """The free space a part asks for, by its words, on the sides of the bay that they are as it stands.

    `above` is above as it stands, however it is turned.  Words that are not known count as around: more is kept free, never less.
    """
    mm, where = clearance_mm(part)
    if not mm:
        return Free()
    told = next((w for w in _SIDES if where.startswith(w)), "around")
    left, right, down, up, front = (k * mm / 1000.0 for k in _SIDES[told])
    if s is None or not (s.sideways or s.wall in ("left", "right")):
        return Free(left, right, down, up, front)
    into = front if s.wall != "right" else 0.0
    return Free(0.0 if s.wall != "right" else front, into, down, up, left, right)


def corner_of_board(place: "Place") -> tuple[float, float] | None:
    """Where the board of a place has its lower left corner; None where the file does not say."""
    if place.board_at is not None:
        return place.board_at
    if place.board is None:
        return 0.0, 0.0
    if place.size is not None and all(
        abs(b - s) <= SAME_m for b, s in zip(place.board, (place.size[0], place.size[2]), strict=True)
    ):
        return 0.0, 0.0
    return None


def standing_in(part: "Part", place: "Place") -> Standing | None:
    """Where a part stands in its place, whether the file says so of the place or of its board; None where it does not."""
    s = part.standing
    if s is None or s.wall != "board":
        return s
    corner = corner_of_board(place)
    if corner is None:
        return None
    return Standing(s.x_m + corner[0], s.y_m + corner[1], 0.0, "back", s.turned)


def standing_on_board(part: "Part", place: "Place") -> Standing | None:
    """Where a part stands on the board of its place, whether the file says so of the board or of the place.

    None for what stands elsewhere: on the floor, on a side wall, beside the board.
    """
    s = part.standing
    if s is None or s.wall == "board":
        return s
    corner = corner_of_board(place)
    if s.wall != "back" or s.out_m or s.sideways or corner is None:
        return None
    x, y = s.x_m - corner[0], s.y_m - corner[1]
    if place.board is not None:
        sides = sides_m(part, s)
        wide, high = (sides[0], sides[1]) if sides is not None else (0.0, 0.0)
        edge = 1e-6
        if min(x, y) < -edge or x + wide > place.board[0] + edge or y + high > place.board[1] + edge:
            return None
    return Standing(x, y, 0.0, "board", s.turned)


def sides_m(part: "Part", s: Standing) -> tuple[float, float, float] | None:
    """Across, up and out, of a part as it stands; None where its size is not known."""
    extent = extent_of(part)
    if extent is None:
        return None
    across, up, out = extent.width_mm / 1000.0, extent.height_mm / 1000.0, extent.depth_mm / 1000.0
    if s.turned:
        across, up = up, across
    if s.sideways or s.wall in ("left", "right"):
        across, out = out, across
    return across, up, out


def box_at(part: "Part", s: Standing) -> Box | None:
    """The box of a part that stands so."""
    sides = sides_m(part, s)
    if sides is None:
        return None
    low = (s.x_m, s.y_m, s.out_m)
    return Box(low, (low[0] + sides[0], low[1] + sides[1], low[2] + sides[2]))


def boxes_in(parts: Mapping[str, "Part"], place: "Place") -> dict[str, Box]:
    """The boxes of all parts of a place whose position and size are known."""
    out = {}
    for part in parts.values():
        if part.place == place.id and part.standing is not None:
            s = standing_in(part, place)
            box = box_at(part, s) if s is not None else None
            if box is not None:
                out[part.id] = box
    return out
