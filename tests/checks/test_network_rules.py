"""Rules that read what the network, the proofs and the roof say. `LIMITS` and `RIGS` are read by test_every_rule_is_tested.

A breaker opens at once above 5 (curve B), 10 (C) or 20 (D) times its rating: IEC 60898-1, table 2, from memory.
NFPA 70 110.9 and IEC 60364-4-43 434.5.1 (from memory): the breaking capacity is at least the fault at that place.
"""

import pytest
from tests.checks.test_limits import Case as Limit
from tests.checks.test_limits import of, pair
from tests.checks.test_on_rigs import Case as OnRig
from tests.checks.test_on_rigs import U, add, blind, drop, found, part, rules_of, study_of, swap

from ohmwright.checks import heat
from ohmwright.checks.array import device_voltage, frame_bond, shaded_promise
from ohmwright.checks.battery import parallel, working_temperature
from ohmwright.checks.battery.interrupt_rating import Breaks
from ohmwright.checks.charging import turbine_load
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.mains import (
    ac_drop,
    breaking_capacity,
    disconnection,
    earth_fault_time,
    frame_earth,
    frequency,
    inlet_device,
    lightning,
    surge_works,
)
from ohmwright.checks.monitor import counter_capacity, shunt
from ohmwright.checks.place import altitude, modules_fit, walkway
from ohmwright.checks.service import remote_cut
from ohmwright.checks.wiring import closed_circuit, earth_conductor, earthed_once, kept_apart, part_rating
from ohmwright.checks.wiring import volts as volts_rule
from ohmwright.circuit.ac_clearing import Cleared
from ohmwright.circuit.types import ProofFinding
from ohmwright.energy.types import PromiseKept, Year
from ohmwright.physics.drop import drop_ratio
from ohmwright.physics.heat import bay_rise_K
from ohmwright.physics.sums import missed_percent, sum_V
from ohmwright.rig.model import Part
from ohmwright.roof.fit import ModuleFit, Rectangle
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, work

SIX_kA = Breaks(((230.0, of(6000, "A")),), ("Q3.interrupt",))


def lies(*, over_m: float | None = 0.0, clear_m: float | None = 0.3, on: tuple[str, ...] = ()) -> ModuleFit:
    return ModuleFit("M.1.1", "roof", Rectangle("M.1.1", (0.0, 0.0), (1.7, 1.1)), 1.87, over_m, "vent", clear_m, on, 11.0)  # fmt: skip


def opens(times: float, **more: bool) -> Judgement:
    return disconnection.judge(
        of(16 * times, "A"), of(16, "A"), of(10, "1"), residual=more.get("residual", False)
    )


def lasts(seconds: float | None, *missing: str) -> Cleared:
    return Cleared("kettle.L", "U2", "PA.1" if seconds else "", seconds, seconds, 30.0, missing)


def to_3400(text: str) -> str:
    return text.replace("9.0 E 840 m", "9.0 E 3400 m")


def ratio(value: float) -> Step:
    return work(drop_ratio, lost_V=of(100 * value, "V"), system_V=of(100, "V"))


def volts(value: float) -> Step:
    return work(sum_V, first_V=of(value, "V"), second_V=of(0, "V"))


#: IEC 60364-4-41 table 41.1, 230 V: 0.4 s in TN, 0.2 s in TT (from memory).
TN, TT = earth_fault_time.allowed(230, "tn"), earth_fault_time.allowed(230, "tt")


LIMITS: list[Limit] = [
    # D27: 6 kA at 230 V
    *pair("D27", lambda v: breaking_capacity.judge(of(1000 * v, "A"), of(230, "V"), SIX_kA), 6),
    Limit("D27", "printed for fewer volts only", lambda: breaking_capacity.judge(of(500, "A"), of(240, "V"), SIX_kA), "cannot-tell", "danger"),
    Limit("D27", "nobody knows what the post gives", lambda: breaking_capacity.judge(None, of(230, "V"), SIX_kA, ("SUP.short_circuit_current",)), "cannot-tell", "danger"),
    # D28: 16 A of curve C opens at once from 160 A
    *pair("D28", opens, 10, least=True, severity="danger"),
    Limit("D28", "a residual-current device opens it anyway", lambda: opens(0.5, residual=True), "pass"),
    Limit("D28", "its curve is not known", lambda: disconnection.judge(of(160, "A"), of(16, "A"), None, residual=False, missing=("PA.curve",)), "cannot-tell", "danger"),
    # A29: touch voltage 60 V (eu), 30 V (us); from there on a danger
    Limit("A29", "no bond, at the limit of touch voltage", lambda: frame_bond.judge("eu-vehicle", False, volts(60), "look", "rails"), "fail", "fails"),
    Limit("A29", "no bond, above touch voltage", lambda: frame_bond.judge("eu-vehicle", False, volts(60.1), "look", "rails"), "fail", "danger"),
    Limit("A29", "no bond, above touch voltage of the us", lambda: frame_bond.judge("us-vehicle", False, volts(30.1), "look", "rails"), "fail", "danger"),
    Limit("A29", "no bond, volts not known", lambda: frame_bond.judge("eu-vehicle", False, None, "look", "rails"), "fail", "danger"),
    Limit("A29", "bonded", lambda: frame_bond.judge("eu-vehicle", ("rails", "chassis"), volts(129), "look", "rails"), "pass"),
    Limit("A29", "not drawn, low volts", lambda: frame_bond.judge("eu-vehicle", None, volts(45), "look"), "cannot-tell", "fails"),
    Limit("A29", "not drawn, high volts", lambda: frame_bond.judge("eu-vehicle", None, volts(129), "look"), "cannot-tell", "danger"),
    # D29: 0.4 s at 230 V TN
    *pair("D29", lambda v: earth_fault_time.judge(lasts(v), TN), 0.4, severity="danger"),
    Limit("D29", "nothing opens", lambda: earth_fault_time.judge(lasts(None), TN), "fail", "danger"),
    Limit("D29", "nobody knows when the inverter stops", lambda: earth_fault_time.judge(lasts(None, "U2.fault_stop"), TN), "cannot-tell", "danger"),
    Limit("D29", "a post that may be TT", lambda: earth_fault_time.judge(lasts(0.3), TT, other=TN, asks=("SUP.system",)), "cannot-tell", "danger"),
    Limit("D29", "a post that may be TT, in time for both", lambda: earth_fault_time.judge(lasts(0.2), TT, other=TN, asks=("SUP.system",)), "pass"),
    Limit("D29", "a post that may be TT, too late for both", lambda: earth_fault_time.judge(lasts(0.5), TT, other=TN, asks=("SUP.system",)), "fail", "danger"),
    Limit("D29", "a code that names no time, at once", lambda: earth_fault_time.judge(lasts(0.1), None), "pass"),
    Limit("D29", "a code that names no time, by a residual-current device", lambda: earth_fault_time.judge(lasts(0.3), None, residual=True), "pass"),
    Limit("D29", "a code that names no time, after minutes", lambda: earth_fault_time.judge(lasts(600), None), "skip"),
    Limit("D29", "a code that names no time, and nothing opens", lambda: earth_fault_time.judge(lasts(None), None), "fail", "danger"),
    # E23: inside the outline, beside the vent
    Limit("E23", "at the limit: up to the edge and up to the vent", lambda: modules_fit.judge(lies(over_m=0.0, clear_m=0.0)), "pass"),
    Limit("E23", "a finger over the edge", lambda: modules_fit.judge(lies(over_m=0.02)), "fail", "fails"),
    Limit("E23", "a finger on the vent", lambda: modules_fit.judge(lies(clear_m=-0.02)), "fail", "fails"),
    Limit("E23", "on another module", lambda: modules_fit.judge(lies(on=("M.1.2",))), "fail", "fails"),
    Limit("E23", "a surface without an outline", lambda: modules_fit.judge(lies(over_m=None)), "cannot-tell"),
    *pair("E24", lambda v: walkway.judge(of(v, "m"), "roof"), 0.4, least=True),
    # A28: five per cent, the shop's limit of rule A18
    *pair("A28", lambda v: shaded_promise.judge("six nights", v / 100, False, "M.laid"), 5),
    Limit("A28", "kept all the same", lambda: shaded_promise.judge("six nights", 0.4, True, "M.laid"), "pass"),
    Limit("A28", "nobody knows", lambda: shaded_promise.judge("six nights", 0.4, None, "M.laid"), "cannot-tell"),
    Limit("C24", "poles swapped", lambda: closed_circuit.judge(ProofFinding("pump", "pump is wired the wrong way round: pump.+ lies on minus"), "built"), "fail", "danger"),
    Limit("C24", "a loose end", lambda: closed_circuit.judge(ProofFinding("Q1.load", "Q1.load is a loose end: no run lands on it"), "built"), "fail", "fails"),
    Limit("C24", "a loose end of a rig as it was found", lambda: closed_circuit.judge(ProofFinding("Q1.load", "Q1.load is a loose end: no run lands on it"), "as found"), "warn", "note"),
    Limit("F13", "no switch at all in a van", lambda: remote_cut.judge("B", ("U2",)), "fail", "fails"),
    Limit("F13", "no switch at all on a boat", lambda: remote_cut.judge("B", ("U2",), boat=True), "fail", "danger"),
    *pair("A3", lambda v: device_voltage.judge_surge(of(v, "V"), (), of(150, "V")), 150, severity="danger"),
    # D30: 10 ft, ABYC E-11 (from memory)
    *pair("D30", lambda v: inlet_device.judge("us-boat", (), v), 3.05, severity="danger"),
    *pair("D30", lambda v: inlet_device.judge("eu-boat", (), v), 3.0, severity="danger"),
    Limit("D30", "nothing stands between", lambda: inlet_device.judge("us-boat", ("T1",), 1.0), "fail", "danger"),
    # C27: a shop rule, a quarter more than it is made for burns it, a fifth less and it does not run
    *pair("C27", lambda v: volts_rule.judge(of(12, "V"), of(v, "V")), 15, severity="danger"),
    *pair("C27", lambda v: volts_rule.judge(of(12, "V"), of(v, "V")), 9.6, least=True, severity="fails"),
    *pair("C27", lambda v: volts_rule.judge_most(of(34, "V"), of(v, "V")), 34, severity="danger"),
    *pair("C26", lambda v: part_rating.judge(of(15, "A"), of(v, "A"), None, opens=True), 15),
    *pair("C26", lambda v: part_rating.judge(of(100, "A"), of(1, "A"), of(v, "A"), opens=False), 100, severity="danger"),
    Limit("C26", "a bar that nothing protects, and too much current", lambda: part_rating.judge(of(100, "A"), of(101, "A"), None, opens=False), "fail", "danger"),
    Limit("C26", "all loads of a house at once", lambda: part_rating.judge(of(30, "A"), of(31, "A"), None, opens=True, together=True), "warn", "note"),
    Limit("C26", "nothing runs through it for hours", lambda: part_rating.judge(of(15, "A"), of(0, "A"), None, opens=True), "skip"),
    Limit("C26", "only what it takes in a day is known", lambda: part_rating.judge(of(15, "A"), of(1, "A"), None, opens=True, floor=("fridge",)), "cannot-tell", "fails"),
    Limit("C26", "the same of a switch that nothing protects", lambda: part_rating.judge(of(15, "A"), of(1, "A"), None, opens=False, floor=("fridge",)), "cannot-tell", "danger"),
    Limit("C26", "what its own device lets pass is at the limit", lambda: part_rating.judge(of(15, "A"), of(5, "A"), None, opens=True, floor=("fridge",), more=of(10, "A")), "pass"),
    Limit("C26", "its own device lets more pass", lambda: part_rating.judge(of(15, "A"), of(5, "A"), None, opens=True, floor=("fridge",), more=of(10.01, "A")), "cannot-tell", "fails"),
    # NFPA 70 215.2 and IEC 60364-5-52 Annex G, from memory: 5 % in all, 3 % for a branch or for lights
    *pair("D32", lambda v: ac_drop.judge(ratio(v / 100), "U2", "us-vehicle"), 3, bad="warn", severity="note"),
    Limit("D32", "at the limit it is a note", lambda: ac_drop.judge(ratio(0.05), "U2", "eu-boat"), "warn", "note"),
    Limit("D32", "above what is recommended in all", lambda: ac_drop.judge(ratio(0.0501), "U2", "eu-boat"), "fail", "disappoints"),
    *pair("F5", lambda v: shunt.judge_stored(work(missed_percent, drain_W=of(v * 128, "W"), stored_days=of(1, "1"), bank_V=of(12.8, "V"), capacity_Ah=of(24000, "Ah")), ("B.1",)), 10, bad="warn", severity="note"),
    *pair("D26", lambda v: surge_works.judge_leads(of(v, "m"), "W05.length"), 0.5, bad="warn", severity="note"),
    Limit("D26", "at the limit it is a note", lambda: surge_works.judge_leads(of(1, "m"), "W05.length"), "warn", "note"),
    Limit("D26", "longer", lambda: surge_works.judge_leads(of(1.001, "m"), "W05.length"), "fail", "fails"),
    *pair("C26", lambda v: part_rating.judge_pushed(of(25, "A"), of(v, "A")), 25, severity="fails"),
    Limit("B38", "at the limit", lambda: parallel.judge(4, of(4, "1"), "", lithium=True), "pass", exact=True),
    Limit("B38", "one more", lambda: parallel.judge(5, of(4, "1"), "", lithium=True), "fail", "fails"),
    Limit("B38", "lead names no limit", lambda: parallel.judge(5, None, "", lithium=False), "pass"),
    *pair("D34", lambda v: frequency.judge(of(60, "Hz"), of(v, "Hz"), "G1"), 63, severity="fails"),
    Limit("C29", "two places", lambda: earthed_once.judge("B", ("XN", "U3")), "fail", "fails"),
    Limit("F19", "no controller at all", lambda: turbine_load.judge("", ""), "fail", "danger"),
    *pair("E31", lambda v: altitude.judge(of(v, "m")), 2000, bad="warn", severity="note"),
    *pair("E31", lambda v: altitude.judge_inverter(of(v, "m"), of(1500, "m"), ""), 1500, severity="fails"),
    *pair("E31", lambda v: altitude.judge_inverter(of(v, "m"), None, "U2.altitude_max"), 2000, bad="cannot-tell", severity="fails"),
    *pair("B36", lambda v: working_temperature.judge_cold(of(v, "degC"), of(-20, "degC")), -20, least=True, severity="fails"),
    *pair("B36", lambda v: working_temperature.judge_hot(of(v, "degC"), of(50, "degC")), 50, severity="fails"),
    Limit("B36", "nobody knows how cold", lambda: working_temperature.judge_cold(None, of(-20, "degC"), ("use.stays.1.coldest",)), "cannot-tell"),
    # IEC 60364-5-54 542.3.1: 6 mm2; NFPA 70 250.66: 8 AWG, 8.37 mm2 (from memory); 1 % for rounded sizes
    *pair("C28", lambda v: earth_conductor.judge(of(v, "mm2"), find("protection/electrode-eu"), "", "W39.cable", remedy=""), 5.94, least=True, severity="fails"),
    Limit("C28", "enough above the ground, thin in it", lambda: earth_conductor.judge(of(10, "mm2"), find("protection/electrode-eu"), "", "W39.cable", remedy="", buried=find("protection/electrode-eu-buried")), "warn", "note"),
    Limit("C28", "nobody knows how thick", lambda: earth_conductor.judge(None, find("protection/electrode-us"), "", "W39.cable", remedy=""), "cannot-tell", "fails"),
    *pair("F18", lambda v: counter_capacity.judge(of(100 + v, "Ah"), of(100, "Ah")), 10, severity="disappoints"),
    Limit("F18", "a battery was added and nobody told the counter", lambda: counter_capacity.judge(of(600, "Ah"), of(800, "Ah")), "fail", "disappoints"),
    Limit("F18", "nobody has set it", lambda: counter_capacity.judge(None, of(800, "Ah"), ("settings.R1.capacity",)), "cannot-tell"),
    Limit("D31", "by a conductor", lambda: frame_earth.judge(True, ()), "pass"),
    Limit("D31", "by the chassis alone", lambda: frame_earth.judge(False, ("chassis",)), "fail", "danger"),
    Limit("D31", "by nothing", lambda: frame_earth.judge(False, ()), "skip"),
    *pair("D25", lambda v: lightning.judge_plate(True, of(13.3, "mm2"), of(v, "mm2")), 13.3, least=True, severity="fails"),
    Limit("D25", "a body in the water on nothing", lambda: lightning.judge_plate(False, of(13.3, "mm2")), "fail", "danger"),
    Limit("D25", "nobody knows how thick", lambda: lightning.judge_plate(True, of(13.3, "mm2"), None, "W95.cable"), "cannot-tell", "danger"),
    Limit("C26", "no case that lasts", lambda: part_rating.judge(of(15, "A"), None, None, opens=True), "cannot-tell", "fails"),
    Limit("C25", "one part", lambda: kept_apart.judge("Q5 1 and Q5 2", "same part", "", (), ""), "pass"),
    Limit("C25", "a label", lambda: kept_apart.judge("Q1 closed and Q2 closed", "label", "", (), ""), "warn", "note"),
]  # fmt: skip

#: W89 feeds the coil of the water heater's contactor by the aux contact.
PAST_THE_CONTACT = swap("W89: {from: U2.aux.load", "W89: {from: KH.line.L")
UNKNOWN_TRANSFER = swap(
    "fitted: {ac-out-bond: relay}", "fitted: {ac-out-bond: relay, transfer-poles: unknown}"
)
#: Rails that carry the array, as a metal body of their own.
RAILS = (
    swap("  chassis: {metal: steel}", "  chassis: {metal: steel}\n  rails: {}"),
    swap(
        "M:    {is: module-200w, array: 1s6p, at: roof,",
        "M:    {is: module-200w, array: 1s6p, at: roof, on: rails,",
    ),
)
NO_RESIDUAL = swap("QR: {is: rcd-40a-30ma-type-f-2p", "QR: {is: breaker-40a-230v-2p")
RIGS: list[OnRig] = [
    OnRig("D27", "built", "PA", "pass"),
    OnRig("D27", "boat", "Q3", "fail", (part("Q3", "interrupt: 0.5 kA @ 230 V"),)),
    OnRig("D27", "boat", "Q3", "cannot-tell", (part("Q3", f"interrupt: {U}"),), missing="Q3.interrupt"),
    OnRig("D27", "boat", "Q3", "cannot-tell", (part("Q3", "interrupt: 6 kA @ 230 V DC"),), missing="Q3.interrupt"),
    OnRig("D27", "boat", "Q3", "cannot-tell", (part("SUP", f"short-circuit-current: {U}", f"resistance: {U}"),), missing="SUP.short_circuit_current"),
    OnRig("D28", "boat", "PS.1", "pass"),
    OnRig("D28", "cabin", "PA.4", "pass"),
    OnRig("D28", "cabin", "Q4", "fail", (swap("Q3: {is: rcbo-25a-30ma-type-a-2p", "Q3: {is: breaker-25a-230v-2p"),), "a generator gives ninety amperes"),
    OnRig("D28", "cabin", "Q4", "cannot-tell", (swap("Q3: {is: rcbo-25a-30ma-type-a-2p", "Q3: {is: breaker-25a-230v-2p"), part("Q4", "curve: unknown", f"instant-high: {U}")), missing="Q4.curve"),
    OnRig("A29", "cabin", "M", "pass"),
    OnRig("A29", "cabin", "M", "fail", (drop("W07:"),), "a surge device on the frame is no bond"),
    OnRig("A29", "quoted", "M", "cannot-tell", missing="looked-at array/frame-bond M"),
    OnRig("A29", "quoted", "M", "fail", RAILS, "rails on nothing"),
    OnRig("A29", "quoted", "M", "pass", (*RAILS, add("runs", "WB: {from: rails, to: chassis, cable: 6 AWG green, length: 2 m, role: bond}")), "rails on the chassis"),
    OnRig("A29", "quoted", "M", "fail", (*RAILS, add("runs", "WB: {from: rails, to: XN.8, cable: 6 AWG green, length: 2 m, role: bond}")), "a working minus is no bond"),
    OnRig("A29", "quoted", "M", "fail", (*RAILS, swap("\n  rails: {}", "\n  rails: {}\n  rack: {}"), add("runs", "WB: {from: rails, to: rack, cable: 6 AWG green, length: 2 m, role: bond}")), "rails on a rack that hangs on nothing"),
    OnRig("A29", "quoted", "M", "pass", (*RAILS, add("runs", "WB: {from: rails, to: U2.case, cable: 6 AWG green, length: 2 m, role: bond}")), "rails on the case of the inverter, whose earth goes on to the chassis"),
    OnRig("A29", "quoted", "M", "fail", (*RAILS, add("runs", "WB: {from: rails, to: U2.case, cable: 6 AWG green, length: 2 m, role: bond}"), drop("W26:")), "rails on an inverter's case that hangs on nothing"),
    OnRig("A29", "boat", "M3", "skip", (), "flexible"),
    OnRig("A29", "built", "M", "pass", (), "by a run of its own"),
    OnRig("D29", "cabin", "induction", "pass"),
    OnRig("D29", "built", "coffee", "pass", (), "a class A device, and no time in its code"),
    OnRig("D29", "boat", "water-heater", "pass", (), "behind a contact that rests open in every case"),
    OnRig("D29", "cabin", "induction", "cannot-tell", (NO_RESIDUAL,), missing="U2.fault_stop"),
    OnRig("D29", "cabin", "induction", "pass", (NO_RESIDUAL, part("U2", "fault-stop: 0.4 s")), "the inverter stops in time, and behind the generator stands an RCBO"),
    OnRig("D29", "cabin", "induction", "fail", (NO_RESIDUAL, part("U2", "fault-stop: 0.41 s")), "the inverter stops too late"),
    OnRig("D29", "cabin", "lights", "fail", (NO_RESIDUAL, part("U2", "fault-stop: 0.2 s"), swap("Q3: {is: rcbo-25a-30ma-type-a-2p", "Q3: {is: breaker-25a-230v-2p")), "the generator pushes its ninety amperes for seconds"),
    OnRig("D29", "van", "X1", "cannot-tell", missing="SUP.curve"),
    OnRig("E23", "built", "M", "pass"),
    OnRig("E23", "built", "M", "fail", (swap("1.1: 4.00 0.20 m", "1.1: 4.20 0.60 m"),), "over the vent"),
    OnRig("E23", "built", "M", "fail", (swap("1.2: 2.15 0.20 m", "1.2: 2.60 0.20 m"),), "on another"),
    OnRig("E23", "built", "M", "fail", (swap("1.3: 0.30 0.20 m", "1.3: -0.10 0.20 m"),), "over the edge"),
    OnRig("E23", "built", "M", "cannot-tell", (swap("plane: {tilt: 0 deg, faces: flat}, outline: 6.6 x 2.3 m", "plane: {tilt: 0 deg, faces: flat}"),), missing="host.places.roof.outline"),
    OnRig("E24", "built", "host.roof", "pass"),
    OnRig("E24", "built", "host.roof", "fail", (swap("outline: 6.6 x 2.3 m", "outline: 6.0 x 1.6 m"),)),
    OnRig("E24", "van", "host.roof", "cannot-tell"),
    OnRig("C24", "built", "pump", "pass"),
    OnRig("C24", "built", "U3", "fail", (swap("W16: {from: U3.out.+, to: F4.line", "W16: {from: U3.common.-, to: F4.line"),)),
    OnRig("C24", "built", "W29", "fail", (swap("W29: {from: QG.load, to: PA.feed, cores: L N, cable", "W29: {from: {L: QG.load.N, N: QG.load.L}, to: {L: PA.feed.L, N: PA.feed.N}, cable"),), "line and neutral swapped"),
    OnRig("C24", "van", "XZ", "fail", (add("runs", "XZ: {from: PA.feed.L, to: PA.feed.N, cable: 2.5 mm2, length: 1 m}"),), "a dead short of line and neutral"),
    OnRig("C25", "boat", "water-heater", "pass"),
    OnRig("C25", "boat", "water-heater", "fail", (PAST_THE_CONTACT,), "the coil is fed past the contact"),
    OnRig("C25", "cabin", "Q5", "pass"),
    OnRig("C25", "cabin", "Q5", "warn", (swap("by: same part", "by: label"),)),
    OnRig("C25", "cabin", "Q5", "cannot-tell", (swap("by: same part", "by: plate"),)),
    OnRig("C13", "quoted", "U2", "fail", (), "its only earth is 10 AWG of the cable to the panel, behind a fuse of 300 A"),
    OnRig("C13", "boat", "U2", "fail", (drop("W77:"),), "its only earth is 4 mm2 of the cable to the panel"),
    OnRig("C13", "built", "U1", "fail", (drop("W37:"),), "129 V in a case that hangs on nothing"),
    OnRig("C1", "boat", "W34", "fail", (swap("W34: {from: AL.+, to: F20.load", "W34: {from: AL.+, to: F8.load"), drop("W35:"), drop("F20:")), "an alternator's cable on the starter's bar is no cranking conductor"),
    OnRig("D30", "boat", "J1", "pass"),
    OnRig("D30", "boat", "J1", "fail", (swap("W80: {from: J1, to: {port: Q3.line, PE: T1.screen}", "W80: {from: J1, to: {port: T1.primary, PE: T1.screen}"), drop("W81:"), drop("Q3:")), "an inlet straight on the transformer"),
    OnRig("D30", "boat", "J1", "cannot-tell", (swap("    cockpit - chart-table:      {length: 2.2 m, glands: 1}", f"    cockpit - chart-table:      {{length: {U}, glands: 1}}"),), missing="W80.length"),
    OnRig("D30", "built", "rig", "skip", (rules_of("us-boat"), drop("J1:"), drop("C1:"), drop("W23:"), swap("set: {C1.to: out}}\n  towing", "set: {}}\n  towing"), swap("set: {C1.to: out, TV: in}", "set: {TV: in}"), drop("on-the-post:"), drop("- {rule: mains/inlet-guard")), "no inlet"),
    OnRig("D4", "boat", "water-heater", "fail", (swap("Q8: {is: rcbo-16a-30ma-type-a-2p", "Q8: {is: breaker-16a-230v-2p"),), "a transformer is a source of its own: the device before it sees nothing behind"),
    OnRig("F3", "built", "TV", "pass"),
    OnRig("F3", "built", "TV", "fail", (swap("W15: {from: F3.load,  to: U3.in.+", "W15: {from: F3.load,  to: XP.6"), swap("W27: {from: TV.aux.-, to: U3.common.-", "W27: {from: TV.aux.-, to: XN.7")), "a tow vehicle straight on lithium"),
    OnRig("B25", "built", "U2", "fail", (swap("cut-off: 12.0 V, reconnect: 12.8 V", "cut-off: 12.0 V, reconnect: 11.8 V"),), "it comes back below where it stops"),
    OnRig("D6", "cabin", "G1", "fail", (swap("C1:  {from: G1, to: J1, cable: flexible 3 x 6 mm2 90C, length: 15 m", "C1:  {from: G1, to: J1, cable: flexible 3 x 6 mm2 90C, length: 300 m"),), "300 m of cord behind a generator"),
    OnRig("C3", "boat", "WL", "pass"),
    OnRig("C3", "boat", "WL", "fail", (swap("W71: {from: Q7.load, to: KW.line.+, cable: 70 mm2", "W71: {from: Q7.load, to: KW.line.+, cable: 25 mm2"), swap("W72: {from: KW.line.-, to: XN.9, cable: 70 mm2", "W72: {from: KW.line.-, to: XN.9, cable: 25 mm2")), "25 mm2 to the bow"),
    OnRig("C13", "built", "W25", "fail", (swap("W25: {from: XN.6,     to: chassis,   cable: 2 AWG green", "W25: {from: XN.6,     to: chassis,   cable: 4 AWG green"),), "what brings the fault of a case back to minus"),
    OnRig("C13", "boat", "W93", "fail", (swap("W93: {from: XE.8, to: XN.11, cable: 35 mm2", "W93: {from: XE.8, to: XN.11, cable: 10 mm2"),), "from earth bar to minus bar"),
    OnRig("C13", "van", "W12", "pass", (), "a bond without a role"),
    OnRig("A3", "cabin", "P1", "pass"),
    OnRig("A3", "cabin", "P1", "fail", (part("P1", "max-voltage: 150 V"),), "a surge device for fewer volts than a cold morning"),
    OnRig("A3", "cabin", "P1", "cannot-tell", (part("P1", f"max-voltage: {U}"),), missing="P1.max_voltage"),
    OnRig("D20", "cabin", "G1", "fail", (swap("G1: {is: generator-6500va-230v, at: generator-hut", "G1: {is: generator-6500va-230v, at: living-room"),), "a generator in the living room, whatever was looked at"),
    OnRig("C26", "cabin", "TH", "fail", (part("TH", "rated: 0.5 A"),), "a thermostat of half an ampere behind 5 A"),
    OnRig("C24", "built", "QG", "fail", (add("runs", "WX: {from: QG.line.N, to: PA.feed.N, cable: 10 AWG 75C, length: 0.3 m}"),), "neutral joined around a residual-current device"),
    OnRig("C26", "cabin", "XJ", "fail", (part("XJ", "rated: 30 A"),), "two strings of 13.8 A push 34.5 A on a bright day"),
    OnRig("C26", "cabin", "XJ", "pass", (part("XJ", "rated: 35 A"),)),
    OnRig("C26", "boat", "T1", "fail", (part("T1", "apparent-power: 1000 VA"),), "a transformer of 1 kVA behind a charger of 80 A"),
    OnRig("C26", "boat", "T1", "pass"),
    OnRig("C15", "boat", "XE", "pass"),
    OnRig("C15", "boat", "XE", "fail", (swap("XE: {is: earth-bar-12stud", "XE: {is: earth-bar-8stud"),), "35 mm2 on an earth bar for 25"),
    OnRig("C15", "cabin", "QR", "fail", (part("QR", "max-cable: 4 mm2"),), "6 mm2 into a terminal of alternating current for 4"),
    OnRig("E25", "built", "job", "pass"),
    OnRig("E25", "built", "job", "fail", (rules_of("us-cabin"),), "a trailer by the rules of a cabin, which weigh nothing"),
    OnRig("E25", "van", "job", "fail", (rules_of("eu-boat"),)),
    OnRig("C1", "van", "W15", "fail", (swap("W15: {from: AL.+, to: SB.+, cable: 25 mm2 red", "W15: {from: AL.+, to: SB.+, cable: 6 mm2 red"),), "an alternator that pushes more than its cable bears, without a device"),
    OnRig("C27", "built", "U2", "pass"),
    OnRig("C27", "built", "U2", "cannot-tell", (part("B", f"nominal-voltage: {U}"),), missing="B.1.nominal_voltage"),
    OnRig("C27", "boat", "U1", "cannot-tell", (part("U1", f"battery-voltage-max: {U}"),), missing="U1.battery_voltage_max"),
    OnRig("C27", "built", "fridge", "fail", (swap("fridge:    {fed: PD.1, power: 60 W,", "fridge:    {fed: PD.1, volts: 24 V, power: 60 W,"),), "24 V on a bank of 12 V"),
    OnRig("C27", "built", "coffee", "fail", (swap("coffee:    {fed: PA.3, power: 900 W", "coffee:    {fed: PA.3, volts: 230 V, power: 900 W"),), "230 V on 120 V"),
    OnRig("C27", "cabin", "router", "pass", (swap("router:     {fed: PR.1, power: 12 W", "router:     {fed: PR.1, volts: 12 V, power: 12 W"),), "behind a converter"),
    OnRig("C27", "cabin", "HB", "fail", (swap("HB: {is: pad-heater-60w-48v", "HB: {is: pad-heater-60w-12v"),), "12 V on a bank of 48 V"),
    OnRig("C27", "cabin", "KB", "fail", (swap("KB: {is: contactor-10a-80v-1p", "KB: {is: contactor-500a-12v"),), "a coil of 12 V on 48 V"),
    OnRig("C27", "cabin", "U2", "fail", (swap("U2: {is: inverter-charger-5kva-48v-230v", "U2: {is: inverter-charger-3kva-24v-230v"),), "24 V on 48 V"),
    OnRig("C27", "cabin", "U1", "fail", (part("U1", "battery-voltage-max: 34 V"),), "a controller for 24 V on 48 V"),
    OnRig("C27", "boat", "WL", "fail", (part("WL", "voltage: 24 V"),), "behind a reverser"),
    OnRig("C26", "built", "Q1", "pass"),
    OnRig("D31", "built", "PA", "fail", (swap("W24: {from: U2.ac-out, to: {port: QG.line, PE: PA.feed.PE}, cable: 3 x 10 AWG 75C", "W24: {from: U2.ac-out, to: QG.line, cores: L N, cable: 2 x 10 AWG 75C"),), "earth of the panel by the chassis alone"),
    OnRig("D31", "built", "PA", "pass"),
    OnRig("D31", "boat", "ac-outlets", "fail", (swap("W92: {from: {port: QA.load, PE: XE.7}, to: PA.feed", "W92: {from: {port: QA.load, PE: engine}, to: PA.feed"),), "earth of the panel by the engine alone"),
    OnRig("D31", "cabin", "well-pump", "fail", (swap("W37: {from: {port: QR.load, PE: XE.6}, to: PA.feed", "W37: {from: {port: QR.load, PE: wall-frame}, to: PA.feed"),), "earth of the panel by the frame of the array"),
    OnRig("D31", "van", "PA", "fail", (swap("W21: {from: U2.ac-out, to: {port: QD.line, PE: PA.feed.PE}, cable: 3 x 1.5 mm2, via: rear-locker - galley}", "W21: {from: U2.ac-out, to: QD.line, cores: L N, cable: 2 x 1.5 mm2, length: 4 m}\n  WX: {from: U2.ac-out.PE, to: body, cable: 4 mm2, length: 1 m, role: earth}\n  WY: {from: PA.feed.PE, to: body, cable: 4 mm2, length: 1 m, role: earth}"),), "earth of the panel by the body alone"),
    OnRig("D31", "lead", "rig", "skip"),
    OnRig("D32", "cabin", "well-pump", "pass"),
    OnRig("D32", "cabin", "well-pump", "fail", (swap("length: 27 m, cable: 3 x 4 mm2 90C}", "length: 250 m, cable: 3 x 4 mm2 90C}"),), "a well at 250 m"),
    OnRig("D32", "cabin", "fridge", "cannot-tell", (), "its power is not written", missing="fridge.power"),
    OnRig("D32", "built", "coffee", "fail", (swap("coffee:    {fed: PA.3, power: 900 W, hours: 0.2 h, length: 1.4 m", "coffee:    {fed: PA.3, power: 900 W, hours: 0.2 h, length: 40 m"),), "900 W behind 40 m of 12 AWG"),
    OnRig("D32", "boat", "water-heater", "fail", (swap("to: water-heater, cable: 3 x 2.5 mm2 tinned 90C, length: 2.2 m", "to: water-heater, cable: 3 x 2.5 mm2 tinned 90C, length: 250 m"),), "a heater at the end of a drum"),
    OnRig("D32", "van", "kettle", "cannot-tell", missing="kettle.length"),
    OnRig("B36", "built", "B", "pass"),
    OnRig("B36", "built", "B", "fail", (part("B", "discharge-min-temperature: 8 degC"),), "it opens at 8 degC in a box of 5"),
    OnRig("B36", "boat", "SB", "fail", (part("SB", "discharge-min-temperature: 0 degC"),)),
    OnRig("B36", "cabin", "B", "fail", (part("B", "discharge-min-temperature: -10 degC"),)),
    OnRig("B36", "cabin", "B", "cannot-tell", (part("B", f"discharge-min-temperature: {U}"),), missing="B.1.discharge_min_temperature"),
    OnRig("B36", "van", "SB", "cannot-tell", missing="SB.discharge_min_temperature"),
    OnRig("C28", "cabin", "W39", "pass"),
    OnRig("C28", "cabin", "W39", "warn", (swap("W39: {from: XE.8, to: E1.rod, cable: 25 mm2 bare", "W39: {from: XE.8, to: E1.rod, cable: 10 mm2 bare"),), "thin in the ground"),
    OnRig("C28", "cabin", "W39", "fail", (swap("W39: {from: XE.8, to: E1.rod, cable: 25 mm2 bare", "W39: {from: XE.8, to: E1.rod, cable: 4 mm2 bare"),)),
    OnRig("C28", "cabin", "W39", "fail", (rules_of("us-cabin"), swap("W39: {from: XE.8, to: E1.rod, cable: 25 mm2 bare", "W39: {from: XE.8, to: E1.rod, cable: 10 mm2 bare")), "below 6 AWG behind 70 mm2"),
    OnRig("C28", "cabin", "W07", "fail", (swap("W07: {from: wall-frame, to: XE.1, cable: 16 mm2", "W07: {from: wall-frame, to: XE.1, cable: 2.5 mm2"),), "frames on 2.5 mm2"),
    OnRig("C28", "cabin", "W07", "cannot-tell", (swap("W07: {from: wall-frame, to: XE.1, cable: 16 mm2 green-yellow", "W07: {from: wall-frame, to: XE.1, cable: unknown"),), missing="W07.cable"),
    OnRig("C28", "built", "W38", "pass"),
    OnRig("C28", "built", "W38", "fail", (swap("W38: {from: frames,   to: chassis,   cable: 6 AWG", "W38: {from: frames,   to: chassis,   cable: 14 AWG"),), "frames on 14 AWG"),
    OnRig("D31", "cabin", "well-pump", "cannot-tell", (swap("length: 27 m, cable: 3 x 4 mm2 90C}", "length: 27 m, cable: 2 x 4 mm2 90C}"),), "a cable of two cores", missing="well-pump.double-insulated"),
    OnRig("D31", "cabin", "well-pump", "fail", (swap("length: 27 m, cable: 3 x 4 mm2 90C}", "length: 27 m, cable: 2 x 4 mm2 90C, double-insulated: no}"),), "a metal pump on two cores"),
    OnRig("D31", "cabin", "well-pump", "pass", (swap("length: 27 m, cable: 3 x 4 mm2 90C}", "length: 27 m, cable: 2 x 4 mm2 90C, double-insulated: yes}"),), "double-insulated"),
    OnRig("B38", "built", "B", "pass"),
    OnRig("B38", "built", "B", "fail", (part("B", "parallel-max: 3"),), "four where three are allowed"),
    OnRig("B38", "boat", "B", "fail", (part("B", "parallel-max: 1"),)),
    OnRig("B38", "cabin", "B", "cannot-tell", (part("B", f"parallel-max: {U}"),), missing="B.1.parallel_max"),
    OnRig("B38", "van", "B", "fail", (part("B", "parallel-max: 1"),)),
    OnRig("B39", "built", "B", "pass"),
    OnRig("B39", "boat", "B", "fail", (swap(", watches: B}", "}"),), "a management that watches nothing"),
    OnRig("B39", "cabin", "B", "fail", (part("B", "bms: none"),)),
    OnRig("B39", "van", "B", "cannot-tell", (part("B", "bms: unknown"),)),
    OnRig("C1", "boat", "W34", "fail", (swap("engine-space: {regime: engine,", "engine-space: {hottest: 85 degC, regime: engine,"),), "an engine space hotter than its factor was made for"),
    OnRig("D33", "built", "QG", "pass"),
    OnRig("D33", "built", "FX", "fail", (add("parts", "FX: {is: fuse-dc-small-30a-80v, at: galley}"), swap("W26: {from: PA.feed.PE, to: chassis,", "W26: {from: FX.load, to: chassis,"), add("runs", "WX: {from: PA.feed.PE, to: FX.line, cable: 8 AWG green, length: 0.1 m, role: earth}")), "a fuse in the earth of the panel"),
    OnRig("D33", "boat", "QX", "fail", (add("parts", "QX: {is: battery-switch-500a, at: chart-table}"), swap("W77: {from: U2.case, to: XE.3,", "W77: {from: QX.load, to: XE.3,"), add("runs", "WX: {from: U2.case, to: QX.line, cable: 35 mm2 green-yellow, length: 0.2 m, role: earth}")), "a switch in the earth of the inverter"),
    OnRig("D33", "cabin", "QX", "fail", (add("parts", "QX: {is: breaker-15a-48v-1p, at: living-room}"), swap("W37: {from: {port: QR.load, PE: XE.6}, to: PA.feed", "W37: {from: {L: QR.load.L, N: QX.load, PE: XE.6}, to: PA.feed"), add("runs", "WX: {from: QR.load.N, to: QX.line, cable: 6 mm2, length: 0.2 m}")), "one pole of breaker, in the neutral"),
    OnRig("D33", "van", "QX", "fail", (add("parts", "QX: {is: fuse-blade-30a, at: galley}"), swap("W22: {from: QD.load, to: {port: PA.feed}, cores: L N, cable: 2 x 1.5 mm2", "W22: {from: QD.load, to: {L: PA.feed.L, N: QX.line}, cores: L N, cable: 2 x 1.5 mm2"), add("runs", "WX: {from: QX.load, to: PA.feed.N, cable: 1.5 mm2, length: 0.1 m}")), "a fuse in the neutral"),
    OnRig("D34", "cabin", "U2", "pass"),
    OnRig("D34", "cabin", "U2", "fail", (part("U2", "frequency: 60 Hz"),), "an inverter of 60 Hz on a generator of 50"),
    OnRig("D34", "boat", "U2", "fail", (part("U2", "frequency: 60 Hz"),), "behind a transformer as well"),
    OnRig("D34", "built", "U2", "fail", (part("SUP", "frequency: 50 Hz"),)),
    OnRig("D34", "van", "rig", "skip"),
    OnRig("C27", "boat", "U2", "fail", (swap("U2: {is: inverter-charger-2kva-12v-230v", "U2: {is: inverter-charger-2kva-12v-120v"),), "120 V behind a transformer of 230"),
    OnRig("B37", "lead", "U1", "cannot-tell", missing="settings.U1.temperature-comp"),
    OnRig("B37", "lead", "U1", "fail", (swap("float: 13.5 V}", "float: 13.5 V, temperature-comp: none}"),)),
    OnRig("B37", "lead", "U1", "pass", (swap("float: 13.5 V}", "float: 13.5 V, temperature-comp: by the probe on the battery}"),)),
    OnRig("B37", "van", "U1", "cannot-tell"),
    OnRig("C29", "built", "B", "pass"),
    OnRig("C29", "built", "B", "fail", (add("runs", "WX: {from: U3.common.-, to: chassis, cable: 6 AWG, length: 1 m, role: bond}"),), "a charger earthed as well"),
    OnRig("C29", "cabin", "B", "fail", (add("runs", "WX: {from: XJ.out.-, to: wall-frame, cable: 6 mm2, length: 1 m, role: bond}"),), "the array's minus on its frame"),
    OnRig("C29", "cabin", "B", "skip", (drop("W40:"),), "earthed nowhere"),
    OnRig("C29", "boat", "B", "fail", (add("runs", "WX: {from: U1.bat.-, to: keel, cable: 16 mm2 tinned, length: 2 m, role: bond}"),), "a controller on the keel"),
    OnRig("C29", "van", "B", "fail", (add("runs", "WX: {from: U2.dc.-, to: body, cable: 16 mm2, length: 1 m, role: bond}"),), "the inverter on the body as well"),
    OnRig("F19", "boat", "HG", "pass"),
    OnRig("F19", "boat", "HG", "fail", (part("U7", "dump: no"),), "no dump load"),
    OnRig("F19", "boat", "HG", "cannot-tell", (part("U7", "dump: unknown"),), missing="U7.dump"),
    OnRig("F19", "built", "rig", "skip"),
    OnRig("D31", "boat", "T1", "fail", (drop("W97:"),), "a transformer whose case is on nothing"),
    OnRig("D25", "cabin", "M", "fail", (add("parts", "E2: {is: electrode-rod, at: soil, on: ground, resistance: 80 ohm}"), swap("W07: {from: wall-frame, to: XE.1,", "W07: {from: wall-frame, to: E2.rod,")), "an electrode of its own for the frame"),
    OnRig("D26", "cabin", "P1", "fail", (swap("XJ.out, PE: wall-frame}, cable: pv 16 mm2, length: 0.4 m", "XJ.out, PE: wall-frame}, cable: pv 16 mm2, length: 3 m"),), "three metres of lead"),
    OnRig("D26", "cabin", "P1", "cannot-tell", (swap("XJ.out, PE: wall-frame}, cable: pv 16 mm2, length: 0.4 m", f"XJ.out, PE: wall-frame}}, cable: pv 16 mm2, length: {U}"),), missing="W05.length"),
    OnRig("F16", "cabin", "use.stays.2", "fail", (lambda t: t.replace("generator: manual-only", "generator: auto-start"),), "a generator that starts where nobody is"),
    OnRig("E31", "cabin", "rig", "pass", (), "840 m"),
    OnRig("E31", "cabin", "rig", "warn", (to_3400,), "a hut at 3,400 m"),
    OnRig("E31", "cabin", "U2", "cannot-tell", (to_3400, part("U2", f"altitude-max: {U}")), missing="U2.altitude_max"),
    OnRig("E31", "cabin", "U2", "fail", (part("U2", "altitude-max: 800 m"),)),
    OnRig("E31", "built", "U2", "fail", (part("U2", "altitude-max: 10 m"),)),
    OnRig("F5", "built", "R1", "warn", (), "four managements of 0.4 W through a winter"),
    OnRig("F5", "boat", "R1 B", "pass"),
    OnRig("F18", "built", "R1", "pass"),
    OnRig("F18", "built", "R1", "fail", (swap("hold: 180 s, capacity: 800 Ah", "hold: 180 s, capacity: 600 Ah"),), "a battery was added"),
    OnRig("F18", "boat", "R1", "fail", (swap("capacity: 600 Ah, alarm", "capacity: 300 Ah, alarm"),), "set to one of two batteries"),
    OnRig("F18", "cabin", "R1", "fail", (swap("capacity: 300 Ah, alarm", "capacity: 600 Ah, alarm"),)),
    OnRig("F18", "van", "R1", "cannot-tell", missing="settings.R1.capacity"),
    OnRig("C12", "boat", "U5", "pass", (), "its start battery's minus lies on the block"),
    OnRig("C12", "boat", "U5", "fail", (swap("W36: {from: SB.-, to: engine,", "W36: {from: SB.-, to: XN.12,"),), "the block is nobody's minus"),
    OnRig("C12", "boat", "fridge", "fail", (swap("W64: {from: PD.feed.-, to: XN.7,", "W64: {from: PD.feed.-, to: engine,"),), "house loads by the engine and the bond"),
    OnRig("C12", "boat", "U5", "fail", (swap("W54: {from: U5.out.-, to: XN.5,", "W54: {from: U5.out.-, to: engine,"),), "a charger's output by the engine and the bond"),
    OnRig("D25", "boat", "strike-plate", "pass", (blind,), "its way to the common ground is drawn"),
    OnRig("D25", "boat", "strike-plate", "fail", (drop("W96:"),), "a plate on nothing"),
    OnRig("D25", "boat", "keel", "fail", (drop("W95:"),), "a keel on nothing"),
    OnRig("D25", "boat", "shaft", "pass"),
    OnRig("D25", "boat", "keel", "fail", (swap("W95: {from: XE.8, to: keel, cable: 16 mm2", "W95: {from: XE.8, to: keel, cable: 6 mm2"),), "6 mm2 to the keel"),
    OnRig("D25", "boat", "keel", "cannot-tell", (swap("W95: {from: XE.8, to: keel, cable: 16 mm2 green-yellow", "W95: {from: XE.8, to: keel, cable: unknown"),), "a cable of unknown size", missing="W95.cable"),
    OnRig("D25", "boat", "rig", "cannot-tell", (blind,), "the way down the mast is for eyes"),
    OnRig("C26", "boat", "PD.1", "cannot-tell", (), "only a day's energy of the fridge is written", missing="fridge.power"),
    OnRig("C26", "boat", "F10", "pass", (), "the ways of its panel let 95 A pass together"),
    OnRig("C26", "boat", "F10", "cannot-tell", (swap("PD: {is: panel-dc-12way-breakers, at: chart-table, ways: {1: 15 A", "PD: {is: panel-dc-12way-breakers, at: chart-table, ways: {1: 25 A"),), "they let 105 A pass, its fuse 100", missing="pilot.power"),
    OnRig("C26", "boat", "F21", "skip", (), "a sense lead"),
    OnRig("C26", "quoted", "B.1.F", "pass", (), "what runs through a fuse on a post"),
    OnRig("C26", "van", "PV.1", "cannot-tell", (), "nothing of a vehicle's draw is written", missing="vehicle.power"),
    OnRig("C26", "built", "Q1", "cannot-tell", (part("Q1", f"rated: {U}"),), missing="Q1.rated"),
    OnRig("C26", "built", "Q1", "fail", (swap("Q1:   {is: battery-switch-500a", "Q1:   {is: battery-switch-200a"),), "a switch of 200 A behind a fuse of 400 A"),
    OnRig("C26", "built", "XP", "fail", (swap("XP:   {is: busbar-600a-8stud", "XP:   {is: busbar-100a-6stud"),), "a bar of 100 A behind a fuse of 400 A"),
    OnRig("C26", "built", "PD.4", "fail", (swap("fan:       {fed: PD.4, power: 24 W", "fan:       {fed: PD.4, power: 300 W"),), "300 W at 12 V on a way of 5 A"),
    OnRig("C26", "built", "PA.3", "fail", (swap("coffee:    {fed: PA.3, power: 900 W", "coffee:    {fed: PA.3, power: 3000 W"),), "3 kW at 120 V on a way of 15 A"),
    OnRig("C26", "built", "F6", "fail", (swap("pump:      {fed: PD.5, power: 72 W", "pump:      {fed: PD.5, power: 1500 W"),), "more than the panel's fuse"),
    OnRig("C26", "quoted", "F2", "fail", (), "300 A before an inverter that takes 317 A"),
    OnRig("C26", "van", "XN", "fail", (), "a bar of 100 A behind a fuse of 250 A"),
    OnRig("C26", "cabin", "Q5", "fail", (part("Q5", "rated: 16 A"),), "a changeover of 16 A behind a breaker of 25 A"),
    OnRig("D26", "cabin", "P2", "pass"),
    OnRig("D26", "cabin", "P1", "fail", (drop("W07:"),)),
    OnRig("D26", "built", "rig", "skip"),
    OnRig("F13", "built", "main", "pass"),
    OnRig("F13", "quoted", "B", "cannot-tell", missing="cuts"),
    OnRig("F13", "van", "B", "fail", (), "no cut, and no switch at all"),
    # What was taken for wiring alone, and can be unknown all the same.
    OnRig("C2", "built", "TV", "cannot-tell", (swap("W14: {from: TV.aux.+, to: F3.line, cable: 6 AWG 105C red, length: 0.2 m}", f"W14: {{from: TV.aux.+, to: F3.line, cable: 6 AWG 105C red, length: {U}}}"),), missing="W14.length"),
    OnRig("C23", "van", "WX", "cannot-tell", (add("runs", f"WX: {{from: B.+, to: R1.supply, cable: 2.5 mm2 105C red, length: {U}, role: sense}}"),), missing="WX.length"),
    OnRig("D19", "built", "C1.from", "cannot-tell", (UNKNOWN_TRANSFER,)),
    OnRig("D4", "cabin", "induction", "cannot-tell", (part("QR", f"residual: {U}"),), missing="QR.residual"),
    OnRig("F3", "van", "AL", "cannot-tell", (part("B", "chemistry: unknown"),)),
    OnRig("F5", "built", "R1", "cannot-tell", (swap(", counts: B,", ","), drop("W09:")), "it hangs on no bank", missing="R1.counts"),
    OnRig("F5", "built", "R1", "cannot-tell", (swap(", counts: B,", ", counts: TV,"),), "it counts no battery", missing="R1.counts"),
]  # fmt: skip


@pytest.mark.parametrize("case", LIMITS, ids=lambda c: f"{c.number} {c.name}")
def test_a_rule_at_its_limit(case: Limit) -> None:
    judged = case.judge()

    assert judged.verdict == case.verdict, judged.message
    if case.severity and judged.severity is not None:
        assert judged.severity == case.severity
    if case.exact and judged.value is not None and judged.limit:
        assert judged.value == pytest.approx(judged.limit, rel=1e-8)
    if judged.verdict == "cannot-tell":
        assert judged.missing


@pytest.mark.parametrize("case", RIGS, ids=lambda c: f"{c.number} {c.rig} {c.subject} {c.verdict} {c.name}".strip())  # fmt: skip
def test_a_rule_on_a_rig(case: OnRig) -> None:
    all_said = found(study_of(case.rig, case.edits), case.number)
    said = [f for f in all_said if f.subject == case.subject]

    assert case.verdict in {f.verdict for f in said}, [(f.subject, f.verdict, f.message) for f in all_said]
    if case.missing:
        assert case.missing in {m for f in said for m in f.missing}


# Starts: the network's own answer and the rule say one thing.
def test_rules_of_a_start_say_what_the_network_says() -> None:
    study = study_of("cabin")
    start = study.starts["well-pump"]
    (motor,) = found(study, "D9")
    surge = next(f for f in found(study, "B2") if f.subject == "well-pump-starts")
    (sag,) = found(study, "C4")

    assert motor.value == pytest.approx(start.asked_VA)
    assert motor.limit == start.given_VA
    assert surge.value == pytest.approx(start.battery_A)
    assert surge.limit == start.battery_limit_A
    assert f"Battery {start.battery}" in surge.message
    assert sag.value is not None
    assert start.dc_V is not None
    assert sag.value <= start.dc_V  # the file's own case may sag more


def test_a_start_in_amperes_is_judged_by_its_volts() -> None:
    # 31 A locked rotor at 230 V: 7,130 VA against 9,000 W for 5 s.
    study = study_of("cabin", (swap("surge: 7200 VA for 0.8 s, only", "surge: 31 A for 0.8 s, only"),))
    (said,) = found(study, "D9")

    assert said.verdict == "pass"
    assert said.value == pytest.approx(31 * 230)


def test_a_fuse_is_held_against_the_least_of_its_melting_integral() -> None:
    # 12,000 A2s less a fifth over (290 A) squared: 0.11 s, three times 0.8 s are wanted.
    study = study_of("cabin", (part("F3", "rated: 100 A", "melting: 12000 A2s +-20 %"),))
    said = next(f for f in found(study, "B19") if f.subject == "F3")
    through = study.starts["well-pump"].devices["F3"]

    assert through.melts_s == pytest.approx(9600 / through.current_A**2)
    assert said.verdict == "cannot-tell"


# Heat of a bay: decision 0018.
def test_both_temperatures_of_the_bay_are_told() -> None:
    study = study_of("built")
    (said,) = found(study, "E1")
    full = study.bays["side-bay"].temp_degC

    assert full is not None
    assert said.value is not None
    assert said.value < full
    assert f"{full:.1f}" in said.message


def test_a_case_for_seconds_a_battery_out_and_a_power_not_held_do_not_last() -> None:
    study = study_of("built")
    air = heat.bays(study)["side-bay"]

    assert not any(word in air.case for word in ("starts", "one-out", "full"))


def test_an_inverter_is_held_at_what_its_page_gives_in_the_air_it_makes() -> None:
    study = study_of("quoted")
    unit = study.rig.parts["U2"]
    watts = heat.held(study)["U2"].case.converters_W["U2"]
    air = heat.air_at(study, unit, watts)
    assert air.air is not None
    given = heat.power_in(unit, air.air.value)
    assert given is not None

    assert watts == pytest.approx(given.value, rel=0.01)


def test_a_supply_and_an_engine_do_not_heat_a_bay_together() -> None:
    study = study_of("quoted")
    alone = heat.bays(study)["side-bay"]
    together = study.bays["side-bay"]

    assert alone.case in ("sun and supply", "sun and engine") or alone.case.startswith("U2 at")
    assert alone.loss_W < together.losses_W


def test_the_rise_of_a_bay_is_its_heat_over_walls_and_air() -> None:
    # By hand: 300 W in a closed locker of 5 W/K is 60 K; with 150 m3/h of air (50 W/K) 300/55 = 5.45 K.
    assert work(bay_rise_K, loss_W=300.0, conductance_W_per_K=5.0, flow_m3_per_h=0.0).value == 60.0
    assert work(bay_rise_K, loss_W=300.0, conductance_W_per_K=5.0, flow_m3_per_h=150.0).value == pytest.approx(5.4545, abs=1e-4)  # fmt: skip


def test_a_page_gives_a_straight_line_between_two_temperatures_and_no_more_than_its_last_beyond() -> None:
    unit: Part = study_of("built").rig.parts["U2"]  # 3000 W at 25, 2400 at 40, 1700 at 60 degC
    powers = [heat.power_in(unit, t) for t in (20.0, 25.0, 32.5, 40.0, 50.0, 70.0)]

    assert [p.value for p in powers if p is not None] == [3000, 3000, 2700, 2400, 2050, 1700]


def test_the_widest_way_over_a_roof_is_measured_from_edge_to_edge() -> None:
    one = lies()  # 1.7 x 1.1 m in the corner of 4 x 2 m
    assert walkway.widest_m((4.0, 2.0), [one]) == pytest.approx(2.3)
    both = ModuleFit(
        "M.1.2", "roof", Rectangle("M.1.2", (2.0, 0.7), (4.0, 2.0)), 2.6, 0.0, "", None, (), None
    )
    assert walkway.widest_m((4.0, 2.0), [one, both]) == pytest.approx(0.3)


def test_a_page_that_prints_volts_of_direct_current_says_nothing_of_alternating() -> None:
    study = study_of("boat", (part("Q3", "interrupt: 6 kA @ 230 V DC"),))

    assert breaking_capacity.breaks_of(study.rig.parts["Q3"]).printed == ()


def test_a_figure_of_the_page_beats_the_curve() -> None:
    study = study_of("cabin", (part("Q4", 'instant-high: "7"'),))
    given = disconnection.at_once(study.rig.parts["Q4"])

    assert isinstance(given, Figure)
    assert given.value == 7


# Shade and what was promised: a year of the energy floor handed in, as `check --deep` does.
def with_year(*promises: PromiseKept) -> Study:
    sound = study_of("built")
    year = Year(1, None, {}, (), (), promises, {}, 0.0, {})
    return Study(sound.rig, year=year, today=sound.today)


def test_a_promise_that_a_wood_takes_is_told_with_what_the_shade_took() -> None:
    study = with_year(PromiseKept("six nights unplugged in summer", "6 nights", "4 nights", kept=False))
    (said,) = found(study, "A28")
    lost = max(a.year.lost_ratio for a in study.shade)

    assert (said.verdict, said.severity) == ("fail", "disappoints")
    assert said.value == pytest.approx(100 * lost)
    assert said.subject == "six nights unplugged in summer"


def test_a_promise_that_is_kept_in_the_wood_passes_with_its_shade() -> None:
    (said,) = found(with_year(PromiseKept("six nights", "6 nights", "7 nights", kept=True)), "A28")

    assert said.verdict == "pass"
    assert "Shade takes" in said.message


def test_without_a_year_shade_is_not_judged() -> None:
    (said,) = found(study_of("built"), "A28")

    assert said.verdict == "skip"
    assert "--deep" in said.message
