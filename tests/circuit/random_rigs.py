"""Whole rig files drawn by lot: a bank, bars, loads, a controller or two, an inverter; some figures nobody told."""

import random
from dataclasses import dataclass, field

from tests.circuit.rigs import read

from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

BATTERIES = {
    12: ("battery-lfp-100ah-12v", "battery-lfp-200ah-12v", "battery-lfp-300ah-12v", "battery-agm-100ah-12v", "battery-agm-200ah-12v"),
    48: ("battery-lfp-100ah-48v", "battery-lfp-200ah-48v"),
}  # fmt: skip
FUSES = {
    12: ("fuse-class-t-200a", "fuse-class-t-400a", "fuse-terminal-post-150a"),
    48: ("fuse-class-t-125a", "fuse-class-t-200a"),
}
INVERTERS = {12: "inverter-charger-3kva-12v-120v", 48: "inverter-charger-split-6kva-48v-120v-240v"}
CONTROLLERS = {
    12: ("pv-controller-30a-100v", "pv-controller-70a-100v"),
    48: ("pv-controller-60a-150v", "pv-controller-100a-250v"),
}
PANELS = {12: "panel-dc-12way", 48: "panel-dc-12way-60v"}
HEAVY, MIDDLE, LIGHT = ("35 mm2", "70 mm2", "1/0 AWG", "4/0 AWG"), ("10 mm2", "16 mm2", "6 AWG", "2 AWG"), ("2 x 2.5 mm2", "2 x 14 AWG", "2 x 6 mm2")  # fmt: skip


@dataclass
class Drawn:
    """The text of a rig by its lines, so that one of them can be changed."""

    parts: dict[str, str] = field(default_factory=dict)
    loads: dict[str, str] = field(default_factory=dict)
    runs: dict[str, str] = field(default_factory=dict)
    settings: dict[str, str] = field(default_factory=dict)

    def text(self) -> str:
        """The file."""
        lines = [
            "ohmwright: 1",
            "host: {kind: cabin, places: {room: {regime: heated, hottest: 35 degC, size: 1 x 1 x 1 m}}, ways: {}}",
        ]
        for name in ("parts", "use", "runs", "settings"):
            held = self.loads if name == "use" else getattr(self, name)
            if held:
                indent = "    " if name == "use" else "  "
                lines += [f"{name}:", *(["  loads:"] if name == "use" else [])]
                lines += [f"{indent}{k}: {{{v}}}" for k, v in held.items()]
        return "\n".join(lines) + "\n"

    def read(self) -> tuple[Rig, Graph]:
        """The rig and its graph."""
        return read(self.text(), {})


def drawn(seed: int) -> Drawn:
    """A rig by its seed."""
    lot = random.Random(seed)
    d = Drawn()
    volts = lot.choice((12, 12, 48))
    _bank(d, lot, volts)
    plus = iter(range(2, 9))
    minus = iter(range(2, 9))
    if lot.random() < 0.8:
        _inverter(d, lot, volts, next(plus), next(minus))
    for k in range(lot.choice((0, 1, 1, 2))):
        _solar(d, lot, volts, k + 1, next(plus), next(minus))
    if lot.random() < 0.8:
        _panel(d, lot, volts, next(plus), next(minus))
    if not d.runs or all("XP." not in r for r in d.runs.values()):
        _panel(d, lot, volts, next(plus), next(minus))
    return d


def _length(lot: random.Random, most: float) -> str:
    return "length: unknown" if lot.random() < 0.03 else f"length: {lot.uniform(0.1, most):.2f} m"


def _bank(d: Drawn, lot: random.Random, volts: int) -> None:
    how = lot.choice(("chain", "chain", "busbars", "one"))
    count = 1 if how == "one" else lot.randint(2, 4)
    told = (
        ""
        if lot.random() < 0.7
        else f", resistance: {lot.choice(('unknown', f'{lot.uniform(0.5, 12):.2f} mohm'))}"
    )
    each = ", each: {F: " + lot.choice(FUSES[volts]) + "}" if count > 1 and lot.random() < 0.5 else ""
    join = ""
    if how == "chain":
        take = lot.choice(("diagonal", "same-end"))
        join = f", count: {count}, join: {{as: chain, link: {lot.choice(HEAVY)}, link-length: {lot.uniform(0.1, 0.6):.2f} m, takeoff: {take}}}"
    elif how == "busbars":
        d.parts["XB"] = "is: busbar-600a-8stud, at: room"
        d.parts["XC"] = "is: busbar-600a-8stud, at: room"
        join = f", count: {count}, join: {{as: busbars, plus: XB.1, minus: XC.1, lead: {lot.choice(HEAVY)}, lead-length: {lot.uniform(0.1, 0.9):.2f} m}}"
    d.parts["B"] = f"is: {lot.choice(BATTERIES[volts])}, at: room{told}{each}{join}"
    d.parts["F1"] = f"is: {lot.choice(FUSES[volts])}, at: room"
    d.parts["R1"] = "is: shunt-500a-50mv, at: room, counts: B"
    d.parts["XP"] = "is: busbar-600a-8stud, at: room"
    d.parts["XN"] = "is: busbar-600a-8stud, at: room"
    cable = lot.choice(HEAVY)
    p, n = ("XB.8", "XC.8") if how == "busbars" else ("B.+", "B.-")
    d.runs["W1"] = f"from: {p}, to: F1.line, cable: {cable}, {_length(lot, 0.5)}"
    d.runs["W2"] = f"from: F1.load, to: XP.1, cable: {cable}, {_length(lot, 3)}"
    d.runs["W3"] = f"from: {n}, to: R1.bank, cable: {cable}, {_length(lot, 2)}"
    d.runs["W4"] = f"from: R1.loads, to: XN.1, cable: {cable}, {_length(lot, 1)}"


def _inverter(d: Drawn, lot: random.Random, volts: int, p: int, n: int) -> None:
    d.parts["U2"] = f"is: {INVERTERS[volts]}, at: room, fitted: {{ac-out-bond: relay}}"
    d.parts["F2"] = f"is: {lot.choice(FUSES[volts])}, at: room"
    cable = lot.choice(HEAVY)
    d.runs["W5"] = f"from: XP.{p}, to: F2.line, cable: {cable}, {_length(lot, 0.6)}"
    d.runs["W6"] = f"from: F2.load, to: U2.dc.+, cable: {cable}, {_length(lot, 4)}"
    d.runs["W7"] = f"from: U2.dc.-, to: XN.{n}, cable: {cable}, {_length(lot, 4)}"
    cut = "" if lot.random() < 0.3 else f", cut-off: {lot.uniform(0.8, 0.95) * volts:.1f} V"
    level = volts / 12
    d.settings["U2"] = (
        f"ground-relay: enabled, absorption: {14.2 * level:.1f} V, float: {13.5 * level:.1f} V{cut}"
    )
    if volts == 12:
        d.parts["PA"] = "is: panel-ac-main-30a, at: room, ways: {1: 15 A, 2: 15 A}"
        d.runs["W8"] = f"from: U2.ac-out, to: PA.feed, cable: 3 x 10 AWG, {_length(lot, 4)}"
        d.loads["kettle"] = f"fed: PA.1, power: {lot.uniform(300, 1700):.0f} W"
        if lot.random() < 0.5:
            d.loads["pump"] = (
                f"fed: PA.2, power: 400 W, surge: {lot.choice(('25 A', '2500 VA', '3000 W'))} for {lot.uniform(0.2, 3):.1f} s"
            )


def _solar(d: Drawn, lot: random.Random, volts: int, k: int, p: int, n: int) -> None:
    series = 1 if volts == 12 else 2
    d.parts[f"M{k}"] = (
        f"is: {lot.choice(('module-200w', 'module-410w', 'module-430w'))}, array: {series}s1p, at: room"
    )
    d.parts[f"C{k}"] = f"is: {lot.choice(CONTROLLERS[volts])}, at: room"
    d.parts[f"G{k}"] = f"is: {lot.choice(FUSES[volts])}, at: room"
    d.runs[f"W2{k}"] = f"from: M{k}, to: C{k}.pv, cable: pv 10 AWG, {_length(lot, 12)}"
    cable = lot.choice(MIDDLE)
    d.runs[f"W3{k}"] = f"from: C{k}.bat.+, to: G{k}.load, cable: {cable}, {_length(lot, 2)}"
    d.runs[f"W4{k}"] = f"from: G{k}.line, to: XP.{p}, cable: {cable}, {_length(lot, 1)}"
    d.runs[f"W5{k}"] = f"from: C{k}.bat.-, to: XN.{n}, cable: {cable}, {_length(lot, 2)}"
    level = volts / 12
    d.settings[f"C{k}"] = f"absorption: {lot.uniform(14.0, 14.4) * level:.1f} V, float: {13.5 * level:.1f} V"


def _panel(d: Drawn, lot: random.Random, volts: int, p: int, n: int) -> None:
    ways = lot.randint(1, 8)
    d.parts["F9"] = f"is: {lot.choice(FUSES[volts])}, at: room"
    rated = ", ".join(f"{w}: {lot.choice((5, 10, 15))} A" for w in range(1, ways + 1))
    d.parts["PD"] = f"is: {PANELS[volts]}, at: room, ways: {{{rated}}}"
    cable = lot.choice(MIDDLE)
    d.runs["W9"] = f"from: XP.{p}, to: F9.line, cable: {cable}, {_length(lot, 1)}"
    d.runs["W10"] = f"from: F9.load, to: PD.feed.+, cable: {cable}, {_length(lot, 6)}"
    d.runs["W11"] = f"from: PD.feed.-, to: XN.{n}, cable: {cable}, {_length(lot, 6)}"
    for w in range(1, ways + 1):
        power = (
            f"energy: {lot.uniform(20, 400):.0f} Wh/day"
            if lot.random() < 0.2
            else f"power: {lot.uniform(2, 90):.0f} W"
        )
        d.loads[f"load{w}"] = (
            f"fed: PD.{w}, {power}, length: {lot.uniform(0.5, 9):.1f} m, cable: {lot.choice(LIGHT)}"
        )
