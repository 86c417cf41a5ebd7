"""Drawing to scale: which scale fits, scale bars, dimension lines."""

from collections.abc import Iterator, Sequence
from math import gcd

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import plan_sizes, room
from ohmwright.drawing.lettering import in_inches, text_width
from ohmwright.drawing.page import EM
from ohmwright.drawing.shapes import THIN, Polyline
from ohmwright.rig.model import Job

#: Scales, largest first: the series of ISO 5455 (from memory), with 25 and 30 between, as is common practice.
SCALES = (1, 2, 5, 10, 20, 25, 30, 50, 100, 200)
#: The scales of an architect's rule in feet and inches, and how they are told (common practice, from memory).
FOOT_SCALES: dict[int, str] = {
    1: "full size", 2: "6 in = 1 ft", 4: "3 in = 1 ft", 8: "1 1/2 in = 1 ft", 12: "1 in = 1 ft", 16: "3/4 in = 1 ft",
    24: "1/2 in = 1 ft", 32: "3/8 in = 1 ft", 48: "1/4 in = 1 ft", 64: "3/16 in = 1 ft", 96: "1/8 in = 1 ft", 192: "1/16 in = 1 ft",
}  # fmt: skip


def scale_for(
    width_mm: float, height_mm: float, room_width: float, room_height: float, largest: int = 1
) -> int:
    """The largest scale 1:n at which something fits into a room: of an architect's rule where the sheet is in inches."""
    scales = tuple(FOOT_SCALES) if in_inches() else SCALES
    return next(
        (n for n in scales if n >= largest and width_mm / n <= room_width and height_mm / n <= room_height),
        scales[-1],
    )


def sheet_and_scale(
    job: Job, width_mm: float, height_mm: float, pad_x: float, pad_y: float, largest: int = 1
) -> tuple[str, int]:
    """The scale of the usual sheet, and the small one below it where that scale fits there too."""
    small, usual, _ = plan_sizes(job)

    def scale(size: str) -> int:
        left, top, right, bottom = room(size).drawing
        return scale_for(width_mm, height_mm, right - left - pad_x, bottom - top - pad_y, largest)

    return (small if scale(small) == scale(usual) else usual), scale(usual)


def length_words(mm: float, metric: str) -> str:
    """A dimension as the sheet letters it: `metric`, or feet and inches to the nearest sixteenth.

    >>> length_words(701.0, "0.70")
    '0.70'
    """
    return feet_and_inches(mm) if in_inches() else metric


def feet_and_inches(mm: float) -> str:
    """Feet, inches and sixteenths.

    >>> feet_and_inches(701.0), feet_and_inches(6600.0), feet_and_inches(304.8), feet_and_inches(100.0)
    ('2\\'-3 5/8"', '21\\'-7 13/16"', '1\\'-0"', '3 15/16"')
    """
    sixteenths = round(abs(mm) / 25.4 * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    shared = gcd(part, 16)
    told = [f"{inches}"] if inches or not part else []
    told += [f"{part // shared}/{16 // shared}"] if part else []
    return ("−" if mm < 0 and sixteenths else "") + (f"{feet}'-" if feet else "") + " ".join(told) + '"'


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
    told = f"{told}, scale {FOOT_SCALES[scale]} (1:{scale})" if in_inches() else f"{told}, scale 1:{scale}"
    canvas.text("", end + 1.5, y + 1.6, told, EM)
    return end + 1.5 + text_width(told, EM)


#: How far the tick at an end of a dimension reaches to either side.
TICK = 0.8


def chain(
    canvas: Canvas,
    ref: str,
    at: float,
    stops: Sequence[float],
    words: Sequence[str],
    *,
    upright: bool = False,
) -> None:
    """A chain of dimensions along one line; a figure that finds no room between its ends stands a line further out."""
    stops = list(stops)
    if len(stops) < 2:
        return
    ends = (at, stops[0], at, stops[-1]) if upright else (stops[0], at, stops[-1], at)
    canvas.line(ref, *ends, THIN, layer="note")
    for stop in stops:
        x, y = (at, stop) if upright else (stop, at)
        canvas.line(ref, x - TICK, y + TICK, x + TICK, y - TICK, 0.25, layer="note")
    taken = -1e9
    for a, b, word in zip(stops, stops[1:], words, strict=False):
        middle = (a + b) / 2
        wide = text_width(word, EM)
        if upright:
            if abs(b - a) > EM:
                canvas.text(ref, at - 1.2, middle + EM * 0.3, word, EM, "sans", "end")
        elif wide < abs(b - a) - 2 * TICK:
            canvas.text(ref, middle, at - 0.7, word, EM, "sans", "middle")
        elif middle - wide / 2 > taken + 0.8:
            canvas.text(ref, middle, at - 0.9 - EM, word, EM, "sans", "middle")
            taken = middle + wide / 2
