"""Drawing to scale: which scale fits, scale bars, dimension lines."""

from collections.abc import Iterator, Sequence

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import in_inches, text_width
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


def _bars() -> Iterator[tuple[float, str]]:
    """A quarter of each bar in millimetres, and the whole in words."""
    if in_inches():
        for inches in (0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 60.0, 120.0, 240.0):
            whole = inches * 4
            yield inches * 25.4, f"{whole / 12:g} ft" if whole >= 12 else f"{whole:g} in"
        return
    for step in (10, 20, 50, 100, 200, 500, 1000, 2000, 5000):
        yield step, f"{step * 4 / 1000:g} m" if step * 4 >= 1000 else f"{step * 4} mm"


def scale_bar(canvas: Canvas, x: float, y: float, scale: int) -> float:
    """A bar with its length and the scale in words; returns its right edge."""
    step, told = next(s for s in _bars() if s[0] / scale >= 8.0)
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
    told = f"{told}, scale 1:{scale}"
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
