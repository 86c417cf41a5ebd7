"""Charts of a year: nights lost against array and bank, the bad week, the months.

Ink alone: a series is told by its mark and by the words at its end, uncertainty by bars and hatching, never by colour.  Each chart
comes without a heading, for the page or the sheet that shows it has one; every axis carries its unit.  What is drawn are rows
of the answer of `year --json`, so that the table behind each chart is at hand.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.page import EM
from ohmwright.drawing.shapes import POWER, SYMBOL, THIN, Circle, Group, Line, Polyline, Shape, Sheet, Text
from ohmwright.working import grouped

WIDTH, HEIGHT = 170.0, 96.0
LEFT, RIGHT, TOP, FOOT = 16.0, 34.0, 6.0, 17.0
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
HATCH_mm = 1.6
#: What a chart without a note at its foot is lower by.
NOTE = 7.0
#: Any year of 365 days, to count from a day of the calendar.
DATED = 2025


@dataclass(frozen=True, slots=True)
class _Scale:
    """A ruled scale: which value stands where."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def steps(most: float, ticks: int = 6) -> tuple[float, ...]:
    """Round values from 0 to `most` or a little above, about so many of them.

    >>> steps(23), steps(0.4)
    ((0.0, 5.0, 10.0, 15.0, 20.0, 25.0), (0.0, 1.0))
    """
    least = max(most / ticks, 1e-9)
    step = next((s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000) if s >= least), 10000)
    return (
        tuple(float(step * k) for k in range(int(-(-most // step)) + 1))
        if most > step
        else (0.0, float(step))
    )


#: What a chart of sizes may show: the row's value and error, the factor to its unit, the axis, and the words of its end.
_SHOWN = {
    "nights": ("nights_one_in_ten", "nights_error", 1.0, "nights lost in one year in ten", "nights"),
    "chance": ("any_probability", "any_error", 100.0, "years that lose a night, %", "% of years"),
}


def sizes_chart(sizes: Mapping[str, Any], shown: Literal["nights", "chance"] = "nights") -> Sheet:
    """Nights lost in one year in ten, or the chance of losing any, against the array, a line for each bank: `by_chance["sizes"]`."""
    value, error, times, axis, unit = _SHOWN[shown]
    rows: Sequence[Mapping[str, Any]] = sizes["rows"]
    watts = sorted({r["array_W"] for r in rows})
    banks = sorted({r["bank_Ah"] for r in rows})
    ruled = steps(times * max(r[value] + r[error] for r in rows))
    if shown == "chance":
        ruled = (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)
    pad = (watts[-1] - watts[0]) / 14 or 1.0
    x = _Scale(watts[0] - pad, watts[-1] + pad, LEFT, WIDTH - RIGHT)
    y = _Scale(0.0, ruled[-1], HEIGHT - FOOT, TOP)
    out = [*_left_axis(y, ruled, axis, x)]
    of = {r["array_W"]: r["modules"] for r in rows}
    out += _foot_axis(
        [(x(w), grouped(w), f"{of[w]} modules" if of[w] != 1 else "1 module") for w in watts],
        f"rated power of the array, W; modules of {sizes['array']}",
    )
    ends = []
    for k, bank in enumerate(banks):
        mine = sorted((r for r in rows if r["bank_Ah"] == bank), key=lambda r: r["array_W"])
        aside = 0.9 * (k - (len(banks) - 1) / 2)
        points = [(x(r["array_W"]) + aside, y(times * r[value])) for r in mine]
        out.append(Polyline(tuple(points), POWER if any(r["is_now"] for r in mine) else SYMBOL))
        for r, (px, py) in zip(mine, points, strict=True):
            top, foot = times * (r[value] + r[error]), times * (r[value] - r[error])
            out += _error_bar(px, y(min(top, ruled[-1])), y(max(foot, 0.0)))
            out.append(_mark(k, px, py))
            if r["is_now"]:
                out += _brackets(px, py)
        count = mine[0]["batteries"]
        ends.append(
            (points[-1][1], k, f"{grouped(bank)} Ah", "1 battery" if count == 1 else f"{count} batteries")
        )
    out += _named(ends, WIDTH - RIGHT + 2.0)
    out += _note(
        f"bars: standard error over {sizes['years']} years; in brackets: as drawn; {sizes['bank']} in Ah; roof and controller not looked at"
    )
    now = next(r for r in rows if r["is_now"])
    said = (
        f"{axis} against array and bank; as drawn, {grouped(now['array_W'])} W and {grouped(now['bank_Ah'])} Ah, "
        f"{times * now[value]:.0f} {unit}."
    )
    return _sheet(
        f"year-sizes-{shown}", "Nights lost against array and bank", said[0].upper() + said[1:], out
    )


def bad_week_chart(week: Mapping[str, Any]) -> Sheet:
    """Charge of the bank through the worst week of a one-in-ten year, the band of other years hatched: `by_chance["bad_week"]`.

    Without a band it is the line alone.
    """
    soc = [100.0 * s for s in week["soc"]]
    low, high = [100.0 * s for s in week["soc_low"]], [100.0 * s for s in week["soc_high"]]
    x, y = _Scale(0.0, len(soc), LEFT, WIDTH - RIGHT), _Scale(0.0, 100.0, HEIGHT - FOOT, TOP)
    out = [*_left_axis(y, (0.0, 20.0, 40.0, 60.0, 80.0, 100.0), "charge of the bank, %", x)]
    month, day = (int(n) for n in week["first_day"].split("-"))
    first = date(DATED, month, day)
    days = [first + timedelta(days=d) for d in range(len(soc) // 24)]
    out += _foot_axis(
        [(x(24 * d + 12), f"{t.day} {MONTHS[t.month - 1]}", "") for d, t in enumerate(days)],
        "day, midnight at the ticks",
        ticks=[x(24 * d) for d in range(len(days) + 1)],
    )
    if low:
        out += _hatched(x, lambda at: _between(low, at), lambda at: _between(high, at), y)
    out.append(Polyline(tuple((x(t + 0.5), y(s)) for t, s in enumerate(soc)), POWER))
    worst = next(t for t, s in enumerate(soc) if s <= min(soc) + 0.5)
    right = worst < 0.7 * len(soc)
    out.append(Circle(x(worst + 0.5), y(soc[worst]), 0.9, SYMBOL))
    out.append(
        Text(
            x(worst + 0.5) + (1.8 if right else -1.8),
            y(soc[worst]) - 1.4,
            f"{soc[worst]:.0f} %",
            EM,
            anchor="start" if right else "end",
        )
    )
    edge = WIDTH - RIGHT + 2.0
    band = [(y((low[-1] + high[-1]) / 2), -1, "80 of 100 years", "hatched")] if low else []
    out += _named([(y(soc[-1]), -1, "this year", ""), *band], edge)
    if low:
        out += _note(
            f"worst week of a one-in-ten year; hatched: the same hours of 80 in 100 years, {week['band_years']} looked at"
        )
    return _sheet(
        "year-bad-week",
        "The bad week",
        f"Charge of the bank from {week['first_day']}, down to {soc[worst]:.0f} %.",
        out,
        HEIGHT if low else HEIGHT - NOTE,
    )


def months_chart(months: Sequence[Mapping[str, Any]]) -> Sheet:
    """What the loads want by month and what they get: a rule for each month, the part not given hatched: `months`."""
    most = max(m["load_kWh"] for m in months)
    ruled = steps(most)
    x = _Scale(0.0, ruled[-1], LEFT, WIDTH - RIGHT)
    row = (HEIGHT - FOOT - TOP) / 12
    out: list[Shape] = [Line(x(v), TOP, x(v), HEIGHT - FOOT, THIN, "tell", "graphite", "note") for v in ruled]
    out += _foot_axis([(x(v), grouped(v), "") for v in ruled], "energy of the month, kWh")
    out.append(Text(WIDTH - RIGHT + 4.0, TOP - 3.8, "not given, kWh", EM))
    chances = any(m["unserved_kWh_p90"] is not None for m in months)
    if chances:
        out.append(Text(WIDTH - RIGHT + 4.0, TOP - 0.4, "mean, one in ten", EM, colour="graphite"))
    for k, m in enumerate(months):
        at = TOP + row * (k + 0.62)
        given = m["load_kWh"] - m["unserved_kWh"]
        out.append(Text(LEFT - 2.0, at + 0.8, MONTHS[m["month"] - 1], EM, anchor="end"))
        if given > 0.0:
            out.append(Line(x(0.0), at, x(given), at, 0.7))
        if m["unserved_kWh"] > 0.0:
            out += _hatched_box(x(given), x(m["load_kWh"]), at - 1.1, at + 1.1)
        out.append(Circle(x(m["load_kWh"]), at, 0.9, SYMBOL, fill="sheet"))
        tenth = m["unserved_kWh_p90"]
        if tenth is not None and tenth > 0.005 * ruled[-1]:
            low = x(max(m["load_kWh"] - tenth, 0.0))
            out.append(Line(low, at - 1.6, low, at + 1.6, SYMBOL))
        if m["unserved_kWh"] >= 0.05 or (tenth or 0.0) >= 0.05:
            told = f"{m['unserved_kWh']:.1f}" + ("" if tenth is None else f", {tenth:.1f}")
            out.append(Text(WIDTH - RIGHT + 4.0, at + 0.8, told, EM))
    out += _note(
        "line: given; ring: wanted; hatched: not given, mean of years; tick: given in a one-in-ten year"
        if chances
        else "line: given; ring: wanted; hatched: not given"
    )
    lacking = sum(m["unserved_kWh"] for m in months)
    return _sheet(
        "year-months",
        "The year by month",
        f"Energy wanted and given by month; {lacking:.1f} kWh a year are not given on the mean."
        if chances
        else f"Energy wanted and given by month; {lacking:.1f} kWh are not given in this year.",
        out,
    )


def _sheet(name: str, title: str, said: str, shapes: Sequence[Shape], height: float = HEIGHT) -> Sheet:
    return Sheet(name, title, said, WIDTH, height, (Group("", "", tuple(shapes)),), em=EM)


def _left_axis(y: _Scale, ruled: Sequence[float], named: str, x: _Scale) -> Iterator[Shape]:
    yield Line(x.start, y.start, x.start, y.end, SYMBOL, layer="note")
    for v in ruled:
        yield Line(x.start - 1.2, y(v), x.start, y(v), THIN, layer="note")
        yield Line(x.start, y(v), x.end, y(v), THIN, "tell", "graphite", "note")
        yield Text(x.start - 2.0, y(v) + 0.9, grouped(v), EM, anchor="end")
    yield Text(x.start - 12.0, y.end - 2.6, named, EM)


def _foot_axis(
    places: Sequence[tuple[float, str, str]], named: str, ticks: Sequence[float] | None = None
) -> Iterator[Shape]:
    foot = HEIGHT - FOOT
    yield Line(LEFT, foot, WIDTH - RIGHT, foot, SYMBOL, layer="note")
    for at in [p for p, _, _ in places] if ticks is None else ticks:
        yield Line(at, foot, at, foot + 1.2, THIN, layer="note")
    for at, word, below in places:
        yield Text(at, foot + 4.0, word, EM, anchor="middle")
        if below:
            yield Text(at, foot + 7.4, below, EM, anchor="middle", colour="graphite")
    yield Text(
        (LEFT + WIDTH - RIGHT) / 2,
        foot + (11.0 if any(b for _, _, b in places) else 7.6),
        named,
        EM,
        anchor="middle",
    )


def _note(words: str) -> Iterator[Shape]:
    yield Text(LEFT - 12.0, HEIGHT - 1.6, words, EM, colour="graphite")


def _error_bar(x: float, top: float, bottom: float) -> Iterator[Shape]:
    yield Line(x, top, x, bottom, THIN)
    for end in (top, bottom):
        yield Line(x - 0.7, end, x + 0.7, end, THIN)


def _mark(k: int, x: float, y: float) -> Shape:
    """Marks that differ by shape and fill: square, ring, full square, triangle, full ring."""
    r = 1.0
    if k % 5 in (1, 4):
        return Circle(x, y, r, SYMBOL, fill="sheet" if k % 5 == 1 else "ink")
    if k % 5 == 3:
        return Polyline(
            ((x, y - 1.2), (x + 1.2, y + 0.9), (x - 1.2, y + 0.9)), SYMBOL, closed=True, fill="sheet"
        )
    return Polyline(
        ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)),
        SYMBOL, closed=True, fill="sheet" if k % 5 == 0 else "ink",
    )  # fmt: skip


def _brackets(x: float, y: float, r: float = 2.4, leg: float = 1.0) -> Iterator[Shape]:
    for sx in (-1, 1):
        for sy in (-1, 1):
            corner = (x + sx * r, y + sy * r)
            yield Polyline(
                ((corner[0] - sx * leg, corner[1]), corner, (corner[0], corner[1] - sy * leg)), POWER
            )


def _named(ends: Sequence[tuple[float, int, str, str]], x: float) -> Iterator[Shape]:
    """Words at the ends of lines, from the top down, pushed apart where they would touch; a mark before each that has one."""
    placed: list[float] = []
    after = -1e9
    for y, _, _, second in sorted(ends):
        placed.append(max(y, after))
        after = placed[-1] + (7.8 if second else 4.2)
    lift = max(0.0, after - (HEIGHT - FOOT + 9.0))
    for (_, mark, first, second), at in zip(sorted(ends), placed, strict=True):
        y = at - lift
        if mark >= 0:
            yield _mark(mark, x + 1.2, y)
        left = x + (3.4 if mark >= 0 else 0.0)
        yield Text(left, y + 0.9, first, EM)
        if second:
            yield Text(left, y + 4.2, second, EM, colour="graphite")


def _between(values: Sequence[float], at: float) -> float:
    """A row of hours read off at any place; each stands in the middle of its hour."""
    place = min(max(at - 0.5, 0.0), len(values) - 1.001)
    k = int(place)
    return values[k] + (place - k) * (values[k + 1] - values[k])


def _hatched(
    x: _Scale, low: Callable[[float], float], high: Callable[[float], float], y: _Scale
) -> Iterator[Shape]:
    """Strokes at 45 degrees between two curves."""
    width, height = x.end - x.start, y.start - y.end
    step = 0.25
    for k in range(int(-height / HATCH_mm), int(width / HATCH_mm) + 1):
        begun: tuple[float, float] | None = None
        before = (0.0, 0.0)
        for n in range(int(height / step) + 2):
            px, py = x.start + k * HATCH_mm + n * step, y.start - n * step
            at = x.low + (px - x.start) / width * (x.high - x.low)
            inside = x.start <= px <= x.end and n * step <= height and y(high(at)) <= py <= y(low(at))
            if inside and begun is None:
                begun = (px, py)
            if not inside and begun is not None:
                yield Line(*begun, *before, THIN, "", "graphite", "note")
                begun = None
            before = (px, py)


def _hatched_box(left: float, right: float, top: float, bottom: float) -> Iterator[Shape]:
    yield Polyline(((left, top), (right, top), (right, bottom), (left, bottom)), THIN, closed=True)
    tall = bottom - top
    for k in range(int((right - left + tall) / HATCH_mm) + 1):
        a = left - tall + k * HATCH_mm
        x1, x2 = max(a, left), min(a + tall, right)
        if x2 > x1:
            yield Line(x1, bottom - (x1 - a), x2, bottom - (x2 - a), THIN, "", "graphite", "note")


def words_fit(sheet: Sheet) -> bool:
    """Whether every line of lettering stands on the sheet."""
    for shape in sheet.shapes():
        if isinstance(shape, Text):
            wide = text_width(shape.text, shape.em, shape.face)
            left = shape.x - {"start": 0.0, "middle": wide / 2, "end": wide}[shape.anchor]
            if left < 0.0 or left + wide > sheet.width or not 0.0 < shape.y <= sheet.height:
                return False
    return True
