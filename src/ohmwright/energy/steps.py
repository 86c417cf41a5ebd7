"""How far the step moves the year: the same years by the hour, by five minutes and by one, and with loads as they run."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.abreast import SameYears
from ohmwright.energy.batch import years_of_rig
from ohmwright.energy.chance import sunniest_day
from ohmwright.energy.kernel import BY_YEAR, DAILY, LANES, Kernel
from ohmwright.energy.loop import MONTH_OF_DAY
from ohmwright.energy.one_year import OneYear, WHOLE_Wh
from ohmwright.energy.plan import Day, EnergyPlan
from ohmwright.energy.series import lived_days, row_array, stay_of_day
from ohmwright.energy.skies import ARRAY, HEAT, Floats, ready
from ohmwright.energy.step import BY_HOUR
from ohmwright.energy.types import StepRow, Steps
from ohmwright.sky.types import Spot

HOUR_min = 60
YEARS = 64
HELD, IN_TURN, TOGETHER = "held", "in turn", "together"
#: By the hour all three are the same.
CASES = ((60, HELD), (5, HELD), (5, IN_TURN), (5, TOGETHER))
FINE = ((1, HELD), (1, IN_TURN), (1, TOGETHER))
#: Less than this, of nights or kilowatt-hours, is not told.
LEAST = 0.05
_DC, _AC = BY_HOUR.index("dc_W"), BY_HOUR.index("ac_W")
_WEATHER = [BY_HOUR.index(n) for n in BY_YEAR[:HEAT]]
_UNSERVED, _ARRAY = DAILY.index("unserved_Wh"), DAILY.index("array_Wh")


def steps_of(same: SameYears, *, years: int = YEARS) -> Steps:
    """The same made years by the hour and by five minutes, and by one where the years are in shorter steps than an hour."""
    many = same.many
    first, years = same.like_all(years)
    blocks = [same.block(start) for start in range(first, first + years, LANES)]
    skies, loads = (np.concatenate([getattr(b, n) for b in blocks])[:years] for n in ("skies", "loads"))
    flat = many.short_beside()[first : first + years]
    return _told(
        same.kernel, many.plan, same.spots, skies, loads, flat,
        cases=CASES if many.parts == 1 else (*CASES, *FINE), varied=many.spread is not None, workers=same.workers,
    )  # fmt: skip


def steps_of_one(kernel: Kernel, one: OneYear, *, workers: int = 2) -> Steps:
    """One year in every step, in the weather in which it was worked out."""
    rows = np.array(one.hours.rows)
    sky = np.empty((1, len(BY_YEAR), len(rows)))
    sky[0, :HEAT] = rows[:, _WEATHER].T
    sky[0, HEAT] = rows[:, _DC] - row_array(one.plan)[:, _DC]
    spots = [s.spot for s in one.skies]
    whole = np.zeros((1, 365), dtype=np.bool_)
    return _told(
        kernel, one.plan, spots, sky, np.ones((1, 365)), whole, cases=(*CASES, *FINE), varied=False, workers=workers
    )  # fmt: skip


def _told(
    kernel: Kernel,
    plan: EnergyPlan,
    spots: Sequence[Spot],
    skies: Floats,
    loads: Floats,
    flat: NDArray[np.bool_],
    *,
    cases: Sequence[tuple[int, str]],
    varied: bool,
    workers: int,
) -> Steps:
    off = np.array([s is not None and s.isolated for s in stay_of_day(plan.stays)])
    lived, first_day = lived_days(plan.stays), sunniest_day(spots)
    could_Wh = skies[:, ARRAY].sum(axis=1)
    told = []
    for minutes, how in cases:
        own = ready(plan, spots, varied=varied, parts=HOUR_min // minutes)
        rows = own.rows if how == HELD else as_they_run(plan, own.rows, in_turn=how == IN_TURN)
        days = years_of_rig(kernel, rows, own.own, skies, loads, first_day, workers=workers)
        lacking_Wh = np.where(off, 0.0, days[:, :, _UNSERVED])
        nights = (((lacking_Wh > WHOLE_Wh) | flat) & lived).sum(axis=1)
        cut_Wh = np.maximum(could_Wh - days[:, :, _ARRAY].sum(axis=1), 0.0)
        told.append(
            StepRow(
                minutes, how, float(nights.mean()),
                float(lacking_Wh.sum(axis=1).mean()) / 1000.0, float(cut_Wh.mean()) / 1000.0,
            )
        )  # fmt: skip
    return Steps(len(skies), tuple(told), _words(told))


def as_they_run(plan: EnergyPlan, rows: Floats, *, in_turn: bool) -> Floats:
    """Rows by step with every load that runs hard at its own power, as long as its energy of the hour lasts.

    All begin with the hour, which is as bad as it can be; or each begins where the last one ends, round the hour.
    """
    parts = len(rows) // (24 * 365)
    out = rows.copy()
    blocks: dict[int, Floats] = {}
    for d, stay in enumerate(stay_of_day(plan.stays)):
        if stay is not None:
            day = stay.day(d, MONTH_OF_DAY[d])
            if id(day) not in blocks:
                blocks[id(day)] = more_W(day, parts, in_turn)
            out[24 * parts * d : 24 * parts * (d + 1), [_DC, _AC]] += blocks[id(day)]
    return out


def more_W(day: Day, parts: int, in_turn: bool) -> Floats:
    """What the direct-current and alternating-current loads of a day take more than their hour's mean, by step (24 * parts, 2)."""
    out = np.zeros((24, parts, 2))
    out[:, :, 0] -= np.array(day.short_loss_W)[:, None]
    begins_h = np.zeros((24, 1))
    for run in day.short_runs:
        mean_W = np.minimum(np.array(run.by_hour_Wh), run.running_W)[:, None]
        ends_h = begins_h + mean_W / run.running_W
        on = _until(ends_h, parts) - _until(begins_h, parts) + _until(ends_h - 1.0, parts)
        out[:, :, int(run.ac)] += run.running_W * on - mean_W
        if in_turn:
            begins_h = ends_h % 1.0
    return out.reshape(24 * parts, 2)


def _until(end_h: Floats, parts: int) -> Floats:
    """Of each part of the hour, how much lies before `end_h` (24, parts)."""
    out: Floats = np.clip(end_h * parts - np.arange(parts), 0.0, 1.0)
    return out


def _words(rows: Sequence[StepRow]) -> str:
    by = {(r.step_min, r.loads): r for r in rows}
    hour, least = by[HOUR_min, HELD], min(r.step_min for r in rows)
    held, turn, all_of = (_moves(hour, by[least, how]) for how in (HELD, IN_TURN, TOGETHER))
    step = "five minutes" if least > 1 else "one minute"
    if turn == all_of:
        return f"a step of {step} {held} while loads are held through each hour; with loads at their own power, in turn or together, it {turn}"
    return (
        f"a step of {step} {held} while loads are held through each hour; with loads at their own power one after another it {turn}, and "
        f"were all to begin together with each hour, which is worse than life, it {all_of}"
    )


def _moves(hour: StepRow, other: StepRow) -> str:
    nights, lacking_kWh = other.nights_lost - hour.nights_lost, other.unserved_kWh - hour.unserved_kWh
    told = [f"the nights lost by {nights:+.1f} a year"] if abs(nights) >= LEAST else []
    told += [f"what is not given by {lacking_kWh:+.1f} kWh"] if abs(lacking_kWh) >= LEAST else []
    return f"moves {' and '.join(told) or 'neither nights nor kilowatt-hours'}"
