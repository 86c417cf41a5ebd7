"""Figures of an array that a change order names and no rule judges."""

from ohmwright.checks.circuits import PvCircuit, pv_circuits, strings_behind
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import drop_ratio, drop_V
from ohmwright.rig.graph import Conductor
from ohmwright.study import Study

Figures = dict[tuple[str, str], tuple[float, str]]


def array_figures(study: Study) -> Figures:
    """By name and array: modules in series, strings, power, and the longest common run with what is lost in it."""
    out: Figures = {}
    for circuit in pv_circuits(study):
        members = [m for s in circuit.strings for m in s.members]
        out["modules in series", circuit.name] = (float(max(len(s.members) for s in circuit.strings)), "1")
        out["strings in parallel", circuit.name] = (float(circuit.parallel), "1")
        powers = [circuit.asked(m.figure("power")).figure for m in members]
        if all(p is not None for p in powers):
            out["array power", circuit.name] = (sum(p.value for p in powers if p is not None), "W")
        out |= _home_run(study, circuit)
    return out


def _home_run(study: Study, circuit: PvCircuit) -> Figures:
    """The longest run that carries every string, at the power point of standard conditions and 75 °C copper."""
    common = [
        c
        for n in circuit.conductors
        if (c := study.graph.conductors[n]).length_m is not None and c.role not in ("bond", "earth")
        and len(strings_behind(study, circuit, n)) == circuit.parallel
    ]  # fmt: skip
    longest = max(common, key=lambda c: (c.length_m or 0.0, c.id), default=None)
    if longest is None or longest.area_mm2 is None:
        return {}
    both = [c for c in common if c.run == longest.run]
    out: Figures = {("home run, cross-section", circuit.name): (longest.area_mm2, "mm2")}
    amps = circuit.weakest("max_power_current").figure
    volts = [circuit.asked(m.figure("max_power_voltage")).figure for m in circuit.strings[0].members]
    if amps is None or any(v is None for v in volts):
        return out
    lost_V = sum(drop_V(circuit.parallel * amps.value, _ohm(c)) for c in both)
    out["home run, volts lost", circuit.name] = (lost_V, "V")
    out["home run, part of the volts lost", circuit.name] = (
        100 * drop_ratio(lost_V, sum(v.value for v in volts if v is not None)),
        "%",
    )
    return out


def _ohm(c: Conductor) -> float:
    assert c.area_mm2 is not None
    return (c.length_m or 0.0) * cable_ohm_per_m(
        c.area_mm2, c.cable.size, c.cable.system, 75.0, "high", c.cable.material
    )
