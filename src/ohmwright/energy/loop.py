"""A year, hour by hour, in plain Python: the same leaves as the kernel, nothing to load."""

from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.energy.curves import ten_hour_current_A, well_numbers
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.step import ANSWERS, BY_RIG, hour

HOURS = 8760
_STATES, _RUNNING = 5, ANSWERS.index("running_h")
#: A bank this near its floor has reached it.
TRIP_ratio = 1.0 + 1e-6
#: So near its collapse a bank is drawn on; nearer, single precision finds no root.
EDGE_ratio = 0.999
#: A full bank is this much short of its brim, so that nothing is divided by nothing.
BRIM_ratio = 1.005
#: By how much of a step's charge a charging bank has stiffened on its mean: a half for small steps; of an hour so much, which keeps
#: it within 0.1 % of charge of small steps where it stiffens ever faster (tests/energy/test_lead.py).
SMALL_GROW_ratio, GROW_ratio = 0.5, 0.64
#: Copetti's charge efficiency in the form of `step.kept_charge_ratio`, in parts of the ten-hour current (coefficients read second-hand).
GAS_ratio, GAS_KNEE_ratio = 20.73 / 16.0, 0.55


@dataclass(frozen=True, slots=True)
class ArrayHours:
    """An array by hour: light on its planes, its power before any shade on it, and what the shade leaves."""

    id: str
    falls_W_m2: tuple[float, ...]
    whole_W: tuple[float, ...]
    left_W: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TrackerHours:
    """A controller by hour, before the shade of the pitch: what it gives at the battery cool, and in the air it stands in."""

    id: str
    arrays: tuple[ArrayHours, ...]
    cool_W: tuple[float, ...]
    out_W: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Hours:
    """What changes by the hour, in the order of `step.BY_HOUR`, and what the array could do before its controller."""

    rows: tuple[tuple[float, ...], ...]
    array_in_W: tuple[float, ...]
    """Into the controllers, at maximum power."""
    bank_degC: tuple[float, ...]
    plane_W_m2: tuple[float, ...]
    """Mean irradiance of the arrays' planes, weighted by rated power."""
    trackers: tuple[TrackerHours, ...] = ()
    """What the array's power was made of, by controller."""


@dataclass(frozen=True, slots=True)
class Accounts:
    """A year's accounts: one column of 8760 numbers for each of `step.ANSWERS`, January first."""

    columns: dict[str, tuple[float, ...]]
    soc: tuple[float, ...]
    balance_Wh: float
    """The largest |in - out - lost - stored| of an hour."""


def by_rig(plan: EnergyPlan, parts: int = 1) -> tuple[float, ...]:
    """The rig's own numbers in the order of `step.BY_RIG`, for steps of an hour or of one of so many `parts` of it.

    A step takes powers for charges, so for shorter steps all charge is counted in amperes times a step: `parts` times as much.
    """
    bank = plan.bank
    keep, refill, draw = well_numbers(bank.well_share_ratio, bank.well_rate_per_h, parts)
    ten_hour_A = ten_hour_current_A(bank.capacity_Ah, bank.well_share_ratio, bank.well_rate_per_h)
    capacity_Ah = parts * bank.capacity_Ah
    values = {
        "capacity_Ah": capacity_Ah,
        "full_at_hand_Ah": capacity_Ah * bank.well_share_ratio,
        "floor_Ah": capacity_Ah * bank.floor_ratio,
        "set_V": bank.set_V,
        "leak_ratio": bank.leak_percent_per_month / 100.0 / 730.0 / parts,
        "kept_ratio": bank.kept_ratio,
        "gas_ratio": bank.gas_ratio,
        "keep_ratio": keep,
        "refill_ratio": refill,
        "draw_h": draw,
        "controller_A": sum(t.limit_A for t in plan.trackers),
        "charger_A": plan.charger_A,
        "charger_ratio": plan.charger_ratio,
        "proportional_ratio": plan.inverter.proportional_ratio,
        "square_per_W": plan.inverter.square_per_W,
        "generator_W": plan.generator.rated_W,
        "start_ratio": plan.generator.start_ratio,
        "stop_ratio": plan.generator.stop_ratio,
        "half_gap_V": bank.half_gap_V,
        "low_knee_ratio": bank.low_knee_ratio,
        "low_gain_ratio": bank.low_gain_ratio,
        "trip_Ah": 0.0 if bank.restart_ratio is None else capacity_Ah * bank.floor_ratio * TRIP_ratio,
        "restart_ratio": bank.restart_ratio or 0.0,
        "least_run_h": parts * plan.generator.least_run_h,
        "edge_ratio": EDGE_ratio,
        "stiff_ratio": bank.stiff_ratio,
        "brim_Ah": BRIM_ratio * capacity_Ah,
        "square_ratio": bank.square_ratio,
        "ease_ratio": bank.ease_ratio,
        "grow_per_Ah": (GROW_ratio if parts == 1 else SMALL_GROW_ratio) / capacity_Ah,
        "gas_per_h": GAS_ratio * ten_hour_A / capacity_Ah,
        "gas_knee_A": GAS_KNEE_ratio * ten_hour_A,
        "cut_V": plan.inverter.cut_V,
        "back_V": plan.inverter.back_V,
        "sag_ratio": plan.inverter.sag_ratio,
        "open_V": bank.open_V,
        "per_Ah": 1.0 / capacity_Ah,
        "half_per_Ah": 0.5 / capacity_Ah,
        "zero": 0.0,
    }
    values.update(zip(BY_RIG[10:24], bank.rest, strict=True))
    return tuple(values[name] for name in BY_RIG)


def start_hour(ghi_W_m2: Sequence[float]) -> int:
    """The first hour of the sunniest month: a year begun there with a full bank does not depend on the start."""
    best, start, at = -1.0, 0, 0
    for days in MONTH_DAYS:
        mean = sum(ghi_W_m2[at : at + 24 * days]) / days
        if mean > best:
            best, start = mean, at
        at += 24 * days
    return start


MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_OF_DAY: tuple[int, ...] = tuple(m for m, days in enumerate(MONTH_DAYS) for _ in range(days))


def run(hours: Hours, rig: tuple[float, ...], start: int, soc: float = 1.0, parts: int = 1) -> Accounts:
    """The year from hour `start` round to the hour before it, the bank at `soc` at first.

    In steps of one of `parts` of an hour the rows are by step, and `rig` is made for them; the accounts stay by the hour.
    """
    total = soc * rig[0]
    hand = soc * rig[1]
    running = waiting = down = 0.0
    rows = hours.rows
    out: list[tuple[float, ...]] = []
    keep = out.append
    for row in (*rows[parts * start :], *rows[: parts * start]):
        answer = hour(hand, total, running, waiting, down, *row, *rig)
        hand, total, running, waiting, down = answer[:5]
        keep(answer)
    if parts > 1:
        out = [_joined(out[k : k + parts]) for k in range(0, len(out), parts)]
    turn = len(out) - start
    out = out[turn:] + out[:turn]
    columns = dict(zip(ANSWERS, zip(*out, strict=True), strict=True))
    worst = max(
        abs(array + bus + source - (load - unserved) - charger_loss - bank_loss - stored)
        for _, _, _, _, _, array, bus, source, load, unserved, charger_loss, bank_loss, stored in out
    )
    return Accounts(columns, tuple(q / rig[0] for q in columns["total_Ah"]), worst)


def _joined(steps: Sequence[tuple[float, ...]]) -> tuple[float, ...]:
    """The steps of an hour as the hour: its states at the end, its accounts on the mean, the generator as long as it ran."""
    ran = sum(1.0 for s in steps if s[_RUNNING] > 0.0)
    states = list(steps[-1][:_STATES])
    states[_RUNNING] = ran / len(steps)
    accounts = zip(*(s[_STATES:] for s in steps), strict=True)
    return (*states, *(sum(a) / len(steps) for a in accounts))
