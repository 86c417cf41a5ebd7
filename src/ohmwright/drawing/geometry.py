"""Plane geometry that more than one piece of the drawing needs."""

from ohmwright.drawing.shapes import Box


def crosses(line: tuple[float, float, float, float], box: Box) -> bool:
    """True when a straight line passes through a box."""
    return clipped(line, box) is not None


def clipped(line: tuple[float, float, float, float], box: Box) -> tuple[float, float, float, float] | None:
    """The part of a straight line that lies in a box (Liang and Barsky).

    >>> clipped((-10.0, 5.0, 30.0, 5.0), (0.0, 0.0, 20.0, 20.0))
    (0.0, 5.0, 20.0, 5.0)
    >>> clipped((-10.0, 25.0, 30.0, 25.0), (0.0, 0.0, 20.0, 20.0)) is None
    True
    """
    x1, y1, x2, y2 = line
    t0, t1 = 0.0, 1.0
    for p, q in (
        (x1 - x2, x1 - box[0]),
        (x2 - x1, box[2] - x1),
        (y1 - y2, y1 - box[1]),
        (y2 - y1, box[3] - y1),
    ):
        if abs(p) < 1e-9:
            if q < 0:
                return None
        elif p < 0:
            t0 = max(t0, q / p)
        else:
            t1 = min(t1, q / p)
    if t0 >= t1:
        return None
    return x1 + t0 * (x2 - x1), y1 + t0 * (y2 - y1), x1 + t1 * (x2 - x1), y1 + t1 * (y2 - y1)


def overlap(a: Box, b: Box, air: float = 0.0) -> bool:
    """True when two boxes share more than `air`."""
    return a[0] < b[2] - air and b[0] < a[2] - air and a[1] < b[3] - air and b[1] < a[3] - air
