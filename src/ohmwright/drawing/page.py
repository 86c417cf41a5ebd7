"""A page of any sort of sheet: a room, a canvas, and what stands in the column of notes beside the drawing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import (
    Room,
    Title,
    cautions_height,
    draw_cautions,
    draw_frame,
    draw_title,
    room,
    smallest_of,
)
from ohmwright.drawing.lettering import CAPITAL, LEADING, LEAST_mm, plain, wrapped
from ohmwright.drawing.shapes import Box, Face, Group, Shape, Sheet, enlarged

#: Lettering of all sheets but the circuit: the least that is printed.
EM = LEAST_mm / CAPITAL
BIG = EM * 1.25
STEP = EM * LEADING
#: How much larger than that a sheet without a scale may stand, by its capitals in millimetres.
ENLARGED = tuple(capital / LEAST_mm for capital in (3.5, 2.5, 2.2, LEAST_mm))


@dataclass(slots=True)
class Block:
    """A heading in the column of notes with its lines."""

    heading: str
    lines: Sequence[str]
    face: Face = "sans"


@dataclass(slots=True)
class Page:
    """One sheet in the making."""

    size: str
    blocks: list[Block] = field(default_factory=list)
    canvas: Canvas = field(default_factory=Canvas)
    notes: list[str] = field(default_factory=list)
    enlarged: float = 1.0
    """How much larger the drawing stands on the sheet than it is drawn: lettering and all, its lines as heavy as before."""
    taken: float = 0.0
    """How far down its drawing reaches; what comes after may stand below."""

    @property
    def room(self) -> Room:
        """The frame of its size."""
        return room(self.size)

    @property
    def drawing(self) -> Box:
        """The space for the drawing, as large as it is before it is enlarged."""
        left, top, right, bottom = self.room.drawing
        return left, top, left + (right - left) / self.enlarged, top + (bottom - top) / self.enlarged

    def zone(self, x: float, y: float) -> str:
        """The zone of a point of the drawing."""
        left, top, _, _ = self.room.drawing
        return self.room.zone(left + (x - left) * self.enlarged, top + (y - top) * self.enlarged)

    def enlarge(self, width: float, height: float) -> None:
        """Stand as large as the lettering goes and the sheet holds a drawing of that extent."""
        left, top, right, bottom = self.room.drawing
        self.enlarged = largest((right - left) / max(width, 1.0), (bottom - top) / max(height, 1.0))

    def note(self, heading: str, lines: Sequence[str]) -> None:
        """Add to the column of notes; without lines nothing is said."""
        if lines:
            self.blocks.append(Block(heading, lines))


@dataclass(frozen=True, slots=True)
class Binding:
    """What all pages of one sort of sheet share. `told` gives the words that go with an address."""

    title: Title
    sheet: str
    note: str
    letter: str
    description: str
    cautions: tuple[str, ...]
    told: Mapping[str, str] = field(default_factory=dict)


def bound(pages: Sequence[Page], binding: Binding) -> tuple[Sheet, ...]:
    """The pages as finished sheets; notes that find no room beside the drawing go on on a sheet of their own."""
    work = list(pages)
    out: list[tuple[Page, Canvas]] = []
    while work:
        page = work.pop(0)
        canvas = Canvas()
        left_over = _column(canvas, page, binding.cautions)
        out.append((page, canvas))
        if left_over:
            work.insert(0, _notes_page(left_over, smallest_of(page.size)))
    return tuple(
        _sheet(binding, page, canvas, f"{binding.letter}-{i:02d}", len(out))
        for i, (page, canvas) in enumerate(out, 1)
    )


def largest(*most: float) -> float:
    """The largest step that is no larger than any of these."""
    return next((e for e in ENLARGED if e <= min(most) + 1e-9), 1.0)


def holds(page: Page, cautions: tuple[str, ...]) -> bool:
    """Whether the notes of a page find room beside its drawing."""
    return not _column(Canvas(), page, cautions)


def _title_height(r: Room) -> float:
    probe = Canvas()
    return draw_title(probe, r, Title("job"), EM)


def _column(canvas: Canvas, page: Page, cautions: tuple[str, ...]) -> list[Block]:
    """Notes from the top of the column down, cautions at its foot; returns what found no room."""
    r = page.room
    left = r.margin_x + 2.5
    width = r.inner[2] - left - 2.5
    foot = _title_height(r) - cautions_height(cautions, EM, width)
    draw_cautions(canvas, cautions, left, foot, EM, width)
    return _lettered(canvas, page.blocks, left, r.inner[1] + 1.5, width, foot - STEP)


def _lettered(
    canvas: Canvas, blocks: Sequence[Block], left: float, y: float, width: float, foot: float
) -> list[Block]:
    for k, block in enumerate(blocks):
        if y + 2.4 * STEP > foot:
            return list(blocks[k:])
        for piece in wrapped(plain(block.heading), EM, width, "sans-bold"):
            y += STEP
            canvas.text("", left, y, piece, EM, "sans-bold")
        for n, line in enumerate(block.lines):
            told = wrapped(plain(line), EM, width - 2.4, block.face)
            if y + (len(told) + 1) * STEP > foot and (
                n < len(block.lines) - 1 or y + len(told) * STEP > foot
            ):
                canvas.text("", left, y + STEP, "goes on on the next sheet", EM, "sans-semibold")
                return [
                    Block(f"{block.heading.removesuffix(', continued')}, continued", block.lines[n:]),
                    *blocks[k + 1 :],
                ]
            for i, piece in enumerate(told):
                y += STEP
                if i == 0:
                    canvas.text("", left, y, "–", EM, block.face)
                canvas.text("", left + 2.4, y, piece, EM, block.face)
        y += STEP * 0.6
    return []


def _notes_page(blocks: list[Block], size: str) -> Page:
    """A sheet of notes alone, in columns."""
    page = Page(size)
    left, top, right, bottom = page.room.drawing
    gap = 6.0
    columns = max(1, int((right - left + gap) // 98.0))
    width = (right - left + gap) / columns - gap
    for i in range(columns):
        if blocks:
            blocks = _lettered(page.canvas, blocks, left + i * (width + gap), top, width, bottom)
    page.blocks = blocks
    return page


def _sheet(binding: Binding, page: Page, column: Canvas, number: str, of: int) -> Sheet:
    frame = Canvas()
    draw_frame(frame, page.room, EM)
    title = replace(binding.title, sheet=binding.sheet, note=binding.note, number=number, of=str(of))
    draw_title(frame, page.room, title, EM)
    frame.merge(column)
    by_ref: dict[str, list[Shape]] = {}
    about, by = page.room.drawing[:2], page.enlarged
    for ref, shape in page.canvas.items:
        by_ref.setdefault(ref, []).append(shape if by == 1.0 else enlarged(shape, by, about))
    groups = [Group("", "", tuple(s for _, s in frame.items))]
    groups += [Group(ref, binding.told.get(ref, ref), tuple(shapes)) for ref, shapes in by_ref.items()]
    zones = {ref: page.zone(spots[0][0], spots[0][1]) for ref, spots in page.canvas.anchors.items() if ref}
    name = plain(binding.title.job)
    return Sheet(
        number,
        f"{name}, {binding.sheet.lower()} {number}",
        f"{binding.sheet} {number} of {of} of {name}: {binding.description}",
        page.room.width,
        page.room.height,
        tuple(groups),
        (),
        zones,
        EM,
        tuple(page.notes),
    )
