"""Proofs of what the file claims: that wiring keeps states apart, and that surge devices stand where they can work."""

from collections.abc import Iterator

from ohmwright.circuit.live import LINE_POLES, Live
from ohmwright.circuit.net import States
from ohmwright.circuit.proofs.circuits import behind, live_with
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.space import plainest
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.rig.graph import Element
from ohmwright.rig.model import Never, Part


def never(g: Ground) -> Proof:
    """What `by: wiring` says can never be together is not together in any settled state; labels are only told."""
    found: list[ProofFinding] = []
    subjects: list[str] = []
    labels: list[str] = []
    walked = 0
    for claim in g.rig.never:
        words = " and ".join(" ".join(t) for t in claim.these)
        if claim.by == "label":
            labels.append(words)
        if claim.by != "wiring":
            continue
        subjects.append(claim.these[0][0])
        for live in _lives(g, claim):
            walked += live.space.count
            states = live.space.valid
            for name, state in claim.these:
                states &= _holds(g, live, name, state)
            if states:
                told = live.space.told(plainest(live.space, states))
                found.append(
                    finding(claim.these[0][0], f"{words}: the wiring does not keep them apart", (), told)
                )
                break
    return Proof("never", walked, tuple(found), (), tuple(subjects), {"labels": tuple(labels)})


def _loads(g: Ground, name: str) -> list[Element]:
    return [e for e in g.net.loads if e.owner == name]


def _lives(g: Ground, claim: Never) -> list[Live]:
    """Walks with the claim's own variables in them, from both starts."""
    loads = [e for name, state in claim.these if state == "live" for e in _loads(g, name)]
    ac = any(g.is_ac(e.a) for e in loads) or not loads
    base = (g.ac if ac else g.dc).lives[-1]
    view = base.view
    more: dict[str, None] = dict.fromkeys(base.space.walked)
    for name, _ in claim.these:
        if name in g.graph.variables and g.graph.variables[name].origin in ("hand", "outside"):
            more.setdefault(name)
    for e in loads:
        more.update(dict.fromkeys(behind(g, view, e, (*more,), least=2)))
    return [live_with(g, base, view, tuple(more), (), pulled_in=p) for p in (False, True)]


def _holds(g: Ground, live: Live, name: str, state: str) -> States:
    if state != "live":
        return live.space.bits.get(name, {}).get(state, 0)
    out = 0
    for e in _loads(g, name):
        out |= live.energised(e.a, e.b) & live.space.on(e.when)
    return out


def surge(g: Ground) -> Proof:
    """A surge device, once struck, ties each of its poles to earth: its poles lie on the poles they are marked for."""
    found: list[ProofFinding] = []
    parts = g.rig.of_kind("surge-dc", "surge-ac")
    for part in parts:
        found += _stands(g, part)
    return Proof("surge", 1, tuple(found), (), tuple(p.id for p in parts))


def _stands(g: Ground, part: Part) -> Iterator[ProofFinding]:
    for w in g.net.wires:
        if w.element.owner != part.id or w.element.role != "surge":
            continue
        ends = (w.element.a, w.element.b)
        pole = next((t for t in ends if g.graph.terminals[t].pole != "PE"), ends[0])
        earth = ends[1] if pole == ends[0] else ends[0]
        mark = g.graph.terminals[pole].pole
        if not _reaches_earth(g, earth):
            yield finding(
                part.id, f"{part.id}: {earth} reaches no earth, so {pole} has nowhere to discharge", (earth,)
            )
        if not _on_own_pole(g, pole, mark):
            yield finding(part.id, f"{part.id}: {pole} lies on no {mark} of a source", (pole,))


def _reaches_earth(g: Ground, terminal: str) -> bool:
    """By earth alone to the side of a neutral-earth join, to an electrode, or to a body that is earth."""
    goal = {w.b if w.a in g.poles.neutral else w.a for w in g.poles.joins}
    goal |= {g.number[m] for m in g.rig.metal if m in ("ground", "sea")}
    if not goal:
        goal = set(g.poles.metal)
    outside = frozenset(range(len(g.net.names))) - g.poles.earth
    view = g.net.view(closed_to=outside)
    return view.path([g.number[terminal]], goal, g.poles.closable) is not None


def _on_own_pole(g: Ground, terminal: str, mark: str) -> bool:
    """Whether a pole hangs, without earth, on that end of some feed."""
    ac = g.is_ac(terminal)
    view = g.net.view(closed_to=g.poles.earth - _returns(g) if ac else g.poles.bare_earth)
    for feed in g.feeds(ac=ac):
        end = feed.a if mark in (*LINE_POLES, "+") else feed.b
        if view.path([g.number[terminal]], {g.number[end]}, g.poles.closable) is not None:
            return True
    return False


def _returns(g: Ground) -> frozenset[int]:
    return frozenset(g.poles.neutral)
