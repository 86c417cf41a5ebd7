"""A furnace runs as long as its place loses heat: what its blower asks by hour, from the air outside.

Where the file gives what a heater gives (`heat`), the place that it warms (`warms`) and that place's conductance (`UA`), its duty is
UA times the kelvins between inside and outside over its heat, at most all the time.  Sun, people and cooking are not taken off:
the nights come out a little long.  Where one of the three is missing, the hours that are written stand.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.energy import habits
from ohmwright.physics.heat import heater_duty_ratio
from ohmwright.rig.model import Load, Rig
from ohmwright.sky.months import DAYS_IN_MONTH
from ohmwright.sky.spots import MONTHS
from ohmwright.working import Figure

ByHour = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Outdoors:
    """The air outside in each stay of the file, by hour of its typical year."""

    air_degC: tuple[tuple[float, ...], ...]

    def of_month(self, stay: int, month: int) -> tuple[tuple[float, ...], ...]:
        """The days of month 0..11 at a stay's place, each with its 24 hours."""
        first = sum(DAYS_IN_MONTH[:month])
        air = self.air_degC[stay]
        return tuple(tuple(air[24 * d : 24 * d + 24]) for d in range(first, first + DAYS_IN_MONTH[month]))


@dataclass(frozen=True, slots=True)
class Heater:
    """A load that warms a place: heat while it runs, what the place loses for each kelvin, fuel while it runs."""

    heat_W: float
    conductance_W_per_K: float
    fuel_L_per_h: float | None

    def duty(self, days: Sequence[ByHour], inside_degC: float) -> ByHour:
        """By hour of the day the mean part of it in which the heater runs."""
        return tuple(
            sum(heater_duty_ratio(self.conductance_W_per_K, inside_degC, day[h], self.heat_W) for day in days)
            / len(days)
            for h in range(24)
        )


def heater_of(rig: Rig, load: Load) -> Heater | None:
    """What the file tells of a load's heat; None unless it tells all three figures."""
    place = rig.host.places.get(load.words.get("warms", ""))
    heat, fuel = load.figures.get("heat"), load.figures.get("burns")
    walls = place.figures.get("UA") if place is not None else None
    if not isinstance(heat, Figure) or not isinstance(walls, Figure) or heat.value <= 0.0:
        return None
    return Heater(heat.value, walls.value, fuel.value if isinstance(fuel, Figure) else None)


def missing_of(rig: Rig, load: Load) -> str:
    """What to write so that a heater's hours follow the weather; "" when nothing is missing or it is no heater that says so."""
    if "heat" not in load.figures and "warms" not in load.words:
        return ""
    if heater_of(rig, load) is not None:
        return ""
    if not isinstance(load.figures.get("heat"), Figure):
        return f"heat: 6 kW of {load.id}"
    return f"warms: of {load.id}, and UA: 80 W/K of that place"


def heating_words(rig: Rig, outdoors: Outdoors | None, lived: Sequence[tuple[int, int]]) -> tuple[str, ...]:
    """What each heater runs in its longest and shortest month of those lived in, (stay, month 0..11), and what it burns a night."""
    if outdoors is None or not lived:
        return ()
    out = []
    for load in rig.use.loads.values():
        heater = heater_of(rig, load)
        if heater is None or load.energy:
            continue
        hours = {
            month: sum(heater.duty(outdoors.of_month(stay, month), habits.INDOORS_degC))
            for stay, month in lived
        }
        long, short = max(hours, key=lambda m: hours[m]), min(hours, key=lambda m: hours[m])
        fuel = (
            f"; it burns {hours[long] * heater.fuel_L_per_h:.1f} L a day in {MONTHS[long]}"
            if heater.fuel_L_per_h is not None
            else ""
        )
        out.append(
            f"{load.id} runs as long as {load.words['warms']} loses heat ({heater.conductance_W_per_K:g} W/K against {heater.heat_W / 1000.0:g} kW): "
            f"{hours[long]:.1f} h a day in {MONTHS[long]}, {hours[short]:.1f} h in {MONTHS[short]}{fuel}; sun, people and cooking not taken off"
        )
    return tuple(out)
