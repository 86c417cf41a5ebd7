"""What has to be bought, cut, made and set; derived from the rig, typed nowhere."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class PartLine:
    """A line of the parts list. `references` are the addresses it serves; mass and price are of one piece."""

    record: str
    title: str
    count: int
    references: tuple[str, ...]
    mass_kg: float | None
    price: Decimal | None
    currency: str
    lead_days: int | None
    notes: tuple[str, ...] = ()
    kind: str = ""
    spares: int = 0


@dataclass(frozen=True, slots=True)
class CutLine:
    """A conductor to cut. `length_m` is the run's, `cut_m` with end allowances, rounded up; None is unknown.

    `piece` names the length of cable that the conductor is in: its own id, or the run's id where the cores of
    one cable are cut together.  A piece is bought once, however many of its cores are listed.
    """

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
    piece: str = ""
    cable: str = ""
    cores: int = 1
    role: str = ""
    stud_a_mm: float | None = None
    stud_b_mm: float | None = None
    torque_a_Nm: float | None = None
    torque_b_Nm: float | None = None
    colour_from_file: bool = True
    made: str = ""
    """"" to be cut; else why not: it comes with a device, or it has no cable."""


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Everything of the job that is counted."""

    parts: tuple[PartLine, ...]
    cuts: tuple[CutLine, ...]
    notes: tuple[str, ...] = ()
    unknown_lengths: tuple[str, ...] = ()
    """Conductors whose length nobody has measured."""
    wire_notes: tuple[str, ...] = ()
    """What is to be said of the conductors alone."""
