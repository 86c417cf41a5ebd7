"""The sheet as a grid of free and taken places: finds a way for a wire, a spot for a text, room for a box."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import ceil, floor

import numpy as np
import numpy.typing as npt

from ohmwright.drawing import compiled
from ohmwright.drawing.search import LETTER, MOST, TURN, Terrain, cheapest, turns_of
from ohmwright.drawing.shapes import GRID, Box

#: Rooms are looked for so many steps around first.
NEAR = 24

#: What it costs a way to cross a wire, and to run a step beside one.
CROSS, BESIDE = 12, 1


@dataclass(slots=True)
class Field:
    """Grid points (i, j) stand at (x0 + i * GRID, y0 + j * GRID), row after row; a taken point ends each row, a taken row all."""

    x0: float
    y0: float
    columns: int
    rows: int
    blocked: bytearray = field(default_factory=bytearray)
    across: bytearray = field(default_factory=bytearray)
    """A wire lies here from left to right (2: a bar)."""
    along: bytearray = field(default_factory=bytearray)
    """A wire lies here from top to bottom."""
    stride: int = 0
    """From a point to the one below it."""
    joint: bytearray = field(default_factory=bytearray)
    """A wire bends, ends or joins here: nothing may cross."""

    def __post_init__(self) -> None:
        self.stride = self.columns + 1
        n = self.stride * (self.rows + 1)
        for name in ("blocked", "across", "along", "joint"):
            setattr(self, name, bytearray(n))
        self.blocked[self.columns :: self.stride] = b"\x01" * (self.rows + 1)
        self.blocked[self.rows * self.stride :] = b"\x01" * self.stride

    def copied(self) -> "Field":
        """A field of its own in which the same is taken."""
        out = Field(self.x0, self.y0, self.columns, self.rows)
        out.blocked[:], out.across[:] = self.blocked, self.across
        out.along[:], out.joint[:] = self.along, self.joint
        return out

    def index(self, x: float, y: float) -> int:
        """The number of the grid point nearest to (x, y)."""
        i = min(max(round((x - self.x0) / GRID), 0), self.columns - 1)
        j = min(max(round((y - self.y0) / GRID), 0), self.rows - 1)
        return j * self.stride + i

    def point(self, n: int) -> tuple[float, float]:
        """Where a grid point stands."""
        return self.x0 + (n % self.stride) * GRID, self.y0 + (n // self.stride) * GRID

    def block(self, box: Box, grow: float = 0.7) -> None:
        """Take the points under a box away."""
        x0, y0, stride = self.x0, self.y0, self.stride
        i1 = max(0, ceil((box[0] - grow - x0) / GRID))
        i2 = min(self.columns - 1, floor((box[2] + grow - x0) / GRID))
        j1 = max(0, ceil((box[1] - grow - y0) / GRID))
        j2 = min(self.rows - 1, floor((box[3] + grow - y0) / GRID))
        if i2 < i1 or j2 < j1:
            return
        ones = b"\x01" * (i2 - i1 + 1)
        blocked = self.blocked
        for at in range(j1 * stride, (j2 + 1) * stride, stride):
            blocked[at + i1 : at + i2 + 1] = ones

    def block_all(self, boxes: Iterable[Box], grow: float = 0.7) -> None:
        """Take the points under many boxes away at once: corners are counted in, then summed along rows and columns."""
        every = np.array([*boxes], float).reshape(-1, 4)
        left, top, right, foot = every.T + np.array([[-grow], [-grow], [grow], [grow]])
        i1 = np.maximum(np.ceil((left - self.x0) / GRID), 0).astype(np.intp)
        i2 = np.minimum(np.floor((right - self.x0) / GRID), self.columns - 1).astype(np.intp) + 1
        j1 = np.maximum(np.ceil((top - self.y0) / GRID), 0).astype(np.intp)
        j2 = np.minimum(np.floor((foot - self.y0) / GRID), self.rows - 1).astype(np.intp) + 1
        some = (i2 > i1) & (j2 > j1)
        i1, i2, j1, j2 = i1[some], i2[some], j1[some], j2[some]
        counts = np.zeros((self.rows + 1, self.stride), np.int32)
        for j, i, one in ((j1, i1, 1), (j1, i2, -1), (j2, i1, -1), (j2, i2, 1)):
            np.add.at(counts, (j, i), one)
        under = counts.cumsum(0).cumsum(1) > 0
        blocked = self._layers()[0]
        self.blocked[:] = (blocked | under).tobytes()

    def wire(self, x1: float, y1: float, x2: float, y2: float, *, bar: bool = False) -> None:
        """Note a wire or bar from point to point."""
        a, b = self.index(x1, y1), self.index(x2, y2)
        if a > b:
            a, b = b, a
        if abs(y1 - y2) < 0.01:
            for n in range(a, b + 1):
                self.across[n] = 2 if bar else self.across[n] or 1
        else:
            for n in range(a, b + 1, self.stride):
                self.along[n] = 1
        if not bar:
            self.joint[a] = self.joint[b] = 1

    def is_free(self, box: Box) -> bool:
        """True when nothing lies in a box."""
        i1 = int((box[0] - self.x0) // GRID)
        i2 = int(-(-(box[2] - self.x0) // GRID))
        j1 = int((box[1] - self.y0) // GRID)
        j2 = int(-(-(box[3] - self.y0) // GRID))
        if i1 < 0 or j1 < 0 or i2 >= self.columns or j2 >= self.rows:
            return False
        for j in range(j1, j2 + 1):
            a, b = j * self.stride + i1, j * self.stride + i2 + 1
            if any(self.blocked[a:b]) or any(self.across[a:b]) or any(self.along[a:b]):
                return False
        return True

    def nearest_room(self, width: float, height: float, x: float, y: float) -> tuple[float, float] | None:
        """Upper left corner of the free rectangle nearest to (x, y), on the grid."""
        w, h = int(-(-width // GRID)) + 1, int(-(-height // GRID)) + 1
        if w > self.columns or h > self.rows:
            return None
        ci, cj = round((x - self.x0) / GRID - w / 2), round((y - self.y0) / GRID - h / 2)
        for reach in (NEAR, self.columns + self.rows):
            left, top = max(0, ci - reach), max(0, cj - reach)
            window = self._open(left, top, ci + reach + w, cj + reach + h)
            found = _nearest(*_spots(_begin(window, w, h)), ci - left, cj - top)
            if found is not None and abs(found[0] + left - ci) + abs(found[1] + top - cj) <= reach:
                return self.x0 + (found[0] + left) * GRID, self.y0 + (found[1] + top) * GRID
        return None

    def rooms(self, width: float, height: float) -> "Rooms":
        """Every free rectangle of a size."""
        w, h = int(-(-width // GRID)) + 1, int(-(-height // GRID)) + 1
        begin = _begin(self._open(0, 0, self.columns, self.rows), w, h)
        return Rooms(self.x0, self.y0, w, h, *_spots(begin))

    def _layers(self) -> tuple[npt.NDArray[np.uint8], ...]:
        shape = (self.rows + 1, self.stride)
        return tuple(
            np.frombuffer(layer, np.uint8).reshape(shape)
            for layer in (self.blocked, self.across, self.along, self.joint)
        )

    def _open(self, left: int, top: int, right: int, foot: int) -> npt.NDArray[np.bool_]:
        """Where nothing lies in a part of the field, without the points that only end rows."""
        window = (slice(top, min(self.rows, max(foot, 0))), slice(left, min(self.columns, max(right, 0))))
        taken, level, upright, _ = (layer[window] for layer in self._layers())
        free: npt.NDArray[np.bool_] = (taken | level | upright) == 0
        return free

    def route(self, starts: Iterable[tuple[int, str]], goals: dict[int, str], limit: int) -> list[int] | None:
        """The cheapest way from a start to a goal as grid points; letters tell how a start may be left and a goal reached.

        A wire may cross another straight on, at a price; it never lies on one, bends on one or touches a box.
        """
        sweep = compiled.search()
        if not goals or sweep is None:
            return cheapest(self.terrain(), starts, goals, limit) if goals else None
        layers = (layer.reshape(-1) for layer in self._layers())
        begin, end = (
            np.array([n * 4 + LETTER[x] for n, letters in ports for x in letters], np.int64)
            for ports in (starts, goals.items())
        )
        turns = turns_of("".join(sorted(set("".join(goals.values())))))
        way = sweep(*layers, begin, end, turns, self.stride, (TURN, CROSS, BESIDE), min(limit, MOST))
        return [int(n) for n in way] or None

    def terrain(self) -> Terrain:
        """The prices of all points."""
        taken, level, upright, joint = self._layers()
        lies, stands, ends = level > 0, upright > 0, joint > 0
        wires = level == 1
        beside = np.zeros_like(lies)
        beside[1:] = wires[:-1]
        beside[:-1] |= wires[1:]
        into_level = _priced(taken, lies | (stands & ends), stands, beside)
        beside[:] = False
        beside[:, 1:] = stands[:, :-1]
        beside[:, :-1] |= stands[:, 1:]
        into_upright = _priced(taken, stands | (lies & ends), lies, beside)
        return Terrain(self.stride, into_level, into_upright, self.across, self.along)


def _priced(
    taken: npt.NDArray[np.uint8],
    closed: npt.NDArray[np.bool_],
    crossed: npt.NDArray[np.bool_],
    beside: npt.NDArray[np.bool_],
) -> bytes:
    """The price of every point as a byte: 0 where it is closed."""
    price = crossed * np.uint8(CROSS)
    price += beside * np.uint8(BESIDE)
    price += np.uint8(1)
    price[closed] = 0
    price[taken > 0] = 0
    return price.tobytes()


@dataclass(slots=True)
class Rooms:
    """Free rectangles of one size, by the column and row at which they begin."""

    x0: float
    y0: float
    w: int
    h: int
    columns: npt.NDArray[np.intp]
    rows: npt.NDArray[np.intp]

    def nearest(self, x: float, y: float) -> tuple[float, float] | None:
        """Upper left corner of the one nearest to (x, y): what `Field.nearest_room` finds."""
        ci, cj = round((x - self.x0) / GRID - self.w / 2), round((y - self.y0) / GRID - self.h / 2)
        found = _nearest(self.columns, self.rows, ci, cj)
        return (self.x0 + found[0] * GRID, self.y0 + found[1] * GRID) if found is not None else None

    def take(self, box: Box) -> None:
        """Leave out those that reach into a box."""
        i1, i2 = ceil((box[0] - self.x0) / GRID), floor((box[2] - self.x0) / GRID)
        j1, j2 = ceil((box[1] - self.y0) / GRID), floor((box[3] - self.y0) / GRID)
        if i2 < i1 or j2 < j1:
            return
        clear = (
            (self.columns > i2)
            | (self.columns + self.w <= i1)
            | (self.rows > j2)
            | (self.rows + self.h <= j1)
        )
        self.columns, self.rows = self.columns[clear], self.rows[clear]


def _begin(free: npt.NDArray[np.bool_], w: int, h: int) -> npt.NDArray[np.bool_]:
    """Points at which w by h free ones begin."""
    if free.shape[0] < h or free.shape[1] < w:
        return free[:0]
    return _lower(_folded(free, w), h)


def _spots(begin: npt.NDArray[np.bool_]) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Columns and rows of the points that are set."""
    at = np.flatnonzero(begin)
    rows = at // max(begin.shape[1], 1)
    return at - rows * begin.shape[1], rows


def _nearest(
    columns: npt.NDArray[np.intp], rows: npt.NDArray[np.intp], ci: int, cj: int
) -> tuple[int, int] | None:
    """The column and row nearest to (ci, cj)."""
    if not len(columns):
        return None
    down = np.abs(rows - cj)
    away = np.abs(columns - ci) + down
    near = np.flatnonzero(away == away.min())
    k = near[np.lexsort((columns[near] < ci, rows[near], down[near]))[0]] if len(near) > 1 else near[0]
    return int(columns[k]), int(rows[k])


def _folded(free: npt.NDArray[np.bool_], w: int) -> npt.NDArray[np.bool_]:
    """Points at which w free ones in a row begin."""
    have = 1
    while have < w:
        step = min(have, w - have)
        free = free[:, : free.shape[1] - step] & free[:, step:]
        have += step
    return free


def _lower(free: npt.NDArray[np.bool_], h: int) -> npt.NDArray[np.bool_]:
    """Points at which h free ones under each other begin."""
    have = 1
    while have < h:
        step = min(have, h - have)
        free = free[: free.shape[0] - step] & free[step:]
        have += step
    return free


def corners(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """A way without the points it only passes."""
    out = points[:1]
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        if (b[0] - a[0], b[1] - a[1]) != (c[0] - b[0], c[1] - b[1]):
            out.append(b)
    return [*out, *points[-1:]]
