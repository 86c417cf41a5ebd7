"""The DC side written for a general circuit simulator, so that anybody can solve it a second way.

Every island's zero is node 0.  A branch is a resistor, a source a resistor behind a voltage source; loads of fixed power are current sources that divide by their volts, and draw no more well below them:
a simulator that starts from nothing would else land on the unstable root.
"""

import re
from collections.abc import Iterable, Sequence

from ohmwright.circuit.faults import greatest_side
from ohmwright.circuit.network import Network
from ohmwright.circuit.ports import Draw, DROOP_ohm, Push
from ohmwright.circuit.solve import worked
from ohmwright.circuit.types import Case
from ohmwright.circuit.wiring import wiring_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

#: Below this part of the volts we found a load of fixed power draws no more current.
STEADY_BELOW_ratio = 0.8

_LINE = re.compile(r"^\s*([iv]\([\w#]+\)|@r\d+\[i\])\s*=\s*(\S+)\s*$", re.MULTILINE | re.IGNORECASE)
_LEGEND = re.compile(r"^\* (\S+) is (.+)$", re.MULTILINE)
_OPTIONS = ".options reltol=1e-7 abstol=1e-9 vntol=1e-9 gmin=1e-15 itl1=500"


def netlist(rig: Rig, graph: Graph, case: Case) -> str:
    """A batch netlist of the DC islands of a solved case, with what converters push and draw as sources."""
    work = worked(rig, graph, case)
    net, ports, answer = work.direct.network, work.ports, work.answer
    draws = ports.seen.draws if ports else ()
    pushes = ports.seen.pushes if ports else ()
    holding = set(answer.holding) if answer else set()
    drawn = answer.drawn if answer else {}
    volts = answer.volts.tolist() if answer else []
    draws = tuple(d for d in draws if d.power or d.current_A)
    pushes = tuple(p for p in pushes if p.id in holding or drawn.get(p.id))
    idle = _idle(net, (net.node[t] for p in (*draws, *pushes) for t in (p.a, p.b)))
    lines = [f"* {rig.job.id}: {case.name}", *_branches(net, idle), *_draws(net, draws, volts)]
    lines += _pushes(net, pushes, holding, {k: -complex(i).real for k, i in drawn.items()})
    return _closed(lines, _guess(net, volts, idle[0]), net, idle)


def network_netlist(net: Network, draws: Sequence[Draw], volts: Sequence[float], title: str) -> str:
    """A netlist of a bare network with loads; `volts` are the volts found, for a starting point."""
    idle = _idle(net, (net.node[t] for d in draws for t in (d.a, d.b)))
    lines = [f"* {title}", *_branches(net, idle), *_draws(net, draws, volts)]
    return _closed(lines, _guess(net, volts, idle[0]), net, idle)


def fault_netlist(rig: Rig, graph: Graph, terminal: str) -> str | None:
    """The greatest fault at a terminal: the network of its bound with a short across it, or None where nothing drives it."""
    side = greatest_side(wiring_of(rig, graph))
    pair = side.shorted(terminal)
    if pair is None:
        return None
    net = side.network
    row, back = pair
    idle = _idle(net, pair)
    short = [f"* i(vshort) is fault at {terminal}", f"vshort {_node(net, row)} {_node(net, back)} dc 0"]
    return _closed(
        [f"* {rig.job.id}: fault at {terminal}", *_branches(net, idle), *short], [], net, idle, ["i(vshort)"]
    )


def read_answer(text: str) -> dict[str, float]:
    """What the simulator printed: `v(n3)`, `i(v7)` and `@r8[i]` to their values."""
    return {name.lower(): float(value) for name, value in _LINE.findall(text)}


def legend(text: str) -> dict[str, str]:
    """What the names of a netlist stand for: `v(n3)` -> a terminal, `i(v7)` and `@r8[i]` -> an element (current from a to b)."""
    return dict(_LEGEND.findall(text))


def _idle(net: Network, used: Iterable[int]) -> tuple[frozenset[int], frozenset[int]]:
    """Rows and branches at the ends of chains that carry nothing: left out, for there a simulator loses its digits."""
    busy = {*used, *net.reference.values()}
    at: dict[int, set[int]] = {row: set() for row in range(net.size)}
    for k, e in enumerate(net.live):
        at[net.node[e.a]].add(k)
        at[net.node[e.b]].add(k)
        if e.volts:
            busy |= {net.node[e.a], net.node[e.b]}
    rows: set[int] = set()
    branches: set[int] = set()
    ends = [row for row, near in at.items() if len(near) < 2 and row not in busy]
    while ends:
        row = ends.pop()
        if row in rows:
            continue
        rows.add(row)
        for k in list(at[row]):
            branches.add(k)
            e = net.live[k]
            for other in (net.node[e.a], net.node[e.b]):
                at[other].discard(k)
                if len(at[other]) < 2 and other not in busy:
                    ends.append(other)
    return frozenset(rows), frozenset(branches)


def _node(net: Network, row: int) -> str:
    return "0" if net.reference[net.island[row]] == row else f"n{row}"


def _branches(net: Network, idle: tuple[frozenset[int], frozenset[int]]) -> list[str]:
    out = []
    named: dict[int, str] = {}
    for name, row in net.node.items():
        named.setdefault(row, name)
    out += [
        f"* v(n{row}) is {name}"
        for row, name in named.items()
        if _node(net, row) != "0" and row not in idle[0]
    ]
    for k, e in enumerate(net.live):
        if k in idle[1]:
            continue
        a, b = _node(net, net.node[e.a]), _node(net, net.node[e.b])
        ohm, volts = complex(e.ohm).real, complex(e.volts).real
        if volts:
            out += [f"* i(v{k}) is {e.id}", f"r{k} {a} m{k} {ohm:.17g}", f"v{k} m{k} {b} dc {volts:.17g}"]
        else:
            out += [f"* @r{k}[i] is {e.id}", f"r{k} {a} {b} {ohm:.17g}"]
    return out


def _draws(net: Network, draws: Sequence[Draw], volts: Sequence[float]) -> list[str]:
    out = []
    for k, d in enumerate(draws):
        a, b = _node(net, net.node[d.a]), _node(net, net.node[d.b])
        watts, amps = complex(d.power).real, d.current_A
        if watts:
            across = f"v({a})" if b == "0" else f"v({a},{b})"
            low = STEADY_BELOW_ratio * (volts[net.node[d.a]] - volts[net.node[d.b]])
            law = f"{watts:.17g}/max({across},{low:.9g})"
            out += [f"* bd{k} is {d.id}", f"bd{k} {a} {b} i={law}"]
        if amps:
            out += [f"* id{k} is {d.id}", f"id{k} {a} {b} dc {amps:.17g}"]
    return out


def _pushes(net: Network, pushes: Sequence[Push], holding: set[str], gives_A: dict[str, float]) -> list[str]:
    out = []
    for k, p in enumerate(pushes):
        a, b = _node(net, net.node[p.a]), _node(net, net.node[p.b])
        out.append(f"* p{k} is {p.id}")
        if p.id in holding and p.cap_V is not None:
            out += [f"rp{k} {a} h{k} {DROOP_ohm:.17g}", f"vp{k} h{k} {b} dc {p.cap_V:.17g}"]
        else:
            out.append(f"ip{k} {b} {a} dc {gives_A.get(p.id, 0.0):.17g}")
    return out


def _guess(net: Network, volts: Sequence[float], idle: frozenset[int]) -> list[str]:
    """Volts to one tenth as a starting point, so that the simulator finds the same, stable root."""
    return [
        f"v({_node(net, row)})={round(v, 1)}"
        for row, v in enumerate(volts)
        if _node(net, row) != "0" and row not in idle
    ]


def _closed(
    lines: Iterable[str],
    guess: Sequence[str],
    net: Network,
    idle: tuple[frozenset[int], frozenset[int]],
    more: Sequence[str] = (),
) -> str:
    asked = [
        *(f"v(n{row})" for row in range(net.size) if _node(net, row) != "0" and row not in idle[0]),
        *(f"i(v{k})" if e.volts else f"@r{k}[i]" for k, e in enumerate(net.live) if k not in idle[1]),
        *more,
    ]
    return "\n".join(
        [
            *lines, _OPTIONS, *([f".nodeset {' '.join(guess)}"] if guess else []), ".control", "set numdgt=13", "op",
            *(f"print {a}" for a in asked), "quit 0", ".endc", ".end", "",
        ]
    )  # fmt: skip
