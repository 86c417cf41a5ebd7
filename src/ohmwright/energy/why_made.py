"""Why a figure of the made years is what it is: which years they are, how many of them lost how many nights, which of them counts."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ohmwright.energy.loop import MONTHS
from ohmwright.energy.promises import names_in
from ohmwright.energy.reckoned import Ask, Listing, Reckoned, Row, computed, held, summed, worked
from ohmwright.energy.spans import week_span
from ohmwright.energy.types import Bought, Year
from ohmwright.energy.why_bank import LOST
from ohmwright.rig.model import Rig
from ohmwright.working import Figure, OhmwrightError, Step, nearest

NIGHTS, WEEK, BOUGHT, SIZES, KEPT, BAD = (
    "made/nights-lost", "made/nights-lost-in", "made/bought", "made/sizes", "made/promise", "made/worst-week",
)  # fmt: skip
WHATS = (NIGHTS, WEEK, BOUGHT, SIZES, KEPT, BAD)
#: What a change order tells of as many made years as its chances take.
SUMS = {"many/unserved": "unserved_kWh", "many/array": "array_kWh", "many/curtailed": "curtailed_kWh"}
MANY = (*SUMS, "many/nights-lost", "many/promise")
_SUM_WORDS = {
    "many/unserved": "what was asked for and not given in the year",
    "many/array": "what the controllers put on the bus in the year",
    "many/curtailed": "what the controllers could have given more in the year",
}
#: Of nine years in ten it is that or less.
RANKS = {"usual": 0.5, "one-in-ten": 0.9, "one-in-twenty": 0.95}
USUAL_PROBABILITY = 0.9
_FIELDS = {"usual": "p50", "one-in-ten": "p90", "one-in-twenty": "p95"}
Counts = Sequence[Sequence[float]]


def made_why(rig: Rig, year: Year, what: str, subject: str) -> Reckoned:
    """The derivation of one figure of the made years."""
    if what not in _ANSWERS:
        near = nearest(what, WHATS)
        raise OhmwrightError(
            f"'{what[:60]}' is no figure of the made years",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(WHATS),
        )
    return _ANSWERS[what](rig, year, subject)


def many_why(rig: Rig, year: Year, what: str, subject: str) -> Reckoned:
    """The same of as many years as their chances take: nights lost and promises, and sums of the mean months."""
    if what in SUMS:
        return _sum_of_months(year, what)
    if what not in MANY:
        near = nearest(what, MANY)
        raise OhmwrightError(
            f"'{what[:60]}' is no figure of many years",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(MANY),
        )
    told = made_why(rig, year, what.replace("many/", "made/"), subject)
    return replace(told, ask=Ask(what, told.ask.subject))


def _sum_of_months(year: Year, what: str) -> Reckoned:
    typical = {"many/unserved": "year/unserved", "many/array": "year/sun", "many/curtailed": "year/sun"}[what]
    terms = [
        computed(f"E_{m.month}", getattr(m, SUMS[what]), "kWh", f"{MONTHS[m.month - 1]}, mean of {year.years} years")
        for m in year.months
    ]  # fmt: skip
    step = summed("E", "kWh", terms, _SUM_WORDS[what])
    also = (("The typical year, day by day", Ask(typical, "year")),)
    return Reckoned(Ask(what, ""), _SUM_WORDS[what], step.value, "kWh", _says(year), (step,), (), also)


def _says(year: Year, more: str = "") -> tuple[str, ...]:
    return (
        (
            f"{year.years} made years: their weather is drawn day by day about the monthly means of the climate table (seed {year.seed}; "
            "the same seed gives the same years), and each is run hour by hour as the typical year is. "
            f"Varied: {year.by_chance.get('varies', 'the weather')}."
        ),
        *((more,) if more else ()),
    )  # fmt: skip


# ------------------------------------------------------------------------------------------ ranks


def _rank(counts: Counts, probability: float, told: str) -> tuple[Step, ...]:
    """The least number of nights that at least that share of the years does not pass."""
    years = sum(n for _, n in counts)
    place = worked(
        "r", "ceil(p * N)", float(math.ceil(round(probability * years, 9))), "1",
        (computed("p", probability, "1", "share of the years that lose no more"), computed("N", years, "1", "made years")),
        "which year counts, when they stand in the order of their nights lost",
    )  # fmt: skip
    value = _at(counts, place.value)
    return (
        worked("n", "n_r", value, "1", (computed("n_r", value, "1", f"the year of rank {place.value:.0f} in the list below"), held("r", place)), told),
    )  # fmt: skip


def _at(counts: Counts, rank: float) -> float:
    together = 0.0
    for value, many in counts:
        together += many
        if together >= rank:
            return float(value)
    return float(counts[-1][0]) if counts else 0.0


def _list(counts: Counts, caption: str = "Years by their nights lost", what: str = "nights lost") -> Listing:
    rows, together = [], 0.0
    for value, many in counts:
        together += many
        rows.append(Row(f"{value:g}", (f"{many:g}", f"{together:g}")))
    return Listing(caption, (what, "years", "that or less"), tuple(rows))


def _nights(_: Rig, year: Year, subject: str) -> Reckoned:
    counts = _counts(year.by_chance.get("nights_lost_by_years"))
    if subject in ("give-or-take", "error"):
        return _error(year, counts)
    which = subject or "usual"
    if which not in RANKS:
        raise OhmwrightError(
            f"'{which[:40]}' is no figure of nights lost",
            remedy="write one of " + ", ".join((*RANKS, "give-or-take")),
        )
    steps = _rank(counts, RANKS[which], f"nights lost in {_WORDS[which]}")
    rule = "A night is lost when a day on which somebody is there lacks more than 1 Wh."
    also = (("The nights lost of the typical year", Ask(LOST, "year")),)
    return Reckoned(Ask(NIGHTS, which), f"nights lost, {_WORDS[which]}", steps[-1].value, "nights", _says(year, rule), steps, (_list(counts),), also)  # fmt: skip


_WORDS = {
    "usual": "a usual year",
    "one-in-ten": "one year in ten, or more",
    "one-in-twenty": "one year in twenty, or more",
}


def _error(year: Year, counts: Counts) -> Reckoned:
    steps = _give_or_take_of(counts, float(year.nights_lost.get("mc_error") or 0.0))
    return Reckoned(
        Ask(NIGHTS, "give-or-take"), "how sure the nights of one year in ten are", steps[-1].value, "nights",
        _says(year), steps, (_list(counts),),
    )  # fmt: skip


def _give_or_take_of(counts: Counts, value: float, least: float = 0.0) -> tuple[Step, ...]:
    """Half of what lies between the years a standard error of the rank either side; told as no less than `least`."""
    years = sum(n for _, n in counts)
    reach = worked(
        "z", "sqrt(p * (1 - p) / N)", math.sqrt(0.9 * 0.1 / years) if years else 0.0, "1",
        (computed("p", 0.9, "1", "one year in ten"), computed("N", years, "1", "made years")),
        "how far the rank itself is uncertain, as a share of the years",
    )  # fmt: skip
    low, high = (_between(counts, 0.9 + sign * reach.value) for sign in (-1.0, 1.0))
    inputs = [
        computed("n_high", high, "1", "nights lost at the rank that share higher, between the years next to it"),
        computed("n_low", low, "1", "and that share lower"), held("z", reach),
    ]  # fmt: skip
    text = "(n_high - n_low) / 2"
    if least:
        inputs.append(computed("n_least", least, "1", "told as no less than half a night"))
        text = f"max({text}, n_least)"
    return (worked("e", text, value, "1", inputs, "give or take of nights lost in one year in ten"),)


def _between(counts: Counts, share: float) -> float:
    """At a share of the years, straight between the two next to it."""
    years = sum(n for _, n in counts)
    place = min(max(share, 0.0), 1.0) * (years - 1.0)
    below = math.floor(place)
    a, b = _at(counts, below + 1.0), _at(counts, min(below + 2.0, years))
    return a + (b - a) * (place - below)


def _week(_: Rig, year: Year, subject: str) -> Reckoned:
    rows: Any = year.by_chance.get("weeks") or []
    number = subject.removeprefix("week-")
    if not number.isdecimal() or not 1 <= int(number) <= len(rows):
        raise OhmwrightError(f"'{subject[:40]}' is no week", remedy="write week-1 to week-52")
    counts = _counts(rows[int(number) - 1].get("nights_lost_by_years"))
    span = week_span(int(number))
    steps = _rank(counts, 0.9, f"nights lost in {span.words}, in one year in ten or more")
    also = (("The same week of the typical year", Ask(LOST, span.name)),)
    return Reckoned(Ask(WEEK, span.name), f"nights lost in {span.words}, one year in ten", steps[-1].value, "nights", _says(year), steps, (_list(counts),), also)  # fmt: skip


def _sizes(_: Rig, year: Year, subject: str) -> Reckoned:
    told: Any = year.by_chance.get("sizes") or {}
    rows = told.get("rows", [])
    found = {f"{r['batteries']}-batteries-{r['modules']}-modules-{k}": (r, p) for r in rows for k, p in (("usual", 0.5), ("one-in-ten", 0.9), ("give-or-take", 0.0))}  # fmt: skip
    if subject not in found:
        near = nearest(subject, found)
        raise OhmwrightError(
            f"'{subject[:60]}' is none of the sizes that were run",
            remedy=f"did you mean {near}?" if near else "look at the almanac sheet",
        )
    row, probability = found[subject]
    counts = _counts(row.get("nights_by_years"))
    which = "usual" if probability == 0.5 else "one-in-ten"
    sure = probability == 0.0
    steps = (
        _give_or_take_of(counts, float(row["nights_error"]), 0.5)
        if sure
        else _rank(counts, probability, f"nights lost in {_WORDS[which]}")
    )
    more = (
        f"{told['bank']} of {row['batteries']} batteries, {row['bank_Ah']:g} Ah, and an array of {row['array_W']:g} W: {told['years']} of the made years run again with these, "
        "all else as it is. Whether roof, controller and cables carry it is not looked at."
    )  # fmt: skip
    also = (("The rig as it stands", Ask(NIGHTS, which)),)
    return Reckoned(Ask(SIZES, subject), f"nights lost with {row['array_W']:g} W and {row['bank_Ah']:g} Ah, {_WORDS[which]}", steps[-1].value, "nights", _says(year, more), steps, (_list(counts),), also)  # fmt: skip


# ------------------------------------------------------------------------------------------ what is bought


def _bought(__: Rig, year: Year, subject: str) -> Reckoned:
    number, _, which = subject.partition("-")
    if not number.isdecimal() or not 1 <= int(number) <= len(year.bought) or which not in _PARTS:
        raise OhmwrightError(
            f"'{subject[:40]}' is no change that was tried",
            remedy="write its number in the list of the almanac and one of " + ", ".join(_PARTS),
        )
    one = year.bought[int(number) - 1]
    steps = _PARTS[which](one)
    rows = tuple(
        Row(f"{a:g} to {b:g}", (f"{a - b:g}", f"{n:g}")) for a, b, n in sorted(one.by_years, reverse=True)
    )
    more = f"{one.what[0].upper()}{one.what[1:]}: the same made years run once as the rig is and once with the change, so that the difference is the change's alone."
    return Reckoned(
        Ask(BOUGHT, subject), f"{_BOUGHT[which]}: {one.what}", steps[-1].value, "nights", _says(year, more), steps,
        (Listing("Years by their nights lost, before and after", ("before to after", "fewer", "years"), rows),),
    )  # fmt: skip


def _mean(pairs: Counts, told: str) -> tuple[Step, ...]:
    years = sum(n for _, n in pairs)
    whole = summed("S", "1", [computed(f"a_{k}", v * n, "1", f"{v:g} nights in each of {n:g} years") for k, (v, n) in enumerate(pairs, 1)])  # fmt: skip
    return (worked("m", "S / N", whole.value / years, "1", (held("S", whole), computed("N", years, "1", "made years")), told),)  # fmt: skip


def _marginal(one: Bought, index: int) -> Counts:
    out: dict[float, float] = {}
    for row in one.by_years:
        out[row[index]] = out.get(row[index], 0.0) + row[2]
    return sorted((v, n) for v, n in out.items())


def _differences(one: Bought) -> Counts:
    out: dict[float, float] = {}
    for a, b, n in one.by_years:
        out[a - b] = out.get(a - b, 0.0) + n
    return sorted((v, n) for v, n in out.items())


def _give_or_take(one: Bought) -> tuple[Step, ...]:
    pairs = _differences(one)
    years = sum(n for _, n in pairs)
    s1, s2 = sum(v * n for v, n in pairs), sum(v * v * n for v, n in pairs)
    return (
        worked(
            "e", "sqrt(max(S2 - S1**2 / N, 0) / (N - 1) / N)", one.error, "1",
            (
                computed("S2", s2, "1", "sum over the years of the square of the nights fewer"),
                computed("S1", s1, "1", "sum over the years of the nights fewer"),
                computed("N", years, "1", "made years"),
            ),
            "standard error of the mean difference",
        ),
    )  # fmt: skip


_PARTS: Mapping[str, Callable[[Bought], tuple[Step, ...]]] = {
    "now": lambda b: _mean(_marginal(b, 0), "nights lost a year as the rig is, mean"),
    "then": lambda b: _mean(_marginal(b, 1), "nights lost a year with the change, mean"),
    "fewer": lambda b: _mean(_differences(b), "nights a year fewer, mean"),
    "give-or-take": _give_or_take,
    "one-in-ten-now": lambda b: _rank(_marginal(b, 0), 0.9, "nights lost in one year in ten as the rig is"),
    "one-in-ten-then": lambda b: _rank(
        _marginal(b, 1), 0.9, "nights lost in one year in ten with the change"
    ),
}
_BOUGHT = {
    "now": "nights lost a year now",
    "then": "nights lost a year then",
    "fewer": "nights a year fewer",
    "give-or-take": "how sure the difference is",
    "one-in-ten-now": "nights lost in one year in ten now",
    "one-in-ten-then": "nights lost in one year in ten then",
}


# ------------------------------------------------------------------------------------------ promises, the bad week


def _kept(rig: Rig, year: Year, name: str) -> Reckoned:
    told = {p.name: p for p in year.promises}
    if name not in told:
        near = nearest(name, told)
        raise OhmwrightError(
            f"there is no promise '{name[:60]}' in the file",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(told),
        )
    kept = told[name]
    promise = next((p for p in rig.use.promises if p.name == name), None)
    figures = {k.replace("_", "-"): f for k, f in (promise.figures if promise else {}).items()}
    probability = figures.get("probability")
    share = probability.value if isinstance(probability, Figure) else USUAL_PROBABILITY
    by: Any = year.by_chance.get("promises_by_years") or {}
    says = _says(year, f"Asked: {kept.asked}. Got: {kept.got}.")
    also = (("The same promise in the typical year", Ask("year/promise", name)),)
    if name in by:
        counts = _counts(by[name])
        missed = promise is not None and bool(names_in(promise, "loads")) and "nights" not in figures
        steps, table = _share(counts, missed, _asked_nights(rig, figures), share)
        return Reckoned(Ask(KEPT, name), f"promise {name}", steps[-1].value, "1", says, steps, (table,), also)
    counts = _counts(year.by_chance.get("nights_lost_by_years"))
    if "nights-lost" in figures:
        steps = _rank(counts, share, f"nights lost that {100 * share:.0f} of 100 years do not pass")
        return Reckoned(Ask(KEPT, name), f"promise {name}", steps[-1].value, "nights", says, steps, (_list(counts),), also)  # fmt: skip
    return Reckoned(Ask(KEPT, name), f"promise {name}", 0.0, "1", says, (), (), also)


def _asked_nights(rig: Rig, figures: Mapping[str, object]) -> float:
    nights = figures.get("nights")
    if isinstance(nights, Figure):
        return float(int(nights.value))
    away = [f for s in rig.use.stays for k, f in s.figures.items() if k == "away" and isinstance(f, Figure)]
    return max((f.value for f in away), default=0.0)


def _share(counts: Counts, missed: bool, asked: float, needed: float) -> tuple[tuple[Step, ...], Listing]:
    years = sum(n for _, n in counts)
    fine = sum(n for v, n in counts if (v == 0.0 if missed else v >= asked))
    told = "without a day on which it was missed" if missed else f"in which every start gives {asked:g} nights or more"  # fmt: skip
    step = worked(
        "k", "N_kept / N", fine / years, "1",
        (computed("N_kept", fine, "1", f"years {told}"), computed("N", years, "1", "made years")),
        f"kept in that share of the years; asked {100 * needed:.0f} of 100",
    )  # fmt: skip
    head = "days on which it was missed" if missed else "nights from the worst start"
    return (step,), _list(counts, f"Years by {head}", head)


def _bad_week(_: Rig, year: Year, __: str) -> Reckoned:
    told: Any = year.by_chance.get("bad_week")
    if not told:
        raise OhmwrightError(
            "the hours of the bad week were not asked for", remedy="work out the made years on the almanac"
        )
    counts = _counts(year.by_chance.get("nights_lost_by_years"))
    low = min(told["soc"])
    rule = (
        f"The first of the made years that loses as many nights as one year in ten (number {int(told['year']) + 1} of them), or where none loses any, whose bank falls as low as in one year in ten; "
        f"of it the seven days that lack most, or in which the bank stands lowest, from {told['first_day']} (month and day) on. The band: {told['band_years']} years evenly spaced in that order, each hour from the 10th to the 90th of 100."
    )  # fmt: skip
    step = worked("p", "100 * s", 100.0 * low, "%", (computed("s", low, "1", "lowest charge of its 168 hours"),))  # fmt: skip
    days = len(told["soc"]) // 24
    hours = [slice(24 * d, 24 * d + 24) for d in range(days)]
    rows = tuple(
        Row(
            f"day {d + 1}",
            (
                f"{100 * min(told['soc'][h]):.0f} %",
                f"{100 * min(told['soc_low'][h]):.0f} to {100 * min(told['soc_high'][h]):.0f} %" if told["soc_low"] else "–",
            ),
        )
        for d, h in enumerate(hours)
    )  # fmt: skip
    week = Listing("Day by day", ("day", "least charge", "eight made years of ten, at their lowest"), rows)
    return Reckoned(Ask(BAD, ""), "the worst week of one year in ten", step.value, "%", _says(year, rule), (step,), (week, _list(counts)))  # fmt: skip


def _counts(found: object) -> Counts:
    return [list(row) for row in found] if isinstance(found, list | tuple) else []


_ANSWERS: Mapping[str, Callable[[Rig, Year, str], Reckoned]] = {
    NIGHTS: _nights,
    WEEK: _week,
    BOUGHT: _bought,
    SIZES: _sizes,
    KEPT: _kept,
    BAD: _bad_week,
}
