"""Demo rigs for the circuit tests, whole or with something changed, and small networks by hand."""

import re
from collections.abc import Mapping
from functools import lru_cache

from ohmwright.circuit.network import Branch
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.services import demos
from ohmwright.shelf.load import Shelf

NAMES = ("trailer", "boat", "cabin", "van")

SPLIT = """\
ohmwright: 1
host: {kind: cabin, places: {room: {regime: heated}}, ways: {}}
metal: {ground: {}}
parts:
  B: {is: battery-lfp-100ah-48v, count: 2, at: room, each: {F: fuse-class-t-125a}, join: {as: chain, link: 2 AWG, link-length: 0.3 m, takeoff: diagonal}}
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
    outlets-west: {fed: PA.2, power: 900 W}
    well-pump: {fed: PA.3, power: 1500 W}
    range: {fed: PA.4, power: {L1-L2: 4000 W, L1-N: 100 W}}
runs:
  W1: {from: B.+, to: F1.line, cable: 1/0 AWG, length: 0.15 m}
  W2: {from: F1.load, to: U2.dc.+, cable: 1/0 AWG, length: 1.0 m}
  W3: {from: B.-, to: R1.bank, cable: 1/0 AWG, length: 0.4 m}
  W4: {from: R1.loads, to: U2.dc.-, cable: 1/0 AWG, length: 0.8 m}
  C1: {from: SUP, to: J1, cable: flexible 3 x 10 AWG, length: 10 m, plugs: both}
  W5: {from: J1, to: {L: U2.ac-in.L1, N: U2.ac-in.N, PE: U2.ac-in.PE}, cable: 3 x 10 AWG, length: 2 m}
  W6: {from: U2.ac-in.L1, to: U2.ac-in.L2, cable: 10 AWG, length: 0.1 m}
  W7: {from: U2.ac-out, to: PA.feed, cable: 4 x 6 AWG, length: 2 m}
  W8: {from: PA.feed.PE, to: XE.1, cable: 8 AWG green, length: 0.5 m, role: earth}
settings:
  U2: {ground-relay: enabled}
"""


@lru_cache(maxsize=8)
def _files(name: str) -> tuple[str, Mapping[str, str]]:
    files = demos.files_of(name)
    job = {
        f.removeprefix("shelf/"): text.decode()
        for f, text in files.items()
        if f.startswith("shelf/") and f.endswith(".yaml")
    }
    return files["rig.yaml"].decode(), job


@lru_cache(maxsize=64)
def demo(name: str) -> tuple[Rig, Graph]:
    """A demo rig as it ships."""
    return changed(name)


def changed(name: str, *edits: tuple[str, str]) -> tuple[Rig, Graph]:
    """A demo rig with pieces of its text replaced, each of which must be there exactly once."""
    text, job = _files(name)
    return read(_edited(text, edits), job)


def split(*edits: tuple[str, str]) -> tuple[Rig, Graph]:
    """The split-phase fragment."""
    return read(_edited(SPLIT, edits), {})


def _edited(text: str, edits: tuple[tuple[str, str], ...]) -> str:
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


def moved(name: str, *moves: tuple[str, str, str]) -> tuple[Rig, Graph]:
    """A demo rig with ends of runs moved: (run, "from" or "to", the new address)."""
    text, job = _files(name)
    for run, end, address in moves:
        pattern = (
            rf"(^  {re.escape(run)}:\s*{{(?:from: (?:{{[^}}]*}}|[^,]*), *)?{end}: *)({{[^}}]*}}|[^,}}]*)"
        )
        text, count = re.subn(pattern, rf"\g<1>{address}", text, count=1, flags=re.MULTILINE)
        assert count == 1, f"{run} has no {end}"
    return read(text, job)


def without(name: str, *keys: str) -> tuple[Rig, Graph]:
    """A demo rig without some lines: runs, parts or settings by their key."""
    text, job = _files(name)
    for key in keys:
        text, count = re.subn(
            rf"^  {re.escape(key)}:\s*{{.*}}[^\n]*\n", "", text, count=1, flags=re.MULTILINE
        )
        assert count == 1, f"no line {key}"
    return read(text, job)


def with_line(name: str, section: str, line: str) -> tuple[Rig, Graph]:
    """A demo rig with one line more at the head of a section."""
    text, job = _files(name)
    text, count = re.subn(
        rf"^{section}:[^\n]*\n", f"{section}:\n  {line}\n", text, count=1, flags=re.MULTILINE
    )
    assert count == 1, f"no section {section}"
    return read(text, job)


def read(text: str, job: Mapping[str, str]) -> tuple[Rig, Graph]:
    """A rig and its graph from text."""
    rig = read_rig(text, "rig.yaml", Shelf(job=dict(job)))
    return rig, graph_of(rig)


def ladder(ohms: list[float], link_ohm: float, volts: list[float] | float) -> list[Branch]:
    """Batteries side by side, p0..pn and n0..nn, joined by equal links on both sides."""
    branches: list[Branch] = []
    for k, ohm in enumerate(ohms):
        branches.append(
            Branch(f"B{k}", f"p{k}", f"n{k}", ohm, volts if isinstance(volts, float) else volts[k])
        )
        if k:
            branches.append(Branch(f"P{k}", f"p{k - 1}", f"p{k}", link_ohm))
            branches.append(Branch(f"N{k}", f"n{k - 1}", f"n{k}", link_ohm))
    return branches
