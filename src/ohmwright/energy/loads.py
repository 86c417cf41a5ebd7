"""What the loads of a rig ask for in a day, by mode and season."""

import re
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from ohmwright.energy.habits import SHOULDER, WINTER, shape_of
from ohmwright.energy.heating import ByHour, heater_of, missing_of
from ohmwright.energy.plan import ShortRun
from ohmwright.energy.topology import Wiring
from ohmwright.rig.model import ByLabel, Load, Rig
from ohmwright.working import Absent, Figure, NotThere

#: Air outside by day of a month and hour, and what it is inside.
Outside: TypeAlias = tuple[tuple[ByHour, ...], float]


@dataclass(slots=True)
class Notes:
    """What was assumed, and what could not be counted; each once."""

    assumed: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)

    def assume(self, text: str) -> None:
        """Keep an assumption."""
        if text not in self.assumed:
            self.assumed.append(text)

    def lack(self, text: str) -> None:
        """Keep something that could not be counted."""
        if text not in self.unknown:
            self.unknown.append(text)


@dataclass(frozen=True, slots=True)
class Asked:
    """One load's day: energy and the power it runs at, at its own terminals or ahead of its converter, when, and whether it is AC."""

    load: str
    ac: bool
    Wh: float
    running_W: float
    shape: tuple[float, ...]
    standby_Wh: float = 0.0
    """Of its energy, what it takes while it does nothing."""
    priority: str = ""
    given: tuple[tuple[str, Figure], ...] = ()
    """The figures it was made from: its energy; else its power, hours, duty; and its standby."""
    heated_h: float | None = None
    """How long it runs where its place's heat loss says so."""
    converter_ratio: float = 1.0
    """What the converter between leaves."""


def pick(by_label: ByLabel, mode: str, season: str, notes: Notes, what: str) -> Figure | None:
    """The figure for a mode or season; winter stands on shoulder where winter is not given, and shoulder on summer."""
    for label in (mode, season, ""):
        given = by_label.get(label)
        if isinstance(given, NotThere):
            return None
        if isinstance(given, Figure):
            return given
        if given is not None and not isinstance(given, Absent):
            notes.lack(f"{what} is not known")
            return None
    for label in {
        WINTER: (SHOULDER, "summer"),
        SHOULDER: ("summer", WINTER),
        "summer": (SHOULDER, WINTER),
    }.get(season, ()):
        given = by_label.get(label)
        if isinstance(given, Figure):
            notes.assume(f"{what}: the figure for {label} is used in {season}")
            return given
    return None


def in_use(load: Load, mode: str, season: str) -> bool:
    """Whether a load is used in this mode and season.

    Without `only` it is used whenever somebody is there; what must never be given up is always on.
    """
    if load.only:
        return mode in load.only or season in load.only
    return mode not in ("unattended", "laid-up") or load.priority == "always"


def asked_by(
    load: Load, mode: str, season: str, ac: bool, notes: Notes, runs: ByHour | None = None
) -> Asked | None:
    """The load's day, or None when it is not in use or nothing is known of it; `runs` by hour beats hours that are written."""
    if not in_use(load, mode, season):
        return None
    side = "ac" if ac else "dc"
    powers = {
        ("" if k == side else k): v for k, v in load.power.items() if k not in ("ac", "dc") or k == side
    }
    between = [v for k, v in powers.items() if re.match(r"^L\d?-", k) and isinstance(v, Figure)]
    power_W = sum(v.value for v in between if isinstance(v, Figure)) if between else None
    given: Figure | None = None
    if power_W is None:
        given = pick(powers, mode, season, notes, f"{load.id}: power")
        power_W = given.value if given is not None else None
        if given is not None and given.unit == "VA":
            notes.assume(f"{load.id}: {given.value:g} VA is counted as as many watts")
    energy = pick(load.energy, mode, season, notes, f"{load.id}: energy")
    standby_W = load.standby.value if isinstance(load.standby, Figure) else 0.0
    shape = shape_of(load.id)
    stands = tuple(
        _named(load, "standby", {"": load.standby}, f) for f in (load.standby,) if isinstance(f, Figure)
    )
    runs_at = tuple(
        _named(load, "power", load.power, f) for f in (between or (given,)) if isinstance(f, Figure)
    )
    if energy is not None:
        return Asked(
            load.id, ac, energy.value + 24.0 * standby_W, power_W or 0.0, shape, 24.0 * standby_W,
            given=(_named(load, "energy", load.energy, energy), *stands),
        )  # fmt: skip
    if runs is not None and power_W is not None:
        on_h = sum(runs)
        idle_Wh = standby_W * (24.0 - on_h)
        mine = tuple(r / on_h for r in runs) if on_h > 0.0 else shape
        return Asked(
            load.id, ac, power_W * on_h + idle_Wh, power_W, mine, idle_Wh,
            given=(*runs_at, *stands), heated_h=on_h,
        )  # fmt: skip
    if load.energy and power_W is None:
        return (
            Asked(load.id, ac, 24.0 * standby_W, 0.0, shape, 24.0 * standby_W, given=stands)
            if standby_W
            else None
        )
    hours = pick(load.hours, mode, season, notes, f"{load.id}: hours")
    duty = pick(load.duty, mode, season, notes, f"{load.id}: duty")
    if power_W is None or (hours is None and duty is None):
        if standby_W:
            notes.lack(f"{load.id}: only its standby is counted: power or hours are not given")
            return Asked(load.id, ac, 24.0 * standby_W, 0.0, shape, 24.0 * standby_W, given=stands)
        notes.lack(f"{load.id} is not counted: write its energy, or its power and hours")
        return None
    on_h = (hours.value / 3600.0 if hours is not None else 24.0) * (duty.value if duty is not None else 1.0)
    idle_Wh = standby_W * (24.0 - on_h)
    uses = tuple(
        _named(load, k, by, f)
        for k, by, f in (("hours", load.hours, hours), ("duty", load.duty, duty))
        if f is not None
    )
    return Asked(
        load.id, ac, power_W * on_h + idle_Wh, power_W, shape, idle_Wh, given=(*runs_at, *uses, *stands)
    )


def _named(load: Load, name: str, by_label: ByLabel, figure: Figure) -> tuple[str, Figure]:
    """A figure of a load with its address in the file."""
    label = next((k for k, f in by_label.items() if f is figure), "")
    return name, figure.at(f"{load.id}.{name}{f'.{label}' if label else ''}")


def day_of(
    rig: Rig,
    wiring: Wiring,
    mode: str,
    season: str,
    supplied: bool,
    notes: Notes,
    bank: str = "",
    outside: Outside | None = None,
) -> tuple[Asked, ...]:
    """All loads of one day that the house bank feeds, or those that hang on the other `bank` alone.

    `supplied` says whether outside AC is there.  What hangs on a bank that a DC-DC charger fills from the house bank is the
    house bank's load, through that charger.  `outside` holds the air of the month by day and hour and what it is inside: heaters
    whose place's heat loss is known run by it.
    """
    out = []
    for load in rig.use.loads.values():
        on = wiring.beside.get(load.id, "")
        if on and bank != on and on not in wiring.carried:
            if not bank:
                notes.assume(f"{load.id} hangs on {on}, not on the house bank")
            continue
        if bank and bank != on:
            continue
        ac = wiring.is_ac(load, supplied)
        if ac is None:
            notes.lack(f"{load.id} is not counted: nothing says what feeds it")
            continue
        asked = asked_by(load, mode, season, ac, notes, _runs(rig, load, outside, notes))
        if asked is None:
            continue
        if not ac:
            ratio = wiring.supply_ratio(load) * (wiring.carried.get(on, 1.0) if on and not bank else 1.0)
            if ratio != 1.0:
                asked = replace(
                    asked,
                    Wh=asked.Wh / ratio,
                    standby_Wh=asked.standby_Wh / ratio,
                    running_W=asked.running_W / ratio,
                    converter_ratio=ratio,
                )
        out.append(replace(asked, priority=load.priority))
    return tuple(out)


def _runs(rig: Rig, load: Load, outside: Outside | None, notes: Notes) -> ByHour | None:
    """By hour how long a heater runs whose place's heat loss is known, in the air outside."""
    if lacking := missing_of(rig, load):
        notes.assume(f"{load.id}: the hours that are written stand; by its place's heat loss with {lacking}")
    heater = heater_of(rig, load)
    if heater is None or outside is None:
        return None
    return heater.duty(*outside)


def by_hour(day: tuple[Asked, ...], ac: bool) -> tuple[float, ...]:
    """Watts by hour of the DC or the AC loads."""
    return tuple(sum(a.Wh * a.shape[h] for a in day if a.ac is ac) for h in range(24))


def short_runs(day: tuple[Asked, ...]) -> tuple[ShortRun, ...]:
    """The loads that in some hour run harder than that hour's mean; a load whose power is not known is held through the hour."""
    out = []
    for a in day:
        by_hour_Wh = tuple((a.Wh - a.standby_Wh) * x for x in a.shape)
        if a.running_W > max(by_hour_Wh) > 0.0:
            out.append(ShortRun(a.ac, a.running_W, by_hour_Wh))
    return tuple(out)


def short_run_W(day: tuple[Asked, ...], square_per_W: float) -> tuple[float, ...]:
    """What an inverter loses by hour beyond the loss at the hour's mean, because loads run hard for short times."""
    out = []
    for h in range(24):
        parts = [(a.Wh * a.shape[h], a.running_W) for a in day if a.ac]
        mean = sum(e for e, _ in parts)
        run = sum(e * max(e, w) for e, w in parts)
        out.append(max(square_per_W * (run - mean * mean), 0.0))
    return tuple(out)
