"""Promises: what the owner was told, held against the year."""

from ohmwright.energy.habits import season_of
from ohmwright.energy.loop import MONTH_OF_DAY, by_rig
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import LIVED_IN
from ohmwright.energy.series import stay_of_day
from ohmwright.energy.step import hour
from ohmwright.energy.types import PromiseKept
from ohmwright.rig.model import Promise, Rig
from ohmwright.working import Figure

#: Rows of an hour that hold outside power: supply, engine, generator.
OUTSIDE = (4, 5, 6)
LONGEST_days = 60


def promises_of(rig: Rig, one: OneYear) -> tuple[PromiseKept, ...]:
    """Every promise of the file, and the nights away that its stays ask for."""
    told = [p for promise in rig.use.promises if (p := _kept(promise, one)) is not None]
    for stay, planned in zip(rig.use.stays, one.plan.stays, strict=True):
        away = stay.figures.get("away")
        if isinstance(away, Figure) and away.value > 0:
            told.append(_nights(f"nights away, {planned.name}", away.value, one.days_of(planned), one))
    return tuple(told)


def _kept(promise: Promise, one: OneYear) -> PromiseKept | None:
    given = {k.replace("_", "-"): f.value for k, f in promise.figures.items() if isinstance(f, Figure)}
    if "nights" in given:
        return _nights(promise.name, given["nights"], _days_meant(promise, one), one)
    columns = one.accounts.columns
    if "unserved" in given:
        got = sum(columns["unserved_Wh"])
        return PromiseKept(
            promise.name,
            f"at most {given['unserved']:,.0f} Wh a year unserved",
            f"{got:,.0f} Wh in this weather",
            got <= given["unserved"],
        )
    if "nights-lost" in given or "plug-in-days" in given:
        asked = given.get("nights-lost", given.get("plug-in-days", 0.0))
        bad = sum(one.days_short())
        words = "nights lost" if "nights-lost" in given else "plug-in days"
        return PromiseKept(
            promise.name,
            f"at most {asked:g} {words} a year",
            f"{bad} in one year of weather, which cannot say how often that comes",
            False if bad > asked else None,
        )
    return None


def _days_meant(promise: Promise, one: OneYear) -> list[int]:
    mode, season = promise.words.get("mode", ""), promise.words.get("season", "")
    held = stay_of_day(one.plan.stays)
    out = []
    for d, stay in enumerate(held):
        if (
            stay is None
            or stay.isolated
            or (mode and stay.mode != mode)
            or (not mode and stay.mode not in LIVED_IN)
        ):
            continue
        if season and season_of(MONTH_OF_DAY[d], one.plan.southern) != season:
            continue
        out.append(d)
    return out


def _nights(name: str, asked: float, days: list[int], one: OneYear) -> PromiseKept:
    """Nights from a full bank without outside power, from the worst day to start of those meant."""
    wanted = f"{asked:g} nights without outside power"
    if not days:
        return PromiseKept(name, wanted, "no stay of that kind in the file", None)
    worst, when = min((nights_from(one, d, int(asked) + 1), d) for d in days)
    month, day = _date(when)
    sure = "" if all(s.is_real for s in one.skies) else ", in monthly-normal weather"
    if worst > asked:
        return PromiseKept(name, wanted, f"more than {asked:g} from every day{sure}", True)
    return PromiseKept(name, wanted, f"{worst:g} from {month:02}-{day:02}{sure}", worst >= asked)


def nights_from(one: OneYear, first_day: int, most: int) -> int:
    """Whole days from a full bank at 18:00 of `first_day` until something asked for is not given, at most `most`."""
    rig = by_rig(one.plan)
    total, hand, running = rig[0], rig[1], 0.0
    rows = one.hours.rows
    for k in range(24 * min(most, LONGEST_days)):
        row = list(rows[(24 * first_day + 18 + k) % len(rows)])
        for i in OUTSIDE:
            row[i] = 0.0
        answer = hour(hand, total, running, *row, *rig)
        hand, total = answer[0], answer[1]
        if answer[7] > 1.0:
            return k // 24
    return min(most, LONGEST_days)


def _date(day: int) -> tuple[int, int]:
    month = MONTH_OF_DAY[day]
    return month + 1, day - MONTH_OF_DAY.index(month) + 1
