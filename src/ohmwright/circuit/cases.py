"""The operating cases of a rig: made from what is in it, and what its file adds."""

import cmath
import math
from collections.abc import Iterator, Mapping

from ohmwright.circuit.live import End
from ohmwright.circuit.loads import running_W
from ohmwright.circuit.solve import setting_V
from ohmwright.circuit.supplies import full_W
from ohmwright.circuit.types import Case
from ohmwright.circuit.wiring import Wiring, wiring_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import CaseSpec, Load, Rig
from ohmwright.working import Absent, Figure, known

__all__ = ["case_of", "cases_of", "everything_on", "left_alone", "running_W"]

#: State of charge of a low, a half and a full bank in the generated cases.
LOW_ratio, HALF_ratio, FULL_ratio = 0.2, 0.5, 1.0
#: Seconds that count as a surge when a load's own figure gives none.
SURGE_s = 5.0


def cases_of(rig: Rig, graph: Graph) -> Mapping[str, Case]:
    """Every case by its name: generated ones first, then those of the file."""
    wiring = wiring_of(rig, graph)
    if wiring.cases is None:
        wiring.cases = {case.name: case for case in (*_generated(wiring), *_of_file(rig))}
    return wiring.cases


def left_alone(wiring: Wiring) -> dict[str, str]:
    """What is put apart in a case without outside power: cords out, engines stopped, supplies dead, tow plug out."""
    states: dict[str, str] = {}
    for name, v in wiring.graph.variables.items():
        if (v.origin == "hand" and v.states == ("in", "out")) or (
            v.origin == "hand" and v.states == ("out", "in")
        ):
            states[name] = "out"
        elif v.origin == "outside" and set(v.states) & {"running", "yes", "live"} and v.rule != "unknown":
            states[name] = next((s for s in v.states if s in ("stopped", "no", "dead")), v.states[0])
    return states


def _all_loads(wiring: Wiring, *, dc_only: bool = False) -> dict[str, float]:
    ac = wiring.poles.ac
    number = wiring.net.number
    out: dict[str, float] = {}
    for e in wiring.net.loads:
        load = wiring.rig.use.loads.get(e.owner)
        watts = running_W(load) if load is not None else None
        if watts and not (dc_only and number[e.a] in ac):
            out[e.owner] = watts
    return out


def _generated(wiring: Wiring) -> Iterator[Case]:
    alone = left_alone(wiring)
    dc = _all_loads(wiring, dc_only=True)
    everything = _all_loads(wiring)
    yield Case(
        "night",
        "All DC loads at night, nothing charges, bank half full",
        {**alone, "sun": "down"},
        dc,
        bank_soc_ratio=HALF_ratio,
    )
    yield Case(
        "night-all",
        "Every load at once at night, bank low",
        {**alone, "sun": "down"},
        everything,
        bank_soc_ratio=LOW_ratio,
    )
    if "sun" in wiring.graph.variables:
        noon = {**alone, "sun": "up"}
        yield Case(
            "noon-low", "Full sun on a low bank, no load", noon, bank_soc_ratio=LOW_ratio, sun_ratio=1.0
        )
        yield Case(
            "noon-full",
            "Full sun on a full bank, DC loads",
            noon,
            dc,
            bank_soc_ratio=FULL_ratio,
            sun_ratio=1.0,
        )
    yield from _inverters(wiring, alone)
    yield from _surges(wiring, alone, everything)
    yield from _chargers(wiring)
    yield from _supplies(wiring)
    for name, v in wiring.graph.variables.items():
        if v.origin == "outside" and "running" in v.states and not name.startswith("generator"):
            yield Case(
                name,
                f"{name}: its chargers on a low bank",
                {**alone, name: "running"},
                dc,
                bank_soc_ratio=LOW_ratio,
            )
    yield from _one_missing(wiring, alone, dc)


def _inverters(wiring: Wiring, alone: Mapping[str, str]) -> Iterator[Case]:
    """Full continuous power at the volts where the inverter stops: what its cable and fuse must carry."""
    for part in wiring.rig.of_kind("inverter", "inverter-charger"):
        watts = full_W(part)
        if watts is None:
            continue
        cut = setting_V(wiring.rig, part, "cut-off", "cutoff_voltage")
        yield Case(
            f"{part.id}-full", f"{part.id} at full power" + (f", at its cut-off of {cut:g} V" if cut else ", bank low"),
            {**alone, "sun": "down"}, converters_W={part.id: watts}, bank_soc_ratio=LOW_ratio,
            input_V={part.id: cut} if cut else {},
        )  # fmt: skip


def _surges(wiring: Wiring, alone: Mapping[str, str], everything: Mapping[str, float]) -> Iterator[Case]:
    for load in wiring.rig.use.loads.values():
        figure = known(load.surge)
        if figure is None or (
            load.id not in everything and not any(e.owner == load.id for e in wiring.net.loads)
        ):
            continue
        per_unit = start_V(wiring, load) if figure.unit == "A" else 1.0
        if per_unit is None:
            continue
        stalled = stalled_ohm(wiring, load, figure)
        yield Case(
            f"{load.id}-starts", f"{load.id} starts on a low bank", {**alone, "sun": "down"},
            {load.id: figure.value * per_unit} if stalled is None else {},
            bank_soc_ratio=LOW_ratio, seconds=figure.seconds or SURGE_s, stalled_ohm={} if stalled is None else {load.id: stalled},
        )  # fmt: skip
    for part in (*wiring.rig.of_kind("starter"), *wiring.rig.of_kind("windlass")):
        amps, volts = known(part.figure("running_current")), known(part.figure("voltage"))
        if amps and volts:
            states = dict(alone)
            for name, v in wiring.graph.variables.items():
                if "up" in v.states and v.origin == "hand":
                    states[name] = "up"
            yield Case(
                f"{part.id}-works", f"{part.id} at its working current", states, {part.id: amps.value * volts.value},
                bank_soc_ratio=HALF_ratio, seconds=120.0,
            )  # fmt: skip


def stalled_ohm(wiring: Wiring, load: Load, surge: Figure) -> complex | None:
    """The winding of a motor at standstill, where its locked-rotor current is told with the volts it is told for.

    On alternating current the power factor of the start must be told too.  None otherwise: the start is then taken as power.
    """
    volts = known(load.figures.get("volts", Absent()))
    poles = [e for e in wiring.net.loads if e.owner == load.id]
    if surge.unit != "A" or volts is None or surge.value <= 0 or len(poles) != 1:
        return None
    ohm = volts.value / surge.value
    if wiring.net.number[poles[0].a] not in wiring.poles.ac:
        return complex(ohm)
    factor = known(load.figures.get("start-power-factor", Absent()))
    return cmath.rect(ohm, math.acos(factor.value)) if factor is not None else None


def start_V(wiring: Wiring, load: Load) -> float | None:
    """Volts that a start given in amperes is reckoned at: the load's own, else its inverter's or its bank's; None unknown.

    A locked rotor takes 0.4 to 0.6 of these volt-amperes as power (common practice, no source): taking all of them as
    power is the adverse side for bank, cable and fuse.
    """
    if (own := known(load.figures.get("volts", Absent()))) is not None:
        return own.value
    number, ac = wiring.net.number, wiring.poles.ac
    poles = [e for e in wiring.net.loads if e.owner == load.id]
    if any(number[e.a] in ac for e in poles):
        return max(_told(wiring, "ac_voltage", "inverter", "inverter-charger", "supply-post"), default=None)
    banks = _told(wiring, "nominal_voltage", "battery")
    return banks.pop() if len(banks) == 1 else None


def _told(wiring: Wiring, name: str, *kinds: str) -> set[float]:
    return {f.value for p in wiring.rig.of_kind(*kinds) if (f := known(p.figure(name))) is not None}


def _charging(wiring: Wiring) -> list[End]:
    """What charges on the DC side, one a part."""
    seen: dict[str, End] = {}
    for end in wiring.ends:
        if (
            not end.ac
            and not end.id.endswith(" back")
            and (end.needs is not None or end.role == "alternator")
            and end.role != "dcdc-supply"
        ):
            seen.setdefault(end.owner, end)
    return list(seen.values())


def _chargers(wiring: Wiring) -> Iterator[Case]:
    """Each charger alone on a low bank, and all together."""
    ends = _charging(wiring)
    on = everything_on(wiring)
    for end in ends:
        rest = {e.owner: 0.0 for e in ends if e.owner != end.owner}
        if end.role == "dcdc":
            rest = {k: a for k, a in rest.items() if wiring.rig.parts[k].kind.name != "alternator"}
        yield Case(
            f"{end.owner}-alone",
            f"{end.owner} alone charges a low bank",
            on,
            charge_A=rest,
            bank_soc_ratio=LOW_ratio,
            sun_ratio=1.0,
        )
    if len(ends) > 1:
        yield Case(
            "all-charge", "Every charger at once on a low bank", on, bank_soc_ratio=LOW_ratio, sun_ratio=1.0
        )


def everything_on(wiring: Wiring) -> dict[str, str]:
    """Sun up, engines running, cords in, supplies live."""
    states: dict[str, str] = {}
    for name, v in wiring.graph.variables.items():
        wanted = next((s for s in ("up", "running", "yes", "live", "in") if s in v.states), None)
        if (
            wanted
            and v.origin in ("outside", "hand")
            and v.rule != "unknown"
            and not (v.origin == "hand" and wanted == "up")
        ):
            states[name] = wanted
    return states


def _supplies(wiring: Wiring) -> Iterator[Case]:
    """Outside power at each size it may have: the post's own, and what the stays say."""
    posts = wiring.rig.of_kind("supply-post", "generator")
    if not posts:
        return
    on = {**everything_on(wiring), "sun": "down"}
    for name, v in wiring.graph.variables.items():
        if v.origin == "outside" and "running" in v.states and not name.startswith("generator"):
            on[name] = "stopped"
        elif v.states in (("no", "yes"), ("out", "in")):
            on[name] = v.states[0]
    loads = _all_loads(wiring)
    sizes = {f.value for p in posts if (f := known(p.figure("rated")) or known(p.figure("breaker")))}
    for stay in wiring.rig.use.stays:
        for text in (stay.shore, stay.supply):
            first = text.split(" A")[0].strip()
            if " A" in text and first.replace(".", "", 1).isdigit():
                sizes.add(float(first))
    for size in sorted(sizes):
        yield Case(
            f"supply-{size:g}A",
            f"On a supply of {size:g} A, every load, bank low",
            on,
            loads,
            bank_soc_ratio=LOW_ratio,
            supply_A=size,
        )


def _one_missing(wiring: Wiring, alone: Mapping[str, str], dc: Mapping[str, float]) -> Iterator[Case]:
    """The largest load on a bank with its first battery out."""
    inverters = [
        (p, w) for p in wiring.rig.of_kind("inverter", "inverter-charger") if (w := full_W(p)) is not None
    ]
    parts = wiring.rig.parts
    groups = {p.group: p for p in reversed(list(parts.values())) if p.kind.name == "battery" and p.group}
    for name, first in reversed(list(groups.items())):
        group = parts.get(name)
        if group is not None and (group.join is None or group.count < 2 or group.join.how == "series"):
            continue
        yield Case(
            f"{name}-one-out", f"{first.id} is out: the rest carry everything", {**alone, "sun": "down"}, dc,
            {p.id: w for p, w in inverters}, bank_soc_ratio=HALF_ratio, missing=(first.id,),
        )  # fmt: skip


def _of_file(rig: Rig) -> Iterator[Case]:
    for spec in rig.cases.values():
        yield case_of(spec)


def case_of(spec: CaseSpec) -> Case:
    """A case of the file as the solver takes it."""
    loads: dict[str, float] = {}
    seconds: float | None = None
    for name, given in spec.loads.items():
        figure = known(given)
        if figure is not None:
            loads[name] = figure.value
            seconds = figure.seconds if figure.seconds is not None and seconds is None else seconds
    sun = spec.set.get("sun")
    return Case(
        spec.id, spec.words.get("title", "") or f"{spec.id}, from the file", dict(spec.set), loads,
        bank_soc_ratio=spec.bank_soc_ratio if spec.bank_soc_ratio is not None else HALF_ratio,
        bank_degC=spec.bank_degC if spec.bank_degC is not None else 25.0,
        sun_ratio=1.0 if sun == "up" else 0.0, seconds=seconds,
    )  # fmt: skip
