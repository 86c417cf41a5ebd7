"""The answer of many years: means, chances and how sure they are, laid over the answer of the one year."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.chance import ManyYears, by_count, by_month, quantile, quantile_error
from ohmwright.energy.loop import MONTH_DAYS
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.promises import day_name, doubted, uncounted_loads
from ohmwright.energy.series import between_days, lived_days
from ohmwright.energy.types import Month, PromiseKept, Year
from ohmwright.energy.verdict import verdict_of
from ohmwright.energy.weeks import weeks_of
from ohmwright.rig.model import Promise, Rig
from ohmwright.working import Figure, grouped

#: A promise with a chance and no share of years is held to nine years in ten.
USUAL_PROBABILITY = 0.9
#: Beyond so many years the model's own error of 10-20 % in a bad week is larger than that of chance.
ENOUGH_years = 500
OF_WHICH_YEARS = "Months and nights are those of all made years, stays those of the typical year."
_STEP = {
    "can-go": "can go",
    "normal": "is ordinary use",
    "first": "is what comes first",
    "always": "must never fail",
}


def with_chance(rig: Rig, plain: Year, one: OneYear, many: ManyYears) -> Year:
    """The year with everything that many years can say."""
    nights = many.nights_lost()
    return replace(
        plain,
        years=len(nights),
        seed=many.seed,
        months=_months(many),
        promises=doubted(rig, many.plan, _promises(rig, plain, many)),
        nights_lost={
            "p50": quantile(nights, 0.5),
            "p90": quantile(nights, 0.9),
            "p95": quantile(nights, 0.95),
            "mc_error": quantile_error(nights, 0.9),
        },
        balance_error=max(plain.balance_error, many.balance_error()),
        notes=(*_notes(one, many), *plain.notes),
        by_chance=chances(many),
        verdict=(*verdict_of(many), *_left_out(rig, many)),
    )


def _left_out(rig: Rig, many: ManyYears) -> tuple[str, ...]:
    missing = uncounted_loads(rig, many.plan)
    if not missing:
        return ()
    return (f"Left out, because their use is not known: {', '.join(missing)}. The truth is worse than this.",)


def _months(many: ManyYears) -> tuple[Month, ...]:
    lacking = by_month(many.lacking_Wh()) / 1000.0
    array, load = by_month(many.column("array_Wh")) / 1000.0, by_month(many.column("load_Wh")) / 1000.0
    curtailed = by_month(np.maximum(many.possible_Wh - many.column("array_Wh"), 0.0)) / 1000.0
    onto = by_month(many.onto_Wh_m2) / 1000.0
    least = many.column("soc_min")
    out, at = [], 0
    for m, days in enumerate(MONTH_DAYS):
        lowest = least[:, at : at + days].min(axis=1)
        out.append(
            Month(
                month=m + 1,
                irradiation_kWh_m2=float(onto[:, m].mean()),
                array_kWh=float(array[:, m].mean()),
                load_kWh=float(load[:, m].mean()),
                unserved_kWh=float(lacking[:, m].mean()),
                unserved_kWh_p90=quantile(lacking[:, m], 0.9),
                curtailed_kWh=float(curtailed[:, m].mean()),
                soc_min=float(lowest.mean()),
                soc_min_p05=quantile(lowest, 0.05),
            )
        )
        at += days
    return tuple(out)


def chances(many: ManyYears) -> dict[str, object]:
    """Chances in figures, each with its standard error."""
    nights, unserved = many.nights_lost(), many.lacking_Wh().sum(axis=1) / 1000.0
    plug = many.plug_in.sum(axis=1)
    any_short = float((nights > 0).mean())
    days = by_month(many.plug_in.astype(np.float64)).mean(axis=0)
    return {
        "any_shortage_probability": any_short,
        "any_shortage_error": float(np.sqrt(any_short * (1.0 - any_short) / len(nights))),
        "unserved_kWh": {
            "p50": quantile(unserved, 0.5),
            "p90": quantile(unserved, 0.9),
            "p95": quantile(unserved, 0.95),
            "mc_error": quantile_error(unserved, 0.9),
        },
        "plug_in_days": {
            "p50": quantile(plug, 0.5),
            "p90": quantile(plug, 0.9),
            "p95": quantile(plug, 0.95),
            "mc_error": quantile_error(plug, 0.9),
        },
        "plug_in_every_days": [
            float(n / d) if d > 0.01 else None for n, d in zip(_month_days(many), days, strict=True)
        ],
        "unserved_by_priority_kWh": {
            name: {"mean": float(x.mean()), "p90": quantile(x, 0.9)}
            for name, x in ((n, w.sum(axis=1) / 1000.0) for n, w in many.lacking_by_priority_Wh().items())
        },
        "second_banks": second_flat(many),
        "weeks": weeks_of(many),
        "nights_lost_by_years": by_count(nights),
        "promises_by_years": promises_by_years(many),
        "varies": _varies(many),
    }


def promises_by_years(many: ManyYears) -> dict[str, list[list[float]]]:
    """For each promise that weather decides: the worst start of the year in nights, or the days on which it was missed."""
    nights = {name: by_count(lasting.min(axis=1)) for name, lasting in many.lasting.items()}
    return {**nights, **{name: by_count(bad.sum(axis=1)) for name, bad in many.missed.items()}}


def second_flat(many: ManyYears) -> dict[str, dict[str, float]]:
    """By second bank that is followed: nights of a year, of those lived in, on which its loads lack something."""
    lived = lived_days(many.plan.stays)
    nights = {name: (short & lived).sum(axis=1) for name, short in many.beside_short.items()}
    return {
        name: {"p50": quantile(n, 0.5), "p90": quantile(n, 0.9), "mc_error": quantile_error(n, 0.9)}
        for name, n in nights.items()
    }


def _month_days(many: ManyYears) -> tuple[int, ...]:
    """Days of each month, those between outings left out."""
    away = by_month(between_days(many.plan.stays)[None, :].astype(np.float64))[0]
    return tuple(n - int(a) for n, a in zip(MONTH_DAYS, away, strict=True))


def _varies(many: ManyYears) -> str:
    if many.spread is None:
        return "the weather only; the loads are as written, every year"
    return (
        f"the weather; and the loads about what is written, by {100 * many.spread.user_ratio:.0f} % from user to user and "
        f"{100 * many.spread.day_ratio:.0f} % from day to day (lognormal, mean as written), fridges and heating with the air"
    )


def _notes(one: OneYear, many: ManyYears) -> tuple[str, ...]:
    years = len(many.daily)
    out = []
    lost = {n: float(w.sum(axis=1).mean()) / 1000.0 for n, w in many.lacking_by_priority_Wh().items()}
    if sum(lost.values()) > 0.05:
        told = ", ".join(
            f"{100 * x / sum(lost.values()):.0f} % {_STEP[n]}" for n, x in lost.items() if x > 0.0
        )
        out.append(
            f"Of what is not given, when loads are given up in the order of their priority: {told}. Without such care everything goes dark at once."
        )
    out.append(f"Varied: {_varies(many)}.")
    for name, flat in second_flat(many).items():
        out.append(
            f"{name} followed through all made years: its loads lack something on {flat['p50']:.0f} nights of a usual year and {flat['p90']:.0f} of one year in ten; they are among the nights lost."
        )
    if years < ENOUGH_years:
        out.append(f"{years} years are few for a year in ten: ask for 1000.")
    if any(s.is_real for s in one.skies):
        out.append(
            "The many years are made from the monthly means of the weather file, not from the file's own days."
        )
    out.append(OF_WHICH_YEARS)
    return tuple(out)


def _promises(rig: Rig, plain: Year, many: ManyYears) -> tuple[PromiseKept, ...]:
    by_name = {p.name: p for p in rig.use.promises}
    return tuple(_told(by_name.get(kept.name), kept, many) for kept in plain.promises)


def _told(promise: Promise | None, kept: PromiseKept, many: ManyYears) -> PromiseKept:
    """A promise held to its share of years, nine in ten where it names none; what is no question of weather stays as it is."""
    figures = promise.figures if promise is not None else {}
    given = {k.replace("_", "-"): f.value for k, f in figures.items() if isinstance(f, Figure)}
    share = given.get("probability", USUAL_PROBABILITY)
    asked = f"{kept.asked}, in {100 * share:.0f} of 100 years"
    if kept.name in many.lasting:
        return PromiseKept(
            kept.name, asked, *_nights_told(many.lasting[kept.name], many.asks.nights[kept.name][1], share)
        )
    if kept.name in many.missed:
        bad = many.missed[kept.name]
        fine = float((~bad.any(axis=1)).mean())
        first = int(np.argmax(bad.mean(axis=0)))
        worst = f"; most often missed on {day_name(first)}" if bad.any() else ""
        return PromiseKept(
            kept.name, asked, f"kept on every day in {100 * fine:.0f} of 100 years{worst}", fine >= share
        )
    for key, values, unit in (
        ("nights-lost", many.nights_lost().astype(np.float64), "nights"),
        ("plug-in-days", many.plug_in.sum(axis=1).astype(np.float64), "days"),
        ("unserved", many.lacking_Wh().sum(axis=1), "Wh"),
    ):
        if key in given:
            got = quantile(values, share)
            said = f"{grouped(got)} {unit} in {100 * share:.0f} of 100 years (give or take {grouped(quantile_error(values, share), 1)})"
            return PromiseKept(kept.name, asked, said, got <= given[key])
    return kept


def _nights_told(lasting: NDArray[np.int64], asked: int, share: float) -> tuple[str, bool]:
    """From every start day of a year, and from any: in how many years, and what the worst start of a bad year gives."""
    worst = lasting.min(axis=1)
    fine = float((worst >= asked).mean())
    if fine >= 1.0:
        return f"{asked} nights from every day of every year", True
    starts = float((lasting >= asked).mean())
    bad = quantile(worst, 1.0 - share)
    text = (
        f"{asked} nights from any day of setting out in {100 * fine:.0f} of 100 years, from {100 * starts:.0f} of 100 such days over all years; "
        f"in one year in {1.0 / max(1.0 - share, 0.001):.0f} the worst of them gives {bad:.0f} night{'' if round(bad) == 1 else 's'}"
    )
    return text, fine >= share
