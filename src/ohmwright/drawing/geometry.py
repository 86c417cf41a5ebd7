"""Plane geometry that more than one piece of the drawing needs."""

from ohmwright.drawing.shapes import Box


def crosses(line: tuple[float, float, float, float], box: Box) -> bool:
    """True when a straight line passes through a box (Liang and Barsky's clipping)."""
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
                return False
            continue
        r = q / p
        if p < 0:
            t0 = max(t0, r)
        else:
            t1 = min(t1, r)
    return t0 < t1


def overlap(a: Box, b: Box, air: float = 0.0) -> bool:
    """True when two boxes share more than `air`."""
    return a[0] < b[2] - air and b[0] < a[2] - air and a[1] < b[3] - air and b[1] < a[3] - air
