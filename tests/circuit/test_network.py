"""The bare network against closed forms, published shares, and laws that hold for every network."""

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.circuit.rigs import ladder

from ohmwright.circuit import fast
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.newton import collapse_margin, settle_ports
from ohmwright.circuit.ports import Draw, Ports, Push


def shares(branches: list[Branch], plus: str, minus: str, amps: float) -> dict[str, float]:
    """Discharge current of every battery when `amps` are drawn between two terminals."""
    net = Network(branches, [minus])
    pair = [(net.node[plus], net.node[minus])]
    flows = net.currents(net.volts(net.inject(pair, np.array([amps]))), {plus: amps, minus: -amps})
    return {e.id: -complex(flows[e.id]).real for e in branches if e.id.startswith("B")}


def test_two_batteries_share_as_the_divider_says() -> None:
    # Closed form: I1 = (I (R2 + 2 r) + E1 - E2) / (R1 + R2 + 2 r), take-off at battery 1, r of each link.
    r1, r2, r, e1, e2, amps = 0.0025, 0.004, 0.0003, 13.3, 13.2, 180.0
    got = shares(ladder([r1, r2], r, [e1, e2]), "p0", "n0", amps)
    first = (amps * (r2 + 2 * r) + e1 - e2) / (r1 + r2 + 2 * r)
    assert got["B0"] == pytest.approx(first, rel=1e-12)
    assert got["B1"] == pytest.approx(amps - first, rel=1e-12)


def test_three_equal_batteries_share_as_the_ladder_says() -> None:
    # Closed form of the symmetric diagonal: ends equal; I_end (R + r) = I_mid R + ... -> I_mid/I_end = (R)/(R + r)
    # for take-off p0/n2: loop 0-1: R I0 - R I1 + r (I1 + I2) - r I0 = 0 and I0 = I2 give I1 = I0 R / (R + ... ).
    ohm, r, amps = 0.0025, 0.0002, 280.0
    got = shares(ladder([ohm] * 3, r, 13.2), "p0", "n2", amps)
    # R I0 + r I0 = R I1 + r (I1 + I2) with I2 = I0 -> I1 = I0 R / (R + r)
    ends = amps / (2 + ohm / (ohm + r))
    assert got["B0"] == pytest.approx(ends, rel=1e-12)
    assert got["B2"] == pytest.approx(ends, rel=1e-12)
    assert got["B1"] == pytest.approx(ends * ohm / (ohm + r), rel=1e-12)


# Printed shares of three batteries of 2.5 mohm at 280 A with links of 0.2 mohm; a general circuit simulator and a
# hand calculation gave the same figures (115.01 / 88.61 / 76.39).  Seen: measured for this project.
@pytest.mark.parametrize(
    ("takeoff", "link", "printed"),
    [
        ("n0", 0.0002, (115.0, 88.6, 76.4)),
        ("n2", 0.0002, (95.7, 88.6, 95.7)),
        ("n0", 0.0001, (104.9, None, None)),
        ("n0", 0.0005, (138.8, None, None)),
        ("n0", 0.0010, (165.4, None, None)),
    ],
)
def test_a_daisy_chain_shares_as_measured(
    takeoff: str, link: float, printed: tuple[float | None, ...]
) -> None:
    got = shares(ladder([0.0025] * 3, link, 13.2), "p0", takeoff, 280.0)
    for k, value in enumerate(printed):
        if value is not None:
            assert got[f"B{k}"] == pytest.approx(value, abs=0.05)


def busbar(ohms: list[float], leads: list[float], volts: list[float]) -> list[Branch]:
    """Batteries with leads to a plus bar; the minus is common."""
    out = []
    for k, (ohm, lead, v) in enumerate(zip(ohms, leads, volts, strict=True)):
        out += [Branch(f"B{k}", f"p{k}", "n", ohm, v), Branch(f"L{k}", f"p{k}", "bar", lead)]
    return out


@pytest.mark.parametrize(
    ("ohms", "leads", "volts", "amps", "printed"),
    [
        ([2.5, 2.5, 2.5], [0.5, 0.5, 0.5], [13.2] * 3, 280, (93.3, 93.3, 93.3)),
        ([2.0, 2.5, 3.0], [0.5, 0.5, 0.5], [13.2] * 3, 280, (110, 92, 78)),  # unit spread
        ([2.5, 2.5, 2.5], [0.5, 0.5, 1.5], [13.2] * 3, 280, (102, 102, 76)),  # one loose lug, 1 mohm more
        ([2.5, 2.5, 2.5], [0.5, 0.5, 0.5], [13.2, 13.2, 13.05], 0, (17, 17, -33)),  # 150 mV apart, equalising
        ([2.5, 2.5, 2.5], [0.5, 0.5, 0.5], [13.2, 13.2, 13.05], 280, (110, 110, 60)),
    ],
)
def test_a_busbar_shares_by_leads_and_batteries(
    ohms: list[float], leads: list[float], volts: list[float], amps: float, printed: tuple[float, ...]
) -> None:
    # Printed figures of the same study, lead resistance not printed: 0.5 mohm assumed, so a tolerance of 2 A.
    got = shares(busbar([x / 1000 for x in ohms], [x / 1000 for x in leads], volts), "bar", "n", amps)
    for k, value in enumerate(printed):
        assert got[f"B{k}"] == pytest.approx(value, abs=2.0)


# Shares in per cent, battery 2.5 mohm, links with two joints; common practice table, computed independently.
@pytest.mark.parametrize(
    ("count", "link", "takeoff", "printed"),
    [
        (4, 0.30, "n0", (40.6, 26.3, 18.3, 14.8)),
        (4, 0.30, "n3", (27.7, 22.3, 22.3, 27.7)),
        (4, 0.15, "n0", (33.9, 26.0, 21.2, 18.9)),
        (4, 0.15, "n3", (26.4, 23.6, 23.6, 26.4)),
        (3, 0.30, "n0", (44.2, 30.9, 24.9)),
        (3, 0.30, "n2", (34.6, 30.9, 34.6)),
        (6, 0.30, "n0", (38.7, None, None, None, None, 5.5)),
    ],
)
def test_shares_agree_with_the_table(
    count: int, link: float, takeoff: str, printed: tuple[float | None, ...]
) -> None:
    got = shares(ladder([0.0025] * count, link / 1000, 13.2), "p0", takeoff, 100.0)
    for k, value in enumerate(printed):
        if value is not None:
            # The six-battery row does not state its links; only its first four digits class is asked.
            assert got[f"B{k}"] == pytest.approx(value, abs=0.06 if count < 6 else 2.0)


def test_a_bad_lug_makes_its_battery_carry_less() -> None:
    # Printed: diagonal, 0.15 mohm, battery 2 with 3 mohm more at 160 A: 48.6 / 20.4 / 43.5 / 47.4 A.
    got = shares(ladder([0.0025, 0.0055, 0.0025, 0.0025], 0.00015, 13.2), "p0", "n3", 160.0)
    assert [round(got[f"B{k}"], 1) for k in range(4)] == pytest.approx([48.6, 20.4, 43.5, 47.4], abs=0.06)


def test_a_back_fed_fault_agrees_with_the_star() -> None:
    # Three batteries of 13.2 V, 2.5 mohm, each 0.4 mohm to the bar, back through 0.4 mohm: a general circuit
    # simulator gave 9658.5 A.  Closed form: E / ((R + r)/3 + r).
    branches = busbar([0.0025] * 3, [0.0004] * 3, [13.2] * 3)
    branches.append(Branch("own", "bar", "post", 0.0004))
    net = Network(branches, ["n"])
    row, back = net.node["post"], net.node["n"]
    amps = (net.volts()[row] - net.volts()[back]) / net.across([(row, back)])[0, 0]
    assert amps == pytest.approx(9658.5, abs=0.05)
    assert amps == pytest.approx(13.2 / ((0.0025 + 0.0004) / 3 + 0.0004), rel=1e-12)


def test_a_load_of_fixed_power_finds_the_stable_root() -> None:
    # 3 kW at 90 % from 11.5 V behind 1.7 mohm: 303 A and 10.98 V (printed, measured for this project).
    net = Network([Branch("E", "p", "n", 0.0017, 11.5)], ["n"])
    ports = Ports(net, [Draw("load", "p", "n", 3000 / 0.9)], [])
    answer = ports.solve()
    assert answer.drawn["load"].real == pytest.approx(303, abs=0.6)
    assert answer.volts[net.node["p"]] == pytest.approx(10.98, abs=0.006)


@pytest.mark.parametrize("part", [0.1, 0.5, 0.9, 0.99, 0.9999])
def test_newton_meets_the_exact_root_up_to_the_nose(part: float) -> None:
    volts, ohm = 12.0, 0.01
    watts = part * volts**2 / (4 * ohm)
    settled = settle_ports(np.array([volts]), np.array([[ohm]]), np.array([watts]))
    exact = (volts + math.sqrt(volts**2 - 4 * ohm * watts)) / 2
    assert settled.converged
    assert settled.volts[0] == pytest.approx(exact, rel=1e-9)


def test_newton_refuses_what_no_volts_can_carry() -> None:
    watts = 1.0001 * 12.0**2 / 0.04
    assert not settle_ports(np.array([12.0]), np.array([[0.01]]), np.array([watts])).converged


def test_the_margin_of_one_load_is_the_power_theorem() -> None:
    # Printed: margin 1.589 with the nose at 6.0 V = E/2.
    watts = 3600 / 1.589
    settled = settle_ports(np.array([12.0]), np.array([[0.01]]), np.array([watts]))
    assert collapse_margin(np.array([12.0]), np.array([[0.01]]), np.array([watts]), settled) == pytest.approx(
        1.589, rel=1e-6
    )


def test_a_load_too_large_has_a_margin_below_one() -> None:
    watts = 1.5 * 3600
    settled = settle_ports(np.array([12.0]), np.array([[0.01]]), np.array([watts]))
    assert collapse_margin(np.array([12.0]), np.array([[0.01]]), np.array([watts]), settled) == pytest.approx(
        2 / 3, rel=1e-6
    )


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.floats(0.001, 0.02), min_size=2, max_size=5),
    st.lists(st.floats(20, 400), min_size=5, max_size=5),
    st.randoms(),
)
def test_the_margin_is_where_bisection_finds_it(
    links: list[float], watts: list[float], random: object
) -> None:
    del random
    branches = [Branch("E", "t0", "n", 0.004, 13.0)]
    draws = []
    for k, ohm in enumerate(links):
        branches.append(Branch(f"W{k}", f"t{k}", f"t{k + 1}", ohm))
        draws.append((f"t{k + 1}", watts[k]))
    net = Network(branches, ["n"])
    pairs = [(net.node[t], net.node["n"]) for t, _ in draws]
    z, power = net.across(pairs), np.array([w for _, w in draws])
    open_V = np.full(len(draws), 13.0)
    settled = settle_ports(open_V, z, power)
    margin = collapse_margin(open_V, z, power, settled)
    assert margin is not None
    if margin < 99:
        assert settle_ports(open_V, z, 0.999 * margin * power).converged
        assert not settle_ports(open_V, z, 1.001 * margin * power).converged


def test_a_charger_holds_current_below_its_volts_and_volts_above() -> None:
    net = Network([Branch("B", "p", "n", 0.01, 13.0)], ["n"])
    low = Ports(net, [], [Push("U", "p", "n", 50.0, 14.2)]).solve()
    assert low.drawn["U"].real == pytest.approx(-50.0)
    high = Ports(net, [], [Push("U", "p", "n", 500.0, 14.2)]).solve()
    assert high.holding == ("U",)
    assert high.volts[net.node["p"]] == pytest.approx(14.2, abs=0.02)
    full = Ports(net, [], [Push("U", "p", "n", 50.0, 12.0)]).solve()
    assert full.drawn["U"] == 0


def test_two_chargers_on_one_bar_share_what_the_loads_take() -> None:
    net = Network([Branch("B", "p", "n", 0.001, 13.6)], ["n"])
    answer = Ports(
        net,
        [Draw("load", "p", "n", 400.0)],
        [Push("U1", "p", "n", 60.0, 13.8), Push("U2", "p", "n", 60.0, 13.8)],
    ).solve()
    total = -sum(complex(answer.drawn[u]).real for u in ("U1", "U2"))
    assert answer.drawn["U1"] == pytest.approx(answer.drawn["U2"], rel=1e-9) or total == pytest.approx(120.0)
    assert answer.volts[net.node["p"]] <= 13.8 + 0.01


# Laws.

ohm = st.floats(1e-5, 10.0)


@st.composite
def meshes(draw: st.DrawFn) -> list[Branch]:
    """A connected network of up to nine nodes with a few batteries in it."""
    count = draw(st.integers(2, 9))

    def node() -> str:
        return f"t{draw(st.integers(0, count - 1))}"

    def source(name: str, at: str) -> Branch:
        return Branch(name, at, "g", draw(st.floats(1e-3, 0.1)), draw(st.floats(10, 60)))

    tree = [Branch(f"T{k}", f"t{k}", f"t{draw(st.integers(0, k - 1))}", draw(ohm)) for k in range(1, count)]
    more = [
        Branch(f"X{k}", node(), node(), draw(st.one_of(ohm, st.just(0.0))))
        for k in range(draw(st.integers(0, 6)))
    ]
    sources = [source(f"E{k}", node()) for k in range(1, 1 + draw(st.integers(0, 3)))]
    return [source("E0", "t0"), *tree, *more, *sources]


def solved(branches: list[Branch], draws: dict[str, float]) -> tuple[Network, np.ndarray, dict[str, float]]:
    """Volts and currents with fixed currents drawn to ground."""
    net = Network(branches, ["g"])
    into = np.zeros(net.size)
    taken: dict[str, complex] = {"g": 0.0}
    for t, amps in draws.items():
        into[net.node[t]] -= amps
        into[net.node["g"]] += amps
        taken[t] = taken.get(t, 0.0) + amps
        taken["g"] -= amps
    v = net.volts(into)
    return net, v, {k: complex(i).real for k, i in net.currents(v, taken).items()}


@settings(max_examples=100, deadline=None)
@given(meshes(), st.floats(-50, 50))
def test_currents_balance_at_every_terminal_and_power_balances(branches: list[Branch], amps: float) -> None:
    net, v, flows = solved(branches, {"t1": amps} if "t1" in {e.a for e in branches} else {})
    balance: dict[str, float] = dict.fromkeys(net.node, 0.0)
    for e in branches:
        balance[e.a] += flows[e.id]
        balance[e.b] -= flows[e.id]
    if "t1" in {e.a for e in branches}:
        balance["t1"] += amps
        balance["g"] -= amps
    scale = max(1.0, *(abs(i) for i in flows.values()))
    # A volt is known to its last bit only: through 10 microohm that bit is a nanoampere.
    bit_A = float(np.spacing(np.abs(v).max()) * sum(1 / complex(e.ohm).real for e in branches if e.ohm))
    assert max(abs(i) for i in balance.values()) < 1e-9 * scale + bit_A  # Kirchhoff
    power = sum(flows[e.id] * (v[net.node[e.a]] - v[net.node[e.b]]) for e in branches)
    if "t1" in net.node:
        power += amps * (v[net.node["t1"]] - v[net.node["g"]])
    assert abs(power) < (1e-8 * scale + bit_A) * max(1.0, float(np.abs(v).max()))  # Tellegen


@settings(max_examples=100, deadline=None)
@given(meshes())
def test_elimination_agrees_with_a_dense_inverse(branches: list[Branch]) -> None:
    net = Network(branches, ["g"])
    matrix = np.zeros((net.size, net.size))
    for e in net.live:
        a, b, g = net.node[e.a], net.node[e.b], 1 / complex(e.ohm).real
        matrix[a, a] += g
        matrix[b, b] += g
        matrix[a, b] -= g
        matrix[b, a] -= g
    keep = [r for r in range(net.size) if r not in net.reference.values()]
    dense = np.zeros((net.size, net.size))
    if keep:
        dense[np.ix_(keep, keep)] = np.linalg.inv(matrix[np.ix_(keep, keep)])
    np.testing.assert_allclose(net.z, dense, rtol=1e-6, atol=1e-12)
    np.testing.assert_allclose(net.z_own, dense.diagonal(), rtol=1e-6, atol=1e-12)
    every = np.arange(net.size)
    for some, column in net.columns(every, every[::-1]):
        np.testing.assert_allclose(column, (dense - dense[:, ::-1])[:, some], rtol=1e-6, atol=1e-9)


@settings(max_examples=100, deadline=None)
@given(
    meshes(), st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=1, max_size=6), st.randoms()
)
def test_a_join_asked_alone_carries_what_it_carries_among_all(
    branches: list[Branch], links: list[tuple[int, int]], chance: Random
) -> None:
    nodes = sorted({n for e in branches for n in (e.a, e.b)})
    joins = [Branch(f"join{k}", nodes[a % len(nodes)], f"t{b}", 0.0) for k, (a, b) in enumerate(links)]
    net = Network([*branches, *joins], ["g"])
    flows = np.array([[chance.uniform(-9, 9)] for _ in net.live])
    taken = np.array([[chance.uniform(-9, 9)] for _ in net.joined_at])
    asked = tuple(chance.sample(range(len(joins)), chance.randint(1, len(joins))))
    through = net.shape.through(asked)
    found = through.sum(flows, len(asked))
    for row, parts in enumerate(through.taken):
        for n, factor in parts:
            found[n] += factor * taken[row]

    np.testing.assert_allclose(found, net.join_flows(flows, taken)[list(asked)], atol=1e-9)


@settings(max_examples=100, deadline=None)
@given(meshes(), st.integers(0, 8), st.integers(0, 8), ohm)
def test_adding_a_link_never_raises_resistance(branches: list[Branch], a: int, b: int, more: float) -> None:
    # Rayleigh's monotonicity law.
    passive = [Branch(e.id, e.a, e.b, e.ohm) for e in branches]
    nodes = sorted({n for e in passive for n in (e.a, e.b) if n != "g"})
    one, other = nodes[a % len(nodes)], nodes[b % len(nodes)]
    before, after = Network(passive, ["g"]), Network([*passive, Branch("new", one, other, more)], ["g"])
    for n in nodes:
        r0 = before.across([(before.node[n], before.node["g"])])[0, 0]
        r1 = after.across([(after.node[n], after.node["g"])])[0, 0]
        assert r1 <= r0 * (1 + 1e-9) + 1e-12


def test_symmetry_gives_equal_currents() -> None:
    got = shares(busbar([0.0025] * 8, [0.0005] * 8, [13.2] * 8), "bar", "n", 400.0)
    assert max(got.values()) - min(got.values()) < 1e-9


def test_a_chain_of_joins_carries_what_its_terminals_need() -> None:
    branches = [
        Branch("E", "a", "g", 0.01, 12.0),
        Branch("j1", "a", "b", 0.0),
        Branch("j2", "b", "c", 0.0),
        Branch("R", "c", "g", 1.0),
    ]
    net, v, flows = solved(branches, {"b": 3.0})
    assert flows["j2"] == pytest.approx(float(v[net.node["c"]]), rel=1e-12)
    assert flows["j1"] == pytest.approx(flows["j2"] + 3.0, rel=1e-12)


def test_phasors_agree_with_the_complex_divider() -> None:
    # 230 V behind 0.2 + j0.1 ohm, 10 ohm of load: closed form.
    net = Network([Branch("E", "l", "n", 0.2 + 0.1j, 230.0), Branch("R", "l", "n", 10.0)], ["n"], complex)
    v = complex(net.volts()[net.node["l"]])
    assert v == pytest.approx(230 * 10 / (10.2 + 0.1j), rel=1e-12)


def test_a_phasor_load_draws_its_apparent_power() -> None:
    net = Network([Branch("E", "l", "n", 0.5 + 0.3j, 230.0)], ["n"], complex)
    s = 2000 + 1500j
    answer = Ports(net, [Draw("load", "l", "n", s)], []).solve()
    v = complex(answer.volts[net.node["l"]])
    assert v * complex(answer.drawn["load"]).conjugate() == pytest.approx(s, rel=1e-9)
    # The receiving-end formula of a short line: |V|^4 + |V|^2 (2 (P R + Q X) - E^2) + |S|^2 |Z|^2 = 0.
    e, r, x = 230.0, 0.5, 0.3
    b = 2 * (s.real * r + s.imag * x) - e**2
    exact = math.sqrt((-b + math.sqrt(b * b - 4 * abs(s) ** 2 * (r * r + x * x))) / 2)
    assert abs(v) == pytest.approx(exact, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.integers(24, 60), st.floats(0.01, 0.999), st.randoms())
def test_many_loads_settle_on_the_higher_root_light_or_near_the_collapse(
    count: int, share: float, chance: Random
) -> None:
    # Side by side behind one resistance they are one load of their sum: v = (E + sqrt(E^2 - 4 R P)) / 2.
    volts, ohm = 13.2, 0.01
    watts = np.array([chance.uniform(0.1, 1.0) for _ in range(count)])
    watts *= share * volts**2 / (4 * ohm) / watts.sum()
    e, z = np.full(count, volts), np.full((count, count), ohm)
    plain = settle_ports(e, z, watts)
    written, stands = fast.settle(e, z, watts)

    assert plain.converged
    assert stands
    for found in (plain.volts, written):
        assert found == pytest.approx(volts * (1 + (1 - share) ** 0.5) / 2, rel=1e-10)
