"""Figures of an array that a change order names and no rule judges."""

from ohmwright.checks.circuits import PvCircuit, pv_circuits, strings_behind
from ohmwright.energy.reckoned import computed, given, held, summed, worked
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import drop_ratio, drop_V
from ohmwright.rig.graph import Conductor
from ohmwright.study import Study
from ohmwright.working import Step

Figures = dict[tuple[str, str], tuple[float, str]]


def array_figures(study: Study) -> Figures:
    """By name and array: modules in series, strings, power, and the longest common run with what is lost in it."""
    return {key: (step.value, step.unit) for key, step in array_steps(study).items()}


def array_steps(study: Study) -> dict[tuple[str, str], Step]:
    """The same with their derivations."""
    out: dict[tuple[str, str], Step] = {}
    for circuit in pv_circuits(study):
        name = circuit.name
        series = float(max(len(s.members) for s in circuit.strings))
        members = [m for s in circuit.strings for m in s.members]
        out["modules in series", name] = worked(
            "n", "n_s", series, "1", (computed("n_s", series, "1", f"modules of the longest string of {name}"),)
        )  # fmt: skip
        strings = float(circuit.parallel)
        out["strings in parallel", name] = worked(
            "n", "n_p", strings, "1", (computed("n_p", strings, "1", f"strings of {name} side by side"),)
        )  # fmt: skip
        powers = [circuit.asked(m.figure("power")).figure for m in members]
        if all(p is not None for p in powers):
            terms = [given(f"P_{k}", p) for k, p in enumerate(powers, 1) if p is not None]
            out["array power", name] = summed("P", "W", terms, f"plates of the modules of {name}")
        out |= _home_run(study, circuit)
    return out


def _home_run(study: Study, circuit: PvCircuit) -> dict[tuple[str, str], Step]:
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
    area = computed("A", longest.area_mm2, "mm2", f"copper of {longest.id}, {longest.cable.text}")
    out = {("home run, cross-section", circuit.name): worked("A", "A", longest.area_mm2, "mm2", (area,))}
    amps = circuit.weakest("max_power_current").figure
    volts = [circuit.asked(m.figure("max_power_voltage")).figure for m in circuit.strings[0].members]
    if amps is None or any(v is None for v in volts):
        return out
    current = worked(
        "I", "n_p * I_mp", circuit.parallel * amps.value, "A",
        (computed("n_p", float(circuit.parallel), "1", f"strings of {circuit.name} side by side"), given("I_mp", amps)),
    )  # fmt: skip
    ways = [_way(c, current, k) for k, c in enumerate(both, 1)]
    lost = summed("U_lost", "V", [held(f"U_{k}", w) for k, w in enumerate(ways, 1)], "out and back")
    whole = summed("U", "V", [given(f"U_mp_{k}", v) for k, v in enumerate(volts, 1) if v is not None], "of a string")  # fmt: skip
    out["home run, volts lost", circuit.name] = lost
    out["home run, part of the volts lost", circuit.name] = worked(
        "p", "100 * U_lost / U", 100 * drop_ratio(lost.value, whole.value), "%", (held("U_lost", lost), held("U", whole))
    )  # fmt: skip
    return out


def _way(c: Conductor, current: Step, nth: int) -> Step:
    """Volts lost in one conductor of the home run."""
    ohm = computed(f"R_{nth}", _ohm(c), "ohm", f"{c.length_m or 0.0:g} m of {c.cable.text} at 75 °C, printed maximum, {c.id}")  # fmt: skip
    return worked(
        f"U_{nth}", f"I * R_{nth}", drop_V(current.value, ohm.value), "V", (held("I", current), ohm)
    )


def _ohm(c: Conductor) -> float:
    assert c.area_mm2 is not None
    return (c.length_m or 0.0) * cable_ohm_per_m(
        c.area_mm2, c.cable.size, c.cable.system, 75.0, "high", c.cable.material
    )
