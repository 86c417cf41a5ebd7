"""What a laid-out sheet still needs: bars, flags, the legend, the box of what is not joined, frame and margin."""

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from ohmwright.circuit.types import Solution
from ohmwright.drawing import symbols
from ohmwright.drawing.bars import draw_bars
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.draft import Draft
from ohmwright.drawing.flags import flag, revised, taken_out
from ohmwright.drawing.frame import Follow, Numbered, Title, draw_follows, draw_frame, draw_margin, draw_title
from ohmwright.drawing.ink import inked
from ohmwright.drawing.layout import arrow, lonely_of
from ohmwright.drawing.lettering import plain, text_width
from ohmwright.drawing.marks import WORDS, Mark
from ohmwright.drawing.pen import Pen
from ohmwright.drawing.shapes import Circle, Flagged, Group, Hit, Line, Shape, Sheet
from ohmwright.drawing.words import part_lines
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

CAUTIONS = (
    "A drawing does not make a circuit dead. Isolate, lock and prove dead before touching anything.",
    "The array cannot be switched off: cover it or open its switch. The bank can weld a spanner.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)


@dataclass(frozen=True, slots=True)
class Circuit:
    """What the circuit sheets are made from."""

    rig: Rig
    graph: Graph
    solution: Solution | None = None
    marks: tuple[Mark, ...] = ()
    title: Title | None = None
    follows: tuple[Follow, ...] = ()
    changed: tuple[str, ...] = ()
    """Addresses that bear the revision triangle."""
    removed: tuple[str, ...] = ()
    """Addresses that are taken out: their ink is crossed by short ticks. The sheet is then that of the state before."""
    margin: bool = True
    """False where title block and notes stand beside the sheet."""


#: A flag: its subject, its word, and the numbers in it.
Told = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Finish:
    """The sheets of a circuit, and what they were finished from."""

    circuit: Circuit
    sheets: tuple[Sheet, ...]
    drafts: tuple[Draft, ...]
    """With everything that is drawn beside what was laid out: bars, flags, the legend."""
    told: tuple[tuple[Told, ...], ...]
    """The flags of each sheet."""
    explained: tuple[bool, ...]
    """Which of the sheets say how they are read."""

    def serves(self, circuit: Circuit, pen: Pen) -> bool:
        """Whether nothing but lettering, marks and margin can be otherwise in the sheets of another circuit."""
        old = self.circuit
        return (
            (old.follows, old.changed, old.removed) == (circuit.follows, circuit.changed, circuit.removed)
            and (old.title and old.title.revision) == (circuit.title and circuit.title.revision)
            and not lonely_of(pen)
        )

    def with_lettering(
        self,
        circuit: Circuit,
        pen: Pen,
        drafts: Sequence[Draft | None],
        anew: Sequence[Draft | None],
        flagged: "Flags",
        refs: frozenset[str],
    ) -> "Finish":
        """The same sheets, with what is lettered at some addresses as the drafts have it now.

        Where there is no such draft the sheet is finished from the one that is laid out `anew`.
        """
        made: list[_Made] = []
        retitled = _retitled(self.circuit.rig, circuit.rig)
        for i, (d, laid_out) in enumerate(zip(drafts, anew, strict=True)):
            if d is not None:
                sheet = self._with(i, d, circuit, pen, flagged[i], refs, retitled)
                made.append(_Made(sheet, d, _told_flags(d, flagged[i]), self.explained[i]))
            elif laid_out is not None:
                others = any(self.explained[:i])
                made.append(_made(circuit, pen, laid_out, (i, len(drafts)), flagged[i], explained=others))
        return _finish_of(circuit, made)

    def _with(
        self,
        nth: int,
        d: Draft,
        circuit: Circuit,
        pen: Pen,
        mine: list[Numbered],
        refs: frozenset[str],
        retitled: set[str],
    ) -> Sheet:
        """One sheet; the very same where nothing of it is otherwise."""
        sheet, count = self.sheets[nth], len(self.sheets)
        bare = not circuit.margin and not self.circuit.margin
        title, description, flags = _title(circuit, d), _description(circuit, d, count), _flags_of(mine)
        if bare and d is self.drafts[nth] and retitled.isdisjoint(d.canvas.refs):
            same = (title, description, flags) == (sheet.title, sheet.description, sheet.flags)
            return sheet if same else replace(sheet, title=title, description=description, flags=flags)
        changed: dict[str, list[Shape]] = {}
        for ref, s in d.canvas.items:
            if ref in refs and not (isinstance(s, Line) and s.layer == "conductor"):
                changed.setdefault(ref, []).append(s)
        groups = [
            replace(
                g,
                title=_told(circuit.rig, g.ref),
                shapes=tuple(changed[g.ref]) if g.ref in changed else g.shapes,
            )
            for g in sheet.groups[2:]
        ]
        frame = sheet.groups[0]
        if not bare:
            frame = Group("", "", tuple(s for _, s in _frame(circuit, pen, d, nth, count, mine).items))
        return replace(
            sheet,
            title=title,
            description=description,
            groups=(frame, sheet.groups[1], *groups),
            flags=flags,
        )


@dataclass(frozen=True, slots=True)
class _Made:
    """One finished sheet, with the draft it was drawn on, its flags, and whether it says how it is read."""

    sheet: Sheet
    draft: Draft
    told: tuple[Told, ...]
    explained: bool


def finished(circuit: Circuit, pen: Pen, drafts: list[Draft]) -> Finish:
    """The sheets, once every wire is led."""
    flagged = _flagged(circuit, drafts)
    made: list[_Made] = []
    for i, d in enumerate(drafts):
        explained = any(m.explained for m in made)
        made.append(_made(circuit, pen, d, (i, len(drafts)), flagged[i], explained=explained))
    return _finish_of(circuit, made)


def _finish_of(circuit: Circuit, made: Sequence[_Made]) -> Finish:
    return Finish(
        circuit,
        tuple([m.sheet for m in made]),
        tuple([m.draft for m in made]),
        tuple([m.told for m in made]),
        tuple([m.explained for m in made]),
    )


def _made(
    circuit: Circuit,
    pen: Pen,
    d: Draft,
    nth_of: tuple[int, int],
    mine: list[Numbered],
    *,
    explained: bool,
) -> _Made:
    """One sheet of several, with bars, flags, legend and frame; `explained` where one before it says how all are read."""
    nth, count = nth_of
    draw_bars(pen, d)
    if nth == count - 1:
        _lonely(pen, d)
    told = _told_flags(d, mine)
    _draw_flags(circuit, pen, d, told)
    own = _legend(pen, d)
    if nth == count - 1 and not (own or explained):
        d.notes.append("no room to say how the sheets are read")
    frame = _frame(circuit, pen, d, nth, count, mine)
    return _Made(replace(_sheet(circuit, pen, d, frame, count), flags=_flags_of(mine)), d, told, own)


def _frame(circuit: Circuit, pen: Pen, d: Draft, nth: int, count: int, mine: list[Numbered]) -> Canvas:
    """Frame, title block, what follows, and the margin with its notes."""
    title = circuit.title or Title(circuit.rig.job.title or circuit.rig.job.id or "no name")
    canvas, em = Canvas(), pen.style.em
    draw_frame(canvas, d.room, em)
    if not circuit.margin:
        return canvas
    block = replace(
        title,
        sheet=title.sheet or "Circuit sheet",
        note=title.note or "DC two-line, AC one-line",
        number=d.number,
        of=str(count),
    )
    top = draw_title(canvas, d.room, block, em)
    top = draw_follows(canvas, d.room, circuit.follows if nth == 0 else (), title.revision, top, em)
    draw_margin(canvas, d.room, _told_once(mine), CAUTIONS, top, em)
    return canvas


def _flags_of(mine: list[Numbered]) -> tuple[Flagged, ...]:
    return tuple(Flagged(n.number, n.zone, n.mark.number, n.mark.subject) for n in mine)


Flags = list[list[Numbered]]


def flags_told(
    circuit: Circuit, laid_out: Sequence[Draft], drawn: Sequence[Draft]
) -> tuple[Flags, tuple[tuple[Told, ...], ...]]:
    """The notes of each sheet, and what its flags say of them."""
    flagged = _flagged(circuit, laid_out)
    return flagged, tuple(_told_flags(d, mine) for d, mine in zip(drawn, flagged, strict=True))


def _flagged(circuit: Circuit, drafts: Sequence[Draft]) -> Flags:
    """Marks by sheet in the order of their numbers: heaviest first, then by zone."""
    found: list[tuple[int, str, int, Mark, Draft]] = []
    drawn_on = {subject: d for d in reversed(drafts) for subject in _drawn_on(d)}
    for k, mark in enumerate(circuit.marks):
        subject = _drawn_subject(mark.subject, drawn_on)
        d = drawn_on.get(subject, drafts[0])
        found.append((WORDS.index(mark.word), _zone(d, subject), k, mark, d))
    found.sort(key=lambda f: f[:3])
    numbers: dict[tuple[str, ...], str] = {}
    out: dict[int, list[Numbered]] = {id(d): [] for d in drafts}
    for k, (_, zone, _, mark, d) in enumerate(found):
        same = (mark.word, mark.number, mark.text, mark.remedy, mark.extra, "" if mark.text else str(k))
        number = numbers.setdefault(same, str(len(numbers) + 1))
        out[id(d)].append(Numbered(mark, number, zone))
    return list(out.values())


def _told_once(notes: list[Numbered]) -> list[Numbered]:
    """Notes that say the same of several subjects as one note that names them all."""
    by_number: dict[str, list[Numbered]] = {}
    for n in notes:
        by_number.setdefault(n.number, []).append(n)
    return [
        replace(
            first[0],
            mark=replace(first[0].mark, subject=" ".join(dict.fromkeys(n.mark.subject for n in first))),
        )
        for first in by_number.values()
    ]


def _drawn_on(d: Draft) -> Iterator[str]:
    """What a flag can stand at."""
    return chain(d.canvas.anchors, (b.ref for b in d.bars))


def _drawn_subject(subject: str, drawn: Container[str]) -> str:
    """The address itself where it is drawn, else the nearest thing above it that is."""
    while subject and subject not in drawn:
        subject = subject.rpartition(".")[0]
    return subject


def _zone(d: Draft, subject: str) -> str:
    spots = d.canvas.anchors.get(subject)
    if spots:
        return d.room.zone(spots[0][0], spots[0][1])
    bar = next((b for b in d.bars if b.ref == subject), None)
    return d.room.zone(bar.x1, bar.y) if bar else ""


def _told_flags(d: Draft, notes: list[Numbered]) -> tuple[Told, ...]:
    """One flag a subject: the heaviest word, its number, and how many more notes there are."""
    by_subject: dict[str, list[Numbered]] = {}
    drawn = set(_drawn_on(d))
    for n in notes:
        by_subject.setdefault(_drawn_subject(n.mark.subject, drawn), []).append(n)
    out = []
    for subject, mine in by_subject.items():
        numbers = list(dict.fromkeys(n.number for n in mine))
        told = numbers[0] if len(numbers) == 1 else f"{numbers[0]} +{len(numbers) - 1}"
        out.append((subject, mine[0].mark.word, told))
    return tuple(out)


def _draw_flags(circuit: Circuit, pen: Pen, d: Draft, flags: tuple[Told, ...]) -> None:
    for subject, word, told in flags:
        flag(pen, d, subject, word, told)
    revision = circuit.title.revision if circuit.title else ""
    letter = revision if 0 < len(revision) <= 2 else "Δ"
    for address in dict.fromkeys(circuit.changed):
        revised(pen, d, address, letter)
    for address in dict.fromkeys(circuit.removed):
        taken_out(d, address)


def _lonely(pen: Pen, d: Draft) -> None:
    """Parts that no run joins: a box of their own, never left out."""
    names = lonely_of(pen)
    if not names:
        return
    em = pen.style.em
    rows = [
        f"{i}  {', '.join(part_lines(p, pen.home, pen.view.rig)) if (p := pen.view.rig.parts.get(i)) is not None else 'load'}"
        for i in names
    ]
    width = max(text_width(r, em) for r in [*rows, "NOT YET JOINED"]) + 6.0
    height = (len(rows) + 1.6) * pen.style.line + 2.0
    field = d.noted()
    spot = field.nearest_room(width + 2.5, height + 2.5, d.room.drawing[2], d.room.drawing[1])
    if spot is None:
        d.notes.append("not yet joined: " + ", ".join(names))
        return
    x, y = spot[0] + 1.2, spot[1] + 1.2
    d.canvas.box("", x, y, x + width, y + height, 0.25, "place", layer="note")
    d.canvas.text("", x + 2.0, y + pen.style.line, "NOT YET JOINED", em, "sans-bold")
    for i, (name, row) in enumerate(zip(names, rows, strict=True)):
        d.canvas.text(name, x + 2.0, y + pen.style.line * (i + 2), row, em)
        d.canvas.anchor(name, (x - 0.9, y + pen.style.line * (i + 1.6), "right"))


LEGEND = (
    ("wire", "DC conductor, one line a pole"),
    ("ac", "AC cable, one line; slash L, dot N, bar PE"),
    ("earth", "protective earth or bond"),
    ("data", "sense or data"),
    ("hop", "crosses, not joined"),
    ("stud", "figure at a bar: stud"),
    ("arrow", "goes on at the named place and zone"),
)


def _legend(pen: Pen, d: Draft) -> bool:
    """How to read the sheet, in the first hole that is big enough; False without one."""
    em, step = pen.style.em, pen.style.line * 1.35
    home = f"no place named: at {pen.home}" if pen.home else ""
    tail = [
        w
        for w in (
            home,
            "run: reference, size, colour; length one way, drop from 0.5 % up",
            f"a figure not known is printed ?; {pen.symbols.told}",
        )
        if w
    ]
    width = max([16.0 + max(text_width(t, em) for _, t in LEGEND), *(text_width(t, em) for t in tail)]) + 3.0
    height = step * (len(LEGEND) + 1) + pen.style.line * (len(tail) + 0.6) + 3.0
    field = d.noted()
    left, top, right, _ = d.room.drawing
    spots = [field.nearest_room(width + 2.5, height + 2.5, x, top) for x in (right, left)]
    found = [s for s in spots if s is not None]
    if not found:
        return False
    x, y = min(found, key=lambda s: (s[1], -s[0]))
    x, y = x + 1.5, y + 2.0
    c = d.canvas
    c.text("", x, y + em, "HOW TO READ", em, "sans-bold")
    for i, (what, told) in enumerate(LEGEND):
        at = y + step * (i + 1) + em * 0.9
        mid = at - em * 0.33
        if what == "wire":
            c.line("", x, mid, x + 12.0, mid, 0.5, layer="note")
        elif what == "ac":
            c.line("", x, mid, x + 12.0, mid, 0.5, layer="note")
            sample = Canvas()
            symbols.core_marks(sample, "", x + 6.0, mid, ("L", "N", "PE"), upright=False)
            for _, s in sample.items:
                if isinstance(s, Line | Circle):
                    c.add("", replace(s, layer="note"))
        elif what == "earth":
            c.line("", x, mid, x + 12.0, mid, 0.35, "earth", layer="note")
        elif what == "data":
            c.line("", x, mid, x + 12.0, mid, 0.25, "data", layer="note")
        elif what == "hop":
            c.line("", x, mid, x + 12.0, mid, 0.5, layer="note")
            c.line("", x + 6.0, mid - 2.2, x + 6.0, mid - 1.1, 0.5, layer="note")
            c.line("", x + 6.0, mid + 1.1, x + 6.0, mid + 2.2, 0.5, layer="note")
            c.arc("", x + 6.0, mid, 1.1, 270, 90, 0.5)
        elif what == "stud":
            c.text("", x + 6.0, at, "3", em, "sans", "middle", "graphite")
        else:
            c.line("", x, mid, x + 6.0, mid, 0.5, layer="note")
            arrow(c, "", x + 6.0, mid, "right")
        c.text("", x + 15.0, at, told, em)
    at = y + step * (len(LEGEND) + 1) + em * 0.9
    for k, line in enumerate(tail):
        c.text("", x, at + pen.style.line * (k + 0.3), line, em)
    return True


def _sheet(circuit: Circuit, pen: Pen, d: Draft, frame: Canvas, count: int) -> Sheet:
    lines = [s for _, s in d.canvas.items if isinstance(s, Line) and s.layer == "conductor"]
    by_ref: dict[str, list[Shape]] = {}
    for ref, s in d.canvas.items:
        if not (isinstance(s, Line) and s.layer == "conductor"):
            by_ref.setdefault(ref, []).append(s)
    groups = [Group("", "", tuple(s for _, s in frame.items))]
    groups.append(Group("", "", tuple(inked(lines, d.bars))))
    groups += [Group(ref, _told(circuit.rig, ref), tuple(shapes)) for ref, shapes in by_ref.items()]
    hits: dict[str, list[Hit]] = {}
    for ref, s in d.canvas.items:
        if isinstance(s, Line) and s.layer == "conductor":
            hits.setdefault(ref, []).append(Hit(ref, ((s.x1, s.y1), (s.x2, s.y2))))
    zones = {ref: _zone(d, ref) for ref in d.canvas.anchors if ref}
    return Sheet(
        d.number,
        _title(circuit, d),
        _description(circuit, d, count),
        d.room.width,
        d.room.height,
        tuple(groups),
        tuple(h for hs in hits.values() for h in hs),
        zones,
        pen.style.em,
        tuple(d.notes),
    )


def _title(circuit: Circuit, d: Draft) -> str:
    return f"{plain(circuit.rig.job.title or circuit.rig.job.id)}, circuit sheet {d.number}"


def _description(circuit: Circuit, d: Draft, count: int) -> str:
    name = circuit.rig.job.title or circuit.rig.job.id
    parts = sum(1 for p in circuit.rig.parts.values() if not p.group)
    text = f"Circuit sheet {d.number} of {count} of {plain(name)}: {parts} parts and {len(circuit.rig.runs)} runs; direct current conductor by conductor, AC cable by cable."
    if circuit.marks:
        text += (
            " Marks: "
            + ", ".join(f"{m.word.lower()} at {plain(m.subject)}" for m in circuit.marks[:20])
            + "."
        )
    return text


def _retitled(old: Rig, new: Rig) -> set[str]:
    """What is called otherwise in another rig with the same parts and runs."""
    return {
        ref
        for was, now in ((old.parts, new.parts), (old.runs, new.runs))
        for ref in now
        if was[ref] is not now[ref] and _told(old, ref) != _told(new, ref)
    }


def _told(rig: Rig, ref: str) -> str:
    if ref in rig.parts:
        return f"{ref}, {rig.parts[ref].record.title}"
    if ref in rig.runs:
        return f"{ref}, {rig.runs[ref].start} to {rig.runs[ref].stop}, {rig.runs[ref].cable.text}"
    return ref
