"""Proofs about metal, and about the first device on the way from every source."""

from collections.abc import Iterator

from ohmwright.circuit.net import States
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.circuit.wiring import Wiring
from ohmwright.circuit.zones import LIMITED_ROLES, Reach, Zones, choices, feeds_of

#: Bodies that are earth themselves.
EARTH_BODIES = frozenset({"ground", "sea"})


def metal(g: Ground) -> Proof:
    """Metal reaches no plus and no line; every body but ground and sea is joined to its neutral-earth join when energised."""
    found: list[ProofFinding] = []
    bodies = [m for m in g.rig.metal if m not in EARTH_BODIES]
    for name in g.rig.metal:
        found += _on_live(g, name)
    for name in bodies:
        found += _afloat(g, name)
    found += _wet(g)
    found += _on_returns(g)
    sure, unsure = tuple(f for f in found if not f.missing), tuple(f for f in found if f.missing)
    return Proof("metal", g.ac.count + g.dc.count, sure, unsure, tuple(g.rig.metal))


def _on_live(g: Ground, name: str) -> Iterator[ProofFinding]:
    """A body that a source's live end reaches by conductors and closable switches, never through minus or neutral."""
    plus = {g.number[e.a] for e in g.ends if not e.ac} | {
        i for i, p in enumerate(g.poles.pole) if p in ("+", "L", "L1", "L2", "L3")
    }
    start = g.number[name]
    came: dict[int, tuple[int, ...]] = {start: (start,)}
    work = [start]
    while work:
        t = work.pop(0)
        for w in g.net.at[t]:
            other = w.b if w.a == t else w.a
            if other in came or not g.poles.closable(w):
                continue
            came[other] = (*came[t], other)
            if other in plus:
                if g.poles.pole[other] in ("+", "L", "L1", "L2", "L3") and not _source_minus(g, other):
                    yield finding(
                        name,
                        f"{name} reaches {g.net.names[other]}, a live pole",
                        tuple(g.net.names[x] for x in came[other]),
                    )
                    return
                continue
            if g.poles.pole[other] in ("N", "A", "B", "sig"):
                continue
            work.append(other)


def _source_minus(g: Ground, t: int) -> bool:
    """The plus of a module that is the minus of the one above it."""
    return any(e.role == "array" and g.number[e.b] == t for e in g.dc_ends)


def _afloat(g: Ground, name: str) -> Iterator[ProofFinding]:
    """A body with no join to the earth of an energised island: a fault to it stays live."""
    if not g.ac_ends:
        return
    if not _touched(g, name):
        return
    live = g.ac.lives[-1]
    view = g.net.view()
    energised: States = 0
    seeds: dict[int, States] = {}
    for end in g.ac_ends:
        if g.rig.parts[end.owner].word("own") == "no":
            continue
        active = live.active.get(end.id, 0)
        for w in g.poles.joins:
            neutral = w.element.a if w.a in g.poles.neutral else w.element.b
            here = active & live.on(w.number) & live.joined(end.b, neutral)
            lump = view.of(_earth_side(g, w.element.a, w.a, w.element.b))
            seeds[lump] = seeds.get(lump, 0) | here
            energised |= here
    reached = view.flood(seeds, lambda n: live.on(n) if _earthy(g, n) else 0)
    afloat = energised & ~reached[view.of(name)] & live.space.valid
    if not afloat:
        return
    certain, hangs = g.split(live.space, afloat)
    yield finding(
        name,
        f"{name} is joined to no neutral-earth join while AC is live",
        (name,),
        g.ac.told(certain or afloat),
        () if certain else hangs,
    )


def _on_returns(g: Ground) -> Iterator[ProofFinding]:
    """An earth conductor that lands on a minus terminal of a device shares its working conductor."""
    for w in g.net.wires:
        if w.element.role != "run":
            continue
        for earth, other in ((w.a, w.b), (w.b, w.a)):
            if g.poles.pole[earth] == "PE" and g.poles.pole[other] == "-":
                name = g.net.names[other]
                yield finding(
                    g.net.names[earth],
                    f"{g.net.names[earth]} is earthed on {name}: it shares a working conductor",
                    (g.net.names[earth], w.element.id, name),
                )


def _earth_side(g: Ground, a: str, number: int, b: str) -> str:
    return b if number in g.poles.neutral else a


def _earthy(g: Ground, wire: int) -> bool:
    w = g.net.wires[wire]
    return w.a in g.poles.earth and w.b in g.poles.earth


def _touched(g: Ground, name: str) -> bool:
    """Whether anything at all is bolted or wired to a body: a hull nobody touches is another proof's matter."""
    return bool(g.graph.at.get(name))


def _wet(g: Ground) -> Iterator[ProofFinding]:
    """Shore earth on metal in the water: a galvanic cell with every boat on the pontoon."""
    posts = [p for p in g.rig.of_kind("supply-post") if p.word("own") == "no"]
    wet = [
        m for m in g.rig.metal.values() if m.wet and m.id not in EARTH_BODIES and not m.id.startswith("shore")
    ]
    isolators = {w.element.id for w in g.net.wires if w.element.role == "galvanic-isolator"}
    for post in posts:
        pe = f"{post.id}.PE"
        if pe not in g.number:
            continue
        view = g.net.view(isolators, g.poles.neutral)
        for body in wet:
            path = view.path([g.number[pe]], {g.number[body.id]}, g.poles.closable)
            if path is not None:
                yield finding(
                    body.id,
                    f"the earth of {post.id} lies on {body.id}, which is wet by {' and '.join(body.wet)}",
                    g.any_path(view, pe, body.id),
                )


def protection(g: Ground) -> Proof:
    """From every source's live end: the first overcurrent device on each way, and the bare length before it."""
    found: dict[tuple[str, str], ProofFinding] = {}
    unknown: dict[tuple[str, str], ProofFinding] = {}
    ends: dict[str, dict[str, float | None]] = {}
    paths: dict[tuple[str, str], tuple[str, ...]] = {}
    positions = _positions(g.wiring)
    consumers = _consumers(g)
    role = {e.owner: e.role for e in g.dc_ends}
    for feed in feeds_of(g.wiring, ac=False):
        start = g.number[feed.a]
        mine = ends.setdefault(feed.source, {})
        for zones in positions:
            bare = zones.bare(start, g.graph.conductors)
            for number, device in zones.devices.items():
                w = g.net.wires[number]
                near = [bare[t] for t in (w.a, w.b) if t in bare]
                if near:
                    reach = min(near, key=lambda r: r.metres)
                    _keep(mine, paths, feed.source, device.id, reach)
                    if reach.unknown and not _limited(g, feed.source, role):
                        unknown[feed.source, device.id] = finding(
                            feed.source,
                            f"{feed.source} to {device.id}: {reach.metres:.2f} m + unknown before the first device",
                            reach.path,
                            missing=reach.unknown,
                        )
            if _limited(g, feed.source, role):
                continue
            for t, owner in consumers.items():
                if t in bare and owner != feed.source and g.group_of(owner) != feed.bank:
                    reach = bare[t]
                    found.setdefault(
                        (feed.source, owner),
                        finding(
                            feed.source,
                            f"no device between {feed.source} and {owner}: {reach.metres:.2f} m{' + unknown' if reach.unknown else ''} bare",
                            reach.path,
                            missing=(),
                        ),
                    )
    return Proof(
        "protection",
        len(positions),
        tuple(found.values()),
        tuple(unknown.values()),
        tuple(ends),
        {"ends": ends, "paths": {f"{a} {b}": p for (a, b), p in paths.items()}},
    )


def _positions(wiring: Wiring) -> list[Zones]:
    """The net cut at its devices in every position of its selectors, kept with the shape: neither lengths nor ratings may be read from it."""
    kept = wiring.skeleton.kept
    if "positions" not in kept:
        alone = Wiring(wiring.rig, wiring.drawn)
        wires = [w for w in wiring.dc_wires if wiring.poles.closable(w)]
        kept["positions"] = [Zones(alone, chosen) for chosen in choices(wiring, wires)]
    found: list[Zones] = kept["positions"]
    return found


def _keep(
    mine: dict[str, float | None],
    paths: dict[tuple[str, str], tuple[str, ...]],
    source: str,
    device: str,
    reach: Reach,
) -> None:
    if device not in mine or (mine[device] is not None and reach.metres > (mine[device] or 0.0)):
        mine[device] = None if reach.unknown else reach.metres
        paths[source, device] = reach.path


def _limited(g: Ground, source: str, role: dict[str, str]) -> bool:
    """A source that can only push so much needs its device at the far end only."""
    return role.get(
        source, "array" if source in g.rig.parts and g.rig.parts[source].strings else ""
    ) in LIMITED_ROLES or (
        source.rpartition(".")[0] in g.rig.parts and bool(g.rig.parts[source.rpartition(".")[0]].strings)
    )


def _consumers(g: Ground) -> dict[int, str]:
    """Live terminals of loads and converter ports on the DC side."""
    out: dict[int, str] = {}
    for e in (*g.net.loads, *g.net.converters):
        for a in (e.a, e.out_a):
            if a and not g.is_ac(a):
                out[g.number[a]] = e.owner
    for e in g.net.sources:
        if not g.is_ac(e.a):
            out.setdefault(g.number[e.a], e.owner)
    return out
