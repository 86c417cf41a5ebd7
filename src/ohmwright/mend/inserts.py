"""Answers by a new device: at the source's end of a run, or on the post of each battery of a bank."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from ohmwright.circuit.devices import device_of
from ohmwright.mend.ask import Ask, PIECE_m, end_at, free_id, quoted, written_length
from ohmwright.mend.edits import Put, SetAt
from ohmwright.mend.shop import rated_A
from ohmwright.mend.trial import groups, loaded
from ohmwright.mend.types import Change, Edit, Ladder, Step
from ohmwright.rig.model import Run
from ohmwright.shelf.record import Record
from ohmwright.study import Study
from ohmwright.working import known

#: Ports whose part names its own device: the largest, or the one its maker wants.
MADE_FOR = {"in": "fuse_in", "out": "fuse_out", "bat": "fuse_max", "dc": "fuse_dc"}
OVERLOAD = "wiring/overload"
#: What a new device is rated over the current that lasts; common practice (a device carries 80 % of its rating for ever).
LASTING_factor = 1.25


def at_source(ask: Ask) -> list[Ladder]:
    """A fuse where the first run of the finding's path leaves its source."""
    for before, name in zip(ask.finding.path, ask.finding.path[1:], strict=False):
        conductor = ask.study.graph.conductors.get(name)
        run = ask.rig.runs.get(conductor.run) if conductor is not None else None
        if conductor is None or run is None or run.part_of:
            continue
        end = end_at(run, before)
        if not end or not _is_plus(ask, before):
            return []
        return [fitting(ask, _cutter(ask, run, end, before), _most_A(ask, run, before))]
    return []


def ahead(ask: Ask) -> Iterator[Ladder]:
    """A device of its own for a conductor that hangs on too large a one: at either end, whichever feeds it."""
    conductor = ask.study.graph.conductors.get(ask.finding.subject)
    run = ask.rig.runs.get(conductor.run) if conductor is not None else None
    if conductor is None or run is None or run.part_of:
        return
    for end, terminal in (("from", conductor.a), ("to", conductor.b)):
        if _is_plus(ask, terminal) and terminal not in _devices(ask):
            yield fitting(ask, _cutter(ask, run, end, terminal), _most_A(ask, run, terminal))


def _devices(ask: Ask) -> set[str]:
    """Terminals of overcurrent devices: a second one there protects nothing more."""
    return {
        t for e in ask.study.graph.elements.values() if device_of(ask.rig, e) is not None for t in (e.a, e.b)
    }


def _is_plus(ask: Ask, terminal: str) -> bool:
    """A live pole of direct current, by what it is wired to through terminals without a mark."""
    graph = ask.study.graph
    marks: set[str] = set()
    seen, work = {terminal}, [terminal]
    while work:
        t = work.pop()
        if graph.terminals[t].pole:
            marks.add(graph.terminals[t].pole)
            continue
        if graph.terminals[t].is_metal:
            return False
        for name in graph.at.get(t, ()):
            e = graph.elements[name]
            other = e.b if e.a == t else e.a
            if e.kind in ("conductor", "switch") and other not in seen:
                seen.add(other)
                work.append(other)
    return marks == {"+"}


def of_each_battery(ask: Ask) -> list[Ladder]:
    """A device on the post of each battery of the bank."""
    group = ask.rig.parts.get(ask.finding.subject)
    if group is None or group.count < 2 or group.join is None:
        return []
    if any(p.group == group.id and p.kind.name in ("fuse", "breaker") for p in ask.rig.parts.values()):
        return []
    bank = group

    def make(record: Record) -> Step:
        edits: list[Edit] = [SetAt(f"parts.{bank.id}.each.F", record.id)]
        post = (
            record.words.get("class") != "terminal-post"
            and bank.join is not None
            and bank.join.post_length is None
        )
        if post:
            edits.append(SetAt(f"parts.{bank.id}.join.post-length", f"{PIECE_m:g} m"))
        price = ask.shop.price(record)
        members = tuple(f"{bank.id}.{n}.F" for n in range(1, bank.count + 1))
        return Step((
            Change(
                "new device", f"{bank.id}.*.F", "", record.id, tuple(edits), None if price is None else bank.count * price, 1, members,
                by_hand=f"each battery of {bank.id} is isolated while its device is set on its post",
            ),
        ))  # fmt: skip

    return [fitting(ask, make, None, alike=False)]


def _cutter(ask: Ask, run: Run, end: str, terminal: str) -> Callable[[Record], Step]:
    """A run cut short of `terminal`: a short piece, the device, and the rest of the run."""
    device, piece = next(free_id(ask.rig, "F")), next(free_id(ask.rig, "W"))
    place = ask.study.graph.terminals[terminal].place
    length = known(run.length)
    short_m = PIECE_m if length is None or length.value > 2 * PIECE_m else round(length.value / 2, 3)
    cable = run.cable.text.partition(" x ")[2] if run.cable.cores > 1 else run.cable.text
    new_end = f"{device}.load"
    if len(run.cores) > 1:
        ends = {c.pole: (c.a if end == "from" else c.b) for c in run.cores}
        pole = next(p for p, t in ends.items() if t == terminal)
        new_end = "{" + ", ".join(f'"{p}": {new_end if p == pole else t}' for p, t in ends.items()) + "}"
    rest = written_length(run.length, less=short_m)

    def make(record: Record) -> Step:
        entry = f"{{is: {record.id}{f', at: {place}' if place else ''}}}"
        wire = f"{{from: {terminal}, to: {device}.line, cable: {quoted(cable)}, length: {short_m:g} m}}"
        edits: list[Edit] = [SetAt(f"runs.{run.id}.{end}", new_end)]
        if rest and length is not None:
            edits.append(SetAt(f"runs.{run.id}.length", rest))
        edits += [Put("runs", piece, wire, run.id), Put("parts", device, entry)]
        return Step((
            Change(
                "new device", device, "", f"{record.id} in {run.id} at {terminal}", tuple(edits), ask.shop.price(record), 3, (device,),
                ((piece, run.id),), by_hand=f"cut {run.id} {short_m:g} m from {terminal} and set {device} there",
            ),
        ))  # fmt: skip

    return make


def _most_A(ask: Ask, run: Run, near: str) -> float | None:
    """What the part at the other end names for its own device."""
    found = []
    for core in run.cores:
        for terminal in (core.a, core.b):
            t = ask.study.graph.terminals.get(terminal)
            part = ask.rig.parts.get(t.owner) if t is not None and terminal != near else None
            name = MADE_FOR.get(t.port.rpartition(".")[2]) if t is not None else None
            if part is not None and name is not None and (given := known(part.figure(name))) is not None:
                found.append(given.value)
    return min(found, default=None)


def fitting(ask: Ask, make: Callable[[Record], Step], most_A: float | None, *, alike: bool = True) -> Ladder:
    """A new device in the ratings that its cable bears and its current asks for, the largest of them first.

    Which ratings these are is found by trying: rule C1 for the cable, the solved cases for the current.  Where no
    rating does both, the smallest that carries the current stands, then those with less to spare, and the cable
    has to be answered too.
    """
    by_rating: dict[float, list[Record]] = {}
    for r in ask.shop.of_kind("fuse"):
        if rated_A(r) and r.words.get("class") != "gpv" and printed_A(r):
            by_rating.setdefault(rated_A(r) or 0.0, []).append(r)
    ratings = sorted(by_rating)
    if not ratings:
        return Ladder(())
    strongest = ratings[-1]
    first = _with(ask, make(by_rating[strongest][0]))
    like = first if alike else None
    touched = [t for c in make(by_rating[strongest][0]).changes for t in c.touches]
    lasting_A = strongest * max(loaded(first, touched).values(), default=0.0) if first is not None else 0.0
    ratings = [r for r in ratings if r >= lasting_A and (most_A is None or r <= most_A)]
    before = groups((f for f in ask.draft.findings if f.rule == OVERLOAD), {})
    borne = _borne(ask, make, by_rating, ratings, before, like)
    ample = [r for r in ratings if r >= LASTING_factor * lasting_A]
    scant = [r for r in ratings if r < LASTING_factor * lasting_A]
    within = [r for r in ratings[: borne + 1] if r in ample]
    if within:
        return Ladder(
            tuple(step for r in [*reversed(within)][:2] for step in _rungs(make, by_rating[r])), alike=alike
        )
    return Ladder(
        tuple(_rungs(make, by_rating[r])[-1] for r in (*ample[:1], *[*reversed(scant)][:2])), alike=alike
    )


def _rungs(make: Callable[[Record], Step], records: list[Record]) -> list[Step]:
    """The two cheapest, then the one that breaks the most, marked as such."""
    best = max(records, key=printed_A)
    strongest = tuple(replace(c, strongest=True) for c in make(best).changes)
    return [*[make(r) for r in records if r is not best][:2], Step(strongest)]


def printed_A(record: Record) -> float:
    """The largest current that its page lets it break; 0 where the page says nothing."""
    given = known(record.figures["interrupt"]) if "interrupt" in record.figures else None
    return given.value if given is not None and "voltage" in record.figures else 0.0


def _borne(
    ask: Ask, make: Callable[[Record], Step], by_rating: dict[float, list[Record]], ratings: list[float], before: dict[tuple[str, str], int],
    like: Study | None,
) -> int:  # fmt: skip
    """The place of the largest rating under which rule C1 finds nothing new; -1 for none. Larger ones never do better."""
    low, high = -1, len(ratings) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if _bears(ask, make(by_rating[ratings[middle]][0]), ratings[middle], before, like):
            low = middle
        else:
            high = middle - 1
    return low


def _bears(
    ask: Ask, step: Step, rated_A: float, before: dict[tuple[str, str], int], like: Study | None
) -> bool:
    """Whether every conductor that the new device is the largest in front of bears it."""
    text = ask.trials.edited(ask.draft.text, step.changes)
    study = ask.trials.quick(text, like) if text is not None else None
    if study is None:
        return False
    heirs = {a: b for c in step.changes for a, b in c.heirs}
    told = {f.subject for f in ask.draft.findings if f.rule == OVERLOAD and f.verdict == "cannot-tell"}
    found = [
        f
        for f in ask.trials.judged(study, (OVERLOAD,))
        if (f.verdict == "fail" and f.value is not None and abs(f.value - rated_A) < 1e-6)
        or (f.verdict == "cannot-tell" and f.subject not in told)
    ]
    if any(f.verdict == "cannot-tell" and f.subject.partition(".")[0] in study.rig.runs for f in found):
        return False
    return all(n <= before.get(k, 0) for k, n in groups(found, heirs).items())


def _with(ask: Ask, step: Step) -> Study | None:
    text = ask.trials.edited(ask.draft.text, step.changes)
    return ask.trials.read(text) if text is not None else None
