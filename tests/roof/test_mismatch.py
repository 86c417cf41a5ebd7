"""Unequal modules on one controller: a van as found, and what hand sums say."""

from collections.abc import Callable

import pytest

from ohmwright.rig.model import Rig
from ohmwright.roof.mismatch import lit_modules, mismatch, switched

Make = Callable[..., Rig]
FLAT = "plane: {tilt: 0 deg, faces: flat}"


def van(rig_of: Make, array: str) -> Rig:
    """A 175 W module (19.6 V, 8.9 A) and a 100 W one (18.2 V, 5.5 A)."""
    odd = "1.2" if array == "2s1p" else "2.1"
    return rig_of(FLAT, f"{odd}: 0.1 0.1 m", array=array, module="module-175w", part=f", but: {{{odd}: {{is: module-100w}}}}")  # fmt: skip


# One-diode sketch by a second hand: about 126 W at 13.4 V in series on a switching controller with working bypass
# diodes; by hand in parallel (8.9 + 5.5) A x 13.4 V = 193 W at the currents of maximum power.
def test_the_van_in_series_on_a_switching_controller(rig_of: Make) -> None:
    rig = van(rig_of, "2s1p")
    modules, unknown = lit_modules(rig, rig.parts["M"])

    assert unknown == ()
    assert switched(modules, 13.4).power_W == pytest.approx(126.0, rel=0.015)


def test_the_van_in_parallel_on_a_switching_controller(rig_of: Make) -> None:
    rig = van(rig_of, "1s2p")
    modules, _ = lit_modules(rig, rig.parts["M"])
    held = switched(modules, 13.4)

    assert held.current_A < 9.4 + 5.8  # never above the short-circuit currents
    assert held.power_W == pytest.approx(193.0, rel=0.06)
    assert held.power_W > 193.0


# By hand: all current of the poorer module 5.5 A x (19.6 + 18.2) V = 208 W is a lower bound; real modules rise above their
# printed voltage at less current.  Following the poorer beats bypassing it (175 W).
def test_a_maximum_seeking_controller_follows_the_poorer_module(rig_of: Make) -> None:
    rig = van(rig_of, "2s1p")
    modules, _ = lit_modules(rig, rig.parts["M"])
    found = mismatch(modules)

    assert 208.0 < found.as_wired.best.power_W < 230.0
    assert len(found.as_wired.maxima) == 2
    assert found.as_wired.worst.power_W == pytest.approx(175.0 - 0.6 * 9 - 5, abs=10.0)
    assert found.separate_W == pytest.approx(275.0, rel=0.01)
    assert found.as_wired == found.series
    assert 0.15 < found.lost_ratio < 0.25


def test_equal_modules_lose_nothing(rig_of: Make) -> None:
    rig = rig_of(FLAT)
    modules, _ = lit_modules(rig, rig.parts["M"])
    found = mismatch(modules, 50.0)

    assert abs(found.lost_ratio) < 1e-4
    assert found.parallel.best.power_W == pytest.approx(found.series.best.power_W, rel=1e-4)


def test_two_planes_lose_more_in_series_than_in_parallel(rig_of: Make) -> None:
    rig = rig_of(FLAT, "1.1: 0 0 m", array="2s1p")
    modules, _ = lit_modules(rig, rig.parts["M"], (900.0, 500.0))
    found = mismatch(modules, 45.0)

    assert 1 - found.series.best.power_W / found.separate_W > 0.1
    assert 1 - found.parallel.best.power_W / found.separate_W < 0.02


def test_a_module_without_figures_is_named(rig_of: Make) -> None:
    rig = rig_of(FLAT, part=", short-circuit: unknown (asked 2026-05-02)")
    modules, unknown = lit_modules(rig, rig.parts["M"])

    assert modules == ()
    assert unknown[0] == "M.1.1: M.1.1.short-circuit is not known"
