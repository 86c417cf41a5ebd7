"""What a draughtsman's checker would strike out: lettering on lettering or on lines, crossings that do not say
whether they join, ink beyond the frame, parts or runs that are missing or named twice."""

from collections import Counter
from dataclasses import dataclass

from ohmwright.drawing.geometry import crosses, overlap
from ohmwright.drawing.lettering import CAPITAL, LEAST_mm, lacking, text_box
from ohmwright.drawing.readback import Stroke, strokes_of
from ohmwright.drawing.shapes import Arc, Box, Circle, Line, Pin, Polyline, Sheet, Text, box_of, edges
from ohmwright.rig.model import Rig
from ohmwright.rig.ports import inside_of, is_group

#: Air that lettering keeps from other lettering, and from lines, in millimetres.
TEXT_AIR, LINE_AIR = 0.15, 0.05


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a sheet."""

    sheet: str
    what: str
    where: tuple[float, float]

    def __str__(self) -> str:
        return f"{self.sheet} ({self.where[0]:.0f}, {self.where[1]:.0f}): {self.what}"


def lint(sheets: tuple[Sheet, ...], rig: Rig) -> list[Fault]:
    """Everything wrong with the sheets of a circuit; nothing when they may be printed."""
    return [*lint_ink(sheets), *_coverage(sheets, rig), *_said(sheets)]


def lint_ink(sheets: tuple[Sheet, ...]) -> list[Fault]:
    """What overlaps or leaves the frame, on sheets of any sort."""
    out: list[Fault] = []
    strokes = strokes_of(sheets)
    for n, sheet in enumerate(sheets):
        out += _texts(sheet)
        out += _crossings(sheet, [s for s in strokes if s.sheet == n])
        out += _frame(sheet)
    return out


def _said(sheets: tuple[Sheet, ...]) -> list[Fault]:
    return [Fault(s.name, note, (0.0, 0.0)) for s in sheets for note in s.notes]


def _texts(sheet: Sheet) -> list[Fault]:
    texts = [(s, text_box(s)) for s in sheet.shapes() if isinstance(s, Text)]
    out: list[Fault] = []
    ordered = sorted(texts, key=lambda t: t[1][0])
    for i, (a, box) in enumerate(ordered):
        for b, other in ordered[i + 1 :]:
            if other[0] > box[2]:
                break
            if overlap(box, other, TEXT_AIR):
                out.append(Fault(sheet.name, f"'{a.text}' lies on '{b.text}'", (a.x, a.y)))
    flags = [s for s in sheet.shapes() if isinstance(s, Polyline) and s.layer == "flag" and s.closed]
    lines = [s for s in sheet.shapes() if isinstance(s, Line | Polyline) and s.layer not in ("flag", "core")]
    marks = [
        inked
        for s in sheet.shapes()
        if isinstance(s, Line | Circle | Arc)
        and s.layer in ("core", "hop", "dot")
        and (inked := box_of((s,))) is not None
    ]
    around = [held for flag in flags if (held := box_of((flag,))) is not None]
    for text, box in texts:
        if text.em * CAPITAL < LEAST_mm - 1e-6:
            out.append(
                Fault(sheet.name, f"capitals of {text.em * CAPITAL:.2f} mm: '{text.text}'", (text.x, text.y))
            )
        shrunk = (
            box[0] + LINE_AIR,
            box[1] + LINE_AIR + text.em * 0.06,
            box[2] - LINE_AIR,
            box[3] - LINE_AIR - text.em * 0.1,
        )
        if unprinted := lacking(text.text, text.face):
            out.append(
                Fault(sheet.name, f"the face has no '{unprinted}' for '{text.text}'", (text.x, text.y))
            )
        in_flag = any(_inside(box, f) for f in flags)
        for s in lines:
            if any(crosses(e, shrunk) for e in edges(s)):
                out.append(
                    Fault(sheet.name, f"a line of '{s.layer}' runs through '{text.text}'", (text.x, text.y))
                )
                break
        if any(overlap(shrunk, m, 0.1) for m in marks if not _struck_out(text, box, m)):
            out.append(Fault(sheet.name, f"a mark lies on '{text.text}'", (text.x, text.y)))
        if not in_flag and any(overlap(shrunk, f, 0.1) for f in around):
            out.append(Fault(sheet.name, f"a flag lies on '{text.text}'", (text.x, text.y)))
    wires = [s for s in sheet.shapes() if isinstance(s, Line) and s.layer in ("conductor", "bus")]
    out += [
        Fault(sheet.name, "a flag lies on a line", (f[0], f[1]))
        for f in around
        if any(crosses((w.x1, w.y1, w.x2, w.y2), f) for w in wires)
    ]
    return out


def _struck_out(text: Text, box: Box, mark: Box) -> bool:
    """Whether a mark is the level stroke through a whole reference that says: taken out."""
    level = mark[1] == mark[3] and abs(mark[1] - (box[1] + box[3]) / 2) < 0.05
    return level and text.face == "sans-bold" and mark[0] < box[0] and box[2] < mark[2]


def _inside(box: Box, flag: Polyline) -> bool:
    around = box_of((flag,))
    return (
        around is not None
        and around[0] <= box[0]
        and box[2] <= around[2]
        and around[1] <= box[1] + 0.6
        and box[3] - 0.6 <= around[3]
    )


def _crossings(sheet: Sheet, strokes: list[Stroke]) -> list[Fault]:
    """Lines that cross or meet without a hop or a dot, and lines over a bar."""
    dots = [(s.cx, s.cy) for s in sheet.shapes() if isinstance(s, Circle) and s.layer == "dot"]
    out: list[Fault] = []

    def dotted(x: float, y: float) -> bool:
        return any(abs(a - x) < 0.05 and abs(b - y) < 0.05 for a, b in dots)

    level = [s for s in strokes if not s.upright and not s.arc]
    upright = [s for s in strokes if s.upright and not s.arc]
    for h in level:
        y = h.ends[0][1]
        a, b = sorted((h.ends[0][0], h.ends[1][0]))
        for v in upright:
            x = v.ends[0][0]
            c, d = sorted((v.ends[0][1], v.ends[1][1]))
            if not (a - 0.02 < x < b + 0.02 and c - 0.02 < y < d + 0.02):
                continue
            middle_h, middle_v = a + 0.05 < x < b - 0.05, c + 0.05 < y < d - 0.05
            if (middle_h or middle_v) and not dotted(x, y):
                out.append(
                    Fault(sheet.name, "lines cross or meet and nothing says whether they join", (x, y))
                )
    for bar in (
        s for s in sheet.shapes() if isinstance(s, Line) and s.layer == "bus" and abs(s.y1 - s.y2) < 0.02
    ):
        for v in upright:
            x = v.ends[0][0]
            c, d = sorted((v.ends[0][1], v.ends[1][1]))
            if min(bar.x1, bar.x2) - 0.02 < x < max(bar.x1, bar.x2) + 0.02 and c + 0.05 < bar.y1 < d - 0.05:
                out.append(Fault(sheet.name, "a line crosses a bar without a hop", (x, bar.y1)))
    return out + _over_upright_bars(sheet, level)


def _over_upright_bars(sheet: Sheet, level: list[Stroke]) -> list[Fault]:
    """Lines that run over a standing bar; one that ends on it is joined to it."""
    return [
        Fault(sheet.name, "a line crosses a bar without a hop", (bar.x1, h.ends[0][1]))
        for bar in sheet.shapes()
        if isinstance(bar, Line) and bar.layer == "bus" and abs(bar.x1 - bar.x2) < 0.02
        for h in level
        if min(h.ends[0][0], h.ends[1][0]) + 0.05 < bar.x1 < max(h.ends[0][0], h.ends[1][0]) - 0.05
        and min(bar.y1, bar.y2) - 0.02 < h.ends[0][1] < max(bar.y1, bar.y2) + 0.02
    ]


def _frame(sheet: Sheet) -> list[Fault]:
    out = []
    for s in sheet.shapes():
        b = box_of((s,)) if not isinstance(s, Pin) else None
        if b is not None and (
            b[0] < 10.0 or b[1] < 4.0 or b[2] > sheet.width - 4.0 or b[3] > sheet.height - 4.0
        ):
            out.append(
                Fault(
                    sheet.name,
                    f"{type(s).__name__.lower()} beyond the frame: {getattr(s, 'text', '')}",
                    (b[0], b[1]),
                )
            )
    return out


def _coverage(sheets: tuple[Sheet, ...], rig: Rig) -> list[Fault]:
    words: Counter[str] = Counter()
    refs: set[str] = set()
    bold: Counter[str] = Counter()
    for sheet in sheets:
        for group in sheet.groups:
            if group.shapes:
                refs.add(group.ref)
            for s in group.shapes:
                if isinstance(s, Text):
                    for word in s.text.replace(",", " ").split():
                        words[word] += 1
                    if s.face == "sans-bold" and s.text == group.ref:
                        bold[s.text] += 1
        refs |= {h.ref for h in sheet.hits}
    out = []
    for part in rig.parts.values():
        name = part.id
        if part.strings or (part.group and rig.parts[part.group].strings):
            continue
        if not is_group(part) and not inside_of(part).ports:
            continue
        if name not in refs or name not in words:
            out.append(Fault("all", f"{name} is not drawn", (0.0, 0.0)))
    arrays = [p.id for p in rig.parts.values() if p.strings]
    out += [
        Fault("all", f"{i} is not drawn", (0.0, 0.0))
        for i in arrays
        if not any(w == i or w.startswith(i + ".") for w in words)
    ]
    for run in rig.runs.values():
        if run.id not in refs:
            out.append(Fault("all", f"{run.id} is not drawn", (0.0, 0.0)))
        elif run.id not in words and not run.id.endswith(".branch"):
            out.append(Fault("all", f"{run.id} is not named", (0.0, 0.0)))
    for name, n in bold.items():
        named = rig.parts.get(name)
        if (
            n > 1
            and named is not None
            and named.kind.name not in ("busbar", "earth-bar")
            and not is_group(named)
        ):
            out.append(Fault("all", f"{name} is named {n} times", (0.0, 0.0)))
    return out
