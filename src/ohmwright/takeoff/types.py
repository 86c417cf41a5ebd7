"""What has to be bought, cut, made and set; derived from the rig, typed nowhere."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class PartLine:
    """A line of the parts list. `references` are the addresses it serves."""

    record: str
    title: str
    count: int
    references: tuple[str, ...]
    mass_kg: float | None
    price: Decimal | None
    currency: str
    lead_days: int | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CutLine:
    """A conductor to cut. `length_m` is the run's, `cut_m` with end allowances, rounded up; None is unknown."""

    id: str
    run: str
    start: str
    stop: str
    pole: str
    size: str
    area_mm2: float | None
    colour: str
    insulation: str
    length_m: float | None
    allowance_m: float | None
    cut_m: float | None
    lug_a: str
    lug_b: str
    label: str
    route: tuple[str, ...]
    mass_kg: float | None
    protected_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Everything of the job that is counted."""

    parts: tuple[PartLine, ...]
    cuts: tuple[CutLine, ...]
    notes: tuple[str, ...] = ()
