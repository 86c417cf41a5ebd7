"""The cheapest way over a grid of places that may be entered, each at its own price; a turn costs extra.

A state is a place and the direction in which it was entered: `place * 4 + direction`.  Costs are small whole
numbers, so that what waits to be looked at stands in a row of stacks, one a cost, and no heap is kept.  What is
left to do is never judged too high: the steps to the goals' rectangle, and the turns it takes at the least.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np
import numpy.typing as npt

RIGHT, DOWN, LEFT, UP = 0, 1, 2, 3
LETTER = {"R": RIGHT, "D": DOWN, "L": LEFT, "U": UP}
TURN = 5
#: The longest way that is looked for; costs are kept in a byte.
MOST = 200


@dataclass(frozen=True, slots=True)
class Terrain:
    """What a step costs. Rows are `stride` places long; the last place of each, and the last row, may not be entered."""

    stride: int
    level: bytes
    """Price of entering a place from its left or right; 0 where it may not be."""
    upright: bytes
    """The same from above or below."""
    on_level: bytearray
    """Places that lie on a line from left to right: whoever enters from above or below goes straight on."""
    on_upright: bytearray


_MOVES = ((RIGHT, DOWN, UP), (DOWN, LEFT, RIGHT), (LEFT, UP, DOWN), (UP, RIGHT, LEFT))


def cheapest(
    terrain: Terrain, starts: Iterable[tuple[int, str]], goals: Mapping[int, str], limit: int
) -> list[int] | None:
    """The places of a way from a start to a goal that costs no more than `limit`, ends included; None without one.

    Letters tell in which directions a start may be left and a goal entered; a goal costs one step, whatever
    lies there.
    """
    stride = terrain.stride
    size = len(terrain.level)
    limit = min(limit, MOST)
    rest = _rest(goals, stride, size // stride)
    enter, ends = _entrances(terrain, goals)
    best = bytearray(b"\xff") * (size * 4)
    came = bytearray(size * 4)
    waiting: list[list[int]] = [[] for _ in range(limit + 1)]
    for n, letters in starts:
        for letter in letters:
            key = n * 4 + LETTER[letter]
            if rest[key] <= limit:
                best[key] = 0
                waiting[rest[key]].append(key)
    step = (1, stride, -1, -stride)
    straight = (terrain.on_upright, terrain.on_level, terrain.on_upright, terrain.on_level)
    for f, stack in enumerate(waiting):
        while stack:
            key = stack.pop()
            n, d = key >> 2, key & 3
            cost = best[key]
            if cost + rest[key] != f:
                continue
            first = not came[key]
            if key in ends and not first:
                return _walk(came, key, step)
            for nd in (d,) if first or straight[d][n] else _MOVES[d]:
                m = n + step[nd]
                price = enter[nd][m]
                if not price:
                    continue
                total = cost + price if nd == d else cost + price + TURN
                to = m * 4 + nd
                if total < best[to] and (at := total + rest[to]) <= limit:
                    best[to] = total
                    came[to] = d + 1
                    waiting[at].append(to)
    return None


def _entrances(terrain: Terrain, goals: Mapping[int, str]) -> tuple[list[bytearray], set[int]]:
    """What entering costs by direction, goals opened; and the states that are an end."""
    enter = [
        bytearray(terrain.level),
        bytearray(terrain.upright),
        bytearray(terrain.level),
        bytearray(terrain.upright),
    ]
    ends = set()
    for n, letters in goals.items():
        for letter in letters:
            d = LETTER[letter]
            enter[d][n] = 1
            ends.add(n * 4 + d)
    return enter, ends


def _rest(goals: Mapping[int, str], stride: int, rows: int) -> bytes:
    """What every state costs to the rectangle around the goals, at the least; 255 for more."""
    across = [n % stride for n in goals]
    down = [n // stride for n in goals]
    left, right, top, foot = min(across), max(across), min(down), max(down)
    i, j = np.arange(stride), np.arange(rows)
    row = np.maximum(np.maximum(left - i, i - right), 0)
    column = np.maximum(np.maximum(top - j, j - foot), 0)
    steps = np.minimum(row[None, :] + column[:, None], 255 - 4 * TURN)
    rest: npt.NDArray[np.uint32] = steps.astype("<u4") * np.uint32(0x01010101)
    letters = "".join(sorted(set("".join(goals.values()))))
    columns = ((1, slice(0, left)), (0, slice(left, right + 1)), (-1, slice(right + 1, stride)))
    lines = ((1, slice(0, top)), (0, slice(top, foot + 1)), (-1, slice(foot + 1, rows)))
    for (to_right, a), (to_foot, b) in product(columns, lines):
        rest[b, a] += _turns(to_right, to_foot, letters)
    return rest.tobytes()


@cache
def _turns(to_right: int, to_foot: int, letters: str) -> np.uint32:
    """What turning costs at the least, a byte a direction one goes now: a goal lies to the right (1), left (-1) or neither."""
    wanted = {d for d, yes in ((RIGHT, to_right > 0), (LEFT, to_right < 0), (DOWN, to_foot > 0), (UP, to_foot < 0)) if yes}  # fmt: skip
    last = {LETTER[x] for x in letters}
    return np.uint32(int.from_bytes(bytes(TURN * _fewest(d, wanted, last) for d in range(4)), "little"))


@cache
def turns_of(letters: str) -> npt.NDArray[np.int64]:
    """What turning costs at the least: by where the goals lie across, by where they lie downwards, by direction."""
    known = [[_turns(x, y, letters) for y in (1, 0, -1)] for x in (1, 0, -1)]
    return np.array(known, "<u4").view(np.uint8).reshape(3, 3, 4).astype(np.int64)


def _fewest(first: int, wanted: set[int], last: set[int]) -> int:
    ways: list[tuple[int, ...]] = [(first,)]
    for n in range(4):
        if any(way[-1] in last and wanted <= set(way) for way in ways):
            return n
        ways = [(*way, (way[-1] + by) % 4) for way in ways for by in (1, 3)]
    return 4


def _walk(came: bytearray, key: int, step: tuple[int, ...]) -> list[int]:
    out = [key >> 2]
    while came[key]:
        d = came[key] - 1
        key = ((key >> 2) - step[key & 3]) * 4 + d
        out.append(key >> 2)
    out.reverse()
    return out
