"""From a rig as written to the plain numbers of an energy year."""

import re
from collections.abc import Callable
from functools import partial

from ohmwright.energy import habits
from ohmwright.energy.banks import bank_of, house_bank
from ohmwright.energy.figures import kept_in_shade, number, setting
from ohmwright.energy.heating import Outdoors, heating_words
from ohmwright.energy.hot_bay import with_bays
from ohmwright.energy.live import ahead_of_main, drains_of
from ohmwright.energy.loads import Notes
from ohmwright.energy.module_light import CLASS_LIGHT, light_of
from ohmwright.energy.outings import with_outings
from ohmwright.energy.plan import (
    LIVED_IN,
    Array,
    Bank,
    CannotTellError,
    EnergyPlan,
    Generator,
    Inverter,
    Plane,
    Tracker,
)
from ohmwright.energy.stays import day_index, stay_plan
from ohmwright.energy.topology import CONTROLLERS, Wiring, members
from ohmwright.physics.converter import proportional_loss_ratio, square_loss_per_W
from ohmwright.physics.diode_fit import NotFitted
from ohmwright.rig.diode import diode_of
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure

_SUPPLY = re.compile(r"(\d+(?:\.\d+)?)\s*A\b(?:.*?(\d+(?:\.\d+)?)\s*V\b)?")
_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*%")
_CLOCK = re.compile(r"(\d{1,2}):\d\d\s*\.\.\s*(\d{1,2}):\d\d")
_HOURS = re.compile(r"(\d+(?:\.\d+)?)\s*h\b")
_BEARING = re.compile(r"(-?\d+(?:\.\d+)?)\s*deg")


def plan_of(rig: Rig, *, southern: bool = False, outdoors: Outdoors | None = None) -> EnergyPlan:
    """The plan of a rig, with everything that had to be assumed; heaters run by the air `outdoors` where their heat loss is known."""
    notes = Notes()
    wiring = Wiring.of(rig)
    bank = bank_of(rig, notes)
    trackers = with_bays(rig, _trackers(rig, wiring, notes), bank, outdoors, notes)
    inverter, charger_A, charger_ratio = _inverter(rig, bank, notes)
    generator = _generator(rig, notes)
    own_W = _own_use(rig, notes)
    isolated_W = _isolated_use(rig)
    stays = tuple(
        stay_plan(
            rig, wiring, stay, bank, inverter, generator, own_W, isolated_W, southern, notes,
            partial(outdoors.of_month, k) if outdoors is not None else None,
        )
        for k, stay in enumerate(rig.use.stays)
    )  # fmt: skip
    lived = [(k, m) for k, s in enumerate(stays) if s.mode in LIVED_IN and not s.isolated for m in s.days]
    for text in heating_words(rig, outdoors, lived):
        notes.assume(text)
    stays = with_outings(stays, [s.nights for s in rig.use.stays], notes)
    if not stays:
        raise CannotTellError(
            "the file has no stays: where and how the year is spent is not known", remedy="write use: stays:"
        )
    covered = sum(any(s.covers(d) for s in stays) for d in range(365))
    if covered < 365:
        notes.assume(f"{365 - covered} days a year are in no stay: nobody there, only the devices' own use")
    return EnergyPlan(
        trackers, bank, stays, inverter, charger_A, charger_ratio, generator, southern,
        tuple(notes.assumed), tuple(notes.unknown), 24.0 * own_W, outdoors,
    )  # fmt: skip


def _trackers(rig: Rig, wiring: Wiring, notes: Notes) -> tuple[Tracker, ...]:
    arrays: dict[str, list[Array]] = {}
    for part in rig.parts.values():
        if part.kind.name != "module" or not (part.strings or not part.group):
            continue
        found = wiring.controllers_of(part.id)
        if not found:
            notes.lack(f"{part.id} is not counted: no run leads from it to a PV controller")
            continue
        if len(found) > 1:
            notes.lack(f"{part.id} leads to {', '.join(found)}: counted at {found[0]}")
        array = _array(rig, part, notes)
        if array is not None:
            arrays.setdefault(found[0], []).append(array)
    out = []
    for controller in rig.parts.values():
        if controller.kind.name not in CONTROLLERS or controller.id not in arrays:
            continue
        limit = number(controller, "output_current", notes)
        if limit is None:
            notes.lack(f"{controller.id}: its current limit is not known: none is applied")
        charge = setting(rig, controller.id, "charge-limit")
        hung = tuple(arrays[controller.id])
        rated = sum(a.rated_W for a in hung)
        switched = controller.kind.name == "pv-controller-pwm"
        peak = 1.0 if switched else number(controller, "efficiency", notes) or 0.97
        idle, k1, k2 = 0.0, 0.0, 0.0
        if not switched:
            notes.assume("PV controllers lose 1.5 % more at full power than at their best, and 1 W to run")
            idle = 1.0
            k2 = square_loss_per_W(idle, rated, peak - 0.015, peak)
            k1 = proportional_loss_ratio(idle, k2, peak)
        margin = number(controller, "run_margin", notes, 1.0) or 1.0
        out.append(
            Tracker(controller.id, hung, min(limit or 1e6, charge or 1e6), idle, k1, k2, margin, switched)
        )
    return tuple(out)


def _array(rig: Rig, part: Part, notes: Notes) -> Array | None:
    modules = [p for p in members(rig, part, "module") if not p.strings]
    powers = [number(p, "power", notes) for p in modules]
    if any(p is None for p in powers) or not powers:
        notes.lack(f"{part.id} is not counted: the power of its modules is not known")
        return None
    rated = sum(p for p in powers if p is not None)
    one = modules[0]
    series = part.per_string or 1
    volts = [number(p, "max_power_voltage", notes) for p in modules[:series]]
    if any(v is None for v in volts):
        notes.assume(f"{part.id}: voltage at maximum power not known, taken as enough for its controller")
    string_V = 1e4 if any(v is None for v in volts) else sum(v for v in volts if v is not None)
    gamma = number(one, "gamma", notes) or -0.38
    beta = number(one, "beta", notes) or -0.30
    place = rig.host.places.get(part.place)
    plane = part.plane or (place.planes.get("all", {}) if place else {})
    tilt, faces = _plane(part, plane, notes)
    gap = part.figure("gap")
    mounting = habits.mounting_of(
        gap.value if isinstance(gap, Figure) else None, one.word("flexible") == "yes"
    )
    notes.assume(
        f"{part.id}: mounting '{mounting}' for its temperature"
        + ("" if isinstance(gap, Figure) else ", its gap not given")
    )
    still, wind, lift = habits.MOUNTINGS[mounting]
    kept = {
        "dirt": habits.DIRT_FLAT if tilt < habits.STEEP_deg else habits.DIRT_STEEP,
        "mismatch": habits.MISMATCH,
        "wiring": habits.WIRING,
        "tracking": habits.TRACKING,
    }
    notes.assume(
        f"{part.id}: dirt {100 * (1 - kept['dirt']):.0f} %, mismatch 2 %, wiring 2 %, tracking 0.5 % lost"
    )
    said = [
        str(x)
        for x in (plane.get("shade", ""), place.words.get("shade", "") if place else "")
        if isinstance(x, str) and x
    ]
    for words in said:
        share = kept_in_shade(words)
        if share is None:
            notes.lack(
                f"{part.id}: shade ({words}) is not counted, so its yield is a most, not a mean; write for instance: mast, 30 % lost"
            )
        else:
            kept["shade"] = kept.get("shade", 1.0) * share
    return Array(
        part.id, rated, gamma, (Plane(tilt, faces),), string_V, beta,
        light=_light(part, one, notes), still_exponent=still, wind_exponent=wind, lift_K=lift, kept=kept,
    )  # fmt: skip


def _light(part: Part, module: Part, notes: Notes) -> tuple[float, ...]:
    """How a module's efficiency changes with light: by the one diode of its page, else of a class."""
    found = diode_of(module)
    if isinstance(found, NotFitted):
        notes.assume(f"{part.id}: efficiency in little light of a class ({found.why})")
        return CLASS_LIGHT
    light = light_of(found.module)
    notes.assume(
        f"{part.id}: power by one diode fitted to its page, as a surface within {100 * light.error_ratio:.1f} % of it from 50 to 1200 W/m2; the printed power coefficient rules the heat"
    )
    return light.numbers


def _plane(part: Part, plane: "object", notes: Notes) -> tuple[float, float | None]:
    if not isinstance(plane, dict) and not hasattr(plane, "get"):
        return 0.0, None
    tilt = plane.get("tilt")
    faces = plane.get("faces")
    if isinstance(tilt, Figure):
        bearing = _BEARING.search(faces) if isinstance(faces, str) else None
        if isinstance(faces, Figure):
            return tilt.value, faces.value
        if bearing is None and tilt.value > 0.0:
            notes.assume(f"{part.id}: its heading is not fixed, so all headings count alike")
        return tilt.value, float(bearing[1]) if bearing else None
    if part.words.get("flat") != "yes" and faces != "flat":
        notes.assume(f"{part.id}: taken as lying flat, its tilt not given")
    return 0.0, None


def _inverter(rig: Rig, bank: Bank, notes: Notes) -> tuple[Inverter, float, float]:
    found = [p for p in rig.parts.values() if p.kind.name in ("inverter", "inverter-charger")]
    if not found:
        return Inverter(), 0.0, 0.88
    if len(found) > 1:
        notes.lack(f"{len(found)} inverters: only {found[0].id} is counted")
    part = found[0]
    idle = number(part, "idle", notes) or 20.0
    peak = number(part, "efficiency_peak", notes) or 0.93
    full = number(part, "efficiency_full", notes) or 0.88
    rated = number(part, "power", notes)
    if rated is None:
        rated = number(part, "apparent_power", notes, 2000.0) or 2000.0
    k2 = square_loss_per_W(idle, rated, min(full, peak), peak)
    k1 = proportional_loss_ratio(idle, k2, peak)
    inverter = Inverter(idle, k1, k2, rated, *_cut_off(rig, part, bank, notes))
    if part.kind.name != "inverter-charger":
        return inverter, 0.0, 0.88
    charger = setting(rig, part.id, "charge") or number(part, "charge_current", notes) or 0.0
    ratio = number(part, "charge_efficiency", notes) or 0.88
    return inverter, min(charger, bank.charge_A), ratio


def _cut_off(rig: Rig, part: Part, bank: Bank, notes: Notes) -> tuple[float, float, float]:
    """Volts at which an inverter lets go, at which it comes back, and the part of the bank's drop that it sees; none where it is not known."""
    cut = setting(rig, part.id, "cut-off") or number(part, "cutoff_voltage", notes)
    if not cut:
        notes.lack(f"{part.id}: its cut-off is not known: none is followed")
        return 0.0, 0.0, 1.0
    back = setting(rig, part.id, "restart") or setting(rig, part.id, "reconnect")
    if not back:
        back = cut + habits.RETURN_V_per_12V * bank.nominal_V / 12.0
        notes.assume(f"{part.id}: back at {back:.1f} V after a cut-off, class default")
    return cut, max(back, cut), 0.0 if part.word("cutoff_load_corrected") == "yes" else 1.0


def _generator(rig: Rig, notes: Notes) -> Generator:
    found = [p for p in rig.parts.values() if p.kind.name == "generator"]
    said = rig.use.generator
    if not found:
        return Generator()
    part = found[0]
    rated = number(part, "power", notes)
    if rated is None:
        notes.lack(f"{part.id} is not counted: its power is not known")
        return Generator()
    loss = number(part, "altitude_loss", notes, 0.01) or 0.01
    free = number(part, "altitude_free", notes, 300.0) or 300.0
    height = max((s.altitude_m or 0.0 for s in rig.use.stays), default=0.0)
    if height > free:
        rated *= 1.0 - loss * (height - free) / 100.0
    starts, stops = _PERCENT.search(said.get("starts", "")), _PERCENT.search(said.get("stops", ""))
    if starts is None or stops is None:
        notes.lack(
            f"{part.id} is not counted: at what charge it starts and stops is not given (use: generator:)"
        )
        return Generator()
    clock = _CLOCK.search(said.get("allowed", ""))
    least = _HOURS.search(said.get("least-run", ""))
    diesel = "diesel" in (said.get("fuel", ""), part.word("fuel"))
    slope, idle = habits.FUEL_L_per_kWh["diesel" if diesel else "petrol"]
    notes.assume(
        f"{part.id}: burns {slope:g} L a kWh given and {idle:g} L an hour a kW of its rating, class default"
    )
    return Generator(
        rated,
        float(starts[1]) / 100,
        float(stops[1]) / 100,
        (int(clock[1]), int(clock[2])) if clock else (0, 24),
        slope,
        idle,
        _exercise_h(rig, notes),
        float(least[1]) if least else 0.0,
    )


def _exercise_h(rig: Rig, notes: Notes) -> float:
    """Hours of a run that keeps the generator well, by how often the file says: weekly or monthly, while somebody is there if it says so."""
    said = rig.use.generator.get("exercise", "")
    each_days = next((d for word, d in habits.EXERCISE_days.items() if word in said), None)
    if each_days is None:
        return 0.0
    lived = [s for s in rig.use.stays if (s.mode or "occupied") in LIVED_IN]
    days = (
        sum((day_index(*s.last) - day_index(*s.first)) % 365 + 1 for s in lived)
        if "occupied" in said
        else 365
    )
    notes.assume(
        f"the generator is exercised {said}, {habits.EXERCISE_h:g} h each time, class default; its charge is not counted"
    )
    return habits.EXERCISE_h * (days // each_days)


def _own_use(rig: Rig, notes: Notes) -> float:
    """Watts that the devices take for themselves."""
    own = 0.0
    for part in rig.parts.values():
        if part.join or part.count > 1 or part.strings:
            continue
        if part.kind.name == "battery" and part.word("chemistry") == "lfp" and part.word("bms") != "outside":
            own += number(part, "bms_draw", notes) or 0.0
        elif "self_use" in part.kind.figures:
            given = part.figure("self_use")
            if isinstance(given, Figure):
                own += given.value
    return own


def _isolated_use(rig: Rig) -> Callable[[str, int], float]:
    """What still draws on a bank that is cut off, by mode and month; the wiring is read when it is first asked for."""
    group = house_bank(rig, Notes())
    ahead: list[frozenset[str]] = []

    def watts(mode: str, month: int) -> float:
        if not ahead:
            ahead.append(ahead_of_main(rig, group))
        return sum(d.draw_W for d in drains_of(rig, mode, month, True, ahead[0], group))

    return watts
