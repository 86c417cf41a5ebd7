"""The sheet's frame with its zones, the title block, the revision block above it, the margin of notes.

Frame and zones after ISO 5457, title block after ISO 7200, lettering heights after ISO 3098: all from memory.
"""

from dataclasses import dataclass

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import CAPITAL, LEADING, plain, shortened, text_width, wrapped
from ohmwright.drawing.marks import Mark, tag, tag_width
from ohmwright.drawing.shapes import FRAME, THIN, Box
from ohmwright.rig.model import Job
from ohmwright.working.quickly import quickly_made

#: Width and height: after ISO 216, and after ANSI Y14.1 (A is letter, B tabloid), both from memory.
SIZES: dict[str, tuple[float, float]] = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "A": (279.4, 215.9),
    "B": (431.8, 279.4),
    "C": (558.8, 431.8),
    "D": (863.6, 558.8),
}
SERIES: dict[str, tuple[str, str, str]] = {"iso": ("A3", "A2", "A1"), "us": ("B", "C", "D")}
#: The sheet below each series, for a plan, a table or a remainder that it holds.
SMALL: dict[str, str] = {"iso": "A4", "us": "A"}
LEFT, OTHER = 20.0, 10.0
STRIP = 5.0
MARGIN = {"A4": 62.0, "A3": 68.0, "A2": 90.0, "A1": 100.0, "A": 62.0, "B": 68.0, "C": 90.0, "D": 100.0}
ZONE = 50.0
#: Stands where nobody is named yet.
NOBODY = "—"
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Title:
    """What the title block says. `note` is the convention of the sheet: "DC two-line, AC one-line"."""

    job: str
    host: str = ""
    sheet: str = ""
    note: str = ""
    number: str = "E-01"
    of: str = "1"
    revision: str = ""
    stage: str = ""
    rules: str = ""
    date: str = ""
    drawn: str = ""
    checked: str = ""
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class Follow:
    """A line of the revision block: what, was, becomes, verdict."""

    what: str
    was: str
    becomes: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Room:
    """The frame of a sheet size: inner edges, where the margin begins, and its zones."""

    size: str
    width: float
    height: float

    @property
    def inner(self) -> Box:
        """The frame line."""
        return LEFT, OTHER, self.width - OTHER, self.height - OTHER

    @property
    def margin_x(self) -> float:
        """Where the column of notes begins."""
        return self.width - OTHER - MARGIN[self.size]

    @property
    def drawing(self) -> Box:
        """The space for the circuit."""
        left, top, _, bottom = self.inner
        return left + 3.5, top + 3.5, self.margin_x - 3.5, bottom - 3.5

    def zone(self, x: float, y: float) -> str:
        """The zone of a point: `C3`."""
        left, top, right, bottom = self.inner
        across = max(1, round((right - left) / ZONE))
        down = max(1, round((bottom - top) / ZONE))
        i = min(max(int((x - left) / (right - left) * across), 0), across - 1)
        j = min(max(int((y - top) / (bottom - top) * down), 0), down - 1)
        return f"{LETTERS[j]}{i + 1}"


def sizes_for(job: Job) -> tuple[str, str, str]:
    """The drawing sheets of a job from small to large: as it says, else as its rule set does."""
    return SERIES[_series(job)]


def plan_sizes(job: Job) -> tuple[str, str, str]:
    """The sheets that plans, tables and remainders lie on, from small to large."""
    named = _series(job)
    return SMALL[named], *SERIES[named][:2]


def _series(job: Job) -> str:
    return job.sheets or ("us" if job.rules.startswith("us") else "iso")


def smallest_of(size: str) -> str:
    """The smallest sheet of the series that a size is of."""
    return next(s[0] for name, s in SERIES.items() if size in (*s, SMALL[name]))


def room(size: str) -> Room:
    """The frame of a sheet of that size, lying."""
    return Room(size, *SIZES[size])


def draw_frame(canvas: Canvas, r: Room, em: float) -> None:
    """Frame, zone marks on all edges, and the line before the margin."""
    left, top, right, bottom = r.inner
    canvas.box("", left - STRIP, top - STRIP, right + STRIP, bottom + STRIP, THIN, layer="frame")
    canvas.box("", left, top, right, bottom, FRAME, layer="frame")
    across = max(1, round((right - left) / ZONE))
    down = max(1, round((bottom - top) / ZONE))
    for i in range(across):
        x = left + (right - left) * (i + 0.5) / across
        for y in (top - STRIP / 2, bottom + STRIP / 2):
            canvas.text("", x, y + em * 0.33, str(i + 1), em, "sans", "middle")
        if i:
            x = left + (right - left) * i / across
            canvas.line("", x, top - STRIP, x, top, THIN, layer="frame")
            canvas.line("", x, bottom, x, bottom + STRIP, THIN, layer="frame")
    for j in range(down):
        y = top + (bottom - top) * (j + 0.5) / down
        for x in (left - STRIP / 2, right + STRIP / 2):
            canvas.text("", x, y + em * 0.33, LETTERS[j], em, "sans", "middle")
        if j:
            y = top + (bottom - top) * j / down
            canvas.line("", left - STRIP, y, left, y, THIN, layer="frame")
            canvas.line("", right, y, right + STRIP, y, THIN, layer="frame")
    canvas.line("", r.margin_x, top, r.margin_x, bottom, 0.35, layer="frame")


def draw_title(canvas: Canvas, r: Room, title: Title, em: float) -> float:
    """The title block at the lower right; returns its upper edge."""
    _, _, right, bottom = r.inner
    left = r.margin_x
    width = right - left
    cell = em * 2.9
    rows: list[list[tuple[str, str]]] = [
        [
            ("sheet", f"{title.number} of {title.of}"),
            ("revision", title.revision or "none"),
            ("stage", title.stage or "not issued"),
        ],
        [
            ("date", title.date or NOBODY),
            ("drawn", title.drawn or NOBODY),
            ("checked", title.checked or NOBODY),
        ],
        [("rules", title.rules or "none named"), ("file", title.sha256[:12] or "none")],
    ]
    head = 18.0
    top = bottom - head - cell * len(rows)
    canvas.box("", left, top, right, bottom, FRAME, layer="frame")
    big, middle = 7.0 / CAPITAL * 0.72, 5.0 / CAPITAL * 0.66
    host = shortened(plain(title.host), em, width * 0.3)
    room_for = width - 5.0 - text_width(host, em) - 2.0
    while big > em * 1.25 and text_width(plain(title.job), big, "sans-semibold") > room_for:
        big -= 0.2
    job = shortened(plain(title.job), big, room_for, "sans-semibold")
    canvas.text("", left + 2.5, top + big * 0.66 + 2.0, job, big, "sans-semibold")
    canvas.text(
        "",
        left + 2.5 + text_width(job, big, "sans-semibold") + 2.0,
        top + big * 0.66 + 2.0,
        host,
        em,
    )
    line = top + head
    name = shortened(plain(title.sheet), middle, width * 0.6)
    canvas.text("", left + 2.5, line - 2.4, name, middle)
    used = text_width(name, middle) + 4.5
    canvas.text("", left + used, line - 2.4, shortened(plain(title.note), em, width - used - 1.5), em)
    for row in rows:
        canvas.line("", left, line, right, line, THIN, layer="frame")
        each = width / len(row)
        for k, (what, told) in enumerate(row):
            x = left + each * k
            if k:
                canvas.line("", x, line, x, line + cell, THIN, layer="frame")
            canvas.text("", x + 1.2, line + em * 1.05, what, em, "sans", "start", "graphite")
            canvas.text(
                "",
                x + 1.2,
                line + em * 2.35,
                shortened(plain(told), em, each - 2.4, "sans-bold"),
                em,
                "sans-bold",
            )
        line += cell
    return top


def draw_follows(
    canvas: Canvas,
    r: Room,
    follows: tuple[Follow, ...],
    revision: str,
    bottom: float,
    em: float,
    most: int = 12,
) -> float:
    """The revision block "what follows" above the title block; returns its upper edge."""
    if not follows:
        return bottom
    left, right = r.margin_x, r.inner[2]
    row = em * 1.7
    shown = follows[:most]
    lines = len(shown) + 2 + (1 if len(follows) > most else 0)
    top = bottom - row * lines
    canvas.line("", left, top, right, top, 0.35, layer="frame")
    canvas.text(
        "",
        left + 2.0,
        top + row * 0.72,
        f"WHAT FOLLOWS revision {plain(revision)}" if revision else "WHAT FOLLOWS",
        em,
        "sans-bold",
    )
    xs = [left + (right - left) * k for k in (0.0, 0.3, 0.53, 0.76)]
    ends = [*xs[1:], right]

    def cells(y: float, told: tuple[str, ...], colour: str = "ink") -> None:
        canvas.line("", left, y, right, y, THIN, layer="frame")
        for x, end, text in zip(xs, ends, told, strict=True):
            canvas.text(
                "",
                x + (2.0 if x == left else 1.0),
                y + row * 0.72,
                shortened(plain(text), em, end - x - 2.5),
                em,
                "sans",
                "start",
                "graphite" if colour == "graphite" else "ink",
            )

    cells(top + row, ("what", "was", "becomes", "verdict"), "graphite")
    for i, f in enumerate(shown):
        cells(top + row * (2 + i), (f.what, f.was, f.becomes, f.verdict))
    if len(follows) > most:
        cells(top + row * (2 + len(shown)), (f"{len(follows) - most} more in the change order", "", "", ""))
    for x in xs[1:]:
        canvas.line("", x, top + row, x, bottom, THIN, layer="frame")
    return top


@quickly_made
@dataclass(frozen=True, slots=True)
class Numbered:
    """A mark with the number its flag bears and the zone it stands in."""

    mark: Mark
    number: str
    zone: str


def draw_margin(
    canvas: Canvas, r: Room, notes: list[Numbered], cautions: tuple[str, ...], bottom: float, em: float
) -> int:
    """The notes from the top of the margin down; returns how many found no room."""
    left, top, right, _ = r.inner
    left = r.margin_x + 2.5
    width = right - left - 2.5
    y = top + 2.0 + em
    canvas.text("", left, y, "MARGIN NOTES", em, "sans-bold")
    y += 2.0
    foot = bottom - cautions_height(cautions, em, width)
    height = em * 1.75
    for i, n in enumerate(notes):
        text = wrapped(plain(n.mark.text), em, width, "serif")
        remedy = wrapped(plain(n.mark.remedy), em, width, "sans") if n.mark.remedy else ()
        w = tag_width(n.mark.word, n.number, height, with_word=True, extra=n.mark.extra)
        where = plain(" · ".join(part for part in (n.zone, n.mark.subject, n.mark.number) if part))
        beside = text_width(where, em, "sans-semibold") <= width - w - 4.0
        below = (
            ()
            if beside
            else wrapped(shortened(where, em, 3 * width, "sans-semibold"), em, width, "sans-semibold")
        )
        need = height + 3.0 + (len(below) + len(text) + len(remedy)) * em * LEADING + 2.0
        left_over = len(notes) - i
        if y + need + (em * LEADING if left_over > 1 else 0.0) > foot:
            if left_over:
                canvas.text(
                    "", left, y + em * 1.3, f"{left_over} more in the check report", em, "sans-semibold"
                )
            draw_cautions(canvas, cautions, left, foot, em, width)
            return left_over
        mid = y + 2.0 + height / 2
        tag(
            canvas,
            "",
            left + 1.0,
            mid,
            n.mark.word,
            n.number,
            height=height,
            with_word=True,
            to="left",
            extra=n.mark.extra,
        )
        if beside:
            canvas.text(n.mark.subject, left + 1.0 + w + 2.0, mid + em * 0.33, where, em, "sans-semibold")
        y = mid + height / 2 + 1.0
        for line in below:
            y += em * LEADING
            canvas.text(n.mark.subject, left, y, line, em, "sans-semibold")
        for line in text:
            y += em * LEADING
            canvas.text("", left, y, line, em, "serif")
        for line in remedy:
            y += em * LEADING
            canvas.text("", left, y, line, em)
        y += 2.0
    draw_cautions(canvas, cautions, left, foot, em, width)
    return 0


def cautions_height(cautions: tuple[str, ...], em: float, width: float) -> float:
    """How tall the cautions stand."""
    lines = sum(len(wrapped(plain(c), em, width - 3.0, "serif")) for c in cautions)
    return (lines + 1.4) * em * LEADING + 3.0 if cautions else 0.0


def draw_cautions(
    canvas: Canvas, cautions: tuple[str, ...], left: float, y: float, em: float, width: float
) -> None:
    """The cautions from `y` down."""
    if not cautions:
        return
    canvas.text("", left, y + em, "CAUTIONS", em, "sans-bold")
    y += em * 1.2
    for caution in cautions:
        for k, line in enumerate(wrapped(plain(caution), em, width - 3.0, "serif")):
            y += em * LEADING
            if k == 0:
                canvas.text("", left, y, "–", em, "serif")
            canvas.text("", left + 2.4, y, line, em, "serif")
