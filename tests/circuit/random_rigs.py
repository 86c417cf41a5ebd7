"""Whole rig files drawn by lot: banks, bars, engines, sun, mains, metal bodies, loads of every sort; some figures nobody told."""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from tests.circuit.rigs import read

from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

BATTERIES = {
    12: ("battery-lfp-50ah-12v", "battery-lfp-100ah-12v", "battery-lfp-200ah-12v", "battery-lfp-300ah-12v", "battery-agm-100ah-12v", "battery-agm-200ah-12v"),
    48: ("battery-lfp-100ah-48v", "battery-lfp-200ah-48v"),
}  # fmt: skip
STARTS = ("battery-agm-100ah-12v", "battery-lead-acid-start")
FUSES = {
    12: ("fuse-class-t-200a", "fuse-class-t-400a", "fuse-terminal-post-150a", "fuse-bolt-100a", "fuse-blade-30a", "breaker-100a-48v-1p"),
    48: ("fuse-class-t-125a", "fuse-class-t-200a", "breaker-100a-80v-1p"),
}  # fmt: skip
POSTS = {12: ("fuse-terminal-post-150a", "fuse-class-t-200a"), 48: ("fuse-class-t-125a",)}
MAINS = {"us": ("120v", 120), "eu": ("230v", 230)}
#: By bank volts and mains: what makes AC, the chargers among them last.
INVERTERS = {
    (12, "us"): ("inverter-2kva-12v-120v", "inverter-charger-2kva-12v-120v", "inverter-charger-3kva-12v-120v"),
    (12, "eu"): ("inverter-1kva-12v-230v", "inverter-2kva-12v-230v", "inverter-3kva-12v-230v-floating", "inverter-charger-2kva-12v-230v"),
    (48, "us"): ("inverter-charger-split-6kva-48v-120v-240v",),
    (48, "eu"): ("inverter-charger-5kva-48v-230v",),
}  # fmt: skip
CONTROLLERS = {
    12: ("pv-controller-15a-75v", "pv-controller-30a-100v", "pv-controller-70a-100v", "pv-controller-pwm-20a-50v"),
    48: ("pv-controller-60a-150v", "pv-controller-100a-250v"),
}  # fmt: skip
MODULES = ("module-100w", "module-200w", "module-410w", "module-430w", "module-110w-flexible")
PANELS = {12: "panel-dc-12way", 48: "panel-dc-12way-60v"}
DCDC = ("dcdc-charger-18a-common-negative", "dcdc-charger-30a-isolated", "dcdc-charger-40a-isolated")
POST_OF = {"us": ("supply-post-30a-120v", "shore-inlet-30a-120v"), "eu": ("supply-post-16a-230v", "shore-inlet-16a-230v")}  # fmt: skip
RCDS = {"us": "rcd-30a-class-a-120v-2p", "eu": "rcd-25a-30ma-2p"}
HEAVY = ("35 mm2", "70 mm2", "1/0 AWG", "4/0 AWG")
MIDDLE = ("10 mm2", "16 mm2", "6 AWG", "2 AWG", "16 mm2 tinned 105C", "25 mm2 CCA")
LIGHT = ("2 x 2.5 mm2", "2 x 14 AWG", "2 x 6 mm2")
SINGLE = ("2.5 mm2", "14 AWG", "6 mm2")
HOSTS = ("cabin", "van", "boat", "trailer")
RULES = {"van": "vehicle", "trailer": "vehicle"}


@dataclass
class Drawn:
    """The text of a rig by its lines, so that one of them can be changed."""

    head: dict[str, str] = field(default_factory=dict)
    metal: dict[str, str] = field(default_factory=dict)
    parts: dict[str, str] = field(default_factory=dict)
    loads: dict[str, str] = field(default_factory=dict)
    runs: dict[str, str] = field(default_factory=dict)
    settings: dict[str, str] = field(default_factory=dict)

    def text(self) -> str:
        """The file."""
        lines = ["ohmwright: 1", *(f"{k}: {{{v}}}" for k, v in self.head.items())]
        for name in ("metal", "parts", "use", "runs", "settings"):
            held = self.loads if name == "use" else getattr(self, name)
            if held:
                indent = "    " if name == "use" else "  "
                lines += [f"{name}:", *(["  loads:"] if name == "use" else [])]
                lines += [f"{indent}{k}: {{{v}}}" for k, v in held.items()]
        return "\n".join(lines) + "\n"

    @cached_property
    def made(self) -> tuple[Rig, Graph]:
        """The rig and its graph."""
        return read(self.text(), {})


def drawn(lot: random.Random) -> Drawn:
    """A rig by lot."""
    return _Drawing(lot).draw()


class _Drawing:
    def __init__(self, lot: random.Random) -> None:
        self.lot = lot
        self.d = Drawn()
        self.volts = lot.choice((12, 12, 48))
        self.host = lot.choice(HOSTS)
        self.mains = lot.choice(("us", "eu"))
        self.plus, self.minus = _studs("XP"), _studs("XN")
        self.count = 0

    def draw(self) -> Drawn:
        lot = self.lot
        air = self.told("35 degC")
        self.d.head = {
            "job": f"id: lot, stage: draft, rules: {self.mains}-{RULES.get(self.host, self.host)} 2023",
            "host": f"kind: {self.host}, places: {{room: {{regime: heated, hottest: {air}, size: 1 x 1 x 1 m}}, bay: {{regime: engine}}, shore: {{regime: outside, ashore: true}}}}, ways: {{room - bay: {{length: {lot.uniform(1, 9):.1f} m}}}}",
        }
        self.body = lot.choice(("", "body", "body"))
        if self.body:
            self.d.metal[self.body] = ""
            if self.host == "boat":
                self.d.metal |= {self.body: "wet: sea", "sea": ""}
        self.bank()
        if lot.random() < 0.7:
            self.inverter()
        for _ in range(lot.choice((0, 1, 1, 2))):
            self.sun()
        panel = lot.random() < 0.8
        if panel:
            self.panel()
        if self.volts == 12 and lot.random() < 0.35:
            self.engine()
        for _ in range(lot.choice((0, 0, 1, 2) if panel else (1, 2))):
            self.own_load()
        if self.volts == 12 and self.host == "boat" and lot.random() < 0.3:
            self.windlass()
        if self.body and lot.random() < 0.8:
            self.run(next(self.minus), self.body, lot.choice(MIDDLE), 2, more=", role: bond")
        return self.d

    def told(self, value: str, often: float = 0.97) -> str:
        """A figure, or that nobody knows it."""
        return value if self.lot.random() < often else "unknown"

    def run(self, a: str, b: str, cable: str, most_m: float, *, more: str = "") -> str:
        """One run with a name of its own."""
        self.count += 1
        name = f"W{self.count}"
        length = self.told(f"{self.lot.uniform(0.1, most_m):.2f} m")
        self.d.runs[name] = f"from: {a}, to: {b}, cable: {self.told(cable, 0.99)}, length: {length}{more}"
        return name

    def part(self, name: str, record: str, *, more: str = "") -> None:
        """One part in the room."""
        self.d.parts[name] = f"is: {record}, at: room{more}"

    def pair(self, plus: str, minus: str, fuse: str, cables: tuple[str, ...], most_m: float) -> None:
        """A consumer between the bars, behind a device of its own, perhaps with a switch."""
        lot = self.lot
        cable = lot.choice(cables)
        self.part(fuse, lot.choice(FUSES[self.volts]), more=lot.choice(("", "", "", "", ", rated: unknown")))
        self.run(next(self.plus), f"{fuse}.line", cable, 0.6)
        end = f"{fuse}.load"
        if lot.random() < 0.2:
            self.part(f"Q{fuse}", "battery-switch-500a" if self.volts == 12 else "battery-switch-300a-80v")
            self.run(end, f"Q{fuse}.line", cable, 0.5)
            end = f"Q{fuse}.load"
        self.run(end, plus, cable, most_m)
        self.run(minus, next(self.minus), cable, most_m)

    def bank(self) -> None:
        """The house bank, its devices, its counter, and the bars."""
        lot, d, volts = self.lot, self.d, self.volts
        how = lot.choice(("chain", "chain", "busbars", "one"))
        count = 1 if how == "one" else lot.randint(2, 4)
        figure = "" if lot.random() < 0.7 else f", resistance: {lot.choice(('unknown', f'{lot.uniform(0.5, 12):.2f} mohm'))}"  # fmt: skip
        if lot.random() < 0.1:
            figure += ", discharge-max: unknown"
        if lot.random() < 0.1:
            figure += ", capacity: unknown"
        if count > 1 and lot.random() < 0.3:
            figure += f", but: {{{lot.randint(1, count)}: {{resistance: {lot.uniform(0.5, 20):.2f} mohm}}}}"
        each = f", each: {{F: {lot.choice(POSTS[volts])}}}" if count > 1 and lot.random() < 0.5 else ""
        join = ""
        p, n = "B.+", "B.-"
        if how == "chain":
            take = lot.choice(("diagonal", "same-end"))
            join = f", count: {count}, join: {{as: chain, link: {lot.choice(HEAVY)}, link-length: {self.told(f'{lot.uniform(0.1, 0.6):.2f} m')}, takeoff: {take}}}"
        elif how == "busbars":
            p, n = "XB.8", "XC.8"
            self.part("XB", "busbar-600a-8stud")
            self.part("XC", "busbar-600a-8stud")
            join = f", count: {count}, join: {{as: busbars, plus: XB.1, minus: XC.1, lead: {lot.choice(HEAVY)}, lead-length: {lot.uniform(0.1, 0.9):.2f} m}}"
        d.parts["B"] = f"is: {lot.choice(BATTERIES[volts])}, at: room{figure}{each}{join}"
        self.part("XP", "busbar-600a-12stud")
        self.part("XN", "busbar-600a-12stud")
        cable = lot.choice(HEAVY)
        self.part("F1", lot.choice(FUSES[volts]))
        self.run(p, "F1.line", cable, 0.5)
        end = "F1.load"
        if lot.random() < 0.5:
            self.part("Q1", "battery-switch-500a" if volts == 12 else "battery-switch-300a-80v")
            self.run(end, "Q1.line", cable, 1)
            end = "Q1.load"
        self.run(end, next(self.plus), cable, 3)
        if lot.random() < 0.9:
            self.part("R1", "shunt-500a-50mv", more=", counts: B")
            self.run(n, "R1.bank", cable, 2)
            n = "R1.loads"
        self.run(n, next(self.minus), cable, 1)

    def inverter(self) -> None:
        """An inverter, its panel and loads; a post and a lead where it can pass them on; a generator beside it now and then."""
        lot, d = self.lot, self.d
        record = lot.choice(INVERTERS[self.volts, self.mains])
        charger, split = "charger" in record, "split" in record
        self.part("U2", record, more="" if "floating" in record else ", fitted: {ac-out-bond: relay}")
        self.pair("U2.dc.+", "U2.dc.-", "F2", HEAVY, 4)
        if self.body and lot.random() < 0.7:
            self.run("U2.case", self.body, lot.choice(MIDDLE), 2, more=", role: earth")
        level = self.volts / 12
        cut = "" if lot.random() < 0.3 else f"cut-off: {lot.uniform(0.8, 0.95) * self.volts:.1f} V"
        told = [f"absorption: {14.2 * level:.1f} V", f"float: {13.5 * level:.1f} V"] if charger else []
        relay = (
            []
            if "floating" in record
            else [f"ground-relay: {lot.choice(('enabled', 'enabled', 'disabled'))}"]
        )
        if charger and lot.random() < 0.5:
            told.append(f"supply-limit: {lot.choice((6, 10, 15))} A")
        if written := ", ".join([*relay, *told, *([cut] if cut else [])]):
            d.settings["U2"] = written
        if split:
            return
        if charger and lot.random() < 0.6:
            self.shore()
        self.mains_panel("U2.ac-out")

    def shore(self) -> None:
        """A post, a lead, an inlet; or a generator of our own on that lead."""
        lot = self.lot
        post, inlet = POST_OF[self.mains]
        self.part("J1", inlet)
        if self.mains == "eu" and lot.random() < 0.3:
            self.d.metal["frame"] = ""
            self.part(
                "SUP",
                "generator-6500va-230v",
                more=f", on: frame, run-by: generator-running, fitted: {{bond: {lot.choice(('fitted', 'none', 'unknown'))}}}",
            )
            self.d.parts["J1"] = "is: inlet-32a-230v, at: room"
        else:
            self.d.parts["SUP"] = (
                f"is: {post}, at: shore, own: no, system: {lot.choice(('tn', 'tt', 'it', 'unknown'))}"
            )
        self.run("SUP", "J1", "flexible 3 x 4 mm2", 20, more=", plugs: both")
        self.run("J1", "U2.ac-in", "3 x 4 mm2", 4)

    def mains_panel(self, out: str) -> None:
        """A panel, perhaps behind a residual-current device, with loads of every sort."""
        lot, d = self.lot, self.d
        self.part(
            "PA",
            "panel-ac-main-30a" if self.mains == "us" else "panel-ac-16a-2p",
            more=", ways: {1: 15 A, 2: 10 A, 3: 10 A}",
        )
        if lot.random() < 0.6:
            self.part("QG", RCDS[self.mains])
            self.run(out, "{port: QG.line, PE: PA.feed.PE}", "3 x 4 mm2", 4)
            self.run("QG.load", "PA.feed", "2 x 4 mm2", 0.5, more=", cores: L N")
        else:
            self.run(out, "PA.feed", "3 x 4 mm2", 4)
        if self.body and lot.random() < 0.5:
            self.run("PA.feed.PE", self.body, lot.choice(MIDDLE), 2, more=", role: earth")
        d.loads["kettle"] = f"fed: PA.1, power: {self.told(f'{lot.uniform(300, 1700):.0f} W')}"
        if lot.random() < 0.5:
            surge = lot.choice(("25 A", "2500 VA", "3000 W", "unknown"))
            lasting = "" if surge == "unknown" else f" for {lot.uniform(0.2, 3):.1f} s"
            d.loads["pump"] = f"fed: PA.2, power: 400 W, power-factor: {lot.uniform(0.5, 1):.2f}, surge: {surge}{lasting}"  # fmt: skip
        if lot.random() < 0.3:
            d.loads["office"] = f"fed: PA.3, energy: {lot.uniform(50, 900):.0f} Wh/day, length: {lot.uniform(1, 20):.1f} m, cable: 3 x 2.5 mm2"  # fmt: skip

    def sun(self) -> None:
        """An array on a controller: strings side by side now and then, with or without a switch between."""
        lot, d, volts = self.lot, self.d, self.volts
        k = sum(n.startswith("M") for n in d.parts) + 1
        series = lot.choice((1, 1, 2)) if volts == 12 else lot.choice((2, 2, 3))
        strings = lot.choice((1, 1, 1, 2))
        record = lot.choice(CONTROLLERS[volts])
        self.part(f"M{k}", lot.choice(MODULES), more=f", array: {series}s{strings}p")
        self.part(f"C{k}", record)
        out, cable = (f"M{k}", "pv 10 AWG")
        if strings > 1:
            self.part(f"XJ{k}", "string-join-3-fused-15a-150v")
            for s in range(1, strings + 1):
                self.run(f"M{k}.{s}", f"XJ{k}.{'abc'[s - 1]}", "pv 4 mm2", 3)
            out, cable = f"XJ{k}.out", "2 x 6 mm2"
        if lot.random() < 0.4:
            self.part(f"S{k}", "pv-disconnect-63a-150v-2p")
            self.run(out, f"S{k}.line", cable, 12)
            self.run(f"S{k}.load", f"C{k}.pv", cable, 1)
        else:
            self.run(out, f"C{k}.pv", cable, 12)
        self.pair(f"C{k}.bat.+", f"C{k}.bat.-", f"G{k}", MIDDLE, 2)
        level = volts / 12
        if lot.random() < 0.9:
            d.settings[f"C{k}"] = (
                f"absorption: {lot.uniform(14.0, 14.4) * level:.1f} V, float: {13.5 * level:.1f} V"
            )

    def panel(self) -> None:
        """A panel of small loads: by watts, by watt-hours, by amperes, standing by, starting hard, or nobody knows."""
        lot, d = self.lot, self.d
        ways = lot.randint(1, 8)
        rated = ", ".join(f"{w}: {lot.choice((5, 10, 15))} A" for w in range(1, ways + 1))
        self.part("PD", PANELS[self.volts], more=f", ways: {{{rated}}}")
        self.pair("PD.feed.+", "PD.feed.-", "F9", MIDDLE, 6)
        for w in range(1, ways + 1):
            branch = f"length: {self.told(f'{lot.uniform(0.5, 9):.1f} m', 0.9)}, cable: {lot.choice(LIGHT)}"
            d.loads[f"load{w}"] = f"fed: PD.{w}, {self.taken()}, {branch}"

    def taken(self) -> str:
        """What a DC load takes, in one of the ways that a file says it."""
        lot = self.lot
        watts = lot.uniform(2, 90)
        return lot.choice(
            (
                f"power: {watts:.0f} W",
                f"power: {watts:.0f} W, duty: {lot.uniform(0.1, 1):.2f}",
                f"power: {watts:.0f} W, hours: {lot.uniform(0.1, 24):.1f} h, standby: 1 W",
                f"energy: {lot.uniform(20, 400):.0f} Wh/day",
                f"current: {watts / self.volts:.1f} A",
                f"power: {watts:.0f} W, surge: {lot.choice((f'{4 * watts:.0f} W', '20 A'))} for {lot.uniform(0.1, 2):.1f} s",
                "power: unknown",
            )
        )

    def own_load(self) -> None:
        """A load, or a heater of fixed resistance, on its own pair from the bars; its return by the body now and then."""
        lot, d = self.lot, self.d
        k = sum(n.startswith("E") for n in (*d.parts, *d.loads)) + 1
        name = f"E{k}"
        if lot.random() < 0.5:
            self.part(name, f"pad-heater-60w-{self.volts}v")
        else:
            d.loads[name] = f"wired: dc, {self.taken()}"
        if lot.random() < 0.3:
            self.part(f"T{k}", "thermostat-in-box")
            self.run(f"T{k}.load", f"{name}.+", lot.choice(SINGLE), 4)
            plus = f"T{k}.line"
        else:
            plus = f"{name}.+"
        if self.body and lot.random() < 0.3:
            self.part(f"FE{k}", lot.choice(FUSES[self.volts]))
            self.run(next(self.plus), f"FE{k}.line", lot.choice(SINGLE), 0.5)
            self.run(f"FE{k}.load", plus, lot.choice(SINGLE), 6)
            self.run(f"{name}.-", self.body, lot.choice(SINGLE), 1)
        else:
            self.pair(plus, f"{name}.-", f"FE{k}", SINGLE, 6)

    def engine(self) -> None:
        """A start battery and an alternator that returns by the engine; a charger, or a relay, from there to the house."""
        lot, d = self.lot, self.d
        d.metal["engine"] = f"joined: {self.body}" if self.body else ""
        d.parts["SB"] = f"is: {lot.choice(STARTS)}, at: bay"
        d.parts["AL"] = (
            f"is: {lot.choice(('alternator-115a-12v', 'alternator-variable-voltage'))}, at: bay, on: engine, run-by: engine-running"
        )
        heavy = lot.choice(HEAVY)
        self.run("SB.-", "engine", heavy, 1)
        self.run("AL.+", "SB.+", heavy, 2)
        if lot.random() < 0.5:
            d.parts["ST"] = "is: starter-2kw-12v, at: bay, on: engine"
            self.run("SB.+", "ST.+", heavy, 1.5)
        if lot.random() < 0.6:
            record = lot.choice(DCDC)
            side = "common" if "common" in record else "in"
            self.part("U3", record, more=", run-by: engine-running")
            self.run("SB.+", "U3.in.+", lot.choice(MIDDLE), 6)
            self.run(f"U3.{side}.-", "engine", lot.choice(MIDDLE), 6)
            self.run("U3.out.+", next(self.plus), lot.choice(MIDDLE), 3)
            self.run(f"U3.{side if side == 'common' else 'out'}.-", next(self.minus), lot.choice(MIDDLE), 3)
        elif self.body:
            d.parts["KP"] = (
                f"is: {lot.choice(('relay-voltage-sensing-140a-12v', 'voltage-sensing-relay'))}, at: bay"
            )
            self.run("SB.+", "KP.line", lot.choice(MIDDLE), 1)
            self.run("KP.load", next(self.plus), lot.choice(MIDDLE), 6)

    def windlass(self) -> None:
        """A motor that turns both ways behind its reversing box."""
        self.part("KW", "reverser-contactors-150a-12v")
        self.part("WL", "windlass-1000w-12v")
        self.pair("KW.line.+", "KW.line.-", "F8", HEAVY, 9)
        self.run("KW.motor", "WL", "2 x 70 mm2", 2)


def _studs(bar: str) -> Iterator[str]:
    """Free studs of a bar; the last takes whatever comes after."""
    yield from (f"{bar}.{n}" for n in range(1, 12))
    while True:
        yield f"{bar}.12"
