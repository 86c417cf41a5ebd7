"""Drawing nearly the same rig again: where nothing but figures and words changed, the layout stays as it was.

A bench hand finds his circuit by where it stands, and redraws after every edit.  So a sheet that was laid out once
keeps its lines; the lettering of what changed is put in its place, provided that it finds room there.  Everything else
is drawn anew: nothing here guesses.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.draft import Draft
from ohmwright.drawing.finish import Circuit, Finish, Told, flags_told
from ohmwright.drawing.flags import in_flag
from ohmwright.drawing.geometry import crosses, overlap
from ohmwright.drawing.lettering import plain, text_box
from ohmwright.drawing.pen import Pen, pole_name
from ohmwright.drawing.shapes import Box, Line, Polyline, Text, edges
from ohmwright.drawing.view import View
from ohmwright.drawing.words import RunWords, load_lines, part_lines, run_words
from ohmwright.rig.graph import Element, Graph
from ohmwright.rig.model import Part, Rig

#: What symbols letter of themselves, whatever the figures are.
PLAIN = frozenset(("+", "−", "U", "θ", "no run", "spare", "always live", "PE", "N", "L"))


Changes = dict[str, dict[str, str]]
Said = dict[str, list[RunWords]]


@dataclass(frozen=True, slots=True)
class Kept:
    """A circuit as it was laid out, before flags, legend and frame; and as it was finished then."""

    pen: Pen
    drafts: tuple[Draft, ...]
    said: Said
    finish: Finish | None = None


@dataclass(frozen=True, slots=True)
class Relettered:
    """A kept layout with the lettering of another rig, and what of it is otherwise.

    Sheets on which nothing is otherwise are the very ones that were kept: nothing may be drawn on any of these.
    """

    drafts: tuple[Draft, ...]
    changes: Changes
    said: Said


def kept_of(pen: Pen, drafts: list[Draft]) -> Kept:
    """Keep a layout; the drafts may be drawn on afterwards."""
    return Kept(pen, tuple(d.copied() for d in drafts), _said_of(pen))


def relettered(kept: Kept, pen: Pen) -> Relettered | None:
    """The kept layout with the lettering of the new rig; None when more than lettering changed or it finds no room."""
    old, new = kept.pen.view, pen.view
    if (
        kept.pen.home != pen.home
        or kept.pen.symbols is not pen.symbols
        or not same_circuit(old, new)
        or any(d.notes for d in kept.drafts)
    ):
        return None
    said = _said_of(pen)
    changes = _changes(kept, pen, said)
    if changes is None:
        return None
    drafts = [_with(d, changes) for d in kept.drafts]
    if not all(drafts):
        return None
    pen.taken |= kept.pen.taken
    return Relettered(tuple(d for d in drafts if d), changes, said)


def retouched(circuit: Circuit, kept: Kept, new: Relettered, pen: Pen) -> tuple[Finish, bool] | None:
    """The finished sheets with the lettering of the new rig, and whether a line was drawn; None where all have to be finished anew.

    A sheet whose flags stand where they stood keeps its ink, and joins what it joined.  Where a flag comes, goes or
    says more than it has room for, that sheet alone is finished anew.
    """
    finish = kept.finish
    if finish is None or not finish.serves(circuit, pen):
        return None
    flagged, told = flags_told(circuit, new.drafts, finish.drafts)
    drafts = [
        _touched(d, new.changes, before, flags, pen.style.em)
        for d, before, flags in zip(finish.drafts, finish.told, told, strict=True)
    ]
    if not any(drafts):
        return None
    anew = [
        None if d is not None else laid_out.copied() for d, laid_out in zip(drafts, new.drafts, strict=True)
    ]
    renumbered = {
        s for before, flags in zip(finish.told, told, strict=True) if before != flags for s, _, _ in flags
    }
    refs = frozenset({*new.changes, *renumbered})
    return finish.with_lettering(circuit, pen, drafts, anew, flagged, refs), any(anew)


def _touched(
    d: Draft, changes: Changes, before: Sequence[Told], flags: Sequence[Told], em: float
) -> Draft | None:
    """A finished sheet with other lettering and other numbers in its flags; None where it has to be finished anew."""
    numbers = _renumbered(before, flags)
    own = None if numbers is None else _with_flags(changes, before)
    now = None if own is None else _with(d, own)
    if now is None or not numbers:
        return now
    canvas, found = now.canvas.copied(), []
    for k, (ref, s) in enumerate(now.canvas.items):
        if ref in numbers and isinstance(s, Text) and s.text == numbers[ref][0] and in_flag(s, em):
            canvas.exchange(k, replace(s, text=numbers[ref][1]))
            found.append(ref)
    return replace(now, canvas=canvas) if sorted(found) == sorted(numbers) else None


def _renumbered(before: Sequence[Told], flags: Sequence[Told]) -> dict[str, tuple[str, str]] | None:
    """By subject what its flag said and says, where that takes as much room; None where flags came, went or weigh otherwise."""
    if [f[:2] for f in before] != [f[:2] for f in flags]:
        return None
    out = {}
    for (subject, _, was), (_, _, now) in zip(before, flags, strict=True):
        if was != now:
            if len(was) != len(now):
                return None
            out[subject] = was, now
    return out


def _with(d: Draft, changes: Changes) -> Draft | None:
    """A draft lettered anew, the same one where nothing on it is otherwise; None where something finds no room."""
    canvas = _put(d.canvas, changes)
    if canvas is None or canvas is d.canvas:
        return None if canvas is None else d
    return replace(d, canvas=canvas)


def _with_flags(changes: Changes, flags: Sequence[Told]) -> Changes | None:
    """The changes, where what a flag says stays as it is; None where it would be taken for lettering that changes."""
    out = {ref: dict(told) for ref, told in changes.items()}
    for subject, _, said in flags:
        if (told := out.get(subject)) is not None:
            for word in (said, plain(subject)):
                if told.setdefault(word, word) != word:
                    return None
    return out


def same_circuit(old: View, new: View) -> bool:
    """True when the same things are joined in the same way, whatever their size."""
    return (
        old.graph.terminals == new.graph.terminals
        and list(map(_joint, old.graph.elements.values())) == list(map(_joint, new.graph.elements.values()))
        and list(_conductors(old.graph)) == list(_conductors(new.graph))
        and list(map(_drawn_as, old.rig.parts.values())) == list(map(_drawn_as, new.rig.parts.values()))
        and list(old.rig.use.loads) == list(new.rig.use.loads)
        and list(_runs(old.rig)) == list(_runs(new.rig))
        and old.rig.metal.keys() == new.rig.metal.keys()
        and old.always == new.always
        and _stoutest(old) == _stoutest(new)
    )


def _joint(e: Element) -> tuple[object, ...]:
    return e.id, e.kind, e.a, e.b, e.owner, e.role, e.out_a, e.out_b, e.both_ways


def _conductors(graph: Graph) -> Iterator[tuple[object, ...]]:
    return ((c.id, c.run, c.a, c.b, c.pole, c.role) for c in graph.conductors.values())


def _runs(rig: Rig) -> Iterator[tuple[object, ...]]:
    return ((r.id, r.role, r.part_of, bool(r.plugs), len(r.cores)) for r in rig.runs.values())


def _drawn_as(part: Part) -> tuple[object, ...]:
    join = part.join
    known = join and (join.how, join.plus, join.minus, join.takeoff, join.post_length is None)
    return (
        part.id,
        part.kind.name,
        part.group,
        part.strings,
        part.per_string,
        part.count,
        known,
        tuple(part.ways),
    )


def _stoutest(view: View) -> list[list[str]]:
    """Which wire a chain follows where several leave."""
    return [
        [w.id for w, _ in sorted(wires, key=lambda we: -(we[0].conductors[0].area_mm2 or 0.0))]
        for wires in view.at.values()
        if len(wires) > 1
    ]


def _changes(kept: Kept, new: Pen, said: Said) -> Changes | None:
    """By address, what was lettered and what is now; None when a line came or went."""
    old = kept.pen
    out: Changes = {}
    for i, part in new.view.rig.parts.items():
        before = old.view.rig.parts[i]
        if (
            before is not part
            and before != part
            and not _renamed(
                out,
                i,
                part_lines(before, old.home, old.view.rig),
                part_lines(part, new.home, new.view.rig),
                fixed=_fixed(new.view, i),
            )
        ):
            return None
    for i, load in new.view.rig.use.loads.items():
        was = old.view.rig.use.loads[i]
        if was != load and not _renamed(out, i, load_lines(was), load_lines(load), fixed=_fixed(new.view, i)):
            return None
    for run, now in said.items():
        for a, b in zip(kept.said[run], now, strict=True):
            if a != b and not _renamed(out, run, _said(a), _said(b), fixed=None):
                return None
    return out


def _said_of(pen: Pen) -> Said:
    """The lettering of every run: for all its wires together, and for each."""
    return {
        run: [run_words(pen.view, pen.drops, w) for w in (wires, *((w,) for w in wires))]
        for run, wires in pen.view.run_pairs.items()
    }


def _said(words: RunWords) -> list[str]:
    both = f"{words.first} {words.size}".strip()
    return [words.first, words.size, words.second, both]


#: Stands in a table of changes for: nothing else of this address may be lettered but what is listed.
ONLY = "\0only"


def _fixed(view: View, owner: str) -> frozenset[str]:
    """What is lettered at a part or load whatever its figures are."""
    names = {owner, f"{owner} −"}
    for t in view.terminals_of.get(owner, ()):
        local = t.removeprefix(owner + ".")
        words = local.split(".")
        names |= {
            pole_name(local),
            pole_name(words[-1]),
            words[0],
            f"{pole_name(local)} no run",
            view.graph.terminals[t].port,
        }
    return frozenset(names)


def _renamed(
    out: Changes,
    ref: str,
    before: list[str],
    after: list[str],
    fixed: frozenset[str] | None,
) -> bool:
    if len(before) != len(after):
        return False
    told = out.setdefault(ref, {})
    for a, b in zip(before, after, strict=True):
        if told.setdefault(a, b) != b:
            return False
    if fixed is not None:
        for word in fixed | PLAIN:
            told.setdefault(word, word)
        told[ONLY] = ""
    return True


def _put(canvas: Canvas, changes: Changes) -> Canvas | None:
    """A sheet lettered anew; None when something finds no room or is not understood."""
    edits: list[tuple[int, Text]] = []
    if canvas.refs.isdisjoint(changes):
        return canvas
    for k, (ref, s) in enumerate(canvas.items):
        told = changes.get(ref)
        if told is None or not isinstance(s, Text):
            continue
        text = told.get(s.text)
        if text is None:
            if ONLY in told or any(len(a) > 1 and a in s.text for a in told if a != told[a]):
                return None
        elif text != s.text:
            edits.append((k, replace(s, text=text)))
    if not all(_fits(canvas, k, text_now) for k, text_now in edits):
        return None
    out = canvas.copied() if edits else canvas
    for k, text_now in edits:
        _shift_neighbours(out, k, text_now)
        out.exchange(k, text_now)
    return out


def _fits(canvas: Canvas, k: int, text: Text) -> bool:
    """Whether longer lettering keeps clear of other lettering and of lines."""
    before, after = canvas.boxes[k], text_box(text)
    for box in ((after[0], after[1], before[0], after[3]), (before[2], after[1], after[2] + 0.4, after[3])):
        if box[2] - box[0] > 0.05 and not _empty(canvas, k, box):
            return False
    return True


def _empty(canvas: Canvas, k: int, box: Box) -> bool:
    mine = canvas.items[k]
    for j, ((ref, s), other) in enumerate(zip(canvas.items, canvas.boxes, strict=True)):
        if j == k or not overlap(box, other):
            continue
        if any(crosses(e, box) for e in edges(s)):
            return False
        if isinstance(s, Polyline):
            continue
        if not isinstance(s, Line) and not (
            isinstance(s, Text) and ref == mine[0] and s.y == getattr(mine[1], "y", None)
        ):
            return False
    return True


def _shift_neighbours(canvas: Canvas, k: int, text: Text) -> None:
    """A word beside another on the same line keeps its distance."""
    ref, old = canvas.items[k]
    before, after = canvas.boxes[k], text_box(text)
    assert isinstance(old, Text)
    for j, (r, s) in enumerate(canvas.items):
        if j == k or r != ref or not isinstance(s, Text) or s.y != old.y or s.anchor != old.anchor:
            continue
        box = canvas.boxes[j]
        if old.anchor == "end" and 0.0 <= before[0] - box[2] < old.em:
            canvas.exchange(j, replace(s, x=s.x + after[0] - before[0]))
        elif old.anchor == "start" and 0.0 <= box[0] - before[2] < old.em:
            canvas.exchange(j, replace(s, x=s.x + after[2] - before[2]))
