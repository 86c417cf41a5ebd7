"""The proof of circuits: every load closes the right way round, chargers reach banks, nothing is loose or hunts."""

from collections.abc import Collection, Iterator

from ohmwright.circuit.live import AC_POLES, LINE_POLES, End, Live
from ohmwright.circuit.net import States, View, between
from ohmwright.circuit.proofs.ground import TURNING_RULES, Ground, finding
from ohmwright.circuit.space import Space
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.rig.graph import Element

#: Words for what is away, and for all states of such a variable.
OFF = ("down", "stopped", "no", "dead")
AWAY = (*OFF, "out")
OFF_OR_ON = (*OFF, "up", "running", "yes", "live")


def returns(g: Ground) -> Proof:
    """Every load and converter input closes on a source, the right way round, in some state; no loose ends; selectors live."""
    found: list[ProofFinding] = []
    subjects: list[str] = []
    for e in (*g.net.loads, *g.net.converters):
        if not _has_runs(g, e):
            continue
        subjects.append(e.owner)
        found += _closes(g, e)
    found += _chargers_reach_banks(g)
    found += _loose(g)
    found += _selectors(g)
    found += _waking(g)
    found += _turned(g)
    found += _around(g)
    found += hunting(g)
    return Proof("returns", g.dc.count + g.ac.count, tuple(found), (), tuple(dict.fromkeys(subjects)))


def _has_runs(g: Ground, e: Element) -> bool:
    """A device none of whose terminals has a run is told as loose ends, not as an open circuit."""
    return any(g.graph.elements[x].role in ("run", "plug") for t in (e.a, e.b) for x in g.graph.at.get(t, ()))


def _closes(g: Ground, e: Element) -> Iterator[ProofFinding]:
    live = _live_for(g, e)
    right = live.energised(e.a, e.b, but=e.id) & live.space.valid & live.space.on(e.when)
    if g.graph.terminals[e.a].pole == "A":
        right |= live.energised(e.b, e.a, but=e.id) & live.space.valid
    if right:
        return
    if not g.is_ac(e.a) and live.energised(e.b, e.a, but=e.id) & live.space.valid:
        yield finding(e.owner, f"{e.owner} is wired the wrong way round: {e.a} lies on minus", (e.a, e.b))
    elif _on_source(live, e.a) and not _on_source(live, e.b):
        yield finding(
            e.owner, f"{e.owner} has no return: {e.b} reaches no source that feeds {e.a}", (e.a, e.b)
        )
    else:
        yield finding(e.owner, f"{e.owner} closes on no source in any state", (e.a, e.b))


def _on_source(live: Live, t: str) -> bool:
    return any(
        live.active.get(end.id, 0) & (live.joined(end.a, t) | live.joined(end.b, t)) for end in live.ends
    )


def _live_for(g: Ground, e: Element) -> Live:
    """The walk that says whether this load closes: without earth, its own selectors walked, a DC load by banks alone."""
    ac = g.is_ac(e.a)
    base = (g.ac if ac else g.dc).lives[-1]
    view = g.ac_view if ac else g.net.view(closed_to=g.poles.ac | _protective(g))
    quiet = () if ac or e.kind == "converter" else _outside_sources(g)
    walked = [n for n in base.space.walked if n not in quiet]
    key = (ac, quiet, behind(g, view, e, walked))
    if key not in g.side_lives:
        g.side_lives[key] = live_with(g, base, view, (*walked, *key[2]), quiet)
    return g.side_lives[key]


def _outside_sources(g: Ground) -> tuple[str, ...]:
    """Sun, engines, way, a tow vehicle: what a DC load must not need."""
    towed = {n for e in g.dc_ends if e.role == "tow-vehicle" for n, _ in e.when}
    return tuple(
        n
        for n, v in g.graph.variables.items()
        if n in towed
        or (v.origin == "outside" and v.states[0] in OFF_OR_ON and v.rule not in ("unknown", "bms"))
    )


def live_with(
    g: Ground,
    base: Live,
    view: View,
    walk: tuple[str, ...],
    quiet: tuple[str, ...],
    *,
    pulled_in: bool = True,
) -> Live:
    """A walk like another one, on another view and of other variables; `quiet` outside sources are away."""
    held = {n: s for n, s in g.permissive.items() if n not in walk}
    held.update(
        {n: next((s for s in g.graph.variables[n].states if s in AWAY), held.get(n, "")) for n in quiet}
    )
    loose = [
        n
        for n, bits in base.space.bits.items()
        if n not in walk and len(bits) > 1 and all(b == base.space.full for b in bits.values())
    ]
    space = Space(g.graph, walk, held, loose)
    space.forbid(g.rig)
    live = Live(space, view, base.ends, base.assumed)
    live.settle(pulled_in)
    return live


def _protective(g: Ground) -> frozenset[int]:
    """PE terminals: a working current never returns through them. Metal is the frame proof's."""
    return g.poles.bare_earth - g.poles.metal


def behind(g: Ground, view: View, e: Element, walked: Collection[str], *, least: int = 3) -> tuple[str, ...]:
    """Variables of `least` states or more on the branch of a load, that the common walk leaves out."""
    seeds = {view.of(t) for end in g.ends if end.ac == g.is_ac(e.a) for t in (end.a, end.b)} | {
        view.of(e.a),
        view.of(e.b),
    }
    names: dict[str, None] = {}
    but = g.motor_wires if g.graph.terminals[e.a].pole != "A" else ()
    for number in between(view, seeds, but):
        for name, _ in g.net.wires[number].when:
            v = g.graph.variables.get(name)
            if (
                v is not None
                and name not in walked
                and v.origin in ("hand", "outside")
                and len(v.states) >= least
            ):
                names.setdefault(name)
    return tuple(names)


def _chargers_reach_banks(g: Ground) -> Iterator[ProofFinding]:
    cells = [e for e in g.dc_ends if e.role == "cell"]
    for end in g.dc_ends:
        if (
            end.needs is None
            or end.role == "dcdc-supply"
            or end.id.endswith(" back")
            or not cells
            or not _has_runs(g, end.element)
        ):
            continue
        reached = g.dc.states(_reaches, end, cells)
        if not reached:
            yield finding(
                end.owner, f"the output of {end.owner} reaches no bank in any state", (end.a, end.b)
            )


def _reaches(live: Live, end: End, cells: list[End]) -> States:
    out = 0
    for c in cells:
        out |= live.joined(end.a, c.a) & live.joined(end.b, c.b)
    for (top, bottom), here in live.stacks.items():
        out |= here & live.joined(end.a, top) & live.joined(end.b, bottom)
    return out


def _loose(g: Ground) -> Iterator[ProofFinding]:
    """A terminal without a run, unless its kind says that it may stay free."""
    seen: set[str] = set()
    for t in g.graph.terminals.values():
        if t.may_stay_free or t.port_role == "case" or t.is_metal or t.owner in g.rig.runs:
            continue
        inner = [g.graph.elements[e] for e in g.graph.at.get(t.id, ())]
        if any(e.owner != t.owner for e in inner) or t.port in seen:
            continue
        seen.add(t.port)
        yield finding(t.id, f"{t.id} is a loose end: no run lands on it", (t.id,))


def _selectors(g: Ground) -> Iterator[ProofFinding]:
    """In every position of a selector that has a run, its common side is fed and what hangs on it closes, in some state."""
    for part in g.rig.of_kind("selector", "changeover", "transfer-switch"):
        for way in ("a", "b", "1", "2"):
            poles = [t for t in g.graph.terminals.values() if t.port == f"{part.id}.{way}"]
            if not poles or not any(
                g.graph.elements[e].role == "run" for t in poles for e in g.graph.at.get(t.id, ())
            ):
                continue
            first = poles[0]
            walk = g.ac if first.pole in AC_POLES else g.dc
            if not walk.states(_fed, first.id, part.id):
                yield finding(
                    f"{part.id}.{way}",
                    f"position {way} of {part.id} is dead: nothing feeds it in any state",
                    (first.id,),
                )
            else:
                yield from _behind_selector(g, part.id, way)


def _behind_selector(g: Ground, part: str, way: str) -> Iterator[ProofFinding]:
    """Loads that the selector alone feeds, and that do not close in one of its positions."""
    for e in g.net.loads:
        live = _live_for(g, e)
        here = live.space.bits.get(part, {}).get(way)
        if here is None or part not in live.space.walked or not _has_runs(g, e):
            continue
        closes = (live.energised(e.a, e.b) | live.energised(e.b, e.a)) & live.space.valid
        off = live.space.bits[part].get("off", live.space.bits[part].get("0", 0))
        if closes and not closes & here and not closes & off:
            yield finding(
                f"{part}.{way}", f"{e.owner} does not close while {part} stands at {way}", (e.a, e.b)
            )


def _fed(live: Live, t: str, part: str) -> States:
    """Where a live pole reaches a terminal without passing the selector itself."""
    taken = [w.element.id for w in live.net.wires if w.element.owner == part]
    view = live.net.view({*live.view.without, *taken}, live.view.closed_to)
    inner = Live(live.space, view, live.ends)
    out = 0
    for end in live.ends:
        out |= live.active.get(end.id, 0) & inner.joined(end.a, t)
    return out


def _turned(g: Ground) -> Iterator[ProofFinding]:
    """A run of alternating current from a line terminal to a neutral one: within one port a short, else two poles swapped."""
    seen: set[str] = set()
    for w in g.net.wires:
        e = w.element
        ends = [g.graph.terminals[t] for t in (e.a, e.b)]
        if e.role != "run" or e.owner in seen or {"L" if t.pole in LINE_POLES else t.pole for t in ends} != {"L", "N"}:  # fmt: skip
            continue
        seen.add(e.owner)
        if ends[0].port == ends[1].port:
            yield finding(
                e.owner, f"{e.owner} joins {e.a} to {e.b}: a dead short of line and neutral", (e.a, e.b)
            )
        else:
            yield finding(e.owner, f"{e.owner} swaps line and neutral: {e.a} goes to {e.b}", (e.a, e.b))


def _around(g: Ground) -> Iterator[ProofFinding]:
    """A neutral that is joined around a residual-current device: it misses part of the return, and trips on every load."""
    for part in g.rig.of_kind("rcd", "rcbo"):
        sides = [f"{part.id}.{side}.N" for side in ("line", "load")]
        if not all(t in g.number for t in sides):
            continue
        own = {w.element.id for w in g.net.wires if w.element.owner == part.id}
        view = g.net.view(own, g.poles.earth)
        if view.of(sides[0]) == view.of(sides[1]):
            yield finding(part.id, f"the neutral is joined around {part.id}: it trips on every load", tuple(sides))  # fmt: skip


def _waking(g: Ground) -> Iterator[ProofFinding]:
    """Automatic devices that rest where they were: one that has opened does not come back by itself."""
    if len(g.dc_alone.lives) < 2:
        return
    released, pulled = g.dc_alone.lives
    steady = released.space.valid & ~released.hunting & ~pulled.hunting
    for name, v in g.graph.variables.items():
        if v.origin != "automatic" or v.rule in TURNING_RULES:
            continue
        differ = 0
        for s in v.states:
            differ |= released.space.bits[name][s] ^ pulled.space.bits[name][s]
        if differ & steady:
            told = g.dc_alone.told(differ & steady)
            told.pop(name, None)
            yield finding(name, f"{name} stays as it was: once released it does not pull in again", (), told)


def _hunts(live: Live) -> States:
    return live.hunting


def hunting(g: Ground) -> Iterator[ProofFinding]:
    for walk in (g.dc, g.ac):
        hunts = walk.states(_hunts)
        if hunts:
            yield finding("states", "automatic devices hunt: they never come to rest", (), walk.told(hunts))
