"""What the model expects of each test when a rig is proved. Where it knows nothing, the row is blank and says what to note."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from ohmwright.checks.place.weight import laden_of
from ohmwright.circuit.banks import cell_of, rest_V
from ohmwright.circuit.cases import FULL_ratio, LOW_ratio
from ohmwright.circuit.solve import solve
from ohmwright.circuit.types import Solution
from ohmwright.papers import expected_array as array
from ohmwright.papers.expected_array import Row, figure_of
from ohmwright.papers.figures import banks, guard_class
from ohmwright.papers.material import Material
from ohmwright.papers.settings_sheet import told as setting_told
from ohmwright.physics.copper import copper_ohm_per_m
from ohmwright.rig.model import Load, Part
from ohmwright.rig.ports import is_group
from ohmwright.working import Figure, known, number, tell

Rows = Callable[[Material], Iterator[Row]]
GUARDING = ("fuse", "breaker", "rcbo", "rcd")
CHARGERS = ("inverter-charger", "pv-controller", "pv-controller-pwm", "dcdc-charger", "hydro-controller")
#: States of charge at which a rested battery's volts are printed, and steps of the inverter's load.
CHARGES, STEPS = (0.5, 0.75, 1.0), (0.25, 0.5, 0.75)


def _own_ohm(m: Material, run: str) -> float | None:
    found = [c for c in m.study.graph.conductors.values() if c.run == run]
    if not found or any(c.area_mm2 is None or c.length_m is None for c in found):
        return None
    return max(copper_ohm_per_m(c.area_mm2 or 1.0, 20.0) * (c.length_m or 0.0) for c in found)


def _each_bonded(m: Material) -> Iterator[Row]:
    for r in m.rig.runs.values():
        if r.role in ("bond", "earth"):
            ohm = _own_ohm(m, r.id)
            own = m.words.say("expect.own-ohm", mohm=f"{1000 * ohm:.1f}") if ohm is not None else ""
            yield r.id, " · ".join(x for x in (f"{r.start} – {r.stop}", own) if x)


def _looked_over(m: Material) -> Iterator[Row]:
    """The whole, and each device that guards with the rating that has to be in it."""
    cables = len({c.run for c in m.study.graph.conductors.values()})
    yield "", m.words.say("expect.counts", cables=cables, conductors=len(m.study.graph.conductors))
    for p in m.rig.parts.values():
        if p.kind.name in GUARDING and not is_group(p):
            rated, volts = figure_of(p, "rated"), figure_of(p, "voltage")
            told = (
                guard_class(m.words, p),
                f"{number(rated)} A" if rated is not None else "? A",
                f"{number(volts)} V" if volts is not None else "",
            )
            yield p.id, " · ".join(x for x in told if x)


def _relays(m: Material) -> Iterator[Row]:
    if not any(t.pole in ("L", "L1") for t in m.study.graph.terminals.values()):
        return
    inverters = _inverters(m)
    if not inverters:
        yield "", ""
    for p in inverters:
        given = m.rig.settings.get(p.id, {}).get("ground-relay")
        yield p.id, m.words.say("expect.relay", set=setting_told(m, given)) if given is not None else ""


def _batteries(m: Material) -> Iterator[Row]:
    """Volts at rest by charge, of the class of its chemistry."""
    for p in m.rig.of_kind("battery"):
        cell = cell_of(p)
        rested = [(s, rest_V(cell, s)) for s in CHARGES] if cell.cells is not None else []
        told = " · ".join(f"{100 * s:.0f} %: {v:.2f} V" for s, v in rested if v is not None)
        volts = cell.nominal_V
        yield p.id, m.words.say("expect.rested", told=told) if told else f"{number(volts)} V" if volts else ""


def _standby(m: Material) -> Iterator[Row]:
    """What draws with everything switched off, as the laid-up stay reckons it."""
    w = m.words
    drains = m.year.storage[0].drains if m.year and m.year.storage else ()
    volts = _bank_volts(m)
    if drains and volts:
        watts = sum(d.draw_W for d in drains)
        yield (
            "",
            w.say("expect.standby", amps=f"{watts / volts:.2f}", what=", ".join(d.subject for d in drains)),
        )
    else:
        yield "", ""


def _bank_volts(m: Material) -> float | None:
    """Nominal volts of the largest bank."""
    found = [
        (figure_of(b, "capacity") or 0.0, v) for b in banks(m.rig) if (v := figure_of(b, "nominal_voltage"))
    ]
    return max(found)[1] if found else None


def _watts(load: Load) -> float | None:
    found = [
        f.value for given in load.power.values() if (f := known(given)) is not None and f.unit in ("W", "VA")
    ]
    return max(found, default=None)


def _on_ac(m: Material, load: Load) -> bool:
    return any(t.pole in ("L", "L1") and t.owner == load.id for t in m.study.graph.terminals.values())


def _one_load(m: Material) -> Iterator[Row]:
    """The shunt, and the steadiest known load to try its sign with: the largest direct-current one below 100 W."""
    volts = _bank_volts(m)
    loads = [
        (x, w)
        for x in m.rig.use.loads.values()
        if not _on_ac(m, x) and (w := _watts(x)) is not None and w <= 100
    ]
    for p in m.rig.of_kind("shunt"):
        if volts and loads:
            load, watts = max(loads, key=lambda found: found[1])
            yield (
                p.id,
                m.words.say(
                    "expect.one-load", load=load.id, watts=number(watts), amps=f"{watts / volts:.2f}"
                ),
            )
        else:
            yield p.id, ""


def _each_load(m: Material) -> Iterator[Row]:
    """Every load by what it takes; one on alternating current through the inverter."""
    volts, inverters = _bank_volts(m), _inverters(m)
    if not m.rig.of_kind("shunt"):
        return
    efficiency = next((e for p in inverters if (e := figure_of(p, "efficiency_peak"))), None)
    for load in m.rig.use.loads.values():
        watts = _watts(load)
        share = 1.0 if not _on_ac(m, load) else efficiency
        if set(load.only) == {"shore"}:
            yield load.id, m.words.say("expect.from-outside")
        elif watts is None or volts is None or share is None:
            yield load.id, ""
        else:
            through = "" if share == 1.0 else f" / {share:.2f}"
            yield load.id, f"{number(watts)} W{through} / {number(volts)} V = {watts / share / volts:.1f} A"


def _settings(m: Material) -> Iterator[Row]:
    for part, values in m.rig.settings.items():
        yield part, " · ".join(f"{key}: {setting_told(m, value)}" for key, value in values.items())


def _first_light(m: Material) -> Iterator[Row]:
    for p in m.rig.of_kind("pv-controller", "pv-controller-pwm"):
        share, held = figure_of(p, "efficiency"), m.rig.settings.get(p.id, {}).get("absorption")
        told = (
            f"η {share:.2f}" if share is not None else "",
            m.words.say("expect.held", volts=setting_told(m, held)) if held is not None else "",
        )
        yield p.id, " · ".join(x for x in told if x)


def _inverters(m: Material) -> tuple[Part, ...]:
    return (*m.rig.of_kind("inverter-charger"), *m.rig.of_kind("inverter"))


def _idle(m: Material) -> Iterator[Row]:
    for p in _inverters(m):
        watts, volts = figure_of(p, "idle"), figure_of(p, "dc_nominal")
        told = (
            f"{number(watts)} W / {number(volts)} V = {watts / volts:.2f} A"
            if watts is not None and volts
            else "?"
        )
        yield p.id, told


def _output(m: Material) -> Iterator[Row]:
    for p in (*_inverters(m), *m.rig.of_kind("generator")):
        volts, hertz = figure_of(p, "ac_voltage"), figure_of(p, "frequency")
        yield p.id, f"{number(volts) if volts else '?'} V · {number(hertz) if hertz else '?'} Hz"


def _volts_at(solution: Solution, part: str) -> float | None:
    plus, minus = solution.nodes.get(f"{part}.dc.+"), solution.nodes.get(f"{part}.dc.-")
    return plus.volts - minus.volts if plus and minus else None


def _at_charge(m: Material, case: str, soc_ratio: float) -> Solution:
    """A case with the bank as full as it is when somebody measures, every input at the volts that it has then."""
    return solve(m.rig, m.study.graph, replace(m.study.cases[case], bank_soc_ratio=soc_ratio, input_V={}))


def _load_steps(m: Material) -> Iterator[Row]:
    """Volts and drop from the bank's posts to the inverter at full load, the bank full; shares of the batteries.

    A low bank may fall below the inverter's own cut-off at full load: then it stops, and no volts are to be read.
    """
    for p in _inverters(m):
        name = f"{p.id}-full"
        if name not in m.study.cases:
            continue
        solution = _at_charge(m, name, FULL_ratio)
        volts = _volts_at(solution, p.id)
        if not solution.converged or volts is None:
            yield p.id, "?"
            continue
        amps = sum(abs(b.current_A) for b in solution.batteries.values())
        yield p.id, f"100 %: {volts:.2f} V, {amps:.0f} A · {_of_a_low_bank(m, p, name)}"
        post = _post_volts(solution)
        if post is not None and amps > 0:
            lost = post - volts
            steps = " · ".join(f"{100 * s:.0f} %: {1000 * lost * s:.0f} mV" for s in (*STEPS, 1.0))
            yield f"{p.id}-drop", m.words.say("expect.drop", mohm=f"{1000 * lost / amps:.2f}", steps=steps)
        for battery, answer in solution.batteries.items():
            share = f", {100 * answer.share:.0f} %" if answer.share is not None else ""
            yield battery, f"100 %: {abs(answer.current_A):.0f} A{share}"


def _of_a_low_bank(m: Material, p: Part, case: str) -> str:
    """What a low bank would leave at full load, against the cut-off that is set."""
    low = _at_charge(m, case, LOW_ratio)
    volts, cut = _volts_at(low, p.id), m.rig.settings.get(p.id, {}).get("cut-off")
    soc = f"{100 * LOW_ratio:.0f}"
    if not low.converged or volts is None:
        return m.words.say("expect.full-bank-falls", soc=soc)
    if isinstance(cut, Figure) and volts < cut.value:
        return m.words.say("expect.full-bank-stops", soc=soc, volts=f"{volts:.2f}", cut=f"{cut.value:.2f}")
    return m.words.say("expect.full-bank", soc=soc, volts=f"{volts:.2f}")


def _post_volts(solution: Solution) -> float | None:
    """Mean volts at the posts of the batteries."""
    found = []
    for battery in solution.batteries:
        plus, minus = solution.nodes.get(f"{battery}.+"), solution.nodes.get(f"{battery}.-")
        if plus and minus:
            found.append(plus.volts - minus.volts)
    whole = [v for v in found if v > 0]
    return sum(whole) / len(whole) if whole else None


def _starts(m: Material) -> Iterator[Row]:
    for name, case in m.study.cases.items():
        if case.seconds is not None and name.endswith("-starts"):
            for p in _inverters(m):
                volts = _volts_at(m.study.solution(name), p.id)
                cut = m.rig.settings.get(p.id, {}).get("cut-off")
                least = f" (> {cut.value + 0.5:.1f} V)" if isinstance(cut, Figure) else ""
                if volts is not None and m.study.solution(name).converged:
                    yield name, f"{p.id}: {volts:.2f} V{least}"


def _set(key: str) -> Rows:
    def rows(m: Material) -> Iterator[Row]:
        for part, values in m.rig.settings.items():
            given = values.get(key)
            if isinstance(given, Figure):
                yield part, tell(given.value, given.unit, 4)

    return rows


def _charging(m: Material) -> Iterator[Row]:
    """The charger at its set current: watts into the bank, and what it takes from the supply."""
    for part, values in m.rig.settings.items():
        amps, held = values.get("charge"), values.get("absorption")
        p = m.rig.parts[part]
        if not isinstance(amps, Figure):
            continue
        share, mains = figure_of(p, "charge_efficiency"), figure_of(p, "ac_voltage")
        if not isinstance(held, Figure) or not share or not mains:
            yield part, tell(amps.value, "A", 4)
            continue
        watts = amps.value * held.value
        taken = f"{watts / share:.0f} W, {watts / share / mains:.1f} A @ {number(mains)} V"
        yield part, f"{number(amps.value)} A × {number(held.value)} V / {share:.2f} = {taken}"


def _engine_charging(m: Material) -> Iterator[Row]:
    for p in m.rig.of_kind("dcdc-charger"):
        amps, share, held = (
            figure_of(p, "output_current"),
            figure_of(p, "efficiency"),
            m.rig.settings.get(p.id, {}).get("absorption"),
        )
        if amps is None or not share or not isinstance(held, Figure):
            yield p.id, ""
        else:
            told = amps * held.value / share
            yield (
                p.id,
                f"{number(amps)} A × {number(held.value)} V / ({share:.2f} × V in): {told / 13.5:.1f} A @ 13.5 V",
            )


def _lockout(m: Material) -> Iterator[Row]:
    """The warmth below which nothing may charge, by the bank's page."""
    cold = [
        c.value
        for b in m.rig.of_kind("battery")
        for name in ("cell_charge_min_temperature", "charge_min_temperature")
        if (c := known(b.figure(name))) is not None
    ]
    told = m.words.say("expect.cold", degC=f"{max(cold):.0f}") if cold else ""
    return ((p.id, told) for p in m.rig.of_kind(*CHARGERS))


def _management(m: Material) -> Iterator[Row]:
    lead = ("flooded", "start", "agm", "gel")
    batteries = [p for p in m.rig.of_kind("battery") if not is_group(p) and p.word("chemistry") not in lead]
    seen: set[str] = set()
    for p in batteries:
        high, low = figure_of(p, "charge_voltage_max"), figure_of(p, "cutoff_voltage")
        if p.record.id not in seen:
            seen.add(p.record.id)
            told = (f"> {number(high)} V" if high else "", f"< {number(low)} V" if low else "")
            yield p.group or p.id, " · ".join(x for x in told if x)


def _full(m: Material) -> Iterator[Row]:
    for p in m.rig.of_kind("shunt"):
        values = m.rig.settings.get(p.id, {})
        told = [
            f"{k}: {setting_told(m, values[k])}"
            for k in ("full", "end-current", "hold", "capacity")
            if k in values
        ]
        yield p.id, " · ".join(told)


def _cut_off(m: Material) -> Iterator[Row]:
    for part, values in m.rig.settings.items():
        told = [
            f"{k}: {setting_told(m, values[k])}" for k in ("alarm", "cut-off", "reconnect") if k in values
        ]
        if told:
            yield part, " · ".join(told)


def _night(m: Material) -> Iterator[Row]:
    if "night" not in m.study.cases or not m.study.solution("night").converged:
        yield "", ""
        return
    amps = sum(-b.current_A for b in m.study.solution("night").batteries.values())
    yield "", m.words.say("expect.night", amps=f"{amps:.1f}")


def _parts(*kinds: str) -> Rows:
    return lambda m: ((p.id, "") for p in m.rig.of_kind(*kinds))


def _guarded(m: Material) -> Iterator[Row]:
    for p in m.rig.of_kind("rcd", "rcbo"):
        amps = figure_of(p, "residual")
        yield p.id, f"{number(round(1000 * amps, 3))} mA" if amps else ""


def _cuts(m: Material) -> Iterator[Row]:
    for name, cut in m.rig.cuts.items():
        live = ", ".join(cut.stays_live) or m.words.say("label.nothing")
        yield name, m.words.say("tests.stays-live", what=live)


def _weight(m: Material) -> Iterator[Row]:
    if m.rig.host.kind in ("boat", "cabin"):
        return
    laden, _ = laden_of(m.study)
    yield "", f"{m.units.heavy(laden.value):.0f} {m.units.mass}" if laden else "?"
    coupling = next((f for f in m.findings if f.rule == "place/tongue" and f.value is not None), None)
    if coupling is not None and coupling.unit == "kg" and coupling.value is not None:
        yield "tongue", f"{m.units.heavy(coupling.value):.0f} {m.units.mass}"


def _only(kind: str) -> Rows:
    return lambda m: iter([("", "")] if m.rig.host.kind == kind else [])


def _with_ac(m: Material) -> Iterator[Row]:
    if any(t.pole in ("L", "L1") for t in m.study.graph.terminals.values()):
        yield "", ""


def _sources(m: Material) -> Iterator[Row]:
    return ((p.id, "") for p in m.rig.of_kind("supply-post", "generator", "inverter-charger", "inverter"))


def _ac_loads(m: Material) -> Iterator[Row]:
    return ((x.id, "") for x in m.rig.use.loads.values() if _on_ac(m, x))


def _roof(m: Material) -> Iterator[Row]:
    if m.rig.host.kind != "cabin" and any(p.strings for p in m.rig.parts.values()):
        yield "", ""


def _has(*kinds: str) -> Rows:
    def rows(m: Material) -> Iterator[Row]:
        if any(not is_group(p) and p.kind.name in kinds for p in m.rig.parts.values()):
            yield "", ""

    return rows


def _generators(m: Material) -> Iterator[Row]:
    return ((p, told) for p, told in _output(m) if m.rig.parts[p].kind.name == "generator")


def _inverter_output(m: Material) -> Iterator[Row]:
    return ((p, told) for p, told in _output(m) if m.rig.parts[p].kind.name != "generator")


ROWS: Mapping[str, Rows] = {
    "1": _looked_over, "3": _each_bonded, "4": _relays, "5": array.insulation, "7": _with_ac, "8": _batteries, "9": array.open_volts, "10": array.short_amps,
    "11": _standby, "12": _one_load, "13": _each_load, "14": _settings, "15": _first_light, "16": array.power, "17": array.line_drop, "43": _ac_loads, "18": _idle,
    "19": _inverter_output, "19b": _sources, "20": _guarded, "21": _load_steps, "23": _starts, "24": _cut_off, "25": _set("supply-limit"), "26": _charging,
    "27": _set("supply-limit"), "28": _parts("shore-inlet"), "29": _generators, "30": _engine_charging, "31": _has("alternator"), "32": _lockout, "45": _lockout,
    "33": _management, "35": _full, "37": _weight, "38": _roof, "39": _night, "41": _cuts, "42": _parts("shore-inlet"), "46": _only("boat"),
}  # fmt: skip
