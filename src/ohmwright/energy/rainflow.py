"""Cycles of a history, counted by the rainflow rule of ASTM E1049-85, clause 5.4.4."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise


def turning_points(history: Iterable[float]) -> list[float]:
    """First, last and every value where the history turns."""
    out: list[float] = []
    for value in history:
        if out and value == out[-1]:
            continue
        if len(out) > 1 and (out[-1] - out[-2]) * (value - out[-1]) > 0.0:
            out[-1] = value
        else:
            out.append(value)
    return out


def cycles_of(history: Sequence[float]) -> Iterator[tuple[float, float, float]]:
    """Range, mean and count (1 or a half) of every cycle."""
    stack: list[float] = []
    for point in turning_points(history):
        stack.append(point)
        while len(stack) > 2:
            latest, before = abs(stack[-1] - stack[-2]), abs(stack[-2] - stack[-3])
            if latest < before:
                break
            mean = (stack[-2] + stack[-3]) / 2
            if len(stack) == 3:
                yield before, mean, 0.5
                del stack[0]
            else:
                yield before, mean, 1.0
                del stack[-3:-1]
    for a, b in pairwise(stack):
        yield abs(b - a), (a + b) / 2, 0.5
