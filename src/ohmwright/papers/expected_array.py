"""What the model expects of the array when it is proved, at the sun and the warmth measured."""

from collections.abc import Iterator
from typing import TypeAlias

from ohmwright.papers.material import Material
from ohmwright.rig.model import Part
from ohmwright.standards import Published, find
from ohmwright.working import known, number

Row: TypeAlias = tuple[str, str]
"""A subject and what the model expects of it, "" where only the tester can say."""

#: Cell temperatures and light at which a value is printed, besides the formula.
CELLS_degC = (0, 25, 50)
LIGHTS_W_m2 = (400, 700, 1000)
#: Parts that lie between strings and controller and pass their current on.
BETWEEN = ("string-join", "pv-disconnect", "fuse", "breaker", "surge-dc")


def strings_of(m: Material) -> Iterator[tuple[str, list[tuple[int, Part]]]]:
    """Every string: its address, and its modules sort by sort, each with its count."""
    for array in m.rig.parts.values():
        for s in range(1, array.strings + 1):
            sorts: dict[str, list[Part]] = {}
            for k in range(1, array.per_string + 1):
                module = m.rig.parts[f"{array.id}.{s}.{k}"]
                sorts.setdefault(module.record.id, []).append(module)
            yield f"{array.id}.{s}", [(len(same), same[0]) for same in sorts.values()]


def figure_of(part: Part, name: str) -> float | None:
    """A figure's value, None where it is not known."""
    figure = known(part.figure(name))
    return figure.value if figure else None


def _per_kelvin(part: Part, share: str, amount: str, of: float) -> float | None:
    """A coefficient in per cent, whichever way the page prints it."""
    percent, unit = figure_of(part, share), figure_of(part, amount)
    return 100 * unit / of if unit is not None and of else percent


def _signed(value: float) -> str:
    return f"{'−' if value < 0 else '+'} {abs(value):.3g}"


def _string_V(sorts: list[tuple[int, Part]]) -> float | None:
    """Open-circuit volts of a string as its plates say."""
    volts = [figure_of(module, "open_circuit") for _, module in sorts]
    return (
        sum(n * v for (n, _), v in zip(sorts, volts, strict=True) if v is not None)
        if None not in volts
        else None
    )


def open_volts(m: Material) -> Iterator[Row]:
    """Open-circuit volts of each string: the formula, and its value at three cell temperatures."""
    for string, sorts in strings_of(m):
        whole = _string_V(sorts)
        if whole is None:
            yield string, "?"
            continue
        each = [
            (n, volts, _per_kelvin(module, "beta", "beta_voltage", volts))
            for n, module in sorts
            if (volts := figure_of(module, "open_circuit")) is not None
        ]
        betas = [beta for *_, beta in each]
        if None in betas:
            plates = " + ".join(f"{n} × {number(volts)} V" for n, volts, _ in each)
            yield string, f"{plates} = {whole:.1f} V @ 25 °C"
            continue
        formula = " + ".join(
            f"{n} × {number(volts)} V × (1 {_signed(beta or 0.0)}/100 × (Tc − 25))" for n, volts, beta in each
        )
        told = " · ".join(
            f"{sum(n * volts * (1 + (beta or 0.0) / 100 * (t - 25)) for n, volts, beta in each):.1f} V @ {t} °C"
            for t in CELLS_degC
        )
        yield string, f"{formula}: {told}"


def short_amps(m: Material) -> Iterator[Row]:
    """Short-circuit current of each string; of modules that differ each alone, the string gives something between."""
    for string, sorts in strings_of(m):
        each = [figure_of(module, "short_circuit") for _, module in sorts]
        amps = each[0]
        if amps is None or None in each:
            yield string, "?"
            continue
        if len(sorts) > 1:
            alone = ", ".join(
                f"{module.record.title or module.id} {number(a)} A"
                for (_, module), a in zip(sorts, each, strict=True)
                if a is not None
            )
            yield string, m.words.say("expect.unlike", alone=alone)
            continue
        alpha = _per_kelvin(sorts[0][1], "alpha", "alpha_current", amps)
        warm = f" × (1 {_signed(alpha)}/100 × (Tc − 25))" if alpha else ""
        told = " · ".join(f"{amps * g / 1000:.1f} A @ {g} W/m²" for g in LIGHTS_W_m2)
        yield string, f"{number(amps)} A × G/1000{warm}: {told}"


def insulation_band(high_V: float) -> tuple[Published, Published]:
    """Test voltage and least resistance for 1.25 times the open-circuit volts of a string (IEC 62446-1; values IEC 60364-6).

    >>> [p.value for p in insulation_band(139.0)]
    [500.0, 1.0]
    """
    below, up_to = find("insulation/band-1-below").value, find("insulation/band-2-up-to").value
    band = "band-1" if high_V < below else "band-2" if high_V <= up_to else "band-3"
    return find(f"insulation/{band}-test"), find(f"insulation/{band}-least")


def insulation(m: Material) -> Iterator[Row]:
    """Test voltage and least resistance of each string, by a multiple of its open-circuit volts."""
    factor = find("insulation/voltage-factor").value
    for string, sorts in strings_of(m):
        volts = _string_V(sorts)
        if volts is None:
            yield string, "?"
            continue
        high_V = factor * volts
        test, least = insulation_band(high_V)
        yield (
            string,
            f"{factor:g} × {volts:.1f} V = {high_V:.0f} V: {test.value:g} V, ≥ {least.value:g} MΩ",
        )


def power(m: Material) -> Iterator[Row]:
    """Power of the whole array with headroom."""
    modules = [(n, module) for _, sorts in strings_of(m) for n, module in sorts]
    watts = [figure_of(p, "power") for _, p in modules]
    if not watts:
        return
    if None in watts:
        yield "", "?"
        return
    if m.rig.of_kind("pv-controller-pwm") and not m.rig.of_kind("pv-controller"):
        yield "", _passed_on(m, sum(n * x for (n, _), x in zip(modules, watts, strict=True) if x is not None))
        return
    gammas = {figure_of(p, "gamma") for _, p in modules}
    gamma = gammas.pop() if len(gammas) == 1 else None
    total = sum(n * x for (n, _), x in zip(modules, watts, strict=True) if x is not None)
    slope = _signed(gamma) if gamma is not None else "+ γ"
    told = " · ".join(f"{total * g / 1000 * 0.95:.0f} W @ {g} W/m²" for g in LIGHTS_W_m2)
    yield "", f"{total:.0f} W × G/1000 × (1 {slope}/100 × (Tc − 25)) × 0.93 … 0.97: {told}, Tc 25 °C"


def _passed_on(m: Material, plates_W: float) -> str:
    """What a controller gives that passes the modules' current on at the bank's volts."""
    most = [
        max((figure_of(module, "short_circuit") or 0.0) for _, module in sorts) for _, sorts in strings_of(m)
    ]
    return m.words.say("expect.passed-on", amps=number(sum(most)), watts=f"{plates_W:.0f}")


def line_drop(m: Material) -> Iterator[Row]:
    """Drop from the strings' end to each controller, there and back: by ampere, and at the current of the modules."""
    for p in m.rig.of_kind("pv-controller", "pv-controller-pwm"):
        name = f"{p.id}-alone" if f"{p.id}-alone" in m.study.cases else "noon-low"
        if name not in m.study.cases:
            yield p.id, ""
            continue
        solution = m.study.solution(name)
        answers, warm = solution.conductors, solution.case.conductor_degC
        way = list(_way(m, p))
        amps = max((abs(answers[c].current_A) for c in way if c in answers), default=0.0)
        if not way or amps < 0.1 or any(c not in answers for c in way):
            yield p.id, ""
            continue
        short = _without_length(m, way)
        if short:
            yield p.id, m.words.say("expect.no-length", runs=", ".join(short))
            continue
        ohm = sum(answers[c].drop_V / amps for c in way)
        most = _most_amps(m)
        at = f": {1000 * ohm * most:.0f} mV @ {most:.1f} A" if most else ""
        yield p.id, f"{1000 * ohm:.1f} mV/A @ {warm:.0f} °C ({', '.join(way)}){at}"


def _without_length(m: Material, way: list[str]) -> list[str]:
    """Runs on the way whose length nobody wrote down: they count as nothing in the model."""
    runs = dict.fromkeys(m.study.graph.conductors[c].run for c in way)
    return [r for r in runs if r in m.rig.runs and known(m.rig.runs[r].length) is None]


def _most_amps(m: Material) -> float | None:
    amps = [
        min(
            (a for _, module in sorts if (a := figure_of(module, "max_power_current")) is not None),
            default=None,
        )
        for _, sorts in strings_of(m)
    ]
    whole = [a for a in amps if a is not None]
    return sum(whole) if len(whole) == len(amps) and len(m.rig.of_kind("pv-controller")) == 1 else None


def _way(m: Material, controller: Part) -> Iterator[str]:
    """Conductors that carry a controller's whole array current: from its terminals on, as long as there is one a pole."""
    terminals = m.study.graph.terminals
    seen: set[str] = set()
    for pole in "+-":
        at = f"{controller.id}.pv.{pole}"
        while True:
            on = [c for c in m.study.graph.conductors.values() if at in (c.a, c.b) and c.id not in seen]
            if len(on) != 1:
                break
            seen.add(on[0].id)
            yield on[0].id
            far = on[0].b if on[0].a == at else on[0].a
            owner = m.rig.parts.get(terminals[far].owner)
            beyond = [
                t
                for t, x in terminals.items()
                if owner and x.owner == owner.id and t != far and t.endswith(pole)
            ]
            if owner is None or owner.kind.name not in BETWEEN or len(beyond) != 1:
                break
            at = beyond[0]
