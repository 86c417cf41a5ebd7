"""The whole DC side against an independent circuit simulator: bank splits, every demo rig's cases, rigs by lot, faults."""

import random
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from tests.circuit.random_rigs import drawn
from tests.circuit.rigs import NAMES, demo

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.faults import faults_of
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.ports import Draw, Ports
from ohmwright.circuit.solve import solve, worked
from ohmwright.circuit.solved import solutions_of
from ohmwright.circuit.spice import fault_netlist, legend, netlist, network_netlist, read_answer
from ohmwright.circuit.types import Case
from ohmwright.cli.ending import run
from ohmwright.cli.program import program
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.services import new

SIMULATOR = shutil.which("ngspice")
pytestmark = pytest.mark.skipif(SIMULATOR is None, reason="the circuit simulator ngspice is not installed")

#: Relative to the largest current, and to the nominal volts.
CLOSE = 1e-6
#: Volts at which the simulator is told to stop.
SIMULATOR_V = 1e-9


def simulated(text: str, folder: Path) -> dict[str, float]:
    """What the simulator answers to a netlist."""
    assert SIMULATOR is not None
    file = folder / "rig.cir"
    file.write_text(text, encoding="utf-8")
    done = subprocess.run(
        [SIMULATOR, "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    answer = read_answer(done.stdout)
    assert answer, done.stdout[-400:] + done.stderr[-400:]
    return answer


def test_the_simulator_splits_a_bank_as_measured(tmp_path: Path) -> None:
    # Three batteries, 2.5 mohm, links 0.2 mohm, 280 A, take-off at one end: 115.01 / 88.61 / 76.39 A.
    text = """* three in a chain
e0 m0 0 vol='13.2'
r0 p0 m0 0.0025
v1 m1 n1 13.2
r1 p1 m1 0.0025
v2 m2 n2 13.2
r2 p2 m2 0.0025
rp1 p0 p1 0.0002
rp2 p1 p2 0.0002
rn1 0 n1 0.0002
rn2 n1 n2 0.0002
i0 p0 0 280
.control
set numdgt=10
op
print i(v1)
print i(v2)
.endc
.end
"""
    answer = simulated(text, tmp_path)
    assert abs(answer["i(v1)"]) == pytest.approx(88.6076, abs=1e-3)
    assert abs(answer["i(v2)"]) == pytest.approx(76.3859, abs=1e-3)


def agree(rig: Rig, graph: Graph, case: Case, folder: Path) -> int:
    """One case both ways; how many figures were held against each other."""
    text = netlist(rig, graph, case)
    answer, ours = simulated(text, folder), solve(rig, graph, case)
    ohms = {e.id: complex(e.ohm).real for e in worked(rig, graph, case).direct.network.live}
    largest = max([1.0, *(abs(i) for i in ours.elements_A.values())])
    nominal = max([12.0, *(abs(v.volts) for v in ours.nodes.values() if v.angle_deg is None)])
    compared = 0
    for symbol, what in legend(text).items():
        if symbol not in answer:
            continue
        compared += 1
        if symbol.startswith("v("):
            assert answer[symbol] == pytest.approx(ours.nodes[what].volts, abs=CLOSE * nominal), (
                case.name,
                what,
            )
        else:
            # The simulator stops at 1 nV: through a bar of a few micro-ohms that is as much current as this.
            slack = CLOSE * largest + 4 * SIMULATOR_V / ohms[what]
            assert answer[symbol] == pytest.approx(ours.elements_A[what], abs=slack), (case.name, what)
    return compared


@pytest.mark.parametrize("name", NAMES)
def test_every_case_of_a_demo_rig_agrees(name: str, tmp_path: Path) -> None:
    rig, graph = demo(name)
    cases = cases_of(rig, graph)
    assert sum(agree(rig, graph, case, tmp_path) for case in cases.values()) > 20 * len(cases)


def by_lot(seed: int, folder: Path) -> int:
    """Two cases of a rig by lot, as far as they stand."""
    lot = random.Random(seed)
    rig, graph = drawn(lot).made
    stand = [s.case for s in solutions_of(rig, graph).values() if s.converged]
    return sum(agree(rig, graph, case, folder) for case in lot.sample(stand, min(2, len(stand))))


def test_rigs_by_lot_agree(tmp_path: Path) -> None:
    assert sum(by_lot(seed, tmp_path) for seed in range(12)) > 12 * 20


@pytest.mark.slow
def test_three_hundred_rigs_by_lot_agree(tmp_path: Path) -> None:
    assert sum(by_lot(seed, tmp_path) for seed in range(1000, 1300)) > 300 * 20


def test_a_written_netlist_runs_to_its_end_and_says_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "rig.cir"
    job = str(new.like(str(tmp_path / "van"), "van"))
    assert run(program, ["flows", job, "--case", "night", "--spice", str(file)]) == 0
    capsys.readouterr()

    done = subprocess.run([str(SIMULATOR), "-b", str(file)], capture_output=True, text=True, timeout=60, check=False)  # fmt: skip

    assert done.returncode == 0
    assert "no simulations run" not in done.stdout + done.stderr
    assert read_answer(done.stdout)


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin"])
def test_faults_agree(name: str, tmp_path: Path) -> None:
    rig, graph = demo(name)
    batteries = {p.id for p in rig.of_kind("battery")} | {"TV"}
    found = faults_of(rig, graph)
    compared = 0
    for terminal in list(found)[:: max(1, len(found) // 12)]:
        text = fault_netlist(rig, graph, terminal)
        fault = found[terminal]
        if text is None or fault.max_A is None:
            continue
        limited = sum(i for source, i in fault.from_A.items() if source not in batteries)
        assert simulated(text, tmp_path)["i(vshort)"] == pytest.approx(fault.max_A - limited, rel=CLOSE)
        compared += 1
    assert compared >= 5


def random_network(seed: int) -> tuple[list[Branch], list[Draw]]:
    """A tree with rings, a few batteries and loads of fixed power, small enough to stand."""
    chance = np.random.default_rng(seed)
    count = int(chance.integers(3, 25))

    def node(below: int) -> str:
        return f"t{int(chance.integers(0, below))}"

    def ohm(low: float, high: float) -> float:
        return float(10 ** chance.uniform(low, high))

    volts = float(chance.uniform(12, 56))
    branches = [Branch("E0", "t0", "g", ohm(-3, -2), volts)]
    branches += [Branch(f"T{k}", f"t{k}", node(k), ohm(-4, -1.5)) for k in range(1, count)]
    rings = [(node(count), node(count), ohm(-4, -1)) for _ in range(int(chance.integers(0, 6)))]
    branches += [Branch(f"X{k}", a, b, r) for k, (a, b, r) in enumerate(rings) if a != b]
    if chance.random() < 0.5:
        branches.append(Branch("E1", node(count), "g", ohm(-3, -2), volts + float(chance.uniform(-0.2, 0.2))))
    loads = [
        Draw(f"P{k}", node(count), "g", float(chance.uniform(1, 60)))
        for k in range(int(chance.integers(1, 6)))
    ]
    return branches, loads


def agrees(seed: int, folder: Path) -> None:
    """One random network against the simulator."""
    branches, loads = random_network(seed)
    net = Network(branches, ["g"])
    ours = Ports(net, loads, []).solve()
    if not ours.converged:
        return
    # Each load as the resistance it shows at the volts we found: linear, so the simulator finds the one answer, and it
    # is ours only if ours carries those powers.
    shown = [
        Branch(d.id, d.a, d.b, complex(ours.across[d.id]).real ** 2 / complex(d.power).real) for d in loads
    ]
    text = network_netlist(Network([*branches, *shown], ["g"]), (), [0.0] * net.size, f"random {seed}")
    answer, scale = simulated(text, folder), max(1.0, *(abs(complex(b.volts).real) for b in branches))
    for symbol, what in legend(text).items():
        if symbol.startswith("v(") and symbol in answer:
            assert answer[symbol] == pytest.approx(float(ours.volts[net.node[what]]), abs=CLOSE * scale), (
                seed,
                what,
            )


def test_random_networks_agree(tmp_path: Path) -> None:
    for seed in range(20):
        agrees(seed, tmp_path)


@pytest.mark.slow
def test_many_random_networks_agree(tmp_path: Path) -> None:
    for seed in range(1000, 1300):
        agrees(seed, tmp_path)
