# ruff: noqa: T201 - it prints its table
"""How fast a network is: one nonlinear solve against a sparse library in Newton, all faults at once against one by one.

    python timings/network.py

60 nodes, 71 branches, 3 batteries, 25 loads of fixed power.  Both ways run in one process, interleaved, and are told in
processor time, median of several rounds; the answers are compared, so that nothing fast is wrong.  Then what a look at
each demo rig and at one of 300 parts costs, cases, guards, faults, proofs and all rules: of a rig never seen, and one
edit of a length later.  Compiled, the process stands as the bench does: what it has made is set aside from collection.
Clearing times of faults are worked out when they are looked at: what a rule asks of them counts among the rules.
"""

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import fields, make_dataclass
from functools import partial
from pathlib import Path

import numpy as np
from bench import large
from scipy.sparse import csc_matrix, diags
from scipy.sparse.linalg import spsolve

from ohmwright.checks import engine
from ohmwright.checks.carrying import carries
from ohmwright.circuit import ac, fast, skeleton
from ohmwright.circuit.loaded import Loaded, loaded
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.ports import Draw, Ports
from ohmwright.physics.diode_fit import fit
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.services import demos
from ohmwright.shelf.load import Shelf
from ohmwright.study import Study
from ohmwright.web.warmth import settle
from ohmwright.working import Figure

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


RIGS = (
    ("trailer", "rig-built.yaml"),
    ("trailer", "rig.yaml"),
    *((n, "rig.yaml") for n in demos.NAMES if n != "trailer"),
)


def files(name: str, file: str) -> tuple[str, dict[str, str]]:
    """The text of a demo rig, and the parts of its job."""
    found = demos.files_of(name)
    job = {
        f.removeprefix("shelf/"): t.decode()
        for f, t in found.items()
        if f.startswith("shelf/") and f.endswith(".yaml")
    }
    return found[file].decode(), job


STAGES: tuple[tuple[str, Callable[[Study], object]], ...] = (
    ("graph", lambda s: s.graph),
    ("cases", lambda s: [s.solution(c) for c in s.cases]),
    ("guards", lambda s: s.guards),
    ("faults", lambda s: (s.faults, s.ac_faults)),
    ("proofs", lambda s: [s.proofs[n] for n in s.proofs]),
    ("rules", engine.run),
)


def looked_at(rig: Rig) -> list[float]:
    """What one look at a rig costs, stage by stage: everything that the stages before it have not found."""
    study, spent = Study(rig), []
    for _, stage in STAGES:
        start = time.process_time()
        stage(study)
        spent.append(time.process_time() - start)
    return spent


def as_edited(text: str, job: dict[str, str], turn: int) -> Rig:
    """The rig with the length of its first run changed: what the bench reads after one edit."""
    edited = re.sub(
        r"length: ([\d.]+) m", lambda m: f"length: {float(m[1]) + 0.01 * turn:g} m", text, count=1
    )
    return read_rig(edited, "rig.yaml", Shelf(job=job))


def forget() -> None:
    """What a process that has not seen the rig has not found."""
    skeleton.forget()
    ac.forget()
    carries.cache_clear()
    fit.cache_clear()


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
            settle()
        assert np.abs(at_once(branches) / one_by_one(branches) - 1).max() < 1e-6
        a, b = timed(partial(at_once, branches), partial(one_by_one, branches))
        print(f"{NODES - 1} faults: at once {1e3 * a:.2f} ms, one by one {1e3 * b:.1f} ms, ratio {b / a:.0f}")
        demo_rigs()
    records()
    cold()


def texts() -> Iterator[tuple[str, str, dict[str, str]]]:
    """The demo rigs, and the one of about 300 parts."""
    for name, file in RIGS:
        yield f"{name} {file.removesuffix('.yaml')[4:]}", *files(name, file)
    text, job = files("trailer", "rig.yaml")
    yield "300 parts", large(text), job


def demo_rigs() -> None:
    """What a look at each demo rig costs: never seen before, and after an edit of one length."""
    print(f"    {'':28}" + "".join(f"{name:>8}" for name, _ in STAGES) + f"{'all':>8} ms")
    for name, text, job in texts():
        looked_at(as_edited(text, job, 0))
        new, edited = [], []
        for turn in range(1, ROUNDS + 1):
            rig = as_edited(text, job, turn)
            forget()
            new.append(looked_at(rig))
            edited.append(looked_at(as_edited(text, job, turn + ROUNDS)))
        for how, rounds in (("never seen", new), ("one edit later", edited)):
            spent = [1e3 * statistics.median(r[k] for r in rounds) for k in range(len(STAGES))]
            print(f"    {name:13} {how:14}" + "".join(f"{t:8.1f}" for t in (*spent, sum(spent))))  # fmt: skip


def records() -> None:
    """Making a figure: filled open and then closed, against the plain frozen record."""
    plain = make_dataclass("Plain", [(f.name, f.type, f) for f in fields(Figure)], frozen=True, slots=True)
    few = (1.0, "A", 1.0, 1.0)
    a, b = timed(partial(many_times, partial(Figure, *few)), partial(many_times, partial(plain, *few)))
    print(
        f"a figure: filled open {1e9 * a / TIMES:.0f} ns, frozen field by field {1e9 * b / TIMES:.0f} ns, ratio {b / a:.1f}"
    )


def cold() -> None:
    """A whole `check` from nothing: processor seconds of a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        for file, text in demos.files_of("trailer").items():
            Path(folder, file).parent.mkdir(parents=True, exist_ok=True)
            Path(folder, file).write_bytes(text)
        spent = []
        for _ in range(5):
            before = os.times()
            subprocess.run(
                [sys.executable, "-m", "ohmwright", "check", folder], capture_output=True, check=False
            )
            after = os.times()
            spent.append(
                after.children_user + after.children_system - before.children_user - before.children_system
            )
    print(f"ohmwright check of the trailer, cold: {statistics.median(spent):.2f} s of processor time")


if __name__ == "__main__":
    main()
