"""Leading open wires to their ends on the sheet, nearest first; what cannot be led is broken off."""

from dataclasses import dataclass, replace

from ohmwright.drawing.bars import number_tap
from ohmwright.drawing.breaking import break_off
from ohmwright.drawing.caption import letter
from ohmwright.drawing.draft import Draft, Port, goals_of, ink_path, starts_of, tap_bar
from ohmwright.drawing.field import corners
from ohmwright.drawing.pen import Pen
from ohmwright.drawing.shapes import GRID, Pin
from ohmwright.drawing.view import End, Wire

#: Steps of the grid a wire may cost before it is broken off instead.
LONGEST = 190


@dataclass(frozen=True, slots=True)
class Task:
    """A wire to be led from one place to another; `lettered` is False when its words are still to be placed."""

    wire: Wire
    source: Port | None
    target: Port | None
    source_end: End
    target_end: End
    lettered: bool


def landings(drafts: list[Draft], wire: Wire, end: End) -> list[Port]:
    """All places of an end: a bar, or pins of symbols."""
    out: list[Port] = []
    for d in drafts:
        out += [
            Port(d, (), b)
            for b in d.bars
            if b.ref == end.owner or (b.post and not wire.ac and b.post == end.terminal)
        ]
        cable = wire.ac and len(wire.cores) > 1
        spots = [
            (a.x, a.y, a.exits)
            for a in d.landings(end.nodes[0][1])
            if (len(a.nodes) > 1 if cable else a.nodes == (("", end.terminal),))
        ]
        if spots:
            out.append(Port(d, (*spots, *_joints(d, spots))))
    return out


def _joints(draft: Draft, spots: list[tuple[float, float, str]]) -> list[tuple[float, float, str]]:
    """Points close to a pin on the line that leaves it already: another wire of the same terminal may join there."""
    out = []
    for x, y in dict.fromkeys((x, y) for x, y, _ in spots):
        for fx, fy in draft.leaving(x, y):
            length = abs(fx - x) + abs(fy - y)
            for step in (GRID, 2 * GRID):
                if step < length:
                    ux, uy = (fx - x) / length, (fy - y) / length
                    out.append((x + ux * step, y + uy * step, "LR" if uy else "UD"))
    return out


def tasks_of(pen: Pen, drafts: list[Draft]) -> list[Task]:
    """Every wire that is not finished, nearest first."""
    tasks: list[Task] = []
    opened: set[str] = set()
    for d in drafts:
        for o in d.opens:
            opened.add(o.wire.id)
            other = o.wire.other(o.end) if o.end in (o.wire.a, o.wire.b) else o.wire.a
            tasks.append(
                _aimed(drafts, Task(o.wire, Port(d, ((o.x, o.y, o.exits),)), None, other, o.end, True))
            )
    left = [w for w in pen.view.wires.values() if w.id not in pen.taken and w.id not in opened]
    tasks += [_aimed(drafts, Task(w, None, None, w.a, w.b, False)) for w in left]
    return sorted(tasks, key=lambda t: (_distance(t), t.wire.id))


def _aimed(drafts: list[Draft], task: Task) -> Task:
    """The task with the places its ends can be reached at now."""
    targets = landings(drafts, task.wire, task.target_end)
    if task.lettered and task.source is not None:
        here = task.source.draft
        return replace(
            task, target=next((t for t in targets if t.draft is here), targets[0] if targets else None)
        )
    sources = landings(drafts, task.wire, task.source_end)
    pair = next(((p, q) for p in sources for q in targets if p.draft is q.draft), None)
    source, target = pair or (sources[0] if sources else None, targets[0] if targets else None)
    return replace(task, source=source, target=target)


def _distance(task: Task) -> float:
    if task.source is None or task.target is None or task.source.draft is not task.target.draft:
        return 1e6
    ys = [p[1] for p in task.source.points] or [task.source.bar.y if task.source.bar else 0.0]
    yt = [p[1] for p in task.target.points] or [task.target.bar.y if task.target.bar else 0.0]
    if task.source.points and task.target.points:
        return min(
            abs(a[0] - b[0]) + abs(a[1] - b[1]) for a in task.source.points for b in task.target.points
        )
    return min(abs(a - b) for a in ys for b in yt)


def lead(pen: Pen, drafts: list[Draft]) -> None:
    """Lead every open wire, or break it off."""
    waiting: list[Task] = []
    for task in tasks_of(pen, drafts):
        pen.taken.add(task.wire.id)
        task = _aimed(drafts, task)
        together = (
            task.source is not None and task.target is not None and task.source.draft is task.target.draft
        )
        away = task.wire.id.startswith("~") and task.target is None
        if away or not together or not _routed(pen, task):
            waiting.append(task)
    for task in waiting:
        aimed = _aimed(drafts, task)
        break_off(
            pen,
            aimed.wire,
            aimed.source,
            aimed.target,
            aimed.source_end,
            aimed.target_end,
            lettered=aimed.lettered,
        )


def _routed(pen: Pen, task: Task) -> bool:
    source, target = task.source, task.target
    assert source is not None
    assert target is not None
    if source.bar is not None and target.bar is None:
        source, target = target, source
    draft = source.draft
    free = draft.free
    limit = min(LONGEST, round(_distance(task) / GRID * 1.6) + 100)
    path = free.route(starts_of(source, free), goals_of(target, free), limit)
    if path is None:
        return False
    points = corners([free.point(n) for n in path])
    ink_path(draft, task.wire, points)
    if task.wire.ac:
        for port, (x, y) in ((source, points[0]), (target, points[-1])):
            end = task.target_end if port is task.target else task.source_end
            draft.canvas.add(task.wire.run, Pin(x, y, end.nodes))
    for port, (x, _) in ((source, points[0]), (target, points[-1])):
        if port.bar is not None:
            end = task.target_end if port is task.target else task.source_end
            nxt = points[1] if port is source else points[-2]
            side = "above" if nxt[1] < port.bar.y else "below"
            tap_bar(free, port.bar, x, end.terminal, side)
            number_tap(pen, draft, port.bar)
    if not task.lettered:
        letter(pen, draft, task.wire, points)
    return True
