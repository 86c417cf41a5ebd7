"""What would buy nights back: each change worked through the same made years, so that the difference is the change's alone."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.banks import house_bank
from ohmwright.energy.chance import quantile, quantile_error
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.habits import EVENLY, MIDDAY, shape_of
from ohmwright.energy.loads import Asked, Notes, day_of
from ohmwright.energy.plan import LIVED_IN, Array, Day, EnergyPlan, Plane, StayPlan
from ohmwright.energy.series import INDOOR
from ohmwright.energy.sizes import grown_bank
from ohmwright.energy.stays import engine_power_W
from ohmwright.energy.topology import Wiring, members
from ohmwright.energy.types import Bought
from ohmwright.rig.model import Rig
from ohmwright.sky.types import Spot

#: Two blocks of the kernel, one for each core.
YEARS = 64
TILT_deg, ENGINE_HOUR = 30.0, 11
#: Heat for a bank in a box where no pad is in the file, and how far above its limit it is held (own judgement).
HEATER_W, MARGIN_K = 60.0, 2.0
MOST_LOADS = 3
#: A mode that no stay has: what is used only then is not used.
NEVER = "never"


@dataclass(frozen=True, slots=True)
class Change:
    """A change and the plan with it."""

    what: str
    plan: EnergyPlan


def bought(same: SameYears, rig: Rig, *, years: int = YEARS) -> tuple[Bought, ...]:
    """What each change is worth, the most nights first; nothing when no night is lost."""
    many = same.many
    nights = many.nights_lost()
    if not nights.any():
        return ()
    first, years = same.like_all(years)
    before = nights[first : first + years]
    lacking = many.lacking_Wh()[first : first + years].sum(axis=1) / 1000.0
    changes = tuple(changes_of(rig, many.plan, same.spots))
    then = plans_abreast(same, [c.plan for c in changes], years, first=first)
    out = [
        _told(change.what, before, after, lacking, kWh)
        for change, after, kWh in zip(changes, then.nights_lost, then.lacking_Wh / 1000.0, strict=True)
    ]
    return tuple(sorted(out, key=lambda b: -b.saved))


def _told(
    what: str,
    before: NDArray[np.int64],
    after: NDArray[np.int64],
    lacking: NDArray[np.float64],
    then: NDArray[np.float64],
) -> Bought:
    saved = (before - after).astype(np.float64)
    mean, error = (
        float(saved.mean()),
        float(saved.std(ddof=1) / np.sqrt(len(saved))) if len(saved) > 1 else 0.0,
    )
    a, b = quantile(before, 0.9), quantile(after, 0.9)
    if mean <= 2 * error:
        words = f"{what}: makes no difference that {len(saved)} years can show"
    else:
        tenth = f", in one year in ten {a - b:.0f} fewer" if a - b > quantile_error(before, 0.9) else ""
        words = f"{what}: {mean:.1f} nights a year fewer (give or take {max(error, 0.1):.1f}){tenth}"
    return Bought(
        what,
        float(before.mean()),
        float(after.mean()),
        a,
        b,
        mean,
        error,
        float((lacking - then).mean()),
        words,
        _together(before, after),
    )


def _together(before: NDArray[np.int64], after: NDArray[np.int64]) -> tuple[tuple[float, float, float], ...]:
    pairs, many = np.unique(np.stack([before, after]), axis=1, return_counts=True)
    return tuple((float(a), float(b), float(n)) for a, b, n in zip(*pairs, many, strict=True))


def changes_of(rig: Rig, plan: EnergyPlan, spots: Sequence[Spot]) -> Iterator[Change]:
    """One module or string more, one battery more, an hour of engine, a tilt, the hungriest loads moved or dropped."""
    for tracker in plan.trackers:
        for array in tracker.arrays:
            yield _more_array(rig, plan, array)
            if all(p.tilt_deg == 0.0 for p in array.planes):
                south = spots[0].latitude_deg >= 0.0
                tilted = replace(array, planes=(Plane(TILT_deg, 180.0 if south else 0.0),))
                yield Change(
                    f"{array.id} tilted {TILT_deg:.0f} degrees to the {'south' if south else 'north'} on every pitch",
                    _with_array(plan, array, tilted),
                )
    yield _more_bank(rig, plan)
    if (warmer := _warmer_bank(rig, plan)) is not None:
        yield warmer
    if (watts := engine_power_W(rig, plan.bank)) > 0.0:
        yield Change("an hour of engine a day", _on_lived_days(plan, lambda _, day: _engine(day, watts)))
    yield from _fewer_loads(rig, plan)


def _with_array(plan: EnergyPlan, old: Array, new: Array) -> EnergyPlan:
    return replace(
        plan,
        trackers=tuple(
            replace(t, arrays=tuple(new if a is old else a for a in t.arrays)) for t in plan.trackers
        ),
    )


def _more_array(rig: Rig, plan: EnergyPlan, array: Array) -> Change:
    part = rig.parts[array.id]
    strings, series = max(part.strings, 1), max(part.per_string, 1)
    if strings > 1 or series == 1:
        grown, what = (strings + 1) / strings, "module" if series == 1 else f"string of {series}"
    else:
        grown, what = (series + 1) / series, "module in series"
    more = array.rated_W * (grown - 1.0)
    longer = array.string_V * (grown if what == "module in series" else 1.0)
    return Change(
        f"one more {what} on {array.id} ({more:.0f} W, the same controller; its limits and the roof not looked at)",
        _with_array(plan, array, replace(array, rated_W=array.rated_W * grown, string_V=longer)),
    )


def _more_bank(rig: Rig, plan: EnergyPlan) -> Change:
    group = house_bank(rig, Notes())
    count = len(members(rig, group, "battery"))
    series = count if group.join is not None and group.join.how == "series" else 1
    parallel = count // series
    grown = (parallel + 1) / parallel
    bank = grown_bank(plan.bank, grown)
    what = "battery" if series == 1 else f"string of {series} batteries"
    more = plan.bank.capacity_Ah * (grown - 1.0)
    return Change(f"one more {what} in {group.id} ({more:.0f} Ah)", replace(plan, bank=bank))


def _warmer_bank(rig: Rig, plan: EnergyPlan) -> Change | None:
    """A bank that the cold keeps from charging, held a little above its limit with what the array brings beyond the loads."""
    bank = plan.bank
    keep = bank.charge_min_degC + bank.resume_K + MARGIN_K
    if bank.chemistry != "lfp" or bank.regime in INDOOR or (bank.kept_above_degC or -99.0) >= keep:
        return None
    watts = bank.heater_W or HEATER_W
    warm = replace(bank, kept_above_degC=keep, heater_W=watts, heated_by_surplus=True)
    name = house_bank(rig, Notes()).id
    return Change(
        f"{name} held above {keep:.0f} degC by {watts:.0f} W of heat, on the array's surplus alone",
        replace(plan, bank=warm),
    )


def _on_lived_days(plan: EnergyPlan, change: Callable[[StayPlan, Day], Day]) -> EnergyPlan:
    stays = tuple(
        replace(s, days={m: change(s, d) for m, d in s.days.items()})
        if s.mode in LIVED_IN and not s.isolated
        else s
        for s in plan.stays
    )
    return replace(plan, stays=stays)


def _engine(day: Day, watts: float) -> Day:
    bus = tuple(w + (watts if h == ENGINE_HOUR else 0.0) for h, w in enumerate(day.bus_W))
    return replace(day, bus_W=bus)


def _fewer_loads(rig: Rig, plan: EnergyPlan) -> Iterator[Change]:
    """Without the hungriest loads that may be given up, and with the hungriest of the evening moved to midday."""
    stay = max((s for s in plan.stays if s.mode in LIVED_IN), key=lambda s: (s.last_day - s.first_day) % 365, default=None)  # fmt: skip
    if stay is None:
        return
    wiring = Wiring.of(rig)
    day = sorted(day_of(rig, wiring, stay.mode, "summer", False, Notes()), key=lambda a: -a.Wh)
    free = [a for a in day if a.priority not in ("always", "first")]
    for asked in free[:MOST_LOADS]:
        less = {**rig.use.loads, asked.load: replace(rig.use.loads[asked.load], only=(NEVER,))}
        yield Change(
            f"without {asked.load} ({asked.Wh:.0f} Wh a day)",
            plan_of(
                replace(rig, use=replace(rig.use, loads=less)),
                southern=plan.southern,
                outdoors=plan.outdoors,
            ),
        )
    movable = [a for a in free if shape_of(a.load) not in (EVENLY, MIDDAY)]
    if movable:
        yield Change(
            f"{movable[0].load} moved to the middle of the day",
            _on_lived_days(plan, lambda _, d: _moved(d, movable[0])),
        )


def _moved(day: Day, asked: Asked) -> Day:
    """The load's energy taken from its own hours, as far as it is there, and given back from 10 to 16."""
    watts = day.ac_W if asked.ac else day.dc_W
    taken = [min(asked.Wh * asked.shape[h], watts[h]) for h in range(24)]
    whole = sum(taken)
    moved = tuple(w - x + whole * m for w, x, m in zip(watts, taken, MIDDAY, strict=True))
    return replace(day, ac_W=moved) if asked.ac else replace(day, dc_W=moved)
