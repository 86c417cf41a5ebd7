"""Proofs about sources: none meets another, none feeds itself, none stands the wrong way round."""

from ohmwright.circuit.live import End, Live
from ohmwright.circuit.net import States
from ohmwright.circuit.proofs.circuits import hunting
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.types import Proof, ProofFinding
from ohmwright.kinds.base import When


def sources_meet(g: Ground) -> Proof:
    """No two active AC sources share an island, neutral included; the plus terminals of two banks never share a set."""
    found: list[ProofFinding] = []
    unknown: list[ProofFinding] = []
    for f in (*_ac_pairs(g), *_banks(g), *_mixed(g)):
        (unknown if f.missing else found).append(f)
    banks = {g.group_of(e.owner) for e in g.dc_ends if e.role == "cell"}
    subjects = tuple(dict.fromkeys([*(e.owner for e in g.ac_ends), *sorted(banks)]))
    return Proof("sources-meet", g.ac.count + g.dc.count, tuple(found), tuple(unknown), subjects)


def _ac_pairs(g: Ground) -> list[ProofFinding]:
    out: dict[tuple[str, str], ProofFinding] = {}
    for i, one in enumerate(g.ac_ends):
        for two in g.ac_ends[i + 1 :]:
            key = (one.owner, two.owner)
            if one.owner == two.owner or key in out or g.rig.parts[one.owner].word("parallel") == "yes":
                continue
            best: tuple[str, str] | None = None
            states = 0
            for a in (one.a, one.b):
                for b in (two.a, two.b):
                    here = g.ac.states(_both_at, one, two, a, b)
                    if here and best is None:
                        best, states = (a, b), here
            if best is None:
                continue
            certain, hangs = g.split(g.ac.space, states)
            path = g.path(g.ac.lives[-1], *best, certain or states)
            told = g.ac.told(certain or states)
            out[key] = finding(
                one.owner, f"{one.owner} and {two.owner} meet", path, told, () if certain else hangs
            )
    return list(out.values())


def _mixed(g: Ground) -> list[ProofFinding]:
    """Alternating and direct current on one conductor, earth apart."""
    out = []
    ac, earth = g.poles.ac, g.poles.earth
    for w in g.net.wires:
        if (w.a in ac) == (w.b in ac) or not g.poles.closable(w):
            continue
        other = w.b if w.a in ac else w.a
        if other not in earth:
            names = (w.element.a, w.element.id, w.element.b)
            out.append(
                finding(w.element.owner, f"{w.element.owner} joins alternating and direct current", names)
            )
    return out


def _both_at(live: Live, one: End, two: End, a: str, b: str) -> States:
    return _both(live, one, two) & live.joined(a, b)


def _against_each(live: Live, one: End, two: End) -> States:
    return _both(live, one, two) & live.joined(one.a, two.b) & live.joined(one.b, two.a)


def _feeding(live: Live, one: End, two: End) -> States:
    assert two.needs is not None
    return live.active.get(one.id, 0) & _awake(live, two) & live.across(one, *two.needs)


def _both(live: Live, one: End, two: End) -> States:
    return live.active.get(one.id, 0) & live.active.get(two.id, 0)


def _banks(g: Ground) -> list[ProofFinding]:
    """Banks that share a set by their plus, or stand the wrong way round to each other."""
    cells = [e for e in g.dc_ends if e.role == "cell"]
    out: dict[tuple[str, str], ProofFinding] = {}
    for i, one in enumerate(cells):
        for two in cells[i + 1 :]:
            a, b = g.group_of(one.owner), g.group_of(two.owner)
            against = g.dc.states(_against_each, one, two)
            if against and (one.owner, two.owner) not in out:
                out[one.owner, two.owner] = finding(
                    one.owner,
                    f"{one.owner} and {two.owner} stand against each other: a short circuit",
                    g.path(g.dc.lives[-1], one.a, two.b, against),
                    g.dc.told(against),
                )
            if a == b or (a, b) in out:
                continue
            states = g.dc.states(_both_at, one, two, one.a, two.a)
            if states:
                out[a, b] = finding(
                    a,
                    f"banks {a} and {b} meet",
                    g.path(g.dc.lives[-1], one.a, two.a, states),
                    g.dc.told(states),
                )
    for end in g.dc_ends:
        short = g.dc.states(_both_at, end, end, end.a, end.b)
        if short:
            out[end.id, end.id] = finding(
                end.owner,
                f"{end.owner} is shorted: its {_word(end.a)} and {_word(end.b)} are joined",
                g.path(g.dc.lives[-1], end.a, end.b, short),
                g.dc.told(short),
            )
    out.update(_crossed(g))
    return list(out.values())


def _word(terminal: str) -> str:
    return "plus" if terminal.endswith("+") else "minus" if terminal.endswith("-") else terminal


def _crossed(g: Ground) -> dict[tuple[str, str], ProofFinding]:
    """A charger's output the wrong way round on a bank, or a string against another."""
    out: dict[tuple[str, str], ProofFinding] = {}
    tops = [e for e in g.dc_ends if e.role == "array"]
    pushers = [e for e in g.dc_ends if e.role not in ("cell", "array")]
    cells = [e for e in g.dc_ends if e.role == "cell"]
    pairs = [(p, c) for p in pushers for c in cells] + [
        (a, b) for i, a in enumerate(tops) for b in tops[i + 1 :]
    ]
    for one, two in pairs:
        states = g.dc.states(_against_each, one, two)
        if states and (one.owner, two.owner) not in out:
            out[one.owner, two.owner] = finding(
                one.owner,
                f"{one.owner} stands the wrong way round on {two.owner}",
                g.path(g.dc.lives[-1], one.a, two.b, states),
                g.dc.told(states),
            )
    for (top, bottom), (upper, lower) in _against(g).items():
        out[top, bottom] = finding(
            upper, f"strings {upper} and {lower} stand against each other", (top, bottom), {}
        )
    return out


def _against(g: Ground) -> dict[tuple[str, str], tuple[str, str]]:
    """Stacks of modules or batteries whose plus meets the minus of another stack on both sides."""
    out: dict[tuple[str, str], tuple[str, str]] = {}
    live = g.dc.lives[-1]
    stacks = list(live.stacks.items())
    owner = {t: g.graph.terminals[t].owner for pair, _ in stacks for t in pair}
    for i, ((a, b), here) in enumerate(stacks):
        for (c, d), there in stacks[i + 1 :]:
            if here & there & live.joined(a, d) & live.joined(b, c) & live.space.valid:
                out.setdefault((a, b), (owner[a], owner[c]))
    return out


def self_charging(g: Ground) -> Proof:
    """No cycle of active one-way converters: no charger behind its own inverter, no energy loop."""
    ends = [e for e in g.ends if e.needs is not None and not e.element.both_ways]
    feeds: dict[str, list[tuple[End, States, bool]]] = {}
    for one in ends:
        for two in ends:
            assert two.needs is not None
            if one.ac != g.is_ac(two.needs[0]) or not _together(one.when, two.when):
                continue
            walk = g.ac if one.ac else g.dc
            states = walk.states(_feeding, one, two)
            if states:
                feeds.setdefault(one.id, []).append((two, states, one.ac))
    found: dict[frozenset[str], ProofFinding] = {}
    for start in ends:
        for cycle, told in _cycles(g, start, feeds):
            owners = tuple(dict.fromkeys(e.owner for e in cycle))
            key = frozenset(owners)
            if key not in found:
                what = " feeds ".join([*owners, owners[0]])
                found[key] = finding(
                    owners[0], f"energy goes round: {what}", tuple(e.id for e in cycle), told
                )
    rounds = [*found.values(), *hunting(g)]
    return Proof(
        "self-charging",
        g.ac.count + g.dc.count,
        tuple(rounds),
        (),
        tuple(dict.fromkeys(e.owner for e in ends)),
    )


def _together(one: When, two: When) -> bool:
    """Whether two things may exist at once."""
    asked = dict(one)
    return all(name not in asked or states & asked[name] for name, states in two)


def _awake(live: Live, end: End) -> States:
    return live.active.get(end.id, 0) if end.id in live.active else live.space.on(end.when)


def _cycles(
    g: Ground, start: End, feeds: dict[str, list[tuple[End, States, bool]]]
) -> list[tuple[tuple[End, ...], dict[str, str]]]:
    """Ways from an end back to itself, all of whose steps hold together on each side of the rig."""
    out: list[tuple[tuple[End, ...], dict[str, str]]] = []
    work: list[tuple[tuple[End, ...], States, States]] = [((start,), g.ac.space.full, g.dc.space.full)]
    while work:
        way, ac, dc = work.pop()
        for nxt, states, is_ac in feeds.get(way[-1].id, ()):
            now_ac, now_dc = (ac & states, dc) if is_ac else (ac, dc & states)
            if not now_ac or not now_dc or any(not _together(e.when, nxt.when) for e in way):
                continue
            if nxt.id == start.id:
                told = {
                    **(g.ac.told(now_ac) if now_ac != g.ac.space.full else {}),
                    **(g.dc.told(now_dc) if now_dc != g.dc.space.full else {}),
                }
                out.append((way, told))
            elif nxt not in way and len(way) < 6:
                work.append(((*way, nxt), now_ac, now_dc))
    return out
