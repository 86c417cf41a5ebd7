"""What the energy floor answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Month:
    """Means over the years run; `None` is unknown."""

    month: int
    irradiation_kWh_m2: float
    array_kWh: float
    load_kWh: float
    unserved_kWh: float
    unserved_kWh_p90: float | None  # noqa: N815 - a percentile stands behind its unit
    curtailed_kWh: float
    soc_min: float
    soc_min_p05: float | None


@dataclass(frozen=True, slots=True)
class PromiseKept:
    """A promise: what was asked, what the year gives, kept or not; None when it cannot be told."""

    name: str
    asked: str
    got: str
    kept: bool | None


@dataclass(frozen=True, slots=True)
class StayAnswer:
    """The energy of one stay."""

    name: str
    mode: str
    days: int
    load_Wh_per_day: float
    array_Wh_per_day: float
    unserved_kWh: float
    soc_min: float
    shortfall_Wh_per_day: float
    """What outside power would have to bring each day so that nothing is unserved; 0 when nothing is."""
    notes: tuple[str, ...] = ()
    lived_days: int | None = None
    """Of its days, those on which somebody is there; None where the file gives no nights, or as many as the span."""
    lived_load_Wh_per_day: float | None = None
    between_load_Wh_per_day: float | None = None
    short_days: int = 0
    """Its days on which something is not given."""


@dataclass(frozen=True, slots=True)
class Ageing:
    """What is left of a bank by year of life: share of capacity (least, most), and growth of resistance as a share.

    `shortest_years` and `longest_years` end at 80 % of the capacity; None is longer than looked at, or not known.
    """

    capacity_ratio: tuple[tuple[float, float], ...]
    resistance_grown_ratio: tuple[float, ...]
    shortest_years: int | None
    longest_years: int | None
    full_cycles_per_year: float
    mean_degC: float
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drain:
    """Something that draws on a stored bank. `stays_live`: the main switch does not cut it off."""

    subject: str
    draw_W: float
    stays_live: bool
    what: str = ""


@dataclass(frozen=True, slots=True)
class Storage:
    """A laid-up stay: what draws, how long the bank lasts without sun, when to act. Days and dates: earliest, likely, latest."""

    stay: str
    left_on: str
    drains: tuple[Drain, ...]
    draw_Ah_per_day: float
    leak_Ah_per_day: float
    days_to_floor: tuple[float, float, float]
    floor_on: tuple[str, str, str]
    act_before: str
    lasts_the_stay: bool
    disconnect: tuple[str, ...]
    notes: tuple[str, ...]
    wake_up: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Darkest:
    """Darkest runs of days at a place: mean kWh/m2 and day on the horizontal, by length in days and chance per year in per cent."""

    place: str
    years: int
    lengths_days: tuple[int, ...]
    chances_percent: tuple[int, ...]
    mean_kWh_m2: tuple[tuple[float, ...], ...]
    warning: str


@dataclass(frozen=True, slots=True)
class Bought:
    """What one change is worth: nights lost a year and energy not given, as it is and with it, by the same years of chance.

    `saved` and `error` are the mean difference of nights a year and its standard error.
    """

    what: str
    nights_before: float
    nights_after: float
    tenth_before: float
    tenth_after: float
    saved: float
    error: float
    unserved_saved_kWh: float
    words: str
    by_years: tuple[tuple[float, float, float], ...] = ()
    """Nights lost before and after, and in how many of the years they came together."""


@dataclass(frozen=True, slots=True)
class SecondBank:
    """A bank beside the house bank through the year, hour by hour, in the typical year.

    `soc_by_day` is its least charge of each day.  `carries` are the loads that hang on it alone, `load_Wh_per_day` what they ask on
    the mean and `days_short` on how many days they lack something.  `reserve_h` is how long it carries `reserve_for`, which else
    hang on the house bank, from full to its floor; None where there are none.  `balance_Wh` is what the year's sums are out by.
    """

    id: str
    capacity_Ah: float
    carries: tuple[str, ...]
    load_Wh_per_day: float
    engine_h_per_day: float
    lowest_ratio: float
    lowest_day: int
    days_short: int
    reserve_for: tuple[str, ...]
    reserve_h: float | None
    soc_by_day: tuple[float, ...]
    balance_Wh: float
    filled_by_house: bool = False


@dataclass(frozen=True, slots=True)
class StepRow:
    """A year in steps of so many minutes: nights lost, energy not given and energy cut back, means over the years.

    `loads` are "held" through each hour; or each runs at its own power, "in turn" one after another, "together" all from the beginning
    of the hour on.
    """

    step_min: int
    loads: str
    nights_lost: float
    unserved_kWh: float
    curtailed_kWh: float


@dataclass(frozen=True, slots=True)
class Steps:
    """How far the step moves the answer: the same years in steps of an hour and of five minutes, on request of one."""

    years: int
    rows: tuple[StepRow, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Year:
    """Energy years of a rig.

    `ledger_kWh` holds the yearly sums of the balance (array, shore, engine, generator, loads, losses by
    cause, stored).  `balance_error` is the largest |in - out - lost - stored| of any step over the year's
    array energy.
    """

    years: int
    seed: int | None
    place: Mapping[str, object]
    months: tuple[Month, ...]
    stays: tuple[StayAnswer, ...]
    promises: tuple[PromiseKept, ...]
    nights_lost: Mapping[str, float | None]
    balance_error: float
    ledger_kWh: Mapping[str, float]
    soc_by_hour: tuple[float, ...] = ()
    notes: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    by_chance: Mapping[str, object] = field(default_factory=dict)
    """Chances in figures, and what charts are drawn from: see `energy/README.md`, "What charts are drawn from"."""
    verdict: tuple[str, ...] = ()
    """The year in a few plain sentences, the first to be read."""
    ageing: Ageing | None = None
    storage: tuple[Storage, ...] = ()
    darkest: Darkest | None = None
    bought: tuple[Bought, ...] = ()
    second_banks: tuple[SecondBank, ...] = ()
    step_min: int = 60
    steps: Steps | None = None
    """How far the step moves the answer; None where nobody asked for that."""
