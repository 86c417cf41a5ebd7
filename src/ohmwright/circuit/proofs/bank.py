"""Proofs about banks: all of their current through the shunt, what charges them, what they feed back into."""

from collections.abc import Iterator

from ohmwright.circuit.live import End, Live
from ohmwright.circuit.net import States, Wire
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.space import count
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.rig.model import Part
from ohmwright.working import known

#: Kinds that only measure: their current is small, and said by their own use.
MEASURING = frozenset({"monitor", "bms-outside", "shunt"})
#: Kinds on which a bank's minus may lie before the shunt without anything being wrong yet.
BARS = frozenset({"busbar", "string-join"})
#: Ends that charge a battery.
CHARGING_ROLES = frozenset({"tracker", "charger", "dcdc", "alternator"})


def shunt(g: Ground) -> Proof:
    """With the shunt's element taken out, a bank's minus reaches the batteries' own terminals and the shunt, nothing else."""
    found: list[ProofFinding] = []
    unknown: list[ProofFinding] = []
    subjects: list[str] = []
    small: list[str] = []
    for part in g.rig.of_kind("shunt"):
        banks = counted(g, part)
        if not banks:
            unknown.append(
                ProofFinding(
                    part.id, f"no bank is known that {part.id} counts", missing=(f"{part.id}.counts",)
                )
            )
        for bank in banks:
            subjects.append(f"{part.id} {bank}")
            for f in _around_shunt(g, part, bank):
                (unknown if f.missing else found).append(f) if not f.states else small.append(f.subject)
    return Proof("shunt", 1, tuple(found), tuple(unknown), tuple(subjects), {"electronics": tuple(small)})


def counted(g: Ground, shunt_part: Part) -> list[str]:
    """The banks whose current a shunt counts: as it says, else those whose minus reaches its bank stud."""
    told = shunt_part.word("counts").split()
    if told:
        known = {*g.rig.parts, *(p.group for p in g.rig.parts.values())}
        return [b for b in told if b in known]
    stud = f"{shunt_part.id}.bank"
    taken = [w.element.id for w in g.net.wires if w.element.owner == shunt_part.id]
    view = g.net.view(taken, g.poles.ac | (g.poles.bare_earth))
    banks: dict[str, None] = {}
    for e in g.net.sources:
        if (
            e.role == "cell"
            and stud in g.number
            and view.path([g.number[e.b]], {g.number[stud]}, g.poles.closable) is not None
        ):
            banks.setdefault(g.group_of(e.owner))
    return list(banks)


def _around_shunt(g: Ground, shunt_part: Part, bank: str) -> Iterator[ProofFinding]:
    group = g.rig.parts.get(bank)
    bar = group.join.minus.rpartition(".")[0] if group is not None and group.join is not None else ""
    own = {p.id for p in g.rig.parts.values() if p.group == bank} | {bank, bar, shunt_part.id}
    seeds = [g.number[e.b] for e in g.net.sources if e.role == "cell" and g.group_of(e.owner) == bank]
    came: dict[int, tuple[int, Wire] | None] = dict.fromkeys(seeds)
    work = list(seeds)
    at = 0
    while at < len(work):
        t = work[at]
        at += 1
        for w in g.net.at[t]:
            other = w.b if w.a == t else w.a
            if (
                other in came
                or (w.element.owner == shunt_part.id and w.element.role == "shunt")
                or not g.poles.closable(w)
            ):
                continue
            came[other] = (t, w)
            foreign = _foreign(g, other, own)
            if foreign is None:
                work.append(other)
                continue
            path = _way(g, came, other, bank)
            name = g.net.names[other]
            if foreign == "measuring":
                owner = g.graph.terminals[name].owner
                use = known(g.rig.parts[owner].figure("self_use"))
                if use is None:
                    yield finding(
                        owner,
                        f"{owner} takes its current before {shunt_part.id}, and how much is not known",
                        path,
                        missing=(f"{owner}.self_use",),
                    )
                else:
                    yield finding(
                        owner,
                        f"{owner} takes {use.value:g} W before {shunt_part.id}",
                        path,
                        {"measuring": owner},
                    )
            else:
                yield finding(
                    name,
                    f"{path[0]} reaches {name} without passing {shunt_part.id}: that current is not counted",
                    path,
                )


def _foreign(g: Ground, terminal: int, own: set[str]) -> str | None:
    t = g.graph.terminals[g.net.names[terminal]]
    if t.owner in own:
        return None
    part = g.rig.parts.get(t.owner)
    if part is not None and part.kind.name in MEASURING:
        return "measuring"
    if part is not None and (part.kind.name in BARS or part.kind.series):
        return None
    return "foreign"


def _way(g: Ground, came: dict[int, tuple[int, Wire] | None], end: int, bank: str) -> tuple[str, ...]:
    out = [g.net.names[end]]
    t = end
    while (step := came[t]) is not None:
        before, w = step
        if w.element.owner in g.rig.runs:
            out += [w.element.id, g.net.names[before]]
        t = before
    takeoff = f"{bank}.-"
    words = out[::-1]
    if takeoff in g.number and takeoff in words:
        words = words[words.index(takeoff) :]
    return tuple(words)


def array_backfeed(g: Ground) -> Proof:
    """No array and no bank share a set by closed contacts: a switching controller is no converter."""
    arrays = [e for e in g.dc_ends if e.role == "array"]
    cells = [e for e in g.dc_ends if e.role == "cell"]
    found: dict[tuple[str, str], ProofFinding] = {}
    for a in arrays:
        for c in cells:
            states = g.dc.states(_tied, a, c)
            if states:
                key = (g.group_of(a.owner), g.group_of(c.owner))
                if key not in found:
                    path = g.path(g.dc.lives[0], c.a, a.a, states)
                    found[key] = finding(
                        key[0],
                        f"{key[1]} can feed back into {key[0]} through closed contacts",
                        path,
                        g.dc.told(states),
                    )
    return Proof(
        "array-backfeed",
        g.dc.count,
        tuple(found.values()),
        (),
        tuple(dict.fromkeys(g.group_of(a.owner) for a in arrays)),
    )


def _tied(live: Live, a: End, c: End) -> States:
    """Where an array's end shares plus or minus with a bank, and nothing one-way lies between."""
    return live.active.get(a.id, 0) & live.joined(a.a, c.a)


def charging_ends(g: Ground) -> list[End]:
    """Everything that charges on the DC side; an array straight on a bank counts too."""
    return [e for e in g.dc_ends if e.role in CHARGING_ROLES and not e.id.endswith(" back")]


def open_bus(g: Ground) -> Proof:
    """Active chargers on a set without a bank: found, unless the part says that it survives; unknown: cannot tell."""
    cells = [e for e in g.dc_ends if e.role == "cell"]
    found: list[ProofFinding] = []
    unknown: list[ProofFinding] = []
    subjects: dict[str, None] = {}
    inside: dict[str, tuple[str, ...]] = {}
    for end in charging_ends(g):
        part = g.rig.parts[end.owner]
        if part.word("charges") == "none":
            continue
        subjects.setdefault(part.id)
        states = g.dc.states(_without_bank, end, cells)
        reached = g.dc.states(_with_bank, end, cells)
        inside[part.id] = _managed(g, end, cells, reached)
        if not states:
            continue
        survives = part.word("battery_loss")
        why = _opened(g, states)
        message = f"{part.id} charges a bar without a battery" + (f" when {why}" if why else "")
        if survives == "survives":
            continue
        if survives == "unknown":
            unknown.append(
                finding(
                    part.id,
                    f"{message}; whether it survives that is not known",
                    (),
                    g.dc.told(states),
                    (f"{part.id}.battery_loss",),
                )
            )
        else:
            found.append(finding(part.id, message, (), g.dc.told(states)))
    return Proof("open-bus", g.dc.count, tuple(found), tuple(unknown), tuple(subjects), {"managed": inside})


def _without_bank(live: Live, end: End, cells: list[End]) -> States:
    active = live.active.get(end.id, 0)
    for c in cells:
        active &= ~(live.active.get(c.id, 0) & live.joined(end.a, c.a) & live.joined(end.b, c.b))
    for (top, bottom), here in live.stacks.items():
        active &= ~(here & live.joined(end.a, top) & live.joined(end.b, bottom))
    return active


def _with_bank(live: Live, end: End, cells: list[End]) -> States:
    return live.active.get(end.id, 0) & ~_without_bank(live, end, cells)


def shares(live: Live, one: End, two: End) -> States:
    """Where two active ends share a set by their plus."""
    return live.active.get(one.id, 0) & live.active.get(two.id, 0) & live.joined(one.a, two.a)


def _managed(g: Ground, end: End, cells: list[End], reached: States) -> tuple[str, ...]:
    """The banks a charger reaches whose own management may open under it."""
    if not reached:
        return ()
    out: dict[str, None] = {}
    for c in cells:
        if f"{c.owner}.bms" in g.graph.variables and g.dc.states(Live.joined, end.a, c.a):
            out.setdefault(g.group_of(c.owner))
    return tuple(out)


def _opened(g: Ground, states: States) -> str:
    """Which single devices bring a finding about by themselves."""
    space = g.dc.space
    alone = []
    for name in space.walked:
        v = g.graph.variables[name]
        for s in v.states:
            others = states & space.bits[name][s]
            if (
                others
                and not states & ~space.bits[name][s] & _ordinary_but(g, name)
                and s != v.states[0]
                and others & _ordinary_but(g, name)
            ):
                alone.append(f"{name} is {s}")
    return " or ".join(alone)


def _ordinary_but(g: Ground, name: str) -> States:
    """Combinations in which every hand device but one is in its ordinary state."""
    space = g.dc.space
    out = space.full
    for other in space.walked:
        v = g.graph.variables[other]
        if other != name and (v.origin == "hand" or v.rule == "bms"):
            out &= space.bits[other][v.states[0]]
    return out


def chemistry(g: Ground) -> Proof:
    """A charger shares a set only with a bank of the chemistry it is set for; two chemistries never share one."""
    cells = [e for e in g.dc_ends if e.role == "cell"]
    found: dict[tuple[str, str], ProofFinding] = {}
    unknown: dict[tuple[str, str], ProofFinding] = {}
    subjects: dict[str, None] = {}
    for end in charging_ends(g):
        part = g.rig.parts[end.owner]
        wants = part.word("charges") or "any"
        subjects.setdefault(part.id)
        for c in cells:
            bank = g.group_of(c.owner)
            has = family(g.rig.parts[c.owner])
            if wants == has or wants == "any" or (part.id, bank) in found or (part.id, bank) in unknown:
                continue
            states = g.dc.states(shares, end, c)
            if not states:
                continue
            path = g.path(g.dc.lives[-1], end.a, c.a, states)
            if "unknown" in (wants, has):
                lacks = f"{part.id}.charges" if wants == "unknown" else f"{bank}.chemistry"
                unknown[part.id, bank] = finding(
                    part.id,
                    f"whether {part.id} may charge {bank} is not known",
                    path,
                    g.dc.told(states),
                    (lacks,),
                )
            else:
                found[part.id, bank] = finding(
                    part.id,
                    f"{part.id}, set for {wants}, charges {bank}, which is {has}",
                    path,
                    g.dc.told(states),
                )
    for end in (e for e in g.dc_ends if e.role == "tow-vehicle"):
        subjects.setdefault(end.owner)
        for c in cells:
            bank = g.group_of(c.owner)
            if (end.owner, bank) in found or family(g.rig.parts[c.owner]) == "lead":
                continue
            states = g.dc.states(shares, end, c)
            if states:
                message = (
                    f"{end.owner}, the battery and alternator of a tow vehicle, stands straight on {bank}"
                )
                found[end.owner, bank] = finding(end.owner, message, g.path(g.dc.lives[-1], end.a, c.a, states), g.dc.told(states))  # fmt: skip
    for i, one in enumerate(cells):
        for two in cells[i + 1 :]:
            a, b = g.group_of(one.owner), g.group_of(two.owner)
            first, second = family(g.rig.parts[one.owner]), family(g.rig.parts[two.owner])
            if a == b or first == second or (a, b) in found:
                continue
            states = g.dc.states(shares, one, two)
            if states:
                found[a, b] = finding(
                    a,
                    f"{a} ({first}) and {b} ({second}) stand in parallel",
                    g.path(g.dc.lives[-1], one.a, two.a, states),
                    g.dc.told(states),
                )
    return Proof(
        "chemistry",
        g.dc.count,
        tuple(found.values()),
        tuple(unknown.values()),
        tuple(subjects),
        {"combinations": count(g.dc.space.valid)},
    )


def family(part: Part) -> str:
    """lfp, lead or unknown."""
    word = part.word("chemistry")
    return "lfp" if word == "lfp" else "unknown" if word in ("", "unknown") else "lead"
