"""The demo rigs, a split-phase fragment, and their circuit sheets, each drawn once."""

from collections.abc import Callable
from functools import cache
from importlib import resources

import pytest

from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.shapes import Sheet
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf

DEMOS = ("trailer", "boat", "cabin", "van")

SMALL = """\
ohmwright: 1
job: {id: small, units: metric, currency: EUR, rules: eu-vehicle 2023}
host: {kind: trailer, places: {bay: {regime: sheltered}, hitch: {regime: outside}}, ways: {}}
metal: {chassis: {}}
parts:
  M:  {is: module-410w, array: 2s1p, at: bay}
  S1: {is: pv-disconnect-25a-150v-2p, at: bay}
  U1: {is: pv-controller-85a-150v, at: bay}
  F5: {is: breaker-110a-48v-1p, at: bay}
  B:  {is: battery-lfp-200ah-12v, count: 2, at: bay, each: {F: fuse-terminal-post-150a},
       join: {as: chain, link: 4/0 AWG, link-length: 0.3 m, takeoff: diagonal}}
  F1: {is: fuse-class-t-400a, at: bay}
  Q1: {is: battery-switch-500a, at: bay}
  R1: {is: shunt-500a-50mv, at: bay}
  XP: {is: busbar-600a-6stud, at: bay}
  XN: {is: busbar-600a-6stud, at: bay}
  U3: {is: dcdc-charger-30a-common-negative, at: bay}
  F4: {is: fuse-bolt-60a, at: bay}
  F3: {is: fuse-bolt-60a, at: hitch}
  TV: {is: tow-socket-aux, at: hitch}
  PD: {is: panel-dc-12way, at: bay, ways: {1: 15 A, 2: 10 A}}
  F6: {is: breaker-60a-48v-1p, at: bay}
use:
  loads:
    fridge: {fed: PD.1, power: 60 W, cable: 12 AWG, length: 4 m}
runs:
  W01: {from: M, to: S1.line, cable: pv 10 AWG, length: 12 m}
  W02: {from: S1.load, to: U1.pv, cable: pv 10 AWG, length: 0.5 m}
  W03: {from: U1.bat.+, to: F5.line, cable: 2 AWG red, length: 0.5 m}
  W04: {from: F5.load, to: XP.1, cable: 2 AWG red, length: 0.3 m}
  W05: {from: U1.bat.-, to: XN.1, cable: 2 AWG black, length: 0.6 m}
  W06: {from: B.+, to: F1.line, cable: 4/0 AWG red, length: 0.17 m}
  W07: {from: F1.load, to: Q1.line, cable: 4/0 AWG red, length: unknown (asked 2026-04-02)}
  W08: {from: Q1.load, to: XP.2, cable: 4/0 AWG red, length: 0.3 m}
  W09: {from: B.-, to: R1.bank, cable: 4/0 AWG black, length: 1.4 m}
  W10: {from: R1.loads, to: XN.2, cable: 4/0 AWG black, length: 0.3 m}
  W14: {from: TV.aux.+, to: F3.line, cable: 6 AWG red, length: 0.2 m}
  W15: {from: F3.load, to: U3.in.+, cable: 6 AWG red, length: 3 m}
  W16: {from: U3.out.+, to: F4.line, cable: 6 AWG red, length: 0.4 m}
  W17: {from: F4.load, to: XP.4, cable: 6 AWG red, length: 0.2 m}
  W18: {from: U3.common.-, to: XN.4, cable: 6 AWG black, length: 0.5 m}
  W19: {from: XP.5, to: F6.line, cable: 6 AWG red, length: 0.2 m}
  W20: {from: F6.load, to: PD.feed.+, cable: 6 AWG red, length: 3 m}
  W21: {from: PD.feed.-, to: XN.5, cable: 6 AWG black, length: 3 m}
  W25: {from: XN.6, to: chassis, cable: 6 AWG green, length: 0.8 m, role: bond}
  W27: {from: TV.aux.-, to: U3.common.-, cable: 6 AWG black, length: 3 m}
"""

SPLIT = """\
ohmwright: 1
job: {id: split}
host: {kind: cabin, places: {room: {regime: heated}}, ways: {}}
metal: {ground: {}}
parts:
  B:  {is: battery-lfp-100ah-48v, count: 2, at: room, each: {F: fuse-class-t-125a}, join: {as: chain, link: 2 AWG, link-length: 0.3 m, takeoff: diagonal}}
  F1: {is: fuse-class-t-200a, at: room}
  R1: {is: shunt-500a-50mv, at: room, counts: B}
  U2: {is: inverter-charger-split-6kva-48v-120v-240v, at: room, fitted: {ac-out-bond: relay}}
  SUP: {is: supply-post-30a-120v, at: room, own: no}
  J1: {is: shore-inlet-30a-120v, at: room}
  PA: {is: panel-ac-split-50a, at: room, ways: {1: 20 A L1, 2: 20 A L2, 3: 30 A L1+L2, 4: 20 A L1+L2+N}}
  XE: {is: earth-bar-8stud, at: room}
use:
  loads:
    outlets-east: {fed: PA.1, power: 900 W}
    well-pump:    {fed: PA.3, power: 1500 W}
    range:        {fed: PA.4, power: {L1-L2: 4000 W, L1-N: 100 W}}
runs:
  W1: {from: B.+, to: F1.line, cable: 1/0 AWG, length: 0.15 m}
  W2: {from: F1.load, to: U2.dc.+, cable: 1/0 AWG, length: 1.0 m}
  W3: {from: B.-, to: R1.bank, cable: 1/0 AWG, length: 0.4 m}
  W4: {from: R1.loads, to: U2.dc.-, cable: 1/0 AWG, length: 0.8 m}
  C1: {from: SUP, to: J1, cable: 3 x 10 AWG, length: 10 m, plugs: both}
  W5: {from: J1, to: {L: U2.ac-in.L1, N: U2.ac-in.N, PE: U2.ac-in.PE}, cable: 3 x 10 AWG, length: 2 m}
  W6: {from: U2.ac-in.L1, to: U2.ac-in.L2, cable: 10 AWG, length: 0.1 m}
  W7: {from: U2.ac-out, to: PA.feed, cable: 4 x 6 AWG, length: 2 m}
  W8: {from: PA.feed.PE, to: XE.1, cable: 8 AWG green, length: 0.5 m, role: earth}
"""


@cache
def rig_of(name: str) -> Rig:
    """A demo rig, or one of the two above."""
    if name in ("small", "split"):
        return read_rig({"small": SMALL, "split": SPLIT}[name], f"{name}.yaml", Shelf())
    folder = resources.files("ohmwright.services.demos") / name
    shelf = folder / "shelf"
    sheets = [f for f in shelf.iterdir() if f.name.endswith(".yaml")] if shelf.is_dir() else []
    job = {f.name: f.read_text(encoding="utf-8") for f in sheets}
    return read_rig((folder / "rig.yaml").read_text(encoding="utf-8"), "rig.yaml", Shelf(job=job))


@cache
def drawn(name: str) -> tuple[Rig, Graph, tuple[Sheet, ...]]:
    """A rig with its graph and its sheets."""
    rig = rig_of(name)
    graph = graph_of(rig)
    return rig, graph, circuit_sheets(Circuit(rig, graph))


@pytest.fixture(scope="session")
def draw() -> Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]:
    return drawn


@pytest.fixture(scope="session")
def read_small() -> Callable[[str], Rig]:
    return lambda text: read_rig(text, "rig.yaml", Shelf())
