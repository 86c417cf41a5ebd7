"""Alternating current: Kirchhoff and Tellegen in every case of every demo rig, a dense solution beside ours, a closed form."""

import math

import numpy as np
import pytest
from tests.circuit.rigs import NAMES, demo, read, split

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.solve import Work, worked
from ohmwright.circuit.types import Case
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

#: One inverter, one cable, one kettle.
SINGLE = """\
ohmwright: 1
host: {kind: cabin, places: {room: {regime: heated}}, ways: {}}
parts:
  B: {is: battery-lfp-300ah-12v, at: room}
  U2: {is: inverter-3kva-12v-230v, at: room}
use:
  loads:
    kettle: {wired: ac, power: 2000 W}
runs:
  W1: {from: B.+, to: U2.dc.+, cable: 95 mm2, length: 0.3 m}
  W2: {from: U2.dc.-, to: B.-, cable: 95 mm2, length: 0.3 m}
  W3: {from: U2.ac-out, to: kettle, cable: 3 x 1.5 mm2, length: 40 m}
settings: {U2: {ground-relay: enabled}}
"""


def rigs() -> list[tuple[str, str]]:
    """Every case of every demo rig, and of the split-phase fragment."""
    return [(n, c) for n in (*NAMES, "split") for c in cases_of(*made(n))]


def made(name: str) -> tuple[Rig, Graph]:
    return split() if name == "split" else demo(name)


def sides(work: Work) -> dict[str, complex]:
    """What is drawn from each terminal."""
    drawn: dict[str, complex] = {}
    assert work.phasors.answer is not None
    for d in work.phasors.draws:
        i = complex(work.phasors.answer.drawn.get(d.id, 0.0))
        drawn[d.a] = drawn.get(d.a, 0j) + i
        drawn[d.b] = drawn.get(d.b, 0j) - i
    return drawn


@pytest.mark.parametrize(("name", "case"), rigs())
def test_currents_and_powers_balance(name: str, case: str) -> None:
    # Kirchhoff's current law at every terminal; Tellegen: what sources give, loads take and cables lose, reactive power too.
    rig, graph = made(name)
    work = worked(rig, graph, cases_of(rig, graph)[case])
    network = work.turning.network
    if network is None or work.phasors.answer is None:
        pytest.skip("nothing alternates in this case")
    flows, v = work.phasors.currents, work.phasors.nodes
    drawn = sides(work)
    left = {t: -i for t, i in drawn.items()}
    for b in network.branches:
        left[b.a] = left.get(b.a, 0j) - flows[b.id]
        left[b.b] = left.get(b.b, 0j) + flows[b.id]
    largest = max([1.0, *(abs(i) for i in flows.values())])
    assert max(abs(i) for i in left.values()) < 1e-7 * largest
    balance = sum((v[b.a] - v[b.b]) * flows[b.id].conjugate() for b in network.branches)
    balance += sum(v[t] * i.conjugate() for t, i in drawn.items())
    assert abs(balance) < 1e-7 * largest * 240


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "split"])
def test_a_dense_solution_finds_the_same_volts(name: str) -> None:
    """Nodal analysis by the book, of every conductor as it stands, without joining what conducts well."""
    rig, graph = made(name)
    cases = cases_of(rig, graph).values()
    compared = 0
    for case in cases:
        work = worked(rig, graph, case)
        network = work.turning.network
        if network is None or work.phasors.answer is None:
            continue
        rows = {t: n for n, t in enumerate(network.node)}
        y = np.zeros((len(rows), len(rows)), complex)
        i = np.zeros(len(rows), complex)
        for b in network.branches:
            a, c = rows[b.a], rows[b.b]
            g = 1 / (complex(b.ohm) or 1e-7)
            y[a, a] += g
            y[c, c] += g
            y[a, c] -= g
            y[c, a] -= g
            i[a] += complex(b.volts) * g
            i[c] -= complex(b.volts) * g
        for t, drawn in sides(work).items():
            i[rows[t]] -= drawn
        for zero in {s.b for s in work.turning.sources}:
            y[rows[zero], rows[zero]] += 1e3
        volts = np.linalg.lstsq(y, i, rcond=None)[0]
        for t, ours in work.phasors.nodes.items():
            if abs(ours) > 1.0:
                compared += 1
                assert abs(volts[rows[t]] - ours) < 2e-3, (case.name, t)
    assert compared > 20


@pytest.mark.parametrize("watts", [100.0, 1000.0, 2000.0, 2600.0])
def test_a_load_at_the_end_of_a_cable_meets_the_closed_form(watts: float) -> None:
    # E^2 = (V + R P/V)^2 + (X P/V)^2 for a load of fixed power and power factor 1; its larger root.
    rig, graph = read(SINGLE, {})
    work = worked(rig, graph, Case("x", "", {}, {"kettle": watts}, bank_soc_ratio=0.9))
    assert work.turning.network is not None
    z = sum(complex(b.ohm) for b in work.turning.network.branches if b.id in ("W3.L", "W3.N"))
    inner = sum(complex(b.ohm) for b in work.turning.sources)
    r, x, e = (z + inner).real, (z + inner).imag, 230.0
    half = e * e - 2 * r * watts
    closed = math.sqrt((half + math.sqrt(half * half - 4 * abs(complex(r, x)) ** 2 * watts**2)) / 2)

    nodes = work.phasors.nodes

    assert r > 0.8
    assert x > 0
    assert abs(nodes["kettle.L"] - nodes["kettle.N"]) == pytest.approx(closed, abs=1e-6)
