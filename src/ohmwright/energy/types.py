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
