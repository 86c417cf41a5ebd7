"""Why a promise is kept or not in the typical year."""

from collections.abc import Iterator, Sequence

from ohmwright.energy.daybook import DayBook
from ohmwright.energy.loop import by_rig
from ohmwright.energy.promises import (
    UNSERVED,
    NOT_GIVEN_Wh,
    SETS_OUT_h,
    days_meant,
    days_missed,
    is_supply,
    names_in,
    promises_of,
    run_down,
    starts_of,
    worst_start,
)
from ohmwright.energy.promises import away_name as away
from ohmwright.energy.reckoned import Ask, Listing, Reckoned, Row, computed, given, summed, worked
from ohmwright.energy.spans import day_span, day_words, hour_span
from ohmwright.energy.step import ANSWERS
from ohmwright.energy.why_bank import LOST
from ohmwright.energy.why_bank import UNSERVED as MISSING
from ohmwright.rig.model import Promise, Rig
from ohmwright.working import Figure, OhmwrightError, Step, grouped, nearest

PROMISE = "year/promise"
_COLUMNS = {n: ANSWERS.index(f"{n}_Wh") for n in ("array", "load", "unserved")}
_TOTAL = ANSWERS.index("total_Ah")


def promise_why(rig: Rig, book: DayBook, name: str) -> Reckoned:
    """The promise of that name, as the typical year holds it."""
    told = {p.name: p for p in promises_of(rig, book.one)}
    if name not in told:
        near = nearest(name, told)
        raise OhmwrightError(
            f"there is no promise '{name[:60]}' in the file",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(told) if told else "write promises: into the file",
        )  # fmt: skip
    kept = told[name]
    promise = next((p for p in rig.use.promises if p.name == name), None)
    says = (
        f"Asked: {kept.asked}. Got in the typical year: {kept.got}.",
        "Kept." if kept.kept else "Not kept." if kept.kept is False else "One typical year cannot tell whether it is kept.",
    )  # fmt: skip
    asked, days = _nights_asked(book, promise, name)
    if asked is not None and days:
        return _nights(book, name, asked, days, says)
    steps, also = tuple(_others(rig, book, promise)), _near(promise)
    value = steps[-1].value if steps else 0.0
    return Reckoned(
        Ask(PROMISE, name), f"promise {name}", value, steps[-1].unit if steps else "1", says, steps, also=also
    )


def _nights_asked(
    book: DayBook, promise: Promise | None, name: str
) -> tuple[Figure | float | None, Sequence[int]]:
    if promise is not None:
        figure = promise.figures.get("nights")
        return (figure, days_meant(promise, book.one.plan)) if isinstance(figure, Figure) else (None, ())
    for stay in book.one.plan.stays:
        if stay.away_nights and away(stay) == name:
            return float(stay.away_nights), starts_of(stay, book.one.days_of(stay))
    return None, ()


def _nights(
    book: DayBook, name: str, asked: Figure | float, days: Sequence[int], says: tuple[str, ...]
) -> Reckoned:
    """The run-down from the worst day to start, a row for each night."""
    one = book.one
    wanted = asked.value if isinstance(asked, Figure) else asked
    nights, first = worst_start(one, wanted, days)
    hours = run_down(one, first, int(wanted) + 1)
    capacity = by_rig(one.plan)[0]
    rows = []
    for k in range(0, len(hours), 24):
        some = [a for _, a in hours[k : k + 24]]
        sums = {n: sum(a[i] for a in some) for n, i in _COLUMNS.items()}
        rows.append(
            Row(
                f"from {hour_span(hours[k][0]).words.partition(',')[0]}, {SETS_OUT_h} h"
                + (f", {len(some)} h" if len(some) < 24 else ""),
                (
                    f"{grouped(sums['load'])} Wh",
                    f"{grouped(sums['array'])} Wh",
                    f"{grouped(sums['unserved'], 1)} Wh",
                    f"{100 * min(a[_TOTAL] for a in some) / capacity:.1f} %",
                ),
            )
        )
    ended = hours[-1][1][UNSERVED] > NOT_GIVEN_Wh
    last = hour_span(hours[-1][0]).words
    rule = (
        f"From a full bank at {SETS_OUT_h} h, without supply, engine or generator, every day lived in, until an hour lacks more than "
        f"{NOT_GIVEN_Wh:g} Wh; tried from each of {len(days)} days, looked at to {int(wanted) + 1} nights. The worst start is {day_words(first)}."
    )
    steps = (
        worked(
            "N", "floor((h - 1) / 24)" if ended else "floor(h / 24)", float(nights), "1",
            (computed("h", float(len(hours)), "h", f"hours until the first that lacks something: {last}" if ended else "hours looked at, none of which lacks anything"),),
            "whole nights from the worst day to start",
        ),
    )  # fmt: skip
    table = Listing(
        "The nights from the worst start", ("night", "loads want", "array brings", "not given", "least charge"), tuple(rows)
    )  # fmt: skip
    return Reckoned(Ask(PROMISE, name), f"promise {name}", float(nights), "nights", (*says, rule), steps, (table,))  # fmt: skip


def _others(rig: Rig, book: DayBook, promise: Promise | None) -> Iterator[Step]:
    if promise is None:
        return
    keys = {k.replace("_", "-") for k in promise.figures}
    if "unserved" in keys:
        got = sum(book.unserved)
        yield worked("U", "1000 * U_year", got, "Wh", (computed("U_year", got / 1000.0, "kWh", "not given in the year", Ask(MISSING, "year")),))  # fmt: skip
    elif "nights-lost" in keys:
        lost = float(sum(book.one.nights_lost()))
        yield worked("n", "n_year", lost, "1", (computed("n_year", lost, "1", "nights lost in the year", Ask(LOST, "year")),))  # fmt: skip
    elif is_supply(promise) and not names_in(promise, "together"):
        yield from _supplied(rig, book, promise)
    elif names := names_in(promise, "together"):
        powers = [
            (n, max((f for f in rig.use.loads[n].power.values() if isinstance(f, Figure)), key=lambda f: f.value, default=None))
            for n in names
            if n in rig.use.loads
        ]  # fmt: skip
        inputs = [given(f"P_{k}", f) for k, (_, f) in enumerate(powers, 1) if f is not None]
        if inputs:
            yield worked("P", " + ".join(i.symbol for i in inputs), sum(i.value for i in inputs), "W", inputs, "loads at once; of those on the inverter the sum is held against its rating")  # fmt: skip


def _supplied(rig: Rig, book: DayBook, promise: Promise) -> Iterator[Step]:
    """On how many of the days meant the named loads go short."""
    length = promise.figures.get("hours")
    hours = length.value / 3600.0 if isinstance(length, Figure) else 24.0
    names = names_in(promise, "loads")
    days = days_meant(promise, book.one.plan)
    missed = days_missed(rig, names, hours, days, book.one)
    yield summed(
        "n", "1",
        [computed(f"n_{k}", 1.0, "1", day_words(d), Ask(MISSING, day_span(d).name)) for k, d in enumerate(missed, 1)],
        f"days, of the {len(days)} meant, on which more is missing than all but {', '.join(names)} ask",
    )  # fmt: skip


def _near(promise: Promise | None) -> tuple[tuple[str, Ask], ...]:
    if promise is None:
        return ()
    return (
        ("What is not given in the year", Ask(MISSING, "year")),
        ("Nights lost in the year", Ask(LOST, "year")),
    )
