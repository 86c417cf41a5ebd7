"""Figures of dangers worked twice. The ladder is held against plain mesh equations, solved here by Cramer's rule or by hand."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.checks.test_on_rigs import study_of

from ohmwright.checks import engine
from ohmwright.checks.ladder import chain_fault_A, star_fault_A
from ohmwright.checks.second_opinion import Opinion, disagreements, opinions
from ohmwright.study import Study

OHM = st.floats(1e-4, 5e-2)


def test_two_batteries_in_a_chain_are_two_loops() -> None:
    # Fault at the second battery's posts: its own loop, and the first through two links.
    fault = chain_fault_A(2, 14.4, 0.002, 0.0, 0.0003, 0.0004, 1)

    assert fault == pytest.approx(14.4 / 0.002 + 14.4 / (0.002 + 0.0007), rel=1e-12)


def test_a_fault_across_the_diagonal_of_two_meets_two_equal_paths() -> None:
    # From the last plus to the first minus each battery has one link in its way.
    fault = chain_fault_A(2, 12.0, 0.01, 0.0, 0.001, 0.001, 0)

    assert fault == pytest.approx(2 * 12.0 / 0.011, rel=1e-12)


@given(volts=st.floats(10, 60), ohm=OHM, post=OHM, plus=OHM, minus=OHM, back=st.integers(0, 2))
def test_three_in_a_chain_satisfy_their_mesh_equations(
    volts: float, ohm: float, post: float, plus: float, minus: float, back: int
) -> None:
    """Node voltages by Gaussian elimination on the six nodes of the ladder."""
    assert chain_fault_A(3, volts, ohm, post, plus, minus, back) == pytest.approx(
        nodal(3, volts, ohm, post, plus, minus, back), rel=1e-7
    )


def nodal(n: int, volts: float, ohm: float, post: float, plus: float, minus: float, back: int) -> float:
    """Nodes: plus rail 0..n-2, minus posts n..2n-1; node n-1 is the last plus post, held at 0 with minus post `back`."""
    size = 2 * n
    g = [[0.0] * size for _ in range(size)]
    put = [0.0] * size

    def branch(a: int, b: int, r: float, push: float = 0.0) -> None:
        for x, y, sign in ((a, b, 1.0), (b, a, -1.0)):
            g[x][x] += 1 / r
            g[x][y] -= 1 / r
            put[x] += sign * push / r

    for k in range(n):
        branch(k, n + k, ohm + (post if k < n - 1 else 0.0), volts)
        if k < n - 1:
            branch(k, k + 1, plus + (post if k == n - 2 else 0.0))
            branch(n + k, n + k + 1, minus)
    whole = [row[:] for row in g]
    right = put[:]
    for held in (n - 1, n + back):
        g[held] = [1.0 if c == held else 0.0 for c in range(size)]
        put[held] = 0.0
    v = solve(g, put)
    return right[n - 1] - sum(whole[n - 1][c] * v[c] for c in range(size))


def solve(a: list[list[float]], b: list[float]) -> list[float]:
    n = len(b)
    m = [[*row, y] for row, y in zip(a, b, strict=True)]
    for i in range(n):
        pivot = max(range(i, n), key=lambda r: abs(m[r][i]))
        m[i], m[pivot] = m[pivot], m[i]
        for r in range(n):
            if r != i:
                f = m[r][i] / m[i][i]
                m[r] = [x - f * y for x, y in zip(m[r], m[i], strict=True)]
    return [m[i][n] / m[i][i] for i in range(n)]


def test_a_star_of_four_is_four_times_one() -> None:
    assert star_fault_A(4, 14.4, 0.00215, 0.0) == pytest.approx(26791, rel=1e-4)  # 14.4 x 4 / 2.15 mohm


@pytest.mark.parametrize("rig", ["built", "quoted", "boat", "cabin", "van"])
def test_the_two_methods_agree_on_every_demo_rig(rig: str) -> None:
    said = list(opinions(study_of(rig)))

    assert [o for o in said if not o.agrees] == []
    assert {"B17", "B18"} <= {o.number for o in said}
    assert any("closed form" in o.methods[1] for o in said)


@pytest.mark.parametrize("rig", ["built", "cabin"])
def test_one_diode_agrees_with_the_coefficient(rig: str) -> None:
    cold = [o for o in opinions(study_of(rig)) if o.number == "A1"]

    assert cold
    assert all(0 < o.differs <= o.apart for o in cold)


def wrong(rig: str, factor: float) -> Study:
    """The same rig with a fault study that is off by a factor."""
    sound = study_of(rig)
    study = Study(sound.rig, today=sound.today)
    study.__dict__["faults"] = {
        t: replace(f, from_A={s: factor * a for s, a in f.from_A.items()}) for t, f in sound.faults.items()
    }
    return study


def test_a_planted_disagreement_is_a_finding_of_its_own() -> None:
    found = [f for f in engine.run(wrong("boat", 1.01), ["B18"]) if "Two methods disagree" in f.message]

    assert found
    assert {f.verdict for f in found} == {"fail"}
    assert {f.severity for f in found} == {"fails"}
    assert any(f.subject == "B" for f in found)


def test_what_lies_within_half_a_per_cent_is_no_finding() -> None:
    assert list(disagreements(wrong("boat", 1.004))) == []
    assert list(disagreements(wrong("boat", 1.0051))) != []


def test_an_opinion_knows_how_far_it_is_off() -> None:
    assert Opinion("B18", "B", "A", 1000, 995, ("a", "b")).agrees
    assert not Opinion("B18", "B", "A", 1000, 994.9, ("a", "b")).agrees
    assert Opinion("B18", "B", "A", 0, 0, ("a", "b")).differs == 0
