"""The compiled arithmetic gives the plain one's answers."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from tests.circuit.rigs import NAMES, demo, ladder

from ohmwright.checks import engine
from ohmwright.circuit import fast
from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.elimination import Array
from ohmwright.circuit.loaded import loaded
from ohmwright.circuit.network import Network
from ohmwright.circuit.newton import settle_ports
from ohmwright.circuit.ports import Draw, Ports
from ohmwright.circuit.solve import solve
from ohmwright.circuit.types import Solution
from ohmwright.circuit.wiring import wiring_of
from ohmwright.study import Study

AS_WRITTEN = fast.Kernels(
    fast.factor, fast.solve, fast.solve_many, fast.diagonal, fast.settle, fast.loaded
)  # fmt: skip


@pytest.fixture
def as_written() -> Iterator[None]:
    """The functions that are compiled, uncompiled."""
    fast.forget()
    yield
    fast.forget()


def hold(kernels: fast.Kernels | None) -> None:
    fast.forget()
    if kernels is not None:
        fast._PREPARED.append(kernels)


def volts(branches_ohm: list[float]) -> tuple[Array, Array]:
    net = Network(ladder(branches_ohm, 0.0002, 13.2), ["n0"])
    answer = Ports(net, [Draw("L", "p0", "n0", 3000.0), Draw("M", "p2", "n2", 400.0)], ()).solve()
    return answer.volts, np.column_stack([net.z, net.z_own])


@pytest.mark.usefixtures("as_written")
def test_both_ways_eliminate_to_the_same_volts() -> None:
    plain = volts([0.0025, 0.002, 0.003])
    hold(AS_WRITTEN)
    other = volts([0.0025, 0.002, 0.003])
    for a, b in zip(plain, other, strict=True):
        assert np.abs(a - b).max() <= 1e-12 * np.abs(a).max()


@pytest.mark.usefixtures("as_written")
def test_a_single_port_settles_on_its_closed_root() -> None:
    # v = (E + sqrt(E^2 - 4 R P)) / 2: 3 kW out of 12.8 V behind 5 mohm.
    e, r, p = np.array([12.8]), np.array([[0.005]]), np.array([3000.0])
    hold(AS_WRITTEN)
    settled = settle_ports(e, r, p)
    assert settled.volts[0] == pytest.approx((12.8 + (12.8**2 - 4 * 0.005 * 3000) ** 0.5) / 2, rel=1e-12)
    assert settled.converged


@pytest.mark.parametrize("share", [0.1, 0.9, 0.9999, 1.0001, 1.5])
def test_walking_the_nodes_refuses_what_no_volts_carry(share: float) -> None:
    # The most that 13.2 V behind 2.5 mohm gives is E^2 / 4 R.
    net = Network(ladder([0.0025], 0.0002, 13.2), ["n0"])
    plan = loaded(net, [Draw("L", "p0", "n0")])
    v, stands = plan.solve(np.array([share * 13.2**2 / 4 / 0.0025]))
    assert stands == (share < 1)
    if stands:
        assert v[net.node["p0"]] == pytest.approx(13.2 * (1 + (1 - share) ** 0.5) / 2, rel=1e-9)


def close(a: Solution, b: Solution) -> None:
    assert a.converged == b.converged
    assert a.story == b.story
    for name, v in a.nodes.items():
        assert b.nodes[name].volts == pytest.approx(v.volts, rel=1e-10, abs=1e-10)
    for name, x in a.batteries.items():
        assert b.batteries[name].current_A == pytest.approx(x.current_A, rel=1e-7, abs=1e-7)


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_every_case_of_a_demo_rig_is_the_same_compiled(name: str) -> None:
    rig, graph = demo(name)
    plain = {k: solve(rig, graph, c) for k, c in cases_of(rig, graph).items()}
    wiring_of(rig, graph).networks.clear()
    fast.prepare()
    try:
        for k, c in cases_of(rig, graph).items():
            close(plain[k], solve(rig, graph, c))
    finally:
        fast.forget()
        wiring_of(rig, graph).networks.clear()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["trailer", "boat"])
def test_the_findings_of_a_demo_rig_are_the_same_compiled(name: str) -> None:
    plain = told(Study(demo(name)[0]))
    rig = replace(demo(name)[0])
    fast.prepare()
    try:
        assert told(Study(rig)) == plain
    finally:
        fast.forget()


def told(study: Study) -> list[tuple[str, str, str]]:
    return [(f.rule, f.subject, f.verdict) for f in engine.run(study)]
