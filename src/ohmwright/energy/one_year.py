"""One year of one plan, worked through by the plain loop."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.loop import Accounts, Hours, by_rig, run, start_hour
from ohmwright.energy.plan import EnergyPlan, StayPlan
from ohmwright.energy.series import hours_of, lived_days, stay_of_day
from ohmwright.sky.types import WeatherYear

#: A day that lacks less than this is whole: it is below what a meter shows.
WHOLE_Wh = 1.0
BALANCE_LIMIT = 1e-9


@dataclass(frozen=True, slots=True)
class OneYear:
    """One year worked through by the plain loop, with what it was made of."""

    plan: EnergyPlan
    skies: tuple[WeatherYear, ...]
    """The weather of each stay, in the order of the plan's stays."""
    hours: Hours
    accounts: Accounts
    shade: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)
    """By array the factors of shade by hour."""
    snow_counted: bool = False
    parts: int = 1
    """In steps of one of so many parts of an hour."""

    def curtailed_Wh(self) -> tuple[float, ...]:
        """By hour: what the controllers could have given more."""
        used = self.accounts.columns["array_Wh"]
        return tuple(max(row[0] - u, 0.0) for row, u in zip(self.hours.rows, used, strict=True))

    def lacking_Wh(self) -> tuple[float, ...]:
        """By hour: what was asked for and not given.  What a cut-off bank's own management lacks is no such thing."""
        held = stay_of_day(self.plan.stays)
        off = [s is not None and s.isolated for s in held]
        unserved = self.accounts.columns["unserved_Wh"]
        return tuple(0.0 if off[t // 24] else w for t, w in enumerate(unserved))

    def days_of(self, stay: StayPlan) -> list[int]:
        """The days 0..364 that belong to a stay."""
        held = stay_of_day(self.plan.stays)
        return [d for d in range(365) if held[d] is stay]

    def days_short(self) -> tuple[bool, ...]:
        """By day: whether something that was asked for was not given."""
        unserved = self.lacking_Wh()
        return tuple(sum(unserved[24 * d : 24 * d + 24]) > WHOLE_Wh for d in range(365))

    def nights_lost(self) -> tuple[bool, ...]:
        """By day: the same where somebody is there."""
        lived = lived_days(self.plan.stays).tolist()
        return tuple(short and there for short, there in zip(self.days_short(), lived, strict=True))


def work_out(
    plan: EnergyPlan,
    skies: Sequence[WeatherYear],
    shade: Mapping[str, NDArray[np.float64]] | None = None,
    parts: int = 1,
) -> OneYear:
    """Run a plan in the weather of its stays, its arrays under `shade`, in steps of one of `parts` of an hour."""
    by_stay = {id(stay): sky for stay, sky in zip(plan.stays, skies, strict=True)}
    hours = hours_of(plan, lambda stay: by_stay[id(stay)], shade)
    by_step = replace(hours, rows=tuple(row for row in hours.rows for _ in range(parts)))
    accounts = run(by_step, by_rig(plan, parts), start_hour(skies[0].ghi_W_m2), parts=parts)
    array_Wh = sum(accounts.columns["array_Wh"])
    if accounts.balance_Wh > BALANCE_LIMIT * max(array_Wh, 1000.0):
        raise ArithmeticError("the energy of an hour does not balance")
    return OneYear(plan, tuple(skies), hours, accounts, shade or {}, parts=parts)
