"""What an inspector of boats, vans and cabins would do to a demo rig, and the rule that finds it.

Each line is one thing made wrong by hand, in the words of the trade. The limits stand in the rules' own tests; here it counts
that nothing of it passes in silence.
"""

import re
from dataclasses import dataclass

import pytest
from tests.checks.test_on_rigs import Edit, add, drop, found, part, rules_of, study_of, swap

WORST = ("fail", "cannot-tell")


@dataclass(frozen=True)
class Wrong:
    """What was done, to which rig, and which rule must speak."""

    what: str
    rig: str
    number: str
    edits: tuple[Edit, ...]
    severity: str = "danger"


def put(name: str, key: str, value: str) -> Edit:
    """One key of the line of a part or run."""

    def edit(text: str) -> str:
        line = re.search(rf"(?m)^ +{re.escape(name)}: +\{{.*$", text)
        assert line, name
        old = line[0]
        pattern = rf"([\s{{,]{key}: *)(\{{[^}}]*\}}|[^,}}]+)"
        new = re.sub(pattern, lambda m: m[1] + value, old, count=1) if re.search(pattern, old) else old.replace("{", f"{{{key}: {value}, ", 1)  # fmt: skip
        assert new != old, (name, key)
        return text.replace(old, new, 1)

    return edit


def run(line: str) -> Edit:
    return add("runs", line)


def new(line: str) -> Edit:
    return add("parts", line)


def all_of(old: str, by: str) -> Edit:
    def edit(text: str) -> str:
        assert old in text, old
        return text.replace(old, by)

    return edit


def w(what: str, rig: str, number: str, *edits: Edit, severity: str = "danger") -> Wrong:
    return Wrong(what, rig, number, edits, severity)


WRONG = [
    # neutral, earth and their join
    w("a second neutral-earth join in the panel", "built", "D1", put("PA", "bond", "fitted")),
    w("the ground relay of the inverter switched off", "built", "D1", swap("ground-relay: enabled", "ground-relay: disabled")),
    w("an inverter without any join", "built", "D1", swap("fitted: {ac-out-bond: relay}", "fitted: {ac-out-bond: none}")),
    w("an inverter that keeps its join while shore passes", "boat", "D1", swap("fitted: {ac-out-bond: relay}", "fitted: {ac-out-bond: fitted}")),
    w("a generator without a join", "cabin", "D1", swap("bond: fitted, breaker", "bond: none, breaker")),
    w("a transformer without a join at its secondary", "boat", "D1", drop("W83:")),
    w("a neutral laid on the minus bar", "built", "D1", run("WX: {from: PA.feed.N, to: XN.7, cable: 10 AWG, length: 2 m}")),
    w("the neutrals of generator and inverter bridged", "cabin", "D2", run("WX: {from: Q5.1.N, to: Q5.2.N, cable: 6 mm2, length: 0.1 m}")),
    w("line and neutral swapped before the panel", "built", "C24", swap("W29: {from: QG.load, to: PA.feed, cores: L N,", "W29: {from: {L: QG.load.N, N: QG.load.L}, to: PA.feed, cores: L N,")),
    w("the neutral joined around its residual-current device", "built", "C24", run("WX: {from: QG.line.N, to: QG.load.N, cable: 10 AWG, length: 0.1 m}"), severity="fails"),
    w("the neutral of a split panel lost", "split", "C24", swap("W7: {from: U2.ac-out, to: PA.feed, cable: 4 x 6 AWG, length: 2 m}", "W7: {from: {L1: U2.ac-out.L1, L2: U2.ac-out.L2, PE: U2.ac-out.PE}, to: {L1: PA.feed.L1, L2: PA.feed.L2, PE: PA.feed.PE}, cable: 3 x 6 AWG, length: 2 m}"), severity="fails"),
    w("a line on the chassis", "built", "D1", run("WX: {from: PA.4.L, to: chassis, cable: 10 AWG, length: 2 m}")),
    w("a line on the plus bar", "built", "D2", run("WX: {from: PA.4.L, to: XP.6, cable: 10 AWG, length: 2 m}")),
    w("plus on the chassis", "built", "D2", run("WX: {from: XP.6, to: chassis, cable: 10 AWG, length: 2 m}")),
    w("plus earthed instead of minus", "cabin", "D1", put("W40", "from", "XP.6")),
    w("the earth of the panel left out", "cabin", "D1", swap("W37: {from: {port: QR.load, PE: XE.6}, to: PA.feed, cable: 3 x 6 mm2 90C", "W37: {from: QR.load, to: PA.feed, cores: L N, cable: 2 x 6 mm2 90C")),
    w("the frame of the generator on nothing", "cabin", "D1", drop("W41:")),
    w("the bond from earth bar to minus bar left out", "boat", "D1", drop("W93:")),
    # shore, transfer and generators
    w("shore straight to the panel beside the inverter", "built", "D1", run("WX: {from: J1, to: PA.feed, cores: L N, cable: 2 x 10 AWG 75C, length: 3 m}")),
    w("a second inlet on the same bar", "cabin", "D2", new("J2: {is: inlet-32a-230v, at: plant-room}"), new("SU2: {is: supply-post-16a-230v, at: generator-hut, own: no, system: tn}"), run("C2: {from: SU2, to: J2, cable: flexible 3 x 4 mm2 90C, length: 15 m, plugs: both}"), run("WX: {from: J2, to: {port: Q3.line, PE: XE.12}, cable: 3 x 6 mm2 90C, length: 1 m}")),
    w("a second inverter on the same output", "cabin", "D2", new("UX: {is: inverter-2kva-12v-230v, at: plant-room}"), run("WA: {from: UX.ac-out, to: {port: Q5.1, PE: XE.12}, cable: 3 x 2.5 mm2, length: 1 m}"), run("WB: {from: XP.6, to: UX.dc.+, cable: 35 mm2, length: 1 m}"), run("WC: {from: XN.7, to: UX.dc.-, cable: 35 mm2, length: 1 m}")),
    w("a second cord from the inlet back to the generator", "cabin", "D19", run("C9: {from: J1, to: G1, cable: flexible 3 x 6 mm2 90C, length: 15 m, plugs: both}")),
    w("a generator in the saloon", "boat", "D20", new("GX: {is: generator-2200va-120v, at: chart-table, own: yes, run-by: gen}")),
    w("shore without transformer or isolator", "boat", "D13", all_of("PE: T1.screen}", "PE: XE.11}")),
    w("the inlet breaker six metres in", "boat", "D30", swap("cockpit - chart-table:      {length: 2.2 m", "cockpit - chart-table:      {length: 6.2 m")),
    w("nothing between inlet and transformer", "boat", "D30", put("W81", "from", "Q3.line")),
    w("a cord of 14 AWG on 30 A", "built", "C1", put("C1", "cable", "flexible 3 x 14 AWG 75C")),
    w("a water heater left on at a pontoon of 6 A", "boat", "C25", swap("W89: {from: U2.aux.load, to: KH.coil.L", "W89: {from: KH.line.L, to: KH.coil.L")),
    w("an inverter of 120 V at a pontoon of 230", "boat", "C27", all_of("is: inverter-charger-2kva-12v-230v", "is: inverter-charger-2kva-12v-120v")),
    # residual current
    w("no residual-current device behind the inverter", "boat", "D4", all_of("QA: {is: rcbo-16a-30ma-type-a-2p", "QA: {is: breaker-16a-230v-2p")),
    w("a residual-current device of 300 mA", "cabin", "D4", part("QR", "residual: 300 mA")),
    w("one of type AC before electronics", "cabin", "D21", put("QR", "type", "ac")),
    w("one that a conductor goes around", "boat", "D4", run("WX: {from: T1.secondary.L, to: PS.feed.L, cable: 4 mm2 90C, length: 0.5 m}")),
    # banks
    w("an AGM battery beside the lithium ones, with a fuse", "built", "F3", new("LB: {is: battery-agm-100ah-12v, at: side-bay}"), new("FL: {is: fuse-dc-power-125a-80v, at: side-bay}"), run("WX: {from: LB.+, to: FL.line, cable: 2 AWG 105C, length: 0.1 m}"), run("WZ: {from: FL.load, to: XP.6, cable: 2 AWG 105C, length: 1 m}"), run("WY: {from: LB.-, to: XN.7, cable: 2 AWG 105C, length: 1 m}")),
    w("the two banks of a boat paralleled by a cable", "boat", "D2", run("WX: {from: XS.6, to: XP.12, cable: 95 mm2 tinned 105C red, length: 2 m}")),
    w("the alternator on the lithium bar", "boat", "F3", put("W35", "to", "XP.12")),
    w("a lithium start battery on a plain alternator", "boat", "F14", all_of("SB: {is: battery-agm-100ah-12v", "SB: {is: battery-lfp-100ah-12v")),
    w("an alternator of 28 V", "boat", "C27", part("AL", "voltage: 28 V")),
    w("a start battery the wrong way round", "boat", "D2", put("W30", "from", "SB.-"), put("W36", "from", "SB.+")),
    w("the house panel with plus and minus swapped", "built", "C24", swap("to: PD.feed.+, cable", "to: PD.feed.-, cable"), swap("W21: {from: PD.feed.-, to: XN.5", "W21: {from: PD.feed.+, to: XN.5")),
    w("leads of a bank two sizes down", "cabin", "C1", swap("lead: 70 mm2 105C", "lead: 16 mm2 105C")),
    w("the take-off of four batteries at one end", "built", "B15", swap("takeoff: diagonal, post", "takeoff: same-end, post"), severity="fails"),
    w("a battery that goes on charging when its probe fails", "built", "B6", part("B", "probe-fault: charges")),
    w("an absorption voltage for another battery", "built", "B23", swap("U1: {absorption: 14.2 V", "U1: {absorption: 15.5 V")),
    w("equalising left on", "built", "B24", swap("U3: {absorption: 14.2 V, float: 13.5 V, equalise: none", "U3: {absorption: 14.2 V, float: 13.5 V, equalise: 15.5 V for 3600 s")),
    w("a bank below the flood line", "boat", "B33", swap("battery-bay:  {regime: cabin, at: 4.0 0 0.35 m", "battery-bay:  {regime: cabin, at: 4.0 0 0.15 m")),
    # devices
    w("an audio fuse as the main", "built", "C8", all_of("F1:   {is: fuse-dc-power-400a-80v", "F1:   {is: fuse-audio-250a")),
    w("blade fuses near a lithium bank", "built", "B18", all_of("PD:   {is: panel-dc-12way-breakers", "PD:   {is: panel-dc-12way")),
    w("fuses for 32 V on a bank of 48", "cabin", "B18", all_of("each: {F: fuse-class-t-125a}", "each: {F: fuse-bolt-150a}")),
    w("an AC breaker in the array", "built", "C8", new("SX: {is: breaker-25a-230v-2p, at: side-bay}"), swap("W02: {from: S1.load,  to: U1.pv", 'W02: {from: {"+": SX.load.L, "-": SX.load.N},  to: U1.pv'), run('WX: {from: S1.load, to: {"+": SX.line.L, "-": SX.line.N}, cable: pv 10 AWG, length: 0.3 m}')),
    w("a battery switch for 32 V", "cabin", "C8", part("Q1", "voltage: 32 V")),
    w("a thermostat for 24 V", "cabin", "C8", part("TH", "voltage: 24 V")),
    w("a coil of 12 V on 48", "cabin", "C27", part("KB", "coil-voltage: 12 V")),
    w("a polarised breaker before the windlass", "boat", "C9", swap("at: battery-bay, polarised: no}", "at: battery-bay, polarised: yes}")),
    w("the windlass without its fuse", "boat", "C7", drop("F9:"), drop("W69:"), put("W70", "from", "XP.9"), severity="fails"),
    w("no fuse where a DC-DC charger meets the bank", "built", "C1", put("W16", "to", "XP.4"), drop("W17:"), drop("F4:")),
    w("no fuse where it meets the vehicle", "built", "C2", put("W15", "from", "TV.aux.+"), drop("W14:"), drop("F3:")),
    w("a load on the bar without a fuse", "built", "C1", run("WA: {from: XP.6, to: EX.+, cable: 16 AWG 105C, length: 1 m}"), swap("    detectors:", "    EX: {wired: dc, power: 10 W, hours: 1 h}\n    detectors:"), run("WB: {from: EX.-, to: XN.7, cable: 16 AWG 105C, length: 1 m}")),
    w("the main fuse bridged", "boat", "C1", run("WX: {from: XB.5, to: K1.line, cable: 95 mm2 tinned 105C red, length: 0.5 m}")),
    w("the contactor bridged", "boat", "F13", run("WX: {from: K1.line, to: K1.load, cable: 95 mm2 tinned 105C red, length: 0.5 m}")),
    w("the inverter ahead of the contactor", "boat", "F13", put("W74", "from", "XB.5")),
    w("a contactor of 100 A behind a fuse of 315", "boat", "C26", part("K1", "rated: 100 A")),
    w("a changeover of 16 A", "cabin", "C26", part("Q5", "rated: 16 A")),
    w("two controllers on one fuse", "boat", "C26", put("W08", "to", "F11.load"), severity="fails"),
    w("battery fuses smaller than their current", "built", "C26", all_of("each: {F: fuse-dc-power-160a-80v}", "each: {F: fuse-dc-power-63a-80v}"), severity="fails"),
    w("two cables of unlike size side by side", "boat", "C20", run("WX: {from: FU.load, to: U2.dc.+, cable: 35 mm2 tinned 105C red, length: 0.7 m}"), severity="fails"),
    # cables
    w("copper-clad aluminium to the inverter", "built", "C14", put("W12", "cable", "4/0 AWG CCA red")),
    w("an SAE gauge for an AWG", "built", "C1", put("W12", "cable", "4/0 SAE red")),
    w("solid wire on a boat", "boat", "C14", put("W63", "cable", "25 mm2 tinned solid red")),
    w("the inverter's minus in 6 AWG", "built", "C1", put("W13", "cable", "6 AWG 105C black")),
    w("75 degC insulation beside the engine", "boat", "C1", put("W34", "cable", "16 mm2 tinned 75C red")),
    w("1 mm2 to the radar", "boat", "C6", swap("length: 12 m, cable: 2 x 4 mm2 tinned 105C}", "length: 12 m, cable: 2 x 1 mm2 tinned 105C}")),
    w("house wire from roof to plant room", "cabin", "C11", put("W03", "cable", "16 mm2")),
    w("a start cable of 1.2 m before its fuse", "boat", "B17", put("W30", "length", "1.2 m")),
    # arrays
    w("a string for another controller", "built", "A1", swap("array: 3s1p", "array: 4s1p"), lambda t: re.sub(r",\n +laid: \{1\.1: 4\.00.*?\}", "", t)),
    w("a module the wrong way round", "built", "C24", swap("W01: {from: M,        to: S1.line", 'W01: {from: {"+": M.-, "-": M.+}, to: S1.line')),
    w("three strings without fuses", "built", "A6", swap("array: 3s1p", "array: 1s3p"), lambda t: re.sub(r",\n +laid: \{1\.1: 4\.00.*?\}", "", t), swap("W01: {from: M,        to: S1.line", "W01: {from: M.1,        to: S1.line"), run("WA: {from: M.2, to: S1.line, cable: pv 10 AWG, length: 12 m}"), run("WB: {from: M.3, to: S1.line, cable: pv 10 AWG, length: 12 m}")),
    w("an isolator for 150 V under 180", "cabin", "A3", all_of("S1: {is: pv-disconnect-50a-250v-2p", "S1: {is: pv-disconnect-40a-150v-2p")),
    w("surge devices at one end of a long run only", "cabin", "D25", drop("P2:"), drop("W06:")),
    w("the frames on nothing", "built", "A29", drop("W38:")),
    # bonds and places
    w("the case of the inverter unbonded", "built", "C13", drop("W36:")),
    w("4 mm2 to the case of the inverter", "boat", "C13", put("W77", "cable", "4 mm2 green-yellow")),
    w("a switch in the petrol locker", "boat", "C19", put("Q7", "at", "aft-locker")),
    w("the inverter in a gas locker", "built", "C19", swap("side-bay:    {regime: sheltered", "side-bay:    {vapour: lp-gas, regime: sheltered")),
    w("flooded batteries in the galley of a van", "van", "E3", put("SB", "at", "galley")),
    w("a flooded bank without vents", "lead", "E2", swap(", vents: 100 cm2", ", vents: none")),
    w("the gas alarm behind the main", "built", "F11", put("W22", "from", "XP.6")),
    w("a bilge pump behind the main", "boat", "F11", swap("    pump:        {fed: PD.7,", "    pump:        {vital: bilge, fed: PD.7,")),
    w("a cut that cuts nothing", "built", "F13", swap("main: {set: {Q1: open}", "main: {set: {U2.hand: off}")),
    w("rules of a van for a boat", "boat", "E25", rules_of("us-vehicle")),
    w("a claim that the wiring does not keep", "cabin", "C25", swap("{these: [Q5 1, Q5 2], by: same part}", "{these: [Q3 closed, Q4 closed], by: wiring}")),
]  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG, ids=lambda x: f"{x.number} {x.rig}: {x.what}")
def test_what_an_inspector_finds_is_found(wrong: Wrong) -> None:
    was = {(f.subject, f.verdict, f.message) for f in found(study_of(wrong.rig), wrong.number)}
    said = [f for f in found(study_of(wrong.rig, wrong.edits), wrong.number) if (f.subject, f.verdict, f.message) not in was]  # fmt: skip

    assert any(f.verdict in WORST and f.severity == wrong.severity for f in said), [(f.subject, f.verdict, f.severity, f.message) for f in said]  # fmt: skip
