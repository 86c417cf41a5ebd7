"""Hand-made plans and weather for the energy tests: invented rigs, real weather files that come with pvlib."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pvlib
import pytest
from numpy.typing import NDArray

from ohmwright.energy.chance import ManyYears, sunniest_day
from ohmwright.energy.curves import HALF_GAP_V, LEAD_WELLS, rest_numbers
from ohmwright.energy.habits import (
    LEAD_HOURS_RESISTANCE,
    LEAD_EASE_ratio,
    LEAD_LOW_GAIN_ratio,
    LEAD_LOW_KNEE_ratio,
    LEAD_SQUARE_ratio,
    LEAD_STIFF_ratio,
)
from ohmwright.energy.kernel import Kernel, prepare
from ohmwright.energy.loop import Hours, by_rig, run
from ohmwright.energy.plan import Array, Bank, Day, EnergyPlan, Generator, Inverter, Plane, StayPlan, Tracker
from ohmwright.energy.series import by_day_hour, row_array
from ohmwright.energy.skies import ready, skies_of
from ohmwright.energy.spread import factors_of
from ohmwright.services.year import kernel_folder
from ohmwright.sky.files import read_weather
from ohmwright.sky.sun_hours import sun_hours
from ohmwright.sky.types import Spot, WeatherYear

PVLIB_DATA = Path(pvlib.__file__).parent / "data"
NOTHING = (0.0,) * 24


@pytest.fixture(scope="session")
def greensboro() -> WeatherYear:
    """A typical year of Greensboro NC (TMY3 723170, in pvlib)."""
    return read_weather((PVLIB_DATA / "723170TYA.CSV").read_bytes(), "723170TYA.CSV")


@pytest.fixture(scope="session")
def sand_point() -> WeatherYear:
    """A typical year of Sand Point AK (TMY3 703165, in pvlib)."""
    return read_weather((PVLIB_DATA / "703165TY.csv").read_bytes(), "703165TY.csv")


@pytest.fixture(scope="session")
def miami() -> WeatherYear:
    """A typical year of Miami FL (TMY2 12839, in pvlib)."""
    return read_weather((PVLIB_DATA / "12839.tm2").read_bytes(), "12839.tm2")


@pytest.fixture(scope="session")
def north() -> WeatherYear:
    """Invented weather at 47 N: clear and dull days in a fixed pattern."""
    cosines = sun_hours(46.8, -92.0, -6.0).cos_zenith.tolist()
    dull = [0.35 + 0.65 * ((d * 7919) % 10) / 9 for d in range(365)]
    ghi = tuple(750.0 * c * dull[t // 24] for t, c in enumerate(cosines))
    air = tuple(
        6 - 16 * math.cos(2 * math.pi * (t / 24 - 15) / 365) - 4 * math.cos(2 * math.pi * (t % 24 - 3) / 24)
        for t in range(8760)
    )
    spot = Spot("invented", 46.8, -92.0, 200.0, (1.0,) * 12, (5.0,) * 12, -34, 35, 0, "invented", 12)
    dhi = tuple(g * (1.1 - d) / 1.1 for g, d in zip(ghi, (dull[t // 24] for t in range(8760)), strict=True))
    dni = tuple((g - d) / max(c, 0.05) for g, d, c in zip(ghi, dhi, cosines, strict=True))
    return WeatherYear(spot, -6.0, ghi, dhi, dni, air, (2.0,) * 8760, "invented", False)


def steady(watts: float) -> tuple[float, ...]:
    """The same all day."""
    return (watts,) * 24


@pytest.fixture(scope="session")
def day() -> Day:
    """A lived-in day: 1,559 Wh DC and 1,910 Wh AC, inverter on."""
    return Day(steady(1559 / 24), steady(1910 / 24), steady(20.0), NOTHING, NOTHING, NOTHING)


@pytest.fixture(scope="session")
def lfp() -> Bank:
    """Four invented 12.8 V 200 Ah batteries in parallel."""
    return Bank(
        "lfp", 800.0, 12.8, 0.10, 0.0025 / 4, 400.0, 400.0, 14.2, rest_numbers("lfp", 4),
        regime="heated", half_gap_V=4 * HALF_GAP_V["lfp"], capacity_J_per_K=84000.0,
    )  # fmt: skip


@pytest.fixture(scope="session")
def lead() -> Bank:
    """An invented 12 V lead-acid bank of 400 Ah at 20 h."""
    share, rate, whole = LEAD_WELLS
    return Bank(
        "lead", 400.0 * whole, 12.0, 0.5, LEAD_HOURS_RESISTANCE * 12.0 / 400.0, 80.0, 400.0, 14.4, rest_numbers("lead", 6), kept_ratio=1.0, gas_ratio=1.0,
        half_gap_V=6 * HALF_GAP_V["lead"], well_share_ratio=share, well_rate_per_h=rate, charge_min_degC=-30.0, regime="heated",
        stiff_ratio=LEAD_STIFF_ratio, square_ratio=LEAD_SQUARE_ratio, ease_ratio=LEAD_EASE_ratio, low_knee_ratio=LEAD_LOW_KNEE_ratio, low_gain_ratio=LEAD_LOW_GAIN_ratio,
    )  # fmt: skip


@pytest.fixture(scope="session")
def array() -> Array:
    """Three invented 410 W modules in series, flat."""
    return Array("M", 1230.0, -0.35, (Plane(0.0, None),), 93.0, kept={"dirt": 0.95, "rest": 0.95})


@pytest.fixture(scope="session")
def plan(lfp: Bank, array: Array, day: Day) -> EnergyPlan:
    """An invented trailer, lived in all year."""
    tracker = Tracker("U1", (array,), 85.0, 1.0, 0.012, 1.2e-5)
    stay = StayPlan(
        "north 01-01..12-31", "occupied", 0, 364, dict.fromkeys(range(12), day), indoors_degC=18.0
    )
    return EnergyPlan((tracker,), lfp, (stay,), Inverter(20.0, 0.05, 1e-5, 2400.0))


@pytest.fixture(scope="session")
def with_generator(plan: EnergyPlan, day: Day) -> EnergyPlan:
    """The same with a generator of 2 kW that starts at 25 % and stops at 90 %, by day only."""
    allowed = tuple(1.0 if 8 <= h < 21 else 0.0 for h in range(24))
    runs = replace(day, may_run=allowed)
    stay = replace(plan.stays[0], days=dict.fromkeys(range(12), runs))
    return replace(plan, stays=(stay,), charger_A=100.0, generator=Generator(2000.0, 0.25, 0.90, (8, 21)))


@pytest.fixture(scope="session")
def kernel() -> Kernel:
    """The compiled kernel, kept where the user's is: its folder is named after the sources."""
    return prepare(kernel_folder())


@pytest.fixture(scope="session")
def plain_charge(kernel: Kernel) -> Callable[[ManyYears, Sequence[Spot], int], NDArray[np.float64]]:
    """State of charge by hour of one of the made years, by the plain loop: what the compiled years are held to."""

    def charge(many: ManyYears, spots: Sequence[Spot], number: int) -> NDArray[np.float64]:
        plan = many.plan
        sky = skies_of(kernel, ready(plan, spots, varied=False), spots, number, 1, many.seed)[0]
        rows = row_array(plan)
        if many.spread is not None:
            use = np.repeat(factors_of(many.spread, many.seed, number, 1)[0], 24)
            steady = by_day_hour(plan, "steady_W")
            rows[:, 1] = (rows[:, 1] - steady) * use + steady
            rows[:, 2] *= use
        rows[:, [0, 7, 8, 9]] = sky[:4].T
        rows[:, 1] += sky[4]
        hours = Hours(tuple(map(tuple, rows.tolist())), (), (), ())
        return np.array(run(hours, by_rig(plan), 24 * sunniest_day(spots)).soc)

    return charge
