"""Promises: what the owner was told, held against the year."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ohmwright.energy.habits import INDOORS_degC, season_of
from ohmwright.energy.loads import Notes, day_of
from ohmwright.energy.loop import MONTH_OF_DAY, MONTHS, by_rig
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import LIVED_IN, EnergyPlan, StayPlan
from ohmwright.energy.series import as_if_lived, rows_of, stay_of_day
from ohmwright.energy.step import ANSWERS, hour
from ohmwright.energy.topology import Wiring
from ohmwright.energy.types import PromiseKept
from ohmwright.rig.model import Promise, Rig
from ohmwright.working import Figure, grouped

#: Places in the row of an hour that hold outside power: supply, engine, generator.
OUTSIDE = (4, 5, 6)
UNSERVED = ANSWERS.index("unserved_Wh")
LONGEST_days = 60
DUSK_h = 20
#: Nights without outside power begin then, the bank full.
SETS_OUT_h = 18
#: An hour that lacks less is whole.
NOT_GIVEN_Wh = 1.0


def promises_of(rig: Rig, one: OneYear) -> tuple[PromiseKept, ...]:
    """Every promise of the file, and the nights away that its stays ask for."""
    kept = [_kept(rig, promise, one) for promise in rig.use.promises]
    away = [
        _nights(away_name(stay), stay.away_nights, starts_of(stay, one.days_of(stay)), one)
        for stay in one.plan.stays
        if stay.away_nights
    ]
    return (*kept, *away)


def _kept(rig: Rig, promise: Promise, one: OneYear) -> PromiseKept:
    asked = {k.replace("_", "-"): f.value for k, f in promise.figures.items() if isinstance(f, Figure)}
    name = promise.name
    if "nights" in asked:
        return _nights(name, asked["nights"], days_meant(promise, one.plan), one)
    if "unserved" in asked:
        got = sum(one.lacking_Wh())
        return PromiseKept(
            name,
            f"at most {grouped(asked['unserved'])} Wh a year unserved",
            f"{grouped(got)} Wh in this weather",
            got <= asked["unserved"],
        )
    if "nights-lost" in asked or "plug-in-days" in asked:
        limit = asked.get("nights-lost", asked.get("plug-in-days", 0.0))
        what = "nights lost" if "nights-lost" in asked else "plug-in days"
        bad = sum(one.nights_lost() if "nights-lost" in asked else one.days_short())
        return PromiseKept(
            name,
            f"at most {limit:g} {what} a year",
            f"{bad} in one year of weather, which cannot say how often that comes",
            False if bad > limit else None,
        )
    if names := names_in(promise, "together"):
        return _together(rig, name, names, one)
    if is_supply(promise):
        names = names_in(promise, "loads")
        return _supplied(rig, promise, names, asked.get("hours", 86400.0) / 3600.0, one)
    return PromiseKept(name, promise.words.get("said", name), "not a question of energy", None)


def uncounted_loads(rig: Rig, plan: EnergyPlan) -> tuple[str, ...]:
    """Loads of the file whose use is not known and so is in no year."""
    told = (re.match(r"[^:\s]+", text) for text in plan.unknown)
    return tuple(dict.fromkeys(m[0] for m in told if m is not None and m[0] in rig.use.loads))


def doubted(rig: Rig, plan: EnergyPlan, promises: tuple[PromiseKept, ...]) -> tuple[PromiseKept, ...]:
    """Nothing is promised while loads are left out: what would be kept without them cannot be told."""
    missing = uncounted_loads(rig, plan)
    if not missing:
        return promises
    power_only = {p.name for p in rig.use.promises if names_in(p, "together")}
    return tuple(
        replace(p, kept=None, got=f"{p.got}, but without {', '.join(missing)}, whose use is not known")
        if p.kept and p.name not in power_only
        else p
        for p in promises
    )


def away_name(stay: StayPlan) -> str:
    """What the promise of a stay's nights away is called."""
    return f"nights away, {stay.name}"


def starts_of(stay: StayPlan, days: Sequence[int]) -> list[int]:
    """The days of a stay on which nights away can begin: none between its outings."""
    return [d for d in days if not stay.is_between(d)]


def is_supply(promise: Promise) -> bool:
    """Whether it says that named loads are served, all else being given up first; a promise about a bank is none of energy."""
    told = f"{promise.name} {promise.words.get('said', '')}"
    return bool(names_in(promise, "loads")) and "bank" not in told


def names_in(promise: Promise, key: str) -> tuple[str, ...]:
    """The loads that a promise names under a key."""
    text = promise.words.get(key, "")
    return tuple(w for w in text.replace(",", " ").replace("[", " ").replace("]", " ").split() if w)


def _together(rig: Rig, name: str, names: tuple[str, ...], one: OneYear) -> PromiseKept:
    """Loads that run at once, against the inverter's rating: what the bank and the cables say is in the cases."""
    wiring = Wiring.of(rig)
    asked = " and ".join(names) + " at once"
    ac_W = 0.0
    for load in (rig.use.loads[n] for n in names if n in rig.use.loads):
        if not wiring.is_ac(load, False):
            continue
        powers = [f.value for f in load.power.values() if isinstance(f, Figure)]
        if not powers:
            return PromiseKept(name, asked, f"the power of {load.id} while it runs is not known", None)
        ac_W += max(powers)
    rated = one.plan.inverter.rated_W
    if rated <= 0.0:
        return PromiseKept(name, asked, "no inverter in the file", None)
    # a bay gets warm: the page's figure at 40 degC rules where it is the smaller
    warm = (p.figure("power_40") for p in rig.of_kind("inverter-charger", "inverter"))
    rated = min((rated, *(f.value for f in warm if isinstance(f, Figure))))
    return PromiseKept(
        name,
        asked,
        f"{grouped(ac_W)} W of the {grouped(rated)} W the inverter carries for ever; starts and cables not looked at here",
        ac_W <= rated,
    )


def days_missed(
    rig: Rig, names: tuple[str, ...], hours: float, days: Sequence[int], one: OneYear
) -> list[int]:
    """Of some days those on which named loads are not served in all hours (or from dusk on), all else given up first."""
    named, lacking = Named(rig, one.plan, names), one.lacking_Wh()
    held = stay_of_day(one.plan.stays)
    load_Wh = one.accounts.columns["load_Wh"]
    bad: list[int] = []
    for d in days:
        stay = held[d]
        assert stay is not None
        essential_W = named.watts(stay, d)
        first = 24 * d + (DUSK_h if hours < 24.0 else 0)
        for k in range(min(round(hours), 24)):
            t = (first + k) % len(load_Wh)
            if held[t // 24] is stay and lacking[t] > max(load_Wh[t] - essential_W[t % 24], 0.0) + 1.0:
                bad.append(d)
                break
    return bad


class Named:
    """What loads that a promise names ask for, by day of the year: as in the plan, heaters whose place's heat loss is known by the air of their month."""

    def __init__(self, rig: Rig, plan: EnergyPlan, names: tuple[str, ...]) -> None:
        self._rig, self._plan, self._names, self._wiring = rig, plan, names, Wiring.of(rig)
        self._known: dict[tuple[int, int, str], tuple[float, ...]] = {}

    def watts(self, stay: StayPlan, day: int) -> tuple[float, ...]:
        """Watts by hour on day 0..364 of a stay of the plan, without outside power."""
        which = next(k for k, s in enumerate(self._plan.stays) if s is stay)
        month, mode = MONTH_OF_DAY[day], stay.mode_on(day)
        key = (which, month, mode)
        if key not in self._known:
            air = self._plan.outdoors
            outside = (
                (air.of_month(which, month), INDOORS_degC) if air is not None and mode in LIVED_IN else None
            )
            season = season_of(month, self._plan.southern)
            asked = day_of(self._rig, self._wiring, mode, season, False, Notes(), outside=outside)
            mine = [a for a in asked if a.load in self._names]
            self._known[key] = tuple(sum(a.Wh * a.shape[h] for a in mine) for h in range(24))
        return self._known[key]


def _supplied(rig: Rig, promise: Promise, names: tuple[str, ...], hours: float, one: OneYear) -> PromiseKept:
    """Whether named loads are served in all hours (or from dusk on), everything else being given up first."""
    days = days_meant(promise, one.plan)
    span = "all day" if hours >= 24.0 else f"for {hours:g} h from {DUSK_h}:00"
    asked = f"{', '.join(names)} {span}"
    if not days:
        return PromiseKept(promise.name, asked, "no stay of that kind in the file", None)
    bad = days_missed(rig, names, hours, days, one)
    got = (
        f"in every one of {len(days)} days in this weather"
        if not bad
        else f"not on {len(bad)} of {len(days)} days, first {day_name(bad[0])}"
    )
    return PromiseKept(promise.name, asked, got, not bad)


def days_meant(promise: Promise, plan: EnergyPlan) -> list[int]:
    """The days 0..364 that a promise is about: of its mode and season, else of every stay that is lived in."""
    mode, season = promise.words.get("mode", ""), promise.words.get("season", "")
    out = []
    for d, stay in enumerate(stay_of_day(plan.stays)):
        if (
            stay is None
            or stay.isolated
            or (mode and stay.mode_on(d) != mode)
            or (not mode and not stay.lived(d))
        ):
            continue
        if season and season_of(MONTH_OF_DAY[d], plan.southern) != season:
            continue
        out.append(d)
    return out


def _nights(name: str, asked: float, days: list[int], one: OneYear) -> PromiseKept:
    """Nights from a full bank without outside power, from the worst day to start of those meant."""
    wanted = f"{asked:g} nights without outside power"
    if not days:
        return PromiseKept(name, wanted, "no stay of that kind in the file", None)
    worst, when = worst_start(one, asked, days)
    sure = "" if all(s.is_real for s in one.skies) else ", in a typical year made from monthly means"
    if worst > asked:
        return PromiseKept(name, wanted, f"more than {asked:g} from every day{sure}", True)
    return PromiseKept(name, wanted, f"{worst:g} from {day_name(when)}{sure}", worst >= asked)


def worst_start(one: OneYear, asked: float, days: Sequence[int]) -> tuple[int, int]:
    """The fewest nights from any of the days to start, looked at to one more than asked, and that day."""
    stayed = stayed_rows(one)
    return min((nights_from(one, d, int(asked) + 1, stayed), d) for d in days)


def stayed_rows(one: OneYear) -> tuple[tuple[float, ...], ...]:
    """The year's rows with the loads of a lived day on the days between outings too."""
    if all(s.lived_days is None for s in one.plan.stays):
        return one.hours.rows
    asked, stayed = rows_of(one.plan, None), rows_of(as_if_lived(one.plan), None)
    return tuple(
        (row[0], row[1] - own[1] + lived[1], *lived[2:7], *row[7:])
        for row, own, lived in zip(one.hours.rows, asked, stayed, strict=True)
    )


def nights_from(
    one: OneYear, first_day: int, most: int, stayed: tuple[tuple[float, ...], ...] | None = None
) -> int:
    """Whole days from a full bank at 18:00 of `first_day` until something asked for is not given, at most `most`."""
    hours = run_down(one, first_day, most, stayed)
    if hours and hours[-1][1][UNSERVED] > NOT_GIVEN_Wh:
        return (len(hours) - 1) // 24
    return min(most, LONGEST_days)


def run_down(
    one: OneYear, first_day: int, most: int, stayed: tuple[tuple[float, ...], ...] | None = None
) -> list[tuple[int, tuple[float, ...]]]:
    """Hour 0..8759 and what `step.hour` answers, from a full bank at 18:00 without outside power until something is not given."""
    rig = by_rig(one.plan)
    total, hand, running, waiting, down = rig[0], rig[1], 0.0, 0.0, 0.0
    rows = stayed_rows(one) if stayed is None else stayed
    out: list[tuple[int, tuple[float, ...]]] = []
    for k in range(24 * min(most, LONGEST_days)):
        t = (24 * first_day + SETS_OUT_h + k) % len(rows)
        row = list(rows[t])
        for i in OUTSIDE:
            row[i] = 0.0
        answer = hour(hand, total, running, waiting, down, *row, *rig)
        hand, total, waiting, down = answer[0], answer[1], answer[3], answer[4]
        out.append((t, answer))
        if answer[UNSERVED] > NOT_GIVEN_Wh:
            break
    return out


def day_name(day: int) -> str:
    """Day 0..364 in words: 12 January."""
    month = MONTH_OF_DAY[day]
    return f"{day - MONTH_OF_DAY.index(month) + 1} {MONTHS[month]}"
