"""The house bank of a rig as one battery."""

import re

from ohmwright.energy import habits
from ohmwright.energy.curves import HALF_GAP_V, LEAD_WELLS, rest_numbers
from ohmwright.energy.loads import Notes
from ohmwright.energy.plan import Bank, CannotTellError
from ohmwright.energy.topology import banks_by_size, members
from ohmwright.physics.bank import rest_V
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure

_BELOW = re.compile(r"below\s+(-?\d+(?:\.\d+)?)\s*degC")
LEAD = ("agm", "gel", "flooded", "start")


def _value(part: Part, name: str) -> float | None:
    given = part.figure(name)
    return given.value if isinstance(given, Figure) else None


def house_bank(rig: Rig, notes: Notes) -> Part:
    """The part that is the house bank: the largest that is no start battery."""
    found = banks_by_size(rig)
    if not found:
        raise CannotTellError(
            "the rig has no battery: without a bank there is no energy year",
            remedy="write a battery under parts:",
        )
    for other in found[1:]:
        notes.assume(f"{other.id} is no part of the house bank {found[0].id}: a store of its own")
    return found[0]


def bank_of(rig: Rig, notes: Notes) -> Bank:
    """The house bank, its figures from its members; what is missing is a class default, except its capacity."""
    group = house_bank(rig, notes)
    each = members(rig, group, "battery")
    one = each[0]
    capacities = [_value(p, "capacity") for p in each]
    volts = _value(one, "nominal_voltage")
    if any(c is None for c in capacities) or volts is None:
        raise CannotTellError(
            f"the capacity or nominal voltage of {group.id} is not known",
            remedy=f"write {group.id}: capacity and nominal-voltage",
        )
    series = len(each) if group.join is not None and group.join.how == "series" else 1
    parallel = len(each) // series
    known_Ah = [c for c in capacities if c is not None]
    capacity = min(known_Ah) if series > 1 else sum(known_Ah)
    lead = one.word("chemistry") in LEAD
    if one.word("chemistry") == "unknown":
        notes.assume(f"{group.id}: chemistry not known, taken as lithium iron phosphate")
    chemistry = "lead" if lead else "lfp"
    cells = _value(one, "cell_count") or round(volts / habits.CLASS_CELL_V[chemistry])
    cells_all = cells * series
    nominal = volts * series

    def told(name: str, class_value: float, what: str) -> float:
        value = _value(one, name)
        if value is None:
            notes.assume(f"{group.id}: {what} {class_value:.4g}, class default")
            return class_value
        return value

    def standard(name: str) -> float:
        given = one.with_default(name)
        if isinstance(given, Figure) and not isinstance(one.figure(name), Figure):
            notes.assume(f"{one.id}.{name} {given.text}, class default")
        return given.value if isinstance(given, Figure) else 0.0

    each_Ah = known_Ah[0]
    resistance = told(
        "resistance", habits.CLASS_RESISTANCE[chemistry] * volts / each_Ah, "resistance in ohm of one battery"
    )
    if lead:
        hours_ohm = habits.LEAD_HOURS_RESISTANCE * volts / each_Ah
        half_ohm = hours_ohm * (1.0 + habits.LEAD_LOW_GAIN_ratio * 0.5)
        if hours_ohm > resistance:
            notes.assume(
                f"{group.id}: under current for hours a lead-acid battery of its size resists with {1000 * hours_ohm:.0f} mohm when full and {1000 * half_ohm:.0f} at half charge, a class after Copetti, not with the {1000 * resistance:.0f} mohm of a moment"
            )
            resistance = hours_ohm
    charge = (
        told("charge_max", habits.CLASS_CHARGE[chemistry] * each_Ah, "charging limit in A of one battery")
        * parallel
    )
    discharge = (
        told(
            "discharge_max",
            habits.CLASS_DISCHARGE[chemistry] * each_Ah,
            "discharge limit in A of one battery",
        )
        * parallel
    )
    set_V = _absorption_V(rig) or (_value(one, "charge_voltage") or 0.0) * series or 0.0
    if not set_V:
        set_V = habits.CLASS_SET_V[chemistry] * cells_all
        notes.assume(f"{group.id}: absorption {set_V:g} V, class default")
    floor = _opens_at(rig) if not lead else None
    if floor is None:
        if lead and _value(one, "usable") is None:
            floor = habits.LEAD_FLOOR
            notes.assume(f"{group.id}: lead-acid is used down to {100 * floor:.0f} %, class default")
        else:
            floor = 1.0 - standard("usable")
    share, rate, whole = LEAD_WELLS if lead else (1.0, None, 1.0)
    if lead:
        notes.assume(
            f"{group.id}: two-well shape and gassing of a lead-acid class, not of this battery; a ranking, not a promise"
        )
    place = rig.host.places.get(group.place)
    heat = {k: v.value for k, v in (place.figures.items() if place else ()) if isinstance(v, Figure)}
    mass = _value(one, "mass")
    if mass is None:
        mass = each_Ah * volts / (30.0 if lead else 100.0)
        notes.assume(f"{group.id}: mass {mass:.0f} kg of one battery, class default")
    minimum = _value(one, "charge_min_temperature")
    if minimum is None and not lead:
        notes.assume(f"{group.id}: no charging below 0 degC, class default")
    switched_on = _thermostat_degC(rig)
    kept_above = heat.get("kept-above")
    if kept_above is not None and switched_on is not None:
        kept_above = switched_on
    surplus = "kept-above" in heat and _on_surplus(rig)
    if surplus:
        notes.assume(
            f"{group.id}: its heater runs only in hours when the array brings more than the loads ask, whatever the bank's charge"
        )
    return Bank(
        chemistry,
        capacity * whole,
        nominal,
        floor,
        resistance * series / parallel,
        charge,
        discharge,
        set_V,
        rest_numbers(chemistry, cells_all),
        activation_kJ_per_mol=25.0 if not lead else 15.0,
        leak_percent_per_month=standard("self_discharge"),
        kept_ratio=1.0 if lead else standard("coulombic"),
        gas_ratio=1.0 if lead else 0.0,
        half_gap_V=HALF_GAP_V[chemistry] * cells_all,
        well_share_ratio=share,
        well_rate_per_h=rate,
        charge_min_degC=-30.0 if lead else (minimum if minimum is not None else 0.0),
        charge_max_degC=_value(one, "charge_max_temperature") or 55.0,
        discharge_min_degC=_value(one, "discharge_min_temperature") or -20.0,
        regime=place.regime if place else "outside",
        kept_above_degC=kept_above,
        heater_W=_heater_W(rig, notes) if "kept-above" in heat else 0.0,
        heated_by_surplus=surplus,
        low_knee_ratio=habits.LEAD_LOW_KNEE_ratio if lead else habits.LOW_KNEE_ratio,
        low_gain_ratio=habits.LEAD_LOW_GAIN_ratio
        if lead
        else (habits.CLASS_AT_5_FACTOR - 1.0) / (habits.LOW_KNEE_ratio - 0.05),
        stiff_ratio=habits.LEAD_STIFF_ratio if lead else 0.0,
        square_ratio=habits.LEAD_SQUARE_ratio if lead else 0.0,
        ease_ratio=habits.LEAD_EASE_ratio if lead else 0.0,
        open_V=0.0 if lead else (_value(one, "cutoff_voltage") or 0.0) * series,
        restart_ratio=_restart_ratio(rig, rest_numbers(chemistry, cells_all), floor, notes),
        conductance_W_per_K=heat.get("UA", 2.0),
        capacity_J_per_K=mass * len(each) * 1000.0,
    )


def _heater_W(rig: Rig, notes: Notes) -> float:
    """Power of the pads that keep the bank's place above its temperature."""
    watts = sum(_value(p, "power") or 0.0 for p in rig.of_kind("pad-heater"))
    if not watts:
        notes.assume("what keeps the bank's place warm takes nothing from the bank: no heater in the file")
    return watts


def _absorption_V(rig: Rig) -> float | None:
    """The absorption setting of the PV controllers, else of any charger."""
    kinds = ("pv-controller", "pv-controller-pwm", "inverter-charger", "dcdc-charger")
    for kind in kinds:
        found = [
            s.value
            for p in rig.parts.values()
            if p.kind.name == kind and isinstance(s := rig.setting(p.id, "absorption"), Figure)
        ]
        if found:
            return max(found)
    return None


def _opens_at(rig: Rig) -> float | None:
    """The state of charge at which an outside management opens."""
    for part in rig.of_kind("bms-outside"):
        given = rig.setting(part.id, "opens")
        if isinstance(given, Figure) and given.unit == "1":
            return given.value
    return None


def _on_surplus(rig: Rig) -> bool:
    """Whether the pads hang behind a relay that a PV controller closes on surplus."""
    return any(
        ".surplus." in core.a or ".surplus." in core.b for run in rig.runs.values() for core in run.cores
    )


def _thermostat_degC(rig: Rig) -> float | None:
    """Where the thermostat of the pads switches on."""
    for part in rig.of_kind("thermostat"):
        said = rig.setting(part.id, "on")
        if isinstance(said, str) and (found := _BELOW.search(said)):
            return float(found[1])
    return None


def _restart_ratio(rig: Rig, rest: tuple[float, ...], floor_ratio: float, notes: Notes) -> float | None:
    """The charge at which loads come back after the bank was down: where it rests at the voltage of a `restart` setting."""
    for part in rig.parts.values():
        if part.kind.name.startswith("inverter"):
            continue
        for key in ("restart", "reconnect"):
            given = rig.setting(part.id, key)
            if isinstance(given, Figure) and given.unit == "V":
                back = next((i / 200 for i in range(201) if rest_V(i / 200, *rest) >= given.value), 1.0)
                if back > floor_ratio:
                    notes.assume(
                        f"once empty, the loads stay off until the bank is at {100 * back:.0f} % ({part.id} {key} {given.value:g} V)"
                    )
                    return back
    return None
