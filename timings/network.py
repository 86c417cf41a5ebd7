# ruff: noqa: T201 - it prints its table
"""How fast a network is: one nonlinear solve against a sparse library in Newton, all faults at once against one by one.

    python timings/network.py

60 nodes, 71 branches, 3 batteries, 25 loads of fixed power.  Both ways run in one process, interleaved, and are told in
processor time, median of several rounds; the answers are compared, so that nothing fast is wrong.
"""

import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np
from scipy.sparse import csc_matrix, diags
from scipy.sparse.linalg import spsolve

from ohmwright.circuit import fast
from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.faults import faults_of
from ohmwright.circuit.guards import guards_of
from ohmwright.circuit.loaded import Loaded, loaded
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.ports import Draw, Ports
from ohmwright.circuit.proofs import Proofs
from ohmwright.circuit.solve import solve
from ohmwright.circuit.solved import solutions_of
from ohmwright.circuit.wiring import Wiring
from ohmwright.rig.expand import graph_of
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.services import demos
from ohmwright.shelf.load import Shelf

ROUNDS = 9
TIMES = 200
NODES, LOADS = 60, 25


def network() -> tuple[list[Branch], list[Draw]]:
    """A tree with a few rings, three batteries in parallel at its foot, loads on its leaves."""
    chance = np.random.default_rng(7)
    branches = [Branch(f"B{k}", f"n{k}", "g", 0.0025, 13.2 + 0.01 * k) for k in range(3)]
    branches += [Branch(f"L{k}", f"n{k}", f"n{k + 1}", 0.0003) for k in range(2)]
    for k in range(3, NODES - 1):
        branches.append(
            Branch(
                f"T{k}",
                f"n{k}",
                f"n{int(chance.integers(max(0, k - 8), k))}",
                float(chance.uniform(0.0005, 0.01)),
            )
        )
    while len(branches) < 71:
        a, b = (int(x) for x in chance.integers(0, NODES - 1, 2))
        if a != b:
            branches.append(Branch(f"R{len(branches)}", f"n{a}", f"n{b}", float(chance.uniform(0.001, 0.02))))
    draws = [Draw(f"P{k}", f"n{NODES - 2 - k}", "g", float(chance.uniform(10, 60))) for k in range(LOADS)]
    return branches, draws


def ours(branches: list[Branch], draws: list[Draw]) -> np.ndarray:
    """Eliminate, look in from the loads, Newton there, and back to every node."""
    net = Network(branches, ["g"])
    answer = Ports(net, draws, []).solve()
    return np.array([answer.volts[net.node[f"n{k}"]] for k in range(NODES - 1)])


def asked_again(ports: Ports, draws: list[Draw]) -> np.ndarray:
    """Newton at the ports of a network already eliminated, and back to every node."""
    ports.ask(draws, [])
    return ports.solve().volts


def many_loads(plan: Loaded, power_W: np.ndarray) -> np.ndarray:
    """Newton over every node along a plan made once: compiled where the process is warm."""
    return plan.solve(power_W)[0]


def library(branches: list[Branch], draws: list[Draw]) -> np.ndarray:
    """The same with a general sparse solver in Newton over all nodes."""
    row = {f"n{k}": k for k in range(NODES - 1)}
    n = NODES - 1
    entries: dict[tuple[int, int], float] = {}
    drive = np.zeros(n)
    for e in branches:
        g = 1 / complex(e.ohm).real
        a, b = row.get(e.a, -1), row.get(e.b, -1)
        for p, q in ((a, b), (b, a)):
            if p >= 0:
                entries[p, p] = entries.get((p, p), 0.0) + g
                if q >= 0:
                    entries[p, q] = entries.get((p, q), 0.0) - g
        if a >= 0:
            drive[a] += g * complex(e.volts).real
    i, j = zip(*entries, strict=True)
    x = list(entries.values())
    matrix = csc_matrix((x, (i, j)), shape=(n, n))
    power = np.zeros(n)
    for d in draws:
        power[row[d.a]] += complex(d.power).real
    v = spsolve(matrix, drive)
    for _ in range(20):
        left = matrix @ v - drive + power / v
        if np.abs(left).max() < 1e-9:
            break
        v = v - spsolve(csc_matrix(matrix - diags(power / v**2)), left)
    return np.asarray(v)


def at_once(branches: list[Branch]) -> np.ndarray:
    """Every node's fault to ground from one elimination."""
    net = Network(branches, ["g"])
    z, v = net.z, net.volts()
    rows = [net.node[f"n{k}"] for k in range(NODES - 1)]
    return np.asarray(v[rows] / z.diagonal()[rows])


def one_by_one(branches: list[Branch]) -> np.ndarray:
    """Every node's fault by building and solving the network with a short in it."""
    out = []
    for k in range(NODES - 1):
        net = Network([*branches, Branch("short", f"n{k}", "g", 1e-12)], ["g"])
        out.append(complex(net.currents(net.volts())["short"]).real)
    return np.array(out)


def many_times(way: Callable[[], object]) -> None:
    """Often, so that the clock sees it."""
    for _ in range(TIMES):
        way()


def timed(*ways: Callable[[], object]) -> list[float]:
    """Median processor seconds of several ways, interleaved."""
    spent: list[list[float]] = [[] for _ in ways]
    for _ in range(ROUNDS):
        for k, way in enumerate(ways):
            start = time.process_time()
            way()
            spent[k].append(time.process_time() - start)
    return [statistics.median(s) for s in spent]


def demo(name: str) -> Rig:
    """A demo rig."""
    files = demos.files_of(name)
    job = {
        f.removeprefix("shelf/"): t.decode()
        for f, t in files.items()
        if f.startswith("shelf/") and f.endswith(".yaml")
    }
    return read_rig(files["rig.yaml"].decode(), "rig.yaml", Shelf(job=job))


def edit(rig: Rig) -> tuple[float, float, float, float]:
    """What one edit of a rig costs: all cases, guards, faults and proofs from nothing."""
    graph = graph_of(rig)
    marks = [time.process_time()]
    answers = solutions_of(rig, graph)
    for name in answers:
        answers[name]
    marks.append(time.process_time())
    guards_of(rig, graph)
    marks.append(time.process_time())
    faults_of(rig, graph)
    marks.append(time.process_time())
    proofs = Proofs(Wiring(rig, graph))
    for name in proofs:
        proofs[name]
    marks.append(time.process_time())
    a, b, c, d, e = marks
    return b - a, c - b, d - c, e - d


def main() -> None:
    """Print the table."""
    branches, draws = network()
    assert np.abs(ours(branches, draws) - library(branches, draws)).max() < 1e-8
    a, b = timed(partial(ours, branches, draws), partial(library, branches, draws))
    print(
        f"one nonlinear solve, {NODES} nodes, {LOADS} loads: ours {1e3 * a:.2f} ms, sparse library {1e3 * b:.2f} ms, ratio {b / a:.1f}"
    )
    ports = Ports(Network(branches, ["g"]), draws, [])
    a, b = timed(partial(asked_again, ports, draws), partial(library, branches, draws))
    print(
        f"other loads on the same network: ours {1e3 * a:.2f} ms, sparse library {1e3 * b:.2f} ms, ratio {b / a:.1f}"
    )
    net = Network(branches, ["g"])
    plan, power_W = loaded(net, draws), np.array([complex(d.power).real for d in draws])
    fast.prepare()
    rows = [net.node[f"n{k}"] for k in range(NODES - 1)]
    assert np.abs(many_loads(plan, power_W)[rows] - library(branches, draws)).max() < 1e-8
    assert np.abs(many_loads(plan, power_W)[rows] - ours(branches, draws)).max() < 1e-12
    a, b = timed(partial(many_times, partial(many_loads, plan, power_W)), partial(library, branches, draws))
    print(
        f"other loads on the same network, compiled: ours {1e6 * a / TIMES:.1f} us, sparse library {1e3 * b:.2f} ms, ratio {b / a * TIMES:.0f}"
    )
    fast.forget()
    for warm in (False, True):
        print("compiled" if warm else "plain")
        if warm:
            fast.prepare()
            ours(branches, draws)
        assert np.abs(at_once(branches) / one_by_one(branches) - 1).max() < 1e-6
        a, b = timed(partial(at_once, branches), partial(one_by_one, branches))
        print(f"{NODES - 1} faults: at once {1e3 * a:.2f} ms, one by one {1e3 * b:.1f} ms, ratio {b / a:.0f}")
        demo_rigs()


def demo_rigs() -> None:
    """What one edit of each demo rig costs."""
    for name in demos.NAMES:
        rig = demo(name)
        edit(rig)
        rounds = [edit(rig) for _ in range(ROUNDS)]
        cases, guards, faults, proofs = (1e3 * statistics.median(r[k] for r in rounds) for k in range(4))
        graph = graph_of(rig)
        count = len(cases_of(rig, graph))
        print(
            f"{name}: {count} cases {cases:.1f} ms, guards {guards:.1f} ms, faults {faults:.1f} ms, proofs {proofs:.1f} ms"
        )
        case = next(iter(cases_of(rig, graph).values()))
        solve(rig, graph, case)
        (again,) = timed(partial(solve, rig, graph, case))
        print(f"    one case again {1e3 * again:.2f} ms")


if __name__ == "__main__":
    main()
