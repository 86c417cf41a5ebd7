"""E2: vents for the hydrogen of lead-acid batteries."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, setting, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.ventilation import air_m3_per_h, opening_cm2
from ohmwright.rig.bay_air import holes_of
from ohmwright.rig.model import Place
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, NotThere, figure, work

REMEDY = "Larger vents, one low and one high, to the outside."


def judge(
    cells: int,
    capacity: Figure | None,
    gas: Figure,
    vent: Figure | None,
    *,
    limited: bool | None = True,
    missing: tuple[str, ...] = (),
) -> Judgement:
    """Opening needed against opening fitted. The table of gas currents assumes chargers that are limited in voltage."""
    if limited is not True or capacity is None or vent is None:
        lost = (
            "the charger is not limited in voltage: take its rated current instead"
            if limited is False
            else "whether each of its chargers is limited in voltage is not written"
            if limited is None
            else "capacity or vent area is missing"
        )
        return cannot_tell(f"The vents cannot be judged: {lost}.", missing, unit="cm2", sense="max")
    air = work(air_m3_per_h, cells_count=float(cells), gas_mAh_per_Ah=gas, capacity_Ah=capacity)
    needed = work(opening_cm2, air_m3_per_h=air)
    fitted = vent.value / 100
    told = (
        f"{air.value:.2f} m³/h wants two openings of {needed.value:.1f} cm² each; {fitted:.0f} cm² are there"
    )
    return most(
        needed.value,
        fitted,
        "cm2",
        good=f"{told}.",
        bad=f"{told}: hydrogen gathers under the lid.",
        remedy=REMEDY,
        steps=(needed,),
        roots=(vent, capacity),
    )


@rule(
    "place/lead-gas",
    "E2",
    "Ventilation of lead-acid batteries",
    why="A charging lead-acid battery gives off hydrogen. Four per cent of it in air and one spark are enough.",
    severities=("danger",),
    clauses={"": Clause("IEC 62485-2", "2010", "ventilation", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every bank that is not lithium, at boost charge."""
    for bank in banks(study.rig):
        if bank.chemistry == "lfp":
            yield bank.id, skipped("Lithium gives off no gas in ordinary charging.")
            continue
        one = bank.members[0]
        place = study.rig.host.places.get(bank.group.place or one.place)
        if place is not None and place.regime == "outside":
            yield bank.id, skipped("It stands outside.")
            continue
        vented = word(one, "vented") == "yes" or bank.chemistry in ("flooded", "start", "unknown", "mixed")
        capacity, cells = asked(one.figure("capacity")), asked(one.figure("cell_count"))
        vent = _each(place) if place is not None else None
        gas = find("batteries/gas-vented-boost" if vented else "batteries/gas-sealed-boost")
        lost = (
            *capacity.missing,
            *cells.missing,
            *((f"{place.id}.vents" if place else f"{one.id}.at",) if vent is None else ()),
        )
        if cells.figure is None:
            yield bank.id, judge(0, None, figure(gas.value, "1"), vent, missing=lost)
            continue
        unset = _unset(study, bank)
        count = int(cells.figure.value) * len(bank.members)
        yield (
            bank.id,
            judge(
                count,
                capacity.figure,
                Figure(gas.value, "mA/Ah", gas.value, gas.value, gas.figure.origin, address=gas.id),
                vent,
                limited=None if unset else True,
                missing=(*lost, *unset),
            ),
        )


def _each(place: Place) -> Figure | None:
    """The free area that each of two openings has at least: half of what is told together, the smaller of two unlike ones.

    One vent alone gives the other nothing.
    """
    holes = holes_of(place)
    if holes is None or (not holes and not isinstance(place.figures.get("vents"), NotThere | Figure)):
        return None
    areas = sorted((h.area_cm2 for h in holes), reverse=True)
    each = areas[1] if len(areas) > 1 else 0.0
    told = next(
        (f for k, f in place.figures.items() if k.startswith("vents") and isinstance(f, Figure)), None
    )
    if told is None:
        return figure(100.0 * each, "mm2")
    address = f"{place.id}.vents, each of two"
    return Figure(100.0 * each, "mm2", 100.0 * each, 100.0 * each, told.origin, address=address)


def _unset(study: Study, bank: Bank) -> tuple[str, ...]:
    """Chargers of which nobody has written the volts at which they stop rising."""
    return tuple(
        f"settings.{c.id}.absorption"
        for c in chargers_of(study, bank)
        if setting(study.rig, c.id, "absorption", "V").figure is None
    )
