"""Proofs about alternating current: one neutral-earth join an island, dead pins, residual-current devices, neutrals."""

from collections.abc import Iterator

from ohmwright.circuit.live import LINE_POLES, Live
from ohmwright.circuit.net import States, Wire
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.space import count, exactly_one
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.rig.graph import Terminal


def neutral_earth(g: Ground) -> Proof:
    """Each AC island with an active source has exactly one neutral-earth join, in every state; unknown joins are told."""
    found: list[ProofFinding] = []
    unknown: list[ProofFinding] = []
    table: dict[str, dict[str, int]] = {}
    for end in g.ac_ends:
        for live in g.ac.lives[-1:]:
            active = live.active.get(end.id, 0) & live.space.valid
            joins = [
                (w, live.on(w.number) & live.reached(end.b)[live.view.of(_neutral_side(g, w))])
                for w in g.poles.joins
            ]
            one, more = exactly_one(s for _, s in joins)
            if not active:
                continue
            table[end.id] = _counted(active, joins)
            for bad, message in (
                (active & ~one, "has no neutral-earth join"),
                (active & more, "has more than one neutral-earth join"),
            ):
                certain, hangs = g.split(live.space, bad)
                if certain:
                    names = tuple(w.element.id for w, s in joins if s & certain)
                    found.append(
                        finding(
                            end.owner,
                            f"what {end.owner} feeds {message}{_listed(names)}",
                            names,
                            g.ac.told(certain),
                        )
                    )
                elif bad:
                    unknown.append(
                        finding(
                            end.owner,
                            f"whether what {end.owner} feeds {message} is not known",
                            (),
                            g.ac.told(bad),
                            hangs,
                        )
                    )
    merged = {f.message: f for f in found}
    left = {f.message: f for f in unknown}
    found_earth = list(_earth_of_ports(g))
    return Proof(
        "neutral-earth", g.ac.count, (*merged.values(), *found_earth), tuple(left.values()),
        tuple(dict.fromkeys(e.owner for e in g.ac_ends)), {"joins": table, "walked": g.ac.space.walked},
    )  # fmt: skip


def _listed(names: tuple[str, ...]) -> str:
    return f": {', '.join(names)}" if names else ""


def _neutral_side(g: Ground, w: Wire) -> str:
    return w.element.a if w.a in g.poles.neutral else w.element.b


def _counted(active: States, joins: list[tuple[Wire, States]]) -> dict[str, int]:
    """In how many active states an island has which joins."""
    out: dict[str, int] = {}
    left = active
    sets = [(w.element.id, s & active) for w, s in joins if s & active]
    groups: dict[States, list[str]] = {}
    for name, s in sets:
        groups.setdefault(s, []).append(name)
    parts: list[tuple[States, tuple[str, ...]]] = [(left, ())]
    for s, names in groups.items():
        nxt: list[tuple[States, tuple[str, ...]]] = []
        for states, have in parts:
            if states & s:
                nxt.append((states & s, (*have, *names)))
            if states & ~s:
                nxt.append((states & ~s, have))
        parts = nxt
    for states, have in parts:
        if states:
            out[" + ".join(have) or "none"] = out.get(" + ".join(have) or "none", 0) + count(states)
    return out


def _earth_of_ports(g: Ground) -> Iterator[ProofFinding]:
    """Every PE of an AC port of an island hangs on an earth that its join reaches."""
    reach = _earth_reach(g)
    for t in g.graph.terminals.values():
        if t.pole != "PE" or t.port_role not in ("ac", "way") or t.may_stay_free or not reach:
            continue
        live = [x for x in g.graph.terminals.values() if x.port == t.port and x.pole in LINE_POLES]
        if not live or not _wired(g, live[0]):
            continue
        if g.number[t.id] not in reach:
            yield finding(
                t.id,
                f"the earth of {t.port} reaches no neutral-earth join: nothing clears a fault there",
                (t.id,),
            )


def _earth_reach(g: Ground) -> set[int]:
    """All terminals of the earth set that hang together with some join's earth side, cords in and relays closed."""
    seeds = {w.b if w.a in g.poles.neutral else w.a for w in g.poles.joins}
    found, work = set(seeds), list(seeds)
    while work:
        t = work.pop()
        for w in g.net.at[t]:
            other = w.b if w.a == t else w.a
            if other not in found and other in g.poles.earth and g.poles.closable(w):
                found.add(other)
                work.append(other)
    return found


def _wired(g: Ground, t: Terminal) -> bool:
    return any(g.graph.elements[e].role in ("run", "plug") for e in g.graph.at.get(t.id, ()))


def pins(g: Ground) -> Proof:
    """Every male contact is dead in every state in which it is out; a cord whose two ends fit sockets is always found."""
    found: list[ProofFinding] = []
    subjects: list[str] = []
    groups: dict[str, list[Terminal]] = {}
    for t in g.graph.terminals.values():
        if t.plug == "pins" and t.pole in (*LINE_POLES, "N"):
            groups.setdefault(t.port, []).append(t)
    for port, contacts in groups.items():
        subjects.append(port)
        for live in g.ac.lives[-1:]:
            bad: States = 0
            where: tuple[str, str] | None = None
            out = _is_out(g, live, contacts)
            for t in contacts:
                for end in g.ac_ends:
                    for pole in (end.a, end.b):
                        here = out & live.active.get(end.id, 0) & live.joined(pole, t.id) & live.space.valid
                        if here and end.owner != t.owner:
                            bad |= here
                            where = where or (pole, t.id)
            if bad and where is not None:
                certain, hangs = g.split(live.space, bad)
                states = certain or bad
                found.append(
                    finding(
                        port,
                        f"the pins of {port} are live while they are out",
                        g.path(live, *where, states),
                        g.ac.told(states),
                        () if certain else hangs,
                    )
                )
    for run in g.rig.runs.values():
        if len(run.plugs) == 2:
            ends = {
                f"{run.id}.{e}": {t.plug for t in g.graph.terminals.values() if t.port == f"{run.id}.{e}"}
                for e in run.plugs
            }
            if all("pins" in p for p in ends.values()):
                found.append(
                    finding(
                        run.id,
                        f"both ends of {run.id} fit sockets: it has bare pins at both ends",
                        tuple(ends),
                    )
                )
    return Proof(
        "pins",
        g.ac.count,
        tuple(f for f in found if not f.missing),
        tuple(f for f in found if f.missing),
        tuple(subjects),
    )


def _is_out(g: Ground, live: Live, contacts: list[Terminal]) -> States:
    """Where a contact mates with nothing: no plug of a cord stands in it."""
    mated: States = 0
    for t in contacts:
        for e in g.graph.at.get(t.id, ()):
            element = g.graph.elements[e]
            if element.role == "plug" or (element.owner == t.port and element.kind == "source"):
                mated |= live.space.on(element.when)
    return live.space.full & ~mated


def rcd_join(g: Ground) -> Proof:
    """No neutral-earth join lies on the load side of a residual-current device, and nothing feeds one from behind."""
    found: list[ProofFinding] = []
    devices = g.rig.of_kind("rcd", "rcbo")
    live = g.ac.lives[-1]
    for part in devices:
        load_n = _pole_of(g, f"{part.id}.load", ("N",))
        load_l = _pole_of(g, f"{part.id}.load", tuple(LINE_POLES))
        taken = [w.element.id for w in g.net.wires if w.element.owner == part.id]
        without, closed_to = g.poles.island_free
        view = g.net.view({*without, *taken}, closed_to)
        behind = Live(live.space, view, g.ac_ends)
        if load_n:
            for w in g.poles.joins:
                here = behind.joined(load_n, _neutral_side(g, w)) & live.on(w.number) & live.space.valid
                line = _pole_of(g, f"{part.id}.line", ("N",))
                here &= ~behind.joined(line, load_n) if line else live.space.full
                if here:
                    certain, hangs = g.split(live.space, here)
                    found.append(
                        finding(
                            part.id,
                            f"the join {w.element.id} lies behind {part.id}: part of a fault bypasses it",
                            g.any_path(view, load_n, _neutral_side(g, w)),
                            g.ac.told(certain or here),
                            () if certain else hangs,
                        )
                    )
        if load_l:
            for end in g.ac_ends:
                here = live.active.get(end.id, 0) & behind.joined(end.a, load_l) & live.space.valid
                line = _pole_of(g, f"{part.id}.line", tuple(LINE_POLES))
                here &= ~behind.joined(end.a, line) if line else live.space.full
                if here:
                    found.append(
                        finding(
                            part.id,
                            f"{end.owner} feeds {part.id} from behind",
                            g.any_path(view, end.a, load_l),
                            g.ac.told(here),
                        )
                    )
    merged = {(f.subject, f.message): f for f in found}
    return Proof(
        "rcd-join",
        g.ac.count,
        tuple(f for f in merged.values() if not f.missing),
        tuple(f for f in merged.values() if f.missing),
        tuple(p.id for p in devices),
    )


def _pole_of(g: Ground, port: str, poles: tuple[str, ...]) -> str:
    return next((t.id for t in g.graph.terminals.values() if t.port == port and t.pole in poles), "")


def shared_neutral(g: Ground) -> Proof:
    """A neutral between two legs carries their difference only while they are half a turn apart: never one phase on both."""
    found: list[ProofFinding] = []
    subjects: list[str] = []
    live = g.ac.lives[-1]
    ports: dict[str, dict[str, str]] = {}
    for t in g.graph.terminals.values():
        if t.pole in ("L1", "L2", "N"):
            ports.setdefault(t.port, {})[t.pole] = t.id
    for port, poles in ports.items():
        if not {"L1", "L2", "N"} <= poles.keys() or not _feeds_loads(g, poles):
            continue
        subjects.append(port)
        for end in g.ac_ends:
            here = (
                live.active.get(end.id, 0)
                & live.joined(end.a, poles["L1"])
                & live.joined(end.a, poles["L2"])
                & live.joined(end.b, poles["N"])
                & live.space.valid
            )
            if here:
                found.append(
                    finding(
                        port,
                        f"both legs of {port} hang on {end.owner} in one phase: its neutral carries the sum",
                        g.path(live, poles["L1"], poles["L2"], here),
                        g.ac.told(here),
                    )
                )
                break
    return Proof("shared-neutral", g.ac.count, tuple(found), (), tuple(subjects))


def _feeds_loads(g: Ground, poles: dict[str, str]) -> bool:
    """A panel or load end, not a port that something passes through."""
    owner = g.graph.terminals[poles["N"]].owner
    part = g.rig.parts.get(owner)
    return part is not None and part.kind.name == "panel-ac" and ".feed" in poles["N"]
