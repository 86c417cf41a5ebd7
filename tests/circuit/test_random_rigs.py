"""Whole rigs by lot, from text to proofs: nothing crashes, nothing is not a number, the laws of circuits hold."""

import gc
import itertools
import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, note, settings
from hypothesis import strategies as st
from tests.circuit.random_rigs import HEAVY, Drawn, drawn
from tests.circuit.rigs import read

from ohmwright.checks import engine
from ohmwright.circuit import fast
from ohmwright.circuit.ac_faults import ac_faults_of
from ohmwright.circuit.bays import hottest_bays
from ohmwright.circuit.cascade import cascades_of
from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.clearing import curve_of
from ohmwright.circuit.faults import _Lasting, faults_of, greatest_side
from ohmwright.circuit.guards import guards_of
from ohmwright.circuit.heat import conductor_heat
from ohmwright.circuit.loaded import loaded
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.ports import Draw, Ports
from ohmwright.circuit.proofs import prove
from ohmwright.circuit.solve import worked
from ohmwright.circuit.solved import solutions_of
from ohmwright.circuit.starts import starts_of
from ohmwright.circuit.wiring import wiring_of
from ohmwright.physics.strings import cold_string_V
from ohmwright.rig.cable import read_cable
from ohmwright.rig.expand import graph_of
from ohmwright.shelf.load import Shelf
from ohmwright.study import Study
from ohmwright.working import known

QUICK = 60
MANY = 10_000
#: Cases of a rig whose currents are added up at every terminal, with their margin and bays: that works each of them through again.
LOOKED_INTO = 3
#: One rig in so many goes before the rules too.
JUDGED_ratio = 0.1
#: Heavy cables by their copper, thin to thick.
BY_AREA = ("35 mm2", "1/0 AWG", "70 mm2", "4/0 AWG")


def fit(x: float | None) -> bool:
    """Unknown, or a number."""
    return x is None or math.isfinite(x)


def the_rig_holds_together(d: Drawn, lot: random.Random) -> None:
    """Everything that can be asked of one rig, asked."""
    rig, graph = d.made
    solutions = solutions_of(rig, graph)
    for name, s in solutions.items():
        for c in s.conductors.values():
            assert fit(c.current_A), name
            assert c.drop_V >= 0, name
            assert c.loss_W >= -1e-9, name
        assert all(fit(v.volts) for v in s.nodes.values()), name
        shared = [b for b in s.batteries.values() if b.share is not None]
        assert sum(b.share or 0.0 for b in shared) == pytest.approx(len({b.bank for b in shared}))
    stand = [name for name, s in solutions.items() if s.converged]
    near = {name: solutions[name] for name in lot.sample(stand, min(len(stand), LOOKED_INTO))}
    for s in near.values():
        assert fit(s.collapse_margin)
        every_node_keeps_its_current(rig, graph, s.case)
    for f in faults_of(rig, graph).values():
        assert fit(f.max_A)
        assert fit(f.min_A)
        if f.max_A is not None and f.min_A is not None:
            assert f.min_A <= f.max_A * (1 + 1e-9), f.terminal
        assert all(t > 0 for t in (f.clears_s or {}).values())
    for f in ac_faults_of(rig, graph).values():
        assert f.max_A is None or f.min_A is None or 0 < f.min_A <= f.max_A * (1 + 1e-9), f.terminal
    assert all(fit(g.design_A) for g in guards_of(rig, graph).values())
    proofs = prove(rig, graph)
    assert all(proofs[name].walked >= 0 for name in proofs)
    for h in conductor_heat(rig, graph, solutions).values():
        assert fit(h.temp_degC)
        assert h.temp_degC is None or h.temp_degC >= 35.0 - 1e-6
    assert all(fit(b.temp_degC) and b.losses_W >= 0 for b in hottest_bays(rig, graph, near).values())
    assert all(fit(s.dip_V) for s in starts_of(rig, graph, solutions).values())
    assert all(c.story is not None for c in cascades_of(rig, graph).values())


def every_node_keeps_its_current(rig, graph, case) -> None:  # type: ignore[no-untyped-def]
    """Kirchhoff at every DC terminal, joins and ports included."""
    work = worked(rig, graph, case)
    assert work.answer is not None
    ports = work.ports.seen.ports if work.ports else ()
    drawn_A: dict[str, complex] = {}
    for p in ports:
        i = work.answer.drawn[p.id]
        drawn_A[p.a] = drawn_A.get(p.a, 0.0) + i
        drawn_A[p.b] = drawn_A.get(p.b, 0.0) - i
    network = work.direct.network
    flows = network.currents(work.answer.volts, drawn_A)
    left = {name: -complex(drawn_A.get(name, 0.0)).real for name in network.node}
    for b in network.branches:
        i = complex(flows[b.id]).real
        left[b.a] -= i
        left[b.b] += i
    most = max((abs(x) for x in flows.values()), default=0.0)
    assert max((abs(x) for x in left.values()), default=0.0) <= 1e-7 * max(1.0, most)


def every_rule_speaks(d: Drawn) -> None:
    """All rules of the set, and no figure among their findings that is no number."""
    study = Study(d.made[0], today="2026-05-05")
    study.__dict__["graph"] = d.made[1]
    for f in engine.run(study):
        assert all(fit(x) for x in (f.value, f.low, f.high, f.limit, f.margin)), f


def a_thicker_cable_drops_no_more(d: Drawn, lot: random.Random) -> None:
    """One heavy run swapped for a thicker one, at night with nothing charging."""
    heavy = [k for k, r in d.runs.items() if any(f"cable: {c}," in r for c in HEAVY)]
    heavy = [k for k in heavy if f"cable: {BY_AREA[-1]}," not in d.runs[k]]
    if not heavy:
        return
    run = lot.choice(heavy)
    thin = next(c for c in HEAVY if f"cable: {c}," in d.runs[run])
    thick = lot.choice(BY_AREA[BY_AREA.index(thin) + 1 :])
    rig, graph = d.made
    one = replace(rig.runs[run], cable=read_cable(thick))
    other = replace(rig, runs={**rig.runs, run: one})
    before, after = (solutions_of(*made)["night"] for made in ((rig, graph), (other, graph_of(other))))
    assert after.converged or not before.converged
    was_V, is_V = before.drop_of(run), after.drop_of(run)
    if was_V is not None and is_V is not None and before.converged:
        assert is_V <= was_V * (1 + 1e-9) + 1e-9


def a_link_more_never_raises_resistance(d: Drawn, lot: random.Random) -> None:
    """Rayleigh's monotonicity law on the network of the greatest faults."""
    rig, graph = d.made
    network = greatest_side(wiring_of(rig, graph)).network
    by_island: dict[int, list[str]] = {}
    for name, row in network.node.items():
        by_island.setdefault(network.island[row], []).append(name)
    names = max(by_island.values(), key=len)
    a, b, p, q = (lot.choice(names) for _ in range(4))
    more = Network([*network.branches, Branch("more", a, b, lot.uniform(1e-4, 1.0))], [names[0]])
    rows = [(n.node[p], n.node[q]) for n in (network, more)]
    before, after = (
        float(n.z[i, i] + n.z[j, j] - n.z[i, j] - n.z[j, i])
        for n, (i, j) in zip((network, more), rows, strict=True)
    )
    assert after <= before * (1 + 1e-7) + 1e-9


def two_ways_to_the_same_volts(d: Drawn, lot: random.Random) -> None:
    """Looking in from the loads, and walking every node."""
    rig, graph = d.made
    work = worked(rig, graph, cases_of(rig, graph)["night"])
    network = work.direct.network
    draws = [x for x in work.direct.load_draws() if x.a in network.node and x.b in network.node]
    draws = [
        Draw(x.id, x.a, x.b, complex(x.power).real * lot.uniform(0.5, 2.0))
        for x in draws
        if network.island[network.node[x.a]] == network.island[network.node[x.b]]
    ]
    answer = Ports(network, draws, ()).solve()
    if not draws or not answer.converged:
        return
    volts, stands = loaded(network, draws).solve(np.array([complex(x.power).real for x in draws]))
    assert stands
    assert np.abs(volts - answer.volts).max() <= 1e-11 * max(1.0, np.abs(answer.volts).max())


def everything(d: Drawn, lot: random.Random) -> None:
    """One rig through all of it."""
    the_rig_holds_together(d, lot)
    a_thicker_cable_drops_no_more(d, lot)
    a_link_more_never_raises_resistance(d, lot)
    two_ways_to_the_same_volts(d, lot)
    if lot.random() < JUDGED_ratio:
        every_rule_speaks(d)


@settings(max_examples=QUICK, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.randoms(use_true_random=False))
def test_a_rig_by_lot_holds_together(lot: random.Random) -> None:
    d = drawn(lot)
    note(d.text())
    everything(d, lot)


@pytest.mark.slow
def test_ten_thousand_rigs_by_lot_hold_together() -> None:
    fast.prepare()

    @settings(
        max_examples=MANY, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck), phases=(Phase.generate,)
    )  # fmt: skip
    @given(st.integers(0, 2**64 - 1))
    def each(seed: int) -> None:
        lot = random.Random(seed)
        everything(drawn(lot), lot)

    usual = gc.get_threshold()
    gc.set_threshold(50_000, 20, 100)
    try:
        each()
    finally:
        gc.set_threshold(*usual)
        fast.forget()


def test_colder_never_lowers_the_volts_of_a_string() -> None:
    lot = random.Random(3)
    for _ in range(2000):
        n, voc, beta = lot.randint(1, 6), lot.uniform(10, 60), -lot.uniform(0.1, 0.45)
        warm = lot.uniform(-45, 60)
        cold = warm - lot.uniform(0, 40)
        assert cold_string_V(n, voc, beta, cold) >= cold_string_V(n, voc, beta, warm)


@pytest.mark.parametrize("family", ["fuse-class-t", "fuse-terminal-post", "fuse-bolt", "fuse-blade"])
def test_a_larger_fuse_of_a_family_never_clears_faster(family: str) -> None:
    shelf = Shelf(job={})
    records = [n for n in shelf if n.startswith(family + "-") and n.endswith("a")]
    curves = []
    for record in records:
        d = Drawn(
            {"host": "kind: cabin, places: {room: {regime: heated}}"}, parts={"F": f"is: {record}, at: room"}
        )
        part = d.made[0].parts["F"]
        rated = known(part.figure("rated"))
        curve = curve_of(part, rated.value if rated else None)
        if curve is not None:
            curves.append(curve)
    curves.sort(key=lambda c: c.rated_A)
    assert len(curves) > 2
    for small, large in itertools.pairwise(curves):
        for k in range(1, 60):
            amps = small.rated_A * 1.15**k
            quick, slow = small.seconds(amps), large.seconds(amps)
            if quick is None:
                assert slow is None or small.rated_A == large.rated_A
            elif slow is not None:
                assert slow >= quick * (1 - 1e-9)


#: Found by lot: three unequal batteries on bars, and a start battery that a relay joins to them, with the body as its return.
EXCHANGE = """\
ohmwright: 1
host: {kind: boat, places: {room: {regime: heated, hottest: 35 degC}, bay: {regime: engine}}, ways: {room - bay: {length: 2.5 m}}}
metal: {body: {}, engine: {joined: body}}
parts:
  XB: {is: busbar-600a-8stud, at: room}
  XC: {is: busbar-600a-8stud, at: room}
  B: {is: battery-lfp-100ah-12v, at: room, but: {1: {resistance: 4.03 mohm}}, count: 3, join: {as: busbars, plus: XB.1, minus: XC.1, lead: 35 mm2, lead-length: 0.83 m}}
  XP: {is: busbar-600a-12stud, at: room}
  XN: {is: busbar-600a-12stud, at: room}
  F1: {is: fuse-class-t-200a, at: room}
  SB: {is: battery-agm-100ah-12v, at: bay}
  KP: {is: relay-voltage-sensing-140a-12v, at: bay}
runs:
  W1: {from: XB.8, to: F1.line, cable: 1/0 AWG, length: 0.29 m}
  W3: {from: F1.load, to: XP.1, cable: 1/0 AWG, length: 1.44 m}
  W4: {from: XC.8, to: XN.1, cable: 1/0 AWG, length: 0.21 m}
  W19: {from: SB.-, to: engine, cable: 1/0 AWG, length: 0.33 m}
  W21: {from: SB.+, to: KP.line, cable: 10 mm2, length: 0.50 m}
  W22: {from: KP.load, to: XP.5, cable: 2 AWG, length: 5.54 m}
  W30: {from: XN.7, to: body, cable: 16 mm2 tinned 105C, length: 1.95 m, role: bond}
"""


def test_where_only_exchange_between_banks_drives_a_fault_its_bounds_stand_in_order() -> None:
    for f in faults_of(*read(EXCHANGE, {})).values():
        if f.max_A is not None and f.min_A is not None:
            assert f.min_A <= f.max_A * (1 + 1e-9), f.terminal


def test_where_only_exchange_between_banks_drives_a_fault_what_flows_belongs_to_its_bound() -> None:
    for f in faults_of(*read(EXCHANGE, {})).values():
        assert isinstance(f.lasting, _Lasting)
        for bound, told in (("max", f.max_A), ("min", f.min_A)):
            if told is not None:
                assert f.lasting.bounds[bound].amps == pytest.approx(told, rel=1e-12), f.terminal
