"""The circuit sheets of a rig for the screen: the drawing alone, since notes and title block stand beside it as text."""

from collections import OrderedDict, defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ohmwright.checks.types import Finding
from ohmwright.drawing.frame import SIZES, Room, room
from ohmwright.drawing.further import further_sheets, names_for
from ohmwright.drawing.lettering import lettered_in, plain
from ohmwright.drawing.marks import Mark
from ohmwright.drawing.one_line import Circuit, Kept, draw_circuit
from ohmwright.drawing.shapes import Group, Line, Shape, Sheet, box_of
from ohmwright.drawing.svg import svg_of
from ohmwright.papers.units import lettering
from ohmwright.services.desk import Look
from ohmwright.services.words import tag_word
from ohmwright.working.quickly import quickly_made

WORDS_OF_NOTES = ("fail", "warn", "cannot-tell", "overridden")


@dataclass(frozen=True, slots=True)
class Drawn:
    """One sheet for the screen, in millimetres of paper."""

    name: str
    svg: str
    width_mm: float
    height_mm: float
    em_mm: float
    notes: tuple[str, ...]


@quickly_made
@dataclass(frozen=True, slots=True)
class Note:
    """A finding with the number its flag bears and the zone it stands in."""

    number: str
    sheet: str
    zone: str
    word: str
    finding: Finding


@dataclass(frozen=True, slots=True)
class Circuits:
    """All circuit sheets of a rig, and its notes in the order of their numbers."""

    sheets: tuple[Drawn, ...]
    notes: tuple[Note, ...]
    trouble: str = ""
    """Why there is no sheet."""
    kept: Kept | None = None
    """The layout, so that the rig after the next edit can be drawn with its lines where they were."""


def open_findings(look: Look) -> tuple[Finding, ...]:
    """What has a note: everything but passes and what is not for this rig."""
    return tuple(f for f in look.checked.findings if f.verdict in WORDS_OF_NOTES)


def circuits(look: Look, changed: tuple[str, ...] = (), previous: Kept | None = None) -> Circuits:
    """Draw the rig with a flag for every note; where it can be, on the layout of `previous`."""
    found = open_findings(look)
    marks = tuple(Mark(f.subject, f.number, tag_word(f.verdict, f.severity)) for f in found)
    first = next(iter(look.study.cases), None)
    solution = look.study.solution(first) if first else None
    drawing = draw_circuit(
        Circuit(look.rig, look.study.graph, solution, marks, changed=changed, margin=False), previous
    )
    made = drawing.sheets
    waiting: defaultdict[tuple[str, str], deque[Finding]] = defaultdict(deque)
    for f in found:
        waiting[f.number, f.subject].append(f)
    notes = []
    for sheet in made:
        for flag in sheet.flags:
            finding = waiting[flag.rule, flag.subject].popleft()
            notes.append(
                Note(flag.number, sheet.name, flag.zone, tag_word(finding.verdict, finding.severity), finding)
            )
    notes.sort(key=lambda n: int(n.number))
    return Circuits(
        tuple(_kept_drawn(sheet, n) for n, sheet in enumerate(made)), tuple(notes), kept=drawing.kept
    )


#: Sheets as they were put on a screen last, by the sheet itself: one on which an edit changed nothing is the same one again.
_DRAWN: OrderedDict[int, tuple[Sheet, int, Drawn]] = OrderedDict()
MOST_KEPT = 200


def _kept_drawn(sheet: Sheet, nth: int) -> Drawn:
    kept = _DRAWN.get(id(sheet))
    if kept is None or kept[0] is not sheet or kept[1] != nth:
        kept = sheet, nth, _drawn(sheet, nth)
        _DRAWN[id(sheet)] = kept
        while len(_DRAWN) > MOST_KEPT:
            _DRAWN.popitem(last=False)
    return kept[2]


def further_names(look: Look) -> tuple[str, ...]:
    """The names of the further sheets of a rig, in the order of the binder."""
    return names_for(look.rig)


def further(look: Look, name: str, *, us: bool = False) -> tuple[Drawn, ...]:
    """The further sheets of one name for the screen, in US units or metric; none where the rig has nothing to show."""
    with lettered_in(lettering(us, {plain(look.rig.job.title)})):
        made = further_sheets(look.rig, look.study.graph, name)
    return tuple(_drawn(sheet, n) for n, sheet in enumerate(made))


def _drawn(sheet: Sheet, nth: int) -> Drawn:
    size = next((s for s in SIZES if SIZES[s] == (sheet.width, sheet.height)), None)
    if size is None:
        return _as_it_is(sheet, nth)
    r = room(size)
    left, top, _, bottom = r.inner
    cut = r.margin_x + 0.4
    frame = Group("", "", tuple(_left_of_margin(sheet.groups[0].shapes, r)))
    alone = replace(sheet, groups=(frame, *sheet.groups[1:]), width=cut, height=sheet.height)
    x, y = left - 6.0, top - 6.0
    width, height = cut - x, bottom + 1.0 - y
    return _placed(alone, nth, (x, y, width, height))


def _as_it_is(sheet: Sheet, nth: int) -> Drawn:
    """A sheet without a frame: a drill template."""
    return _placed(sheet, nth, (0.0, 0.0, sheet.width, sheet.height))


def _placed(sheet: Sheet, nth: int, view: tuple[float, float, float, float]) -> Drawn:
    """The part of a sheet that a page shows, with ids of its own."""
    x, y, width, height = view
    text = svg_of(sheet)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" class="circuit" data-sheet="{nth}" viewBox="{x:g} {y:g} {width:.2f} {height:.2f}" role="img" aria-labelledby="sheet-title-{nth} sheet-desc-{nth}">'
    body = text.partition(">\n")[2]
    for name in ("sheet-title", "sheet-desc"):
        body = body.replace(f'id="{name}"', f'id="{name}-{nth}"', 1)
    return Drawn(sheet.name, f"{head}\n{body}", width, height, sheet.em, sheet.notes)


def _left_of_margin(shapes: tuple[Shape, ...], r: Room) -> Iterator[Shape]:
    """The frame's own lines and zones beside the drawing; what stands in the margin is text on the page."""
    left, top, _, bottom = r.inner
    for s in shapes:
        box = box_of((s,))
        if box is None or box[0] >= r.margin_x - 1.0:
            continue
        if isinstance(s, Line) and box[2] > r.margin_x:
            yield replace(s, x1=min(s.x1, r.margin_x), x2=min(s.x2, r.margin_x))
        elif box[2] <= r.margin_x + 1.0:
            yield s
    yield Line(left, top, r.margin_x, top, 0.7, layer="frame")
    yield Line(left, top, left, bottom, 0.7, layer="frame")
    yield Line(left, bottom, r.margin_x, bottom, 0.7, layer="frame")
    yield Line(r.margin_x, top, r.margin_x, bottom, 0.7, layer="frame")
