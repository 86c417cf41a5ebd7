"""The proof that an emergency cut cuts."""

from collections.abc import Iterator

from ohmwright.circuit.live import Live
from ohmwright.circuit.proofs.circuits import OFF
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.space import Space
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.rig.model import Cut


def cuts(g: Ground) -> Proof:
    """With a cut's devices set and all outside sources off, nothing but the named hangs on a bank."""
    found: list[ProofFinding] = []
    for cut in g.rig.cuts.values():
        found += _cut(g, cut)
    return Proof("cuts", len(g.rig.cuts), tuple(found), (), tuple(g.rig.cuts))


def _cut(g: Ground, cut: Cut) -> Iterator[ProofFinding]:
    held = {**g.permissive}
    for name, v in g.graph.variables.items():
        if v.origin == "outside" and v.rule not in ("unknown", "bms"):
            held[name] = next((s for s in v.states if s in OFF), held.get(name, v.states[0]))
        elif v.origin == "hand" and v.states in (("in", "out"), ("out", "in")):
            held[name] = "out"
    held.update(cut.set)
    for pulled_in in (True, False):
        live = Live(Space(g.graph, (), held), g.dc_view, g.dc_ends)
        live.settle(pulled_in)
        for owner, a, b in _ports(g):
            if owner in cut.stays_live or g.is_ac(a):
                continue
            bank = _bank_across(g, live, a, b)
            if bank is not None:
                path = g.path(live, bank[1], a, 1)
                message = f"after the cut '{cut.id}' {owner} still hangs on {bank[0]}"
                yield finding(cut.id, message, path, dict(cut.set))
        if not live.settled_any:
            break


def _bank_across(g: Ground, live: Live, a: str, b: str) -> tuple[str, str] | None:
    """The bank, and its plus, that stands across two terminals: one battery, or several in series."""
    for end in g.dc_ends:
        if (
            end.role == "cell"
            and live.active.get(end.id, 0)
            and live.joined(end.a, a)
            and live.joined(end.b, b)
        ):
            return g.group_of(end.owner), end.a
    for (top, bottom), here in live.stacks.items():
        if here and live.joined(top, a) and live.joined(bottom, b):
            return g.group_of(g.graph.terminals[top].owner), top
    return None


def _ports(g: Ground) -> Iterator[tuple[str, str, str]]:
    """The ports of loads and converters on the DC side, each once."""
    seen: set[tuple[str, str]] = set()
    for e in (*g.net.loads, *g.net.converters):
        for a, b in ((e.a, e.b), (e.out_a, e.out_b)):
            if a and (e.owner, a) not in seen:
                seen.add((e.owner, a))
                yield e.owner, a, b
