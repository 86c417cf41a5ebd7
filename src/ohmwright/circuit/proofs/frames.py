"""The proof that metal and earth carry no working current but what is named."""

from collections.abc import Callable, Hashable
from functools import cache
from typing import TypeAlias

from ohmwright.circuit.cases import running_W
from ohmwright.circuit.net import View
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.circuit.zones import choices
from ohmwright.rig.graph import Element
from ohmwright.working import known

#: A frame return above this is a danger whatever else; common practice, no source.
FRAME_A = 10.0
#: Kinds whose current returns by the metal they are bolted to, by their make.
BY_CASE = frozenset({"starter", "alternator"})
#: Whether an end comes home to the minus of a source.
Home: TypeAlias = Callable[[str, str], bool]


def frame_return(g: Ground) -> Proof:
    """No load or converter has its only return through earth or metal; starters, alternators and small loads are named.

    The block is the way home for what a bank feeds whose own minus lands on it. On a boat nothing is small enough.
    """
    found: list[ProofFinding] = []
    unknown: list[ProofFinding] = []
    small: dict[str, float] = {}
    subjects: list[str] = []
    inside = frozenset(
        w.element.id for w in g.net.wires if w.element.role == "common" and _is_controller(g, w.element.owner)
    )
    whole = _widest(g, frozenset(), frozenset())
    bare = _widest(g, g.poles.bare_earth, frozenset())
    engine = _engine_bodies(g)
    homes = _homes(g, engine)
    by_engine = _by_engine(g, engine)
    apart = _widest(g, g.poles.bare_earth - engine, inside)
    for e in (*g.net.loads, *g.net.converters):
        part = g.rig.parts.get(e.owner)
        if part is not None and part.kind.name in BY_CASE:
            continue
        subjects.append(e.owner)
        if _sound(g, bare, e) or any(_sound(g, v, e, _home(v, bare, homes)) for v in by_engine()):
            if e.role != "tracker" and not _sound(g, apart, e):
                path = g.any_path(g.dc_view, e.b, _returns_at(g, whole, e))
                found.append(
                    finding(e.owner, f"{e.owner} returns through the inside of a PV controller", path)
                )
            continue
        if not _sound(g, whole, e):
            continue
        amps = _amps(g, e)
        path = g.any_path(g.net.view(), e.b, _returns_at(g, whole, e))
        if g.rig.job.rules.endswith("-boat"):
            found.append(finding(e.owner, f"{e.owner} returns by metal or earth alone", path))
        elif amps is None:
            unknown.append(
                finding(
                    e.owner,
                    f"{e.owner} returns by metal or earth alone, and its current is not known",
                    path,
                    missing=(f"{e.owner}.power",),
                )
            )
        elif amps <= FRAME_A and not g.is_ac(e.a) and _by_name(g, e):
            small[e.owner] = amps
        else:
            found.append(finding(e.owner, f"{e.owner} ({amps:.3g} A) returns by metal or earth alone", path))
    total = sum(small.values())
    if total > FRAME_A:
        found.append(finding(next(iter(small)), f"{', '.join(small)} return {total:.3g} A by metal together"))
    facts = {"small": tuple(f"{name} {amps:.2g} A" for name, amps in small.items())}
    return Proof("frame-return", 1, tuple(found), tuple(unknown), tuple(dict.fromkeys(subjects)), facts)


def _sound(g: Ground, view: "_Widest", e: Element, home: Home | None = None) -> bool:
    """Whether an input closes on a source, and an output that can charge reaches a bank; `home` tells whether two minus ends do."""
    home = home or view.same
    if not _closing(g, view, e, home):
        return False
    if e.kind != "converter" or g.is_ac(e.out_a) or e.role == "dcdc-supply":
        return True
    cells = [f for f in g.feeds(ac=False) if any(end.role == "cell" and f.a == end.a for end in g.dc_ends)]
    return not cells or any(view.same(e.out_a, f.a) and home(e.out_b, f.b) for f in cells)


def _by_name(g: Ground, e: Element) -> bool:
    """A load whose own run lands on metal was written so on purpose."""
    near = [g.graph.elements[x] for x in g.graph.at.get(e.b, ()) if g.graph.elements[x].role == "run"]
    return any(g.number[t] in g.poles.metal for x in near for t in (x.a, x.b))


def _is_controller(g: Ground, owner: str) -> bool:
    part = g.rig.parts.get(owner)
    return part is not None and part.kind.name in ("pv-controller", "pv-controller-pwm", "hydro-controller")


def _widest(
    g: Ground, closed_to: frozenset[int], without: frozenset[str], only: frozenset[int] | None = None
) -> "_Widest":
    """Such a view; it hangs on no figure, so rigs of one shape share it."""
    kept: dict[Hashable, _Widest] = g.wiring.skeleton.kept.setdefault("widest", {})
    key = closed_to, without, only
    if key not in kept:
        kept[key] = _Widest(g, closed_to, without, only)
    return kept[key]


class _Widest(View):
    """A view in which every closable switch counts as joined, or those of `only`; contacts of reversing boxes do not."""

    def __init__(self, g: Ground, closed_to: frozenset[int], without: frozenset[str], only: frozenset[int] | None = None) -> None:  # fmt: skip
        super().__init__(g.net, without, closed_to)
        up = list(range(self.size))

        def root(x: int) -> int:
            while up[x] != x:
                up[x] = x = up[up[x]]
            return x

        for a, b, w in self.moving:
            if g.poles.closable(w) and w.number not in g.motor_wires and (only is None or w.number in only):
                up[root(a)] = root(b)
        self.wide = [root(x) for x in range(self.size)]

    def same(self, a: str, b: str) -> bool:
        """Whether two terminals may conduct to each other."""
        return self.wide[self.of(a)] == self.wide[self.of(b)]


def _closing(g: Ground, view: "_Widest", e: Element, home: Home) -> bool:
    """Whether some feed may stand across a load; a motor on A and B takes either sign."""
    ac, motor = g.is_ac(e.a), g.graph.terminals[e.a].pole == "A"
    if motor:
        return True
    for feed in g.feeds(ac=ac):
        if feed.source == e.owner:
            continue
        right = view.same(feed.a, e.a) and home(e.b, feed.b)
        if right or (ac and view.same(feed.a, e.b) and view.same(feed.b, e.a)):
            return True
    return False


def _engine_bodies(g: Ground) -> frozenset[int]:
    """Metal that carries a starter or an alternator: the engine's own minus terminal."""
    return frozenset(
        g.number[p.words["on"]]
        for p in g.rig.of_kind("starter", "alternator")
        if p.words.get("on", "") in g.number
    )


def _home(view: "_Widest", bare: "_Widest", homes: frozenset[str]) -> Home:
    """By the engine to the minus of those banks that land on it, to all others by conductors alone."""
    return lambda end, minus: (view if minus in homes else bare).same(end, minus)


def _by_engine(g: Ground, engine: frozenset[int]) -> Callable[[], tuple["_Widest", ...]]:
    """The views that let current through the engine, one for each position of the selectors; made when they are first asked for."""

    @cache
    def made() -> tuple[_Widest, ...]:
        wires = [w for w in (*g.wiring.dc_wires, *g.wiring.ac_wires) if g.poles.closable(w)]
        return tuple(
            _widest(g, g.poles.bare_earth - engine, frozenset(), frozenset(w.number for w in chosen))
            for chosen in choices(g.wiring, wires)
        )

    return made


def _homes(g: Ground, engine: frozenset[int]) -> frozenset[str]:
    """Minus ends of the banks of which a run leads straight to the engine: what they feed may come home by the block's own terminal."""
    landing = {
        g.group_of(owner) or owner
        for x in g.graph.elements.values()
        if x.role == "run"
        for near, far in ((x.a, x.b), (x.b, x.a))
        if g.number[near] in engine and (owner := g.graph.terminals[far].owner) in g.rig.parts
        if g.rig.parts[owner].kind.name == "battery"
    }
    return frozenset(f.b for f in g.feeds(ac=False) if (g.group_of(f.source) or f.source) in landing)


def _amps(g: Ground, e: Element) -> float | None:
    load = g.rig.use.loads.get(e.owner)
    watts = running_W(load) if load is not None else None
    part = g.rig.parts.get(e.owner)
    if part is not None and watts is None:
        for name in ("input_current", "output_current", "charge_current", "running_current"):
            if name in part.kind.figures and (f := known(part.figure(name))):
                return f.high
        for name in ("power", "coil_power", "self_use"):
            if name in part.kind.figures and (f := known(part.figure(name))):
                watts = f.high
                break
    if watts is None:
        return None
    volts = [f.value for p in g.rig.of_kind("battery") if (f := known(p.figure("nominal_voltage")))]
    return watts / (min(volts) if volts else 12.0)


def _returns_at(g: Ground, whole: "_Widest", e: Element) -> str:
    """The minus of some source that the load comes back to by metal."""
    return next((f.b for f in g.feeds(ac=g.is_ac(e.a)) if f.source != e.owner and whole.same(f.b, e.b)), e.b)
