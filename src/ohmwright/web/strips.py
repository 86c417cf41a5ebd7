"""Recorder strips as pictures: one lane for each quantity with its own ruled scale; what is expected is dashed, the spread of a day hatched."""

from dataclasses import dataclass

from ohmwright.services.strip import Lane, Strip, told_date

WIDE, HIGH = 920.0, 86.0
MOST_DATES = 12
FLAG, ROWS = 28.0, 3
#: Room that a written date takes.
DATE = 48.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A lane in its picture's own units: 0 to WIDE, 0 to HIGH, upside down."""

    lane: Lane
    line: str
    band: str
    said: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """The lanes, where each written date stands, and where each flag stands."""

    lanes: tuple[Picture, ...]
    dates: tuple[tuple[float, str], ...]
    flags: tuple[tuple[float, int, int], ...]
    """Where, in which row so that none covers another, and which number."""
    wide: float = WIDE
    high: float = HIGH


def pictures(strip: Strip) -> Pictures:
    """What the sheet draws of a strip."""
    every = max(1, -(-strip.days // MOST_DATES))
    dates = tuple(
        (WIDE * k / strip.days, told_date(d))
        for k, d in enumerate(strip.dates)
        if k % every == 0 and WIDE * k / strip.days < WIDE - DATE
    )
    return Pictures(tuple(_picture(lane, strip) for lane in strip.lanes), dates, _flags(strip))


def _flags(strip: Strip) -> tuple[tuple[float, int, int], ...]:
    ends = [-FLAG] * ROWS
    out = []
    for e in strip.events:
        x = WIDE * (e.day + 0.5) / strip.days
        row = next((n for n, end in enumerate(ends) if x - end >= FLAG), None)
        if row is None:
            return ()  # too many to be told apart: they are numbered below, and nearer they have room
        ends[row] = x
        out.append((x, row, e.number))
    return tuple(out)


def _picture(lane: Lane, strip: Strip) -> Picture:
    many = len(lane.mean)

    def at(n: int, value: float) -> str:
        return f"{WIDE * (n + 0.5) / many:.1f},{HIGH * (1.0 - min(value / lane.top, 1.0)):.1f}"

    line = " ".join(at(n, v) for n, v in enumerate(lane.mean))
    band = ""
    if not strip.hourly:
        there = [at(n, v) for n, v in enumerate(lane.high)]
        back = [at(n, lane.low[n]) for n in range(many - 1, -1, -1)]
        band = " ".join((*there, *back))
    digits = 0 if lane.top >= 20 else 2
    said = f"{lane.name}, {told_date(strip.dates[0])} to {told_date(strip.dates[-1])}: between {min(lane.low):.{digits}f} and {max(lane.high):.{digits}f} {lane.unit}"
    return Picture(lane, line, band, said)
