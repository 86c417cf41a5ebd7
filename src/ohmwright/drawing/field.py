"""The sheet as a grid of free and taken places: finds a way for a wire, a spot for a text, room for a box."""

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field

from ohmwright.drawing.shapes import GRID, Box

RIGHT, DOWN, LEFT, UP = 0, 1, 2, 3
STEPS = ((1, 0), (0, 1), (-1, 0), (0, -1))
LETTER = {"R": RIGHT, "D": DOWN, "L": LEFT, "U": UP}
TURN, CROSS, BESIDE = 5, 12, 1


#: A taken point as the digit 0, a free one as the digit 1.
_FREE = bytes([ord("1")] + [ord("0")] * 255)


@dataclass(slots=True)
class Field:
    """Grid points (i, j) stand at (x0 + i * GRID, y0 + j * GRID)."""

    x0: float
    y0: float
    columns: int
    rows: int
    blocked: bytearray = field(default_factory=bytearray)
    across: bytearray = field(default_factory=bytearray)
    """A wire lies here from left to right (2: a bar)."""
    along: bytearray = field(default_factory=bytearray)
    """A wire lies here from top to bottom."""
    joint: bytearray = field(default_factory=bytearray)
    """A wire bends, ends or joins here: nothing may cross."""

    def __post_init__(self) -> None:
        n = self.columns * self.rows
        for name in ("blocked", "across", "along", "joint"):
            setattr(self, name, bytearray(n))

    def index(self, x: float, y: float) -> int:
        """The number of the grid point nearest to (x, y)."""
        i = min(max(round((x - self.x0) / GRID), 0), self.columns - 1)
        j = min(max(round((y - self.y0) / GRID), 0), self.rows - 1)
        return j * self.columns + i

    def point(self, n: int) -> tuple[float, float]:
        """Where a grid point stands."""
        return self.x0 + (n % self.columns) * GRID, self.y0 + (n // self.columns) * GRID

    def block(self, box: Box, grow: float = 0.7) -> None:
        """Take the points under a box away."""
        i1 = max(0, int(-(-(box[0] - grow - self.x0) // GRID)))
        i2 = min(self.columns - 1, int((box[2] + grow - self.x0) // GRID))
        j1 = max(0, int(-(-(box[1] - grow - self.y0) // GRID)))
        j2 = min(self.rows - 1, int((box[3] + grow - self.y0) // GRID))
        if i2 < i1 or j2 < j1:
            return
        ones = b"\x01" * (i2 - i1 + 1)
        for j in range(j1, j2 + 1):
            at = j * self.columns
            self.blocked[at + i1 : at + i2 + 1] = ones

    def wire(self, x1: float, y1: float, x2: float, y2: float, *, bar: bool = False) -> None:
        """Note a wire or bar from point to point."""
        a, b = self.index(x1, y1), self.index(x2, y2)
        if a > b:
            a, b = b, a
        if abs(y1 - y2) < 0.01:
            for n in range(a, b + 1):
                self.across[n] = 2 if bar else self.across[n] or 1
        else:
            for n in range(a, b + 1, self.columns):
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
            a, b = j * self.columns + i1, j * self.columns + i2 + 1
            if any(self.blocked[a:b]) or any(self.across[a:b]) or any(self.along[a:b]):
                return False
        return True

    def nearest_room(self, width: float, height: float, x: float, y: float) -> tuple[float, float] | None:
        """Upper left corner of the free rectangle nearest to (x, y), on the grid."""
        w, h = int(-(-width // GRID)) + 1, int(-(-height // GRID)) + 1
        if w > self.columns or h > self.rows:
            return None
        rows = _folded([_runs(r, w) for r in self._open_rows()], h)
        ci, cj = round((x - self.x0) / GRID - w / 2), round((y - self.y0) / GRID - h / 2)
        best: tuple[int, int, int] | None = None
        for j in sorted(range(len(rows)), key=lambda j: abs(j - cj)):
            away = abs(j - cj)
            if best is not None and away > best[0]:
                break
            i = _nearest_bit(rows[j], ci)
            if i is not None and (best is None or away + abs(i - ci) < best[0]):
                best = (away + abs(i - ci), i, j)
        return None if best is None else (self.x0 + best[1] * GRID, self.y0 + best[2] * GRID)

    def _open_rows(self) -> list[int]:
        """Each row as a number whose bit i is set where point i is free."""
        c = self.columns
        whole = (
            int.from_bytes(self.blocked, "big")
            | int.from_bytes(self.across, "big")
            | int.from_bytes(self.along, "big")
        )
        digits = whole.to_bytes(len(self.blocked), "big").translate(_FREE)
        return [int(digits[at : at + c][::-1], 2) for at in range(0, len(digits), c)]

    def route(self, starts: Iterable[tuple[int, str]], goals: dict[int, str], limit: int) -> list[int] | None:
        """The cheapest way from a start to a goal as grid points; letters tell how a start may be left and a goal reached.

        A wire may cross another straight on, at a price; it never lies on one, bends on one or touches a box.
        """
        if not goals:
            return None
        c, rows = self.columns, self.rows
        gi = [n % c for n in goals]
        gj = [n // c for n in goals]
        lo_i, hi_i, lo_j, hi_j = min(gi), max(gi), min(gj), max(gj)

        rest_i = [max(lo_i - i, 0, i - hi_i) for i in range(c)]
        rest_j = [max(lo_j - j, 0, j - hi_j) for j in range(rows)]
        heap: list[tuple[int, int, int, int]] = []
        best: dict[int, int] = {}
        came: dict[int, int] = {}
        for n, letters in starts:
            for letter in letters:
                d = LETTER[letter]
                key = n * 4 + d
                best[key] = 0
                heap.append((rest_i[n % c] + rest_j[n // c], 0, n, d))
        heapq.heapify(heap)
        blocked, across, along, joint = self.blocked, self.across, self.along, self.joint
        entered = {n: {LETTER[x] for x in letters} for n, letters in goals.items()}
        while heap:
            _, cost, n, d = heapq.heappop(heap)
            key = n * 4 + d
            if best.get(key, -1) != cost:
                continue
            if key in came and n in entered and d in entered[n]:
                return self._walk(came, key)
            i, j = n % c, n // c
            on_wire = (across[n] if d in (DOWN, UP) else along[n]) and key in came
            for nd in (d,) if on_wire or key not in came else (d, (d + 1) % 4, (d + 3) % 4):
                di, dj = STEPS[nd]
                ni, nj = i + di, j + dj
                if not (0 <= ni < c and 0 <= nj < rows):
                    continue
                m = nj * c + ni
                goal = m in entered and nd in entered[m]
                if blocked[m] and not goal:
                    continue
                step = 1 + (TURN if nd != d else 0)
                if not goal:
                    if nd in (RIGHT, LEFT):
                        if across[m] or (along[m] and joint[m]):
                            continue
                        step += CROSS if along[m] else 0
                        if (nj and across[m - c] == 1) or (nj + 1 < rows and across[m + c] == 1):
                            step += BESIDE
                    else:
                        if along[m] or (across[m] and joint[m]):
                            continue
                        step += CROSS if across[m] else 0
                        if (ni and along[m - 1]) or (ni + 1 < c and along[m + 1]):
                            step += BESIDE
                total = cost + step
                mk = m * 4 + nd
                if total >= best.get(mk, 1 << 30):
                    continue
                rest = rest_i[ni] + rest_j[nj]
                if total + rest <= limit:
                    best[mk] = total
                    came[mk] = key
                    heapq.heappush(heap, (total + rest + (rest >> 1), total, m, nd))
        return None

    @staticmethod
    def _walk(came: dict[int, int], key: int) -> list[int]:
        out = [key // 4]
        while key in came:
            key = came[key]
            out.append(key // 4)
        out.reverse()
        return out


def _runs(row: int, w: int) -> int:
    """Bits at which w free points in a line begin."""
    have = 1
    while have < w:
        step = min(have, w - have)
        row &= row >> step
        have += step
    return row


def _folded(rows: list[int], h: int) -> list[int]:
    """Rows of which h, one under the other, are free at the same bits."""
    have = 1
    while have < h:
        step = min(have, h - have)
        rows = [rows[j] & rows[j + step] for j in range(len(rows) - step)]
        have += step
    return rows


def _nearest_bit(row: int, i: int) -> int | None:
    """The set bit nearest to i."""
    if not row:
        return None
    if i < 0:
        return (row & -row).bit_length() - 1
    high = row >> i
    up = i + (high & -high).bit_length() - 1 if high else None
    low = row & ((1 << i) - 1)
    down = low.bit_length() - 1 if low else None
    if up is None or down is None:
        return up if down is None else down
    return up if up - i <= i - down else down


def corners(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """A way without the points it only passes."""
    out = points[:1]
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        if (b[0] - a[0], b[1] - a[1]) != (c[0] - b[0], c[1] - b[1]):
            out.append(b)
    return [*out, *points[-1:]]
