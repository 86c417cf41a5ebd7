"""What an energy year needs to know of a rig, as plain numbers."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ohmwright.energy.heating import Outdoors
from ohmwright.energy.module_light import CLASS_LIGHT
from ohmwright.working import OhmwrightError

if TYPE_CHECKING:
    from ohmwright.energy.loads import Asked

MODES = ("occupied", "passage", "anchor", "shore", "unattended", "laid-up")
LIVED_IN = ("occupied", "passage", "anchor", "shore")


class CannotTellError(OhmwrightError):
    """A figure without which no energy year can be worked out."""


@dataclass(frozen=True, slots=True)
class Plane:
    """A part of an array that faces one way. `faces_deg` None: the heading is not known, all are averaged."""

    tilt_deg: float
    faces_deg: float | None
    share_ratio: float = 1.0


@dataclass(frozen=True, slots=True)
class Array:
    """One array of one controller.

    `still_exponent`, `wind_exponent` and `lift_K` are its mounting's (see `physics.pv.mounted_cell_degC`).
    `kept` names each loss ahead of the controller and the share it leaves.
    """

    id: str
    rated_W: float
    coefficient_percent_per_K: float
    planes: tuple[Plane, ...]
    string_V: float
    """Voltage of a string at maximum power, 25 degC."""
    voltage_percent_per_K: float = -0.30
    light: tuple[float, ...] = CLASS_LIGHT
    """How its efficiency changes with light and warmth: the twelve numbers of `physics.pv.light_ratio`."""
    still_exponent: float = -2.98
    wind_exponent: float = -0.0471
    lift_K: float = 1.0
    albedo_ratio: float = 0.2
    kept: Mapping[str, float] = field(default_factory=dict)

    @property
    def kept_ratio(self) -> float:
        """What all losses together leave."""
        return math.prod(self.kept.values())


@dataclass(frozen=True, slots=True)
class HotBay:
    """What a controller gives in the air it stands in, by `physics.heat.hot_output_ratio`; of no rating: heat takes nothing."""

    rated_W: float = 0.0
    """Its rated current at the volts of a bank that charges."""
    rated_at_degC: float = 40.0
    loss_percent_per_K: float = 0.0
    sun_rise_K: float = 0.0
    """What 1000 W/m2 on the level warm its bay over the air outside."""
    idle_rise_K: float = 0.0
    linear_rise_K: float = 0.0
    square_rise_K: float = 0.0


@dataclass(frozen=True, slots=True)
class Tracker:
    """A PV controller with its arrays."""

    id: str
    arrays: tuple[Array, ...]
    limit_A: float
    idle_W: float
    proportional_ratio: float
    square_per_W: float
    run_margin_V: float = 1.0
    switched: bool = False
    """True for a controller that only switches (PWM)."""
    hot: HotBay = HotBay()


@dataclass(frozen=True, slots=True)
class Bank:
    """The bank as one battery. `rest` holds the fourteen numbers of `physics.bank.rest_V` for the whole bank."""

    chemistry: str
    capacity_Ah: float
    nominal_V: float
    floor_ratio: float
    resistance_ohm: float
    charge_A: float
    discharge_A: float
    set_V: float
    rest: tuple[float, ...]
    activation_kJ_per_mol: float = 25.0
    leak_percent_per_month: float = 3.0
    kept_ratio: float = 0.99
    gas_ratio: float = 0.0
    half_gap_V: float = 0.0
    """Half the difference between the bank's voltages charging and discharging at next to no current."""
    well_share_ratio: float = 1.0
    well_rate_per_h: float | None = None
    charge_min_degC: float = 0.0
    charge_max_degC: float = 55.0
    resume_K: float = 3.0
    discharge_min_degC: float = -20.0
    regime: str = "outside"
    kept_above_degC: float | None = None
    heater_W: float = 0.0
    """Heat that the bank's own heater can give, from the bus; 0 with a kept temperature: something else heats."""
    conductance_W_per_K: float = 2.0
    capacity_J_per_K: float = 36000.0
    heated_by_surplus: bool = False
    """Its heater runs only on what the array brings beyond the loads."""
    low_knee_ratio: float = 0.0
    low_gain_ratio: float = 0.0
    """Below the knee its resistance grows by so much for each part of charge; 0: it does not."""
    stiff_ratio: float = 0.0
    """A charging bank resists by so much of its resistance more, over the part of its charge that is missing; 0 for lithium."""
    square_ratio: float = 0.0
    """The same over the square of the part that is missing."""
    ease_ratio: float = 0.0
    """And by so much of its resistance less at any charge."""
    open_V: float = 0.0
    """Its own management opens when its terminals fall below so many volts; 0: it has none, or it is not known."""
    restart_ratio: float | None = None
    """Once down at its floor the loads stay off until it stands here again; None: they come back with the first power."""


@dataclass(frozen=True, slots=True)
class Inverter:
    """The inverter. All zero when there is none."""

    idle_W: float = 0.0
    proportional_ratio: float = 0.0
    square_per_W: float = 0.0
    rated_W: float = 0.0
    cut_V: float = 0.0
    """It drops its loads when it sees fewer volts than that; 0: it never does."""
    back_V: float = 0.0
    """It takes them up again once the bank stands at so many without them."""
    sag_ratio: float = 1.0
    """The part of the drop in the bank that its cut-off sees: 0 where that allows for the load."""


@dataclass(frozen=True, slots=True)
class Generator:
    """A generator and when it runs. `charger_A` and efficiency are the charger's."""

    rated_W: float = 0.0
    start_ratio: float = 0.0
    stop_ratio: float = 0.0
    allowed_h: tuple[int, int] = (0, 24)
    slope_factor: float = 0.40
    idle_factor: float = 0.10
    exercise_h: float = 0.0
    """Hours a year that it is run to keep it well, no charge counted."""
    least_run_h: float = 0.0
    """Once started it runs so long, unless the hours in which it may run are over."""


@dataclass(frozen=True, slots=True)
class ShortRun:
    """A load that runs for a part of the hour: the power it then takes, and its energy by hour, both at the bus or ahead of the inverter."""

    ac: bool
    running_W: float
    by_hour_Wh: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """One day of a stay in one month, by hour: what the loads ask and what outside sources can give, in watts."""

    dc_W: tuple[float, ...]
    ac_W: tuple[float, ...]
    idle_W: tuple[float, ...]
    supply_W: tuple[float, ...]
    bus_W: tuple[float, ...]
    may_run: tuple[float, ...]
    steady_W: tuple[float, ...] = (0.0,) * 24
    """The part of `dc_W` that nobody uses more or less of: devices' own use, standby, what is always on."""
    chilled_W: tuple[float, ...] = (0.0,) * 24
    """Of compressor fridges at the bus, written for the month's mean temperature around them."""
    warmed_W: tuple[float, ...] = (0.0,) * 24
    """Of heating at the bus, written for the month's mean air."""
    ladder_W: tuple[tuple[float, ...], ...] = ((0.0,) * 24,) * 3
    """At the bus, each step with those before it: what can go, what is normal, what comes first; the rest is always on."""
    short_runs: tuple[ShortRun, ...] = ()
    """What of its loads runs harder than the mean of the hour."""
    short_loss_W: tuple[float, ...] = (0.0,) * 24
    """The part of `dc_W` that stands for the inverter's loss beyond that at the mean of the hour."""
    asked: tuple["Asked", ...] = ()
    """The loads that it was made from."""
    own_W: float = 0.0
    """The part of `dc_W` that devices take for themselves."""


@dataclass(frozen=True, slots=True)
class StayPlan:
    """A stay: days 0..364 of the year, and a Day for each month it touches."""

    name: str
    mode: str
    first_day: int
    last_day: int
    days: Mapping[int, Day]
    isolated: bool = False
    indoors_degC: float | None = None
    away_nights: int | None = None
    shade_ratio: float = 1.0
    """Share of the array's yield that the shade of the pitches leaves."""
    notes: tuple[str, ...] = ()
    between: Mapping[int, Day] = field(default_factory=dict)
    """By month the day on which nobody is there; empty when every day is lived in."""
    lived_days: frozenset[int] | None = None
    """The days 0..364 that are lived in; None: all, as the mode says."""

    def lived(self, day: int) -> bool:
        """Whether somebody is there on day 0..364 of the stay."""
        if self.isolated or self.mode not in LIVED_IN:
            return False
        return self.lived_days is None or day in self.lived_days

    def is_between(self, day: int) -> bool:
        """Whether day 0..364 of a stay that is lived in lies between two outings."""
        return self.lived_days is not None and day not in self.lived_days

    def mode_on(self, day: int) -> str:
        """The mode on day 0..364 of the stay: unattended between outings."""
        return "unattended" if self.is_between(day) else self.mode

    def day(self, day: int, month: int) -> Day:
        """What day 0..364, in that month 0..11, asks."""
        return self.between[month] if self.is_between(day) else self.days[month]

    def covers(self, day: int) -> bool:
        """Whether day 0..364 is in the stay; a stay may run over the turn of the year."""
        if self.first_day <= self.last_day:
            return self.first_day <= day <= self.last_day
        return day >= self.first_day or day <= self.last_day


@dataclass(frozen=True, slots=True)
class EnergyPlan:
    """All of it. `assumptions` lists every class default and habit used; `unknown` what could not be counted."""

    trackers: tuple[Tracker, ...]
    bank: Bank
    stays: tuple[StayPlan, ...]
    inverter: Inverter = Inverter()
    charger_A: float = 0.0
    charger_ratio: float = 0.88
    generator: Generator = Generator()
    southern: bool = False
    assumptions: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    own_use_Wh_per_day: float = 0.0
    outdoors: Outdoors | None = None
    """The air that heaters run by, for plans that are made anew with other loads."""
