"""A stay of the rig file as days of an energy plan."""

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ohmwright.energy import habits
from ohmwright.energy.figures import kept_in_shade, number, setting
from ohmwright.energy.heating import ByHour
from ohmwright.energy.ladder import chilled_W, ladder_W, steady_W, warmed_W
from ohmwright.energy.loads import Notes, Outside, by_hour, day_of, short_run_W, short_runs
from ohmwright.energy.loop import MONTH_DAYS
from ohmwright.energy.plan import LIVED_IN, Bank, Day, Generator, Inverter, StayPlan
from ohmwright.energy.streams import hydro_W, wind_W
from ohmwright.energy.topology import Wiring
from ohmwright.physics.converter import dcdc_out_W
from ohmwright.rig.model import Part, Rig, Stay
from ohmwright.working import Figure

UNATTENDED = "unattended"
_SUPPLY = re.compile(r"(\d+(?:\.\d+)?)\s*A\b(?:.*?(\d+(?:\.\d+)?)\s*V\b)?")


def day_index(month: int, day: int) -> int:
    """Day 0..364 of a month and day."""
    return sum(MONTH_DAYS[: month - 1]) + min(day, MONTH_DAYS[month - 1]) - 1


def _months(first: int, last: int) -> Sequence[int]:
    days = range(first, last + 1) if first <= last else (*range(first, 365), *range(last + 1))
    starts = [sum(MONTH_DAYS[:m]) for m in range(12)]
    return sorted({max(m for m in range(12) if starts[m] <= d) for d in days})


def stay_name(stay: Stay) -> str:
    """What a stay is called: its place and its mode."""
    where = stay.place or " to ".join(w for w in (stay.start, stay.end) if w) or "somewhere"
    span = f"{stay.first[0]:02}-{stay.first[1]:02}..{stay.last[0]:02}-{stay.last[1]:02}"
    return f"{where} {span}"


def stay_plan(
    rig: Rig,
    wiring: Wiring,
    stay: Stay,
    bank: Bank,
    inverter: Inverter,
    generator: Generator,
    own_W: float,
    own_isolated_W: Callable[[str, int], float],
    southern: bool,
    notes: Notes,
    air: Callable[[int], tuple[ByHour, ...]] | None = None,
) -> StayPlan:
    """A stay as days; `air` gives the air outside by day and hour of a month 0..11."""
    name = stay_name(stay)
    mode = stay.mode or "occupied"
    if not stay.mode:
        notes.assume(f"{name}: lived in, no mode given")
    first, last = day_index(*stay.first), day_index(*stay.last)
    isolated = _is_isolated(rig, stay)
    inverter_off = any(
        part.kind.name.startswith("inverter") and stay.set.get(f"{part.id}.hand") == "off"
        for part in rig.parts.values()
    )
    supply_W = _supply_W(rig, stay, mode, notes)
    blown_W = wind_W(wiring, stay, name, bank, notes) if not isolated else 0.0
    bus_W = tuple(w + blown_W for w in _engine_W(wiring, stay, mode, bank, notes))
    may_run = _may_run(rig, stay, mode, generator, notes)
    told: list[str] = []
    devices = _Devices(rig, wiring, inverter, own_W, inverter_off, name)
    days: dict[int, Day] = {}
    between: dict[int, Day] = {}
    for month in _months(first, last):
        season = stay.words.get("season", "") or habits.season_of(month, southern)
        if isolated:
            zero = (0.0,) * 24
            own = (own_isolated_W(mode, month),) * 24
            days[month] = Day(own, zero, zero, zero, zero, zero, own)
            continue
        around = (air(month), habits.INDOORS_degC) if air is not None and mode in LIVED_IN else None
        days[month] = _day(devices, mode, season, _Outside(supply_W, bus_W, may_run, around), notes)
        if stay.nights is not None and stay.nights < (last - first) % 365:
            left = _may_run(rig, stay, UNATTENDED, generator, notes)
            between[month] = _day(
                devices, UNATTENDED, season, _Outside(supply_W, (blown_W,) * 24, left), notes
            )
    if isolated:
        told.append(
            "the bank is cut off: only its own management, what is wired ahead of the main switch and self-discharge draw on it"
        )
    indoors = habits.INDOORS_degC if mode in LIVED_IN else None
    if indoors is not None:
        notes.assume(f"lived-in spaces are at {habits.INDOORS_degC:g} degC")
    shade = 1.0
    if words := stay.words.get("shade", ""):
        share = kept_in_shade(words)
        if share is None:
            notes.lack(
                f"{name}: shade ({words}) is not counted, so its yield is a most, not a mean; write for instance: {words}, 30 % lost"
            )
        else:
            shade = share
    away = next(
        (int(f.value) for k, f in stay.figures.items() if k == "away" and isinstance(f, Figure)), None
    )
    return StayPlan(name, mode, first, last, days, isolated, indoors, away, shade, tuple(told), between)


@dataclass(frozen=True, slots=True)
class _Devices:
    """What does not change from day to day of a stay."""

    rig: Rig
    wiring: Wiring
    inverter: Inverter
    own_W: float
    inverter_off: bool
    stay: str


@dataclass(frozen=True, slots=True)
class _Outside:
    """Power from outside on a day: the supply, engine, hydro and wind generators by hour, when a generator may run."""

    supply_W: float
    bus_W: tuple[float, ...]
    may_run: tuple[float, ...]
    around: Outside | None = None
    """Air outside and inside, where somebody heats."""


def _day(devices: _Devices, mode: str, season: str, outside: _Outside, notes: Notes) -> Day:
    inverter, own_W, supply_W = devices.inverter, devices.own_W, outside.supply_W
    asked = day_of(devices.rig, devices.wiring, mode, season, supply_W > 0.0, notes, outside=outside.around)
    if devices.inverter_off and supply_W <= 0.0 and any(by_hour(asked, True)):
        notes.lack(f"{devices.stay}: the inverter is off, so its AC loads are not counted")
        asked = tuple(a for a in asked if not a.ac)
    ac = by_hour(asked, True)
    inverting = any(ac) and supply_W <= 0.0 and inverter.rated_W > 0.0
    short = short_run_W(asked, inverter.square_per_W) if inverting else (0.0,) * 24
    dc = tuple(w + s + own_W for w, s in zip(by_hour(asked, False), short, strict=True))
    if inverting:
        notes.assume("the inverter is left on all day where AC loads are used")
    idle = (inverter.idle_W if inverting else 0.0,) * 24
    k1 = inverter.proportional_ratio
    lost = tuple(i + s for i, s in zip(idle, short, strict=True))
    return Day(
        dc, ac, idle, (supply_W,) * 24, outside.bus_W, outside.may_run, steady_W(asked, own_W), chilled_W(asked, inverting, k1),
        warmed_W(asked, inverting, k1), ladder_W(asked, inverting, k1, lost), short_runs(asked), short, asked, own_W,
    )  # fmt: skip


def _is_isolated(rig: Rig, stay: Stay) -> bool:
    for variable, state in stay.set.items():
        part = rig.parts.get(variable.split(".", 1)[0])
        if (
            part is not None
            and part.kind.name in ("battery-switch", "switch")
            and state in ("open", "off")
            and part.kind.name == "battery-switch"
        ):
            return True
    return False


def _supply_W(rig: Rig, stay: Stay, mode: str, notes: Notes) -> float:
    if stay.shore == "none":
        return 0.0
    text = stay.supply or stay.shore
    if not text and mode != "shore":
        return 0.0
    chargers = [p for p in rig.parts.values() if p.kind.name == "inverter-charger"]
    volts = next((v for p in chargers if (v := number(p, "ac_voltage", notes)) is not None), 230.0)
    limits = [v for p in chargers if (v := setting(rig, p.id, "supply-limit")) is not None]
    found = _SUPPLY.search(text)
    if found is not None:
        amps = float(found[1])
        volts = float(found[2]) if found[2] else volts
    elif limits:
        amps = min(limits)
    else:
        inlets = [v for p in rig.of_kind("shore-inlet") if (v := number(p, "rated", notes)) is not None]
        amps = min(inlets, default=10.0)
        notes.assume(f"{stay_name(stay)}: a supply of {amps:g} A, nothing said")
    return min([amps, *limits]) * volts


def _engine_W(wiring: Wiring, stay: Stay, mode: str, bank: Bank, notes: Notes) -> tuple[float, ...]:
    """What engine and hydrogenerator put on the bus by hour."""
    rig, out = wiring.rig, [0.0] * 24
    driving = stay.figures.get("driving")
    charging = [p for p in rig.parts.values() if p.kind.name == "dcdc-charger"]
    if isinstance(driving, Figure) and charging:
        watts = engine_power_W(rig, bank, notes)
        _fill(out, habits.ENGINE_HOURS_FROM, driving.value / 3600.0, watts)
    idling = stay.figures.get("idling")
    if isinstance(idling, Figure) and charging:
        after = math.ceil(driving.value / 3600.0) if isinstance(driving, Figure) else 0
        watts = engine_power_W(rig, bank, notes, at_idle=True)
        _fill(out, habits.ENGINE_HOURS_FROM + after, idling.value / 3600.0, watts)
    elif charging and not isinstance(driving, Figure) and mode in ("passage", "anchor", "occupied"):
        notes.assume(f"{stay_name(stay)}: no engine charging is counted; write driving: 1 h to count it")
    wheels = [p for p in rig.parts.values() if p.kind.name == "hydrogenerator"]
    way = stay.figures.get("under-way")
    if wheels and isinstance(way, Figure):
        watts = hydro_W(wiring, stay, stay_name(stay), bank, notes)
        _fill(out, 0, way.value / 3600.0, watts)
    elif wheels and mode == "passage":
        notes.lack(
            f"{stay_name(stay)}: hours under way are not given, so {wheels[0].id} is not counted; write under-way: 20 h"
        )
    return tuple(out)


def engine_hours(stay: Stay) -> tuple[float, ...]:
    """By hour of the day the part of it in which the engine runs."""
    out = [0.0] * 24
    given = sum(f.value for k in ("driving", "idling") if isinstance(f := stay.figures.get(k), Figure))
    _fill(out, habits.ENGINE_HOURS_FROM, given / 3600.0, 1.0)
    return tuple(min(x, 1.0) for x in out)


def engine_power_W(rig: Rig, bank: Bank, notes: Notes | None = None, *, at_idle: bool = False) -> float:
    """What all DC-DC chargers together put on the bus while the engine runs, no more than a hot alternator gives them."""
    said = notes or Notes()
    given_W = {p.id: _dcdc_W(p, bank, said) for p in rig.of_kind("dcdc-charger")}
    asked_W = sum(w / (number(rig.parts[k], "efficiency", said) or 0.9) for k, w in given_W.items())
    alternators = rig.of_kind("alternator")
    if not alternators or asked_W <= 0.0:
        return sum(given_W.values())
    there_W = sum(_alternator_W(p, at_idle, said) for p in alternators)
    if there_W < asked_W:
        said.assume(
            f"while {'idling' if at_idle else 'driving'} the hot alternator's {there_W:.0f} W are less than the DC-DC chargers could take; what the engine and its own loads take is not off"
        )
    return sum(given_W.values()) * min(1.0, there_W / asked_W)


def _alternator_W(part: Part, at_idle: bool, notes: Notes) -> float:
    """Hot, at idle or at cruise, by its page; else a class share of its cold rating."""
    volts = number(part, "voltage", notes) or habits.CLASS_ALTERNATOR_V
    told = number(part, "output_hot_idle" if at_idle else "output_hot_cruise", notes)
    if told is not None:
        return told * volts
    rated, share = number(part, "rated", notes), habits.HOT_IDLE_ratio if at_idle else habits.HOT_CRUISE_ratio
    if rated is None:
        return math.inf
    notes.assume(
        f"{part.id}: hot it gives {100 * share:.0f} % of its rating {'at idle' if at_idle else 'driving'}, class default"
    )
    return share * rated * volts


def _dcdc_W(part: Part, bank: Bank, notes: Notes) -> float:
    """What a DC-DC charger puts on the bus while the engine runs, by its output or by its input limit."""
    out_A = number(part, "output_current", notes) or 0.0
    in_A = number(part, "input_current", notes)
    in_V = number(part, "input_voltage_min", notes) or bank.nominal_V
    ratio = number(part, "efficiency", notes) or 0.9
    return dcdc_out_W(out_A, bank.nominal_V, ratio, in_A if in_A is not None else 1e6, in_V)


def _fill(out: list[float], start: int, hours: float, watts: float) -> None:
    left, h = hours, start
    while left > 1e-9:
        out[h % 24] += watts * min(left, 1.0)
        left, h = left - 1.0, h + 1


def _may_run(rig: Rig, stay: Stay, mode: str, generator: Generator, notes: Notes) -> tuple[float, ...]:
    if generator.rated_W <= 0.0:
        return (0.0,) * 24
    needs = rig.use.generator.get("needs", "")
    if (needs and mode != needs) or "none" in stay.words.get("generator", ""):
        return (0.0,) * 24
    if "manual" in stay.words.get("generator", ""):
        notes.assume(f"{stay_name(stay)}: the generator is started by hand, so it is not counted")
        return (0.0,) * 24
    first, last = generator.allowed_h
    return tuple(1.0 if first <= h < last else 0.0 for h in range(24))
