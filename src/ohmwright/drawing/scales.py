"""Drawing to scale: which scale fits, scale bars, dimension lines."""

from collections.abc import Sequence

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.page import EM
from ohmwright.drawing.shapes import THIN, Polyline

#: Scales, largest first: the series of ISO 5455 (from memory), with 25 and 30 between, as is common practice.
SCALES = (1, 2, 5, 10, 20, 25, 30, 50, 100, 200)


def scale_for(
    width_mm: float, height_mm: float, room_width: float, room_height: float, largest: int = 1
) -> int:
    """The largest scale 1:n at which something fits into a room."""
    return next(
        (n for n in SCALES if n >= largest and width_mm / n <= room_width and height_mm / n <= room_height),
        SCALES[-1],
    )


def scale_bar(canvas: Canvas, x: float, y: float, scale: int) -> float:
    """A bar with its length and the scale in words; returns its right edge."""
    step = next(s for s in (10, 20, 50, 100, 200, 500, 1000, 2000, 5000) if s / scale >= 8.0)
    for i in range(4):
        a, b = x + step / scale * i, x + step / scale * (i + 1)
        canvas.add(
            "",
            Polyline(
                ((a, y), (b, y), (b, y + 1.2), (a, y + 1.2)),
                THIN,
                "",
                "ink",
                "note",
                True,
                "ink" if i % 2 == 0 else "",
            ),
        )
    end = x + step / scale * 4
    told = (
        f"{step * 4 / 1000:g} m, scale 1:{scale}" if step * 4 >= 1000 else f"{step * 4} mm, scale 1:{scale}"
    )
    canvas.text("", end + 1.5, y + 1.6, told, EM)
    return end + 1.5 + text_width(told, EM)


def chain(
    canvas: Canvas,
    ref: str,
    at: float,
    stops: Sequence[float],
    words: Sequence[str],
    *,
    upright: bool = False,
) -> None:
    """A chain of dimensions along one line; a figure that finds no room between its ends is left to the next chain."""
    stops = list(stops)
    if len(stops) < 2:
        return
    ends = (at, stops[0], at, stops[-1]) if upright else (stops[0], at, stops[-1], at)
    canvas.line(ref, *ends, THIN, layer="note")
    for stop in stops:
        x, y = (at, stop) if upright else (stop, at)
        canvas.line(ref, x - 0.8, y + 0.8, x + 0.8, y - 0.8, 0.25, layer="note")
    for a, b, word in zip(stops, stops[1:], words, strict=False):
        middle = (a + b) / 2
        if upright:
            if abs(b - a) > EM:
                canvas.text(ref, at - 1.2, middle + EM * 0.3, word, EM, "sans", "end")
        elif text_width(word, EM) < abs(b - a) - 0.6:
            canvas.text(ref, middle, at - 0.7, word, EM, "sans", "middle")
