"""Why a figure of the typical year is what it is, by name: `year/sun week-12`."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from ohmwright.energy.daybook import DayBook
from ohmwright.energy.ledger import MEANS, by_hour
from ohmwright.energy.loop import MONTHS
from ohmwright.energy.reckoned import Ask, Listing, Reckoned, Row, computed, held, summed, worked
from ohmwright.energy.spans import WEEKS, Span, day_span, month_span, parts_of, span_of, week_span
from ohmwright.energy.why_bank import (
    CARRIED,
    LOST,
    UNSERVED,
    carried_steps,
    lowest,
    nights_steps,
    unserved_steps,
    why_not_given,
)
from ohmwright.energy.why_promise import PROMISE, promise_why
from ohmwright.energy.why_sun import SUN, climate_says, sun_also, sun_steps
from ohmwright.energy.why_wants import wants_steps
from ohmwright.rig.model import Rig
from ohmwright.working import OhmwrightError, Step, nearest

WANTS, WORST, LEDGER = "year/wants", "year/worst-week", "year/ledger"
DAILY = {"year/wants-a-day": WANTS, "year/sun-a-day": SUN, "year/missing-a-day": UNSERVED}
MOST_WEEKS = 8
_COLUMN = {SUN: "sun", WANTS: "wants", UNSERVED: "unserved"}
_SIGN = {SUN: "E", WANTS: "W", UNSERVED: "U"}
_TITLE = {
    SUN: "what the array could bring",
    WANTS: "what the loads want",
    UNSERVED: "what was asked for and not given",
    CARRIED: "least charge of the bank",
    LOST: "nights lost",
    "year/sun-a-day": "what the array could bring a day",
    "year/wants-a-day": "what the loads want a day",
    "year/missing-a-day": "what is missing a day",
}


def year_why(rig: Rig, book: DayBook, what: str, subject: str) -> Reckoned:
    """The derivation of one figure; an error that says what can be asked where there is none of that name."""
    if what == PROMISE:
        return promise_why(rig, book, subject)
    if what == WORST:
        return _worst_week(book)
    if what == LEDGER:
        return _ledger(book, subject)
    if what not in _TITLE:
        near = nearest(what, WHATS)
        raise OhmwrightError(
            f"'{what[:60]}' is no figure of the year",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(WHATS),
        )
    span = span_of(subject, book.one.plan.stays)
    if what in DAILY:
        return _a_day(book, what, span)
    says, also = _ABOUT[what](book, span)
    steps = tuple(_STEPS[what](rig, book, span))
    if not steps:
        steps = (summed(_SIGN.get(what, "E"), "kWh", (), "nothing in these hours"),)
    return Reckoned(
        Ask(what, span.name), f"{_TITLE[what]}, {span.words}", steps[-1].value, steps[-1].unit, says, steps,
        tuple(_parts(book, what, span)), also,
    )  # fmt: skip


WHATS = (SUN, WANTS, CARRIED, UNSERVED, LOST, *DAILY, WORST, LEDGER, PROMISE)


# ------------------------------------------------------------------------------------------ steps


def _sun(rig: Rig, book: DayBook, span: Span) -> Iterator[Step]:
    yield from sun_steps(rig, book, span)
    used, cut = book.kWh("used", span.hours), book.kWh("cut", span.hours)
    yield worked(
        "E", "E_used + E_cut", used + cut, "kWh",
        (computed("E_used", used, "kWh", "put on the bus"), computed("E_cut", cut, "kWh", "cut back: the bank was full, or took no more")),
        "the same from the other side: used, and what the controllers could have given more",
    )  # fmt: skip


def _wants(_: Rig, book: DayBook, span: Span) -> Iterator[Step]:
    if span.hour is not None:
        yield worked("W", "W_h / 1000", book.kWh("wants", span.hours), "kWh", (computed("W_h", book.wants[span.hours[0]], "Wh", "asked in that hour: each load's day spread over the hours in which it runs"),))  # fmt: skip
    elif span.is_day:
        yield from wants_steps(book, span.days[0])
    else:
        yield summed("W", "kWh", [computed(f"W_{n}", book.kWh("wants", p.hours), "kWh", p.words, Ask(WANTS, p.name)) for n, p in enumerate(parts_of(span), 1)])  # fmt: skip


_STEPS: Mapping[str, Callable[[Rig, DayBook, Span], Iterator[Step]]] = {
    SUN: _sun,
    WANTS: _wants,
    UNSERVED: lambda _, book, span: unserved_steps(book, span),
    CARRIED: lambda _, book, span: carried_steps(book, span),
    LOST: lambda _, book, span: nights_steps(book, span),
}


def _a_day(book: DayBook, what: str, span: Span) -> Reckoned:
    of = DAILY[what]
    days = float(len(span.days))
    whole = book.kWh(_COLUMN[of], span.hours)
    step = worked(
        "E_day", "1000 * E / d", 1000.0 * whole / days, "Wh",
        (computed("E", whole, "kWh", f"{_TITLE[of]} in all of it", Ask(of, span.name)), computed("d", days, "1", "days of it")),
        "mean of all its days, those between outings too",
    )  # fmt: skip
    return Reckoned(Ask(what, span.name), f"{_TITLE[what]}, {span.words}", step.value, "Wh", (), (step,), tuple(_parts(book, of, span)))  # fmt: skip


# ------------------------------------------------------------------------------------------ words


def _about_sun(book: DayBook, span: Span) -> tuple[tuple[str, ...], tuple[tuple[str, Ask], ...]]:
    return (
        "What the controllers could have put on the bus, whether the bank took it or not.",
        *climate_says(book.one, span),
    ), sun_also(book.one, span)


def _about_wants(*_: object) -> tuple[tuple[str, ...], tuple[tuple[str, Ask], ...]]:
    return (
        "What all loads ask of the bus, each by its figures in the file, with what the inverter and the devices take for themselves.",
    ), ()


def _about_unserved(book: DayBook, span: Span) -> tuple[tuple[str, ...], tuple[tuple[str, Ask], ...]]:
    reasons = list(dict.fromkeys(r for t in span.hours if (r := why_not_given(book, t))))
    told = tuple(f"Why it was not given: {r}." for r in reasons[:3])
    return ("What was asked of the bus and not given. What the own management of a cut-off bank lacks is not counted.", *told), ()  # fmt: skip


def _about_carried(book: DayBook, span: Span) -> tuple[tuple[str, ...], tuple[tuple[str, Ask], ...]]:
    day = day_span(lowest(book, span) // 24)
    also = (
        ("What the array could bring that day", Ask(SUN, day.name)),
        ("What the loads want that day", Ask(WANTS, day.name)),
    )
    return ("How far the bank is drawn down: its charge at the end of each hour, the lowest of them.",), also


def _about_lost(*_: object) -> tuple[tuple[str, ...], tuple[tuple[str, Ask], ...]]:
    return (
        "A night is lost when a day on which somebody is there lacks more than 1 Wh. Days on which nobody is there are not counted.",
    ), ()


_ABOUT: Mapping[
    str, Callable[[DayBook, Span], tuple[tuple[str, ...], tuple[tuple[str, Ask], ...]]]
] = {SUN: _about_sun, WANTS: _about_wants, UNSERVED: _about_unserved, CARRIED: _about_carried, LOST: _about_lost}  # fmt: skip


# ------------------------------------------------------------------------------------------ lists


#: The columns of such a list; that of the figure that is asked about stands first.
_HEADS = {
    "light": "light, each m²",
    SUN: "array could bring",
    "used": "used",
    "cut": "cut back",
    WANTS: "loads want",
    "beside": "supply, engine",
    UNSERVED: "not given",
    CARRIED: "least charge, %",
    LOST: "night lost",
}


def _parts(book: DayBook, what: str, span: Span) -> Iterator[Listing]:
    """Month by month, day by day or hour by hour, each to be asked further."""
    if span.hour is not None:
        return
    caption = {"year": "Month by month"}.get(span.name, "Hour by hour" if span.is_day else "Day by day")
    of = UNSERVED if what == LOST and span.is_day else what
    keys = [of, *(k for k in _HEADS if k != of and not (k == LOST and span.is_day))]
    rows = tuple(_row(book, of, p, keys) for p in parts_of(span))
    yield Listing(caption, ("kWh", *(_HEADS[k] for k in keys)), rows)


def _row(book: DayBook, what: str, part: Span, keys: Sequence[str]) -> Row:
    hours = part.hours
    light = sum(book.one.hours.plane_W_m2[t] for t in hours) / 1000.0
    beside = book.kWh("supply", hours) + book.kWh("engine", hours)
    lost = 0 if part.hour is not None else sum(book.is_lost(d) for d in part.days)
    cells = {
        "light": f"{light:.2f}",
        SUN: f"{book.kWh('sun', hours):.2f}",
        "used": f"{book.kWh('used', hours):.2f}",
        "cut": f"{book.kWh('cut', hours):.2f}",
        WANTS: f"{book.kWh('wants', hours):.2f}",
        "beside": f"{beside:.2f}" if beside else "–",
        UNSERVED: f"{book.kWh('unserved', hours):.2f}" if any(book.unserved[t] for t in hours) else "–",
        CARRIED: f"{100 * min(book.soc[t] for t in hours):.0f}",
        LOST: str(lost) if lost else "–",
    }
    name = f"{part.hour:02} to {part.hour + 1:02} h" if part.hour is not None else part.words
    return Row(name, tuple(cells[k] for k in keys), Ask(what, part.name))


def worst_weeks(book: DayBook) -> tuple[Span, ...]:
    """The weeks, worst first: by what is not given; where nothing is missing, by the lowest charge."""
    weeks = (week_span(n) for n in range(1, WEEKS + 1))
    return tuple(sorted(weeks, key=lambda w: _badness(book, w), reverse=True))


def _badness(book: DayBook, week: Span) -> tuple[float, float]:
    return book.kWh("unserved", week.hours), -min(book.soc[t] for t in week.hours)


def _worst_week(book: DayBook) -> Reckoned:
    """The week that lacks most; where nothing is missing, the one with the lowest charge."""
    ranked = worst_weeks(book)
    badness = {w.name: _badness(book, w) for w in ranked}
    worst = ranked[0]
    rows = tuple(
        Row(
            w.words,
            (f"{badness[w.name][0]:.2f} kWh", f"{-100 * badness[w.name][1]:.0f} %"),
            Ask(UNSERVED if badness[w.name][0] else CARRIED, w.name),
        )
        for w in ranked[:MOST_WEEKS]
    )
    missing, low = badness[worst.name]
    step = worked(
        "u", "max(" + ", ".join(f"u_{w.name[5:]}" for w in ranked[:MOST_WEEKS]) + ")", missing, "kWh",
        [computed(f"u_{w.name[5:]}", badness[w.name][0], "kWh", w.words, Ask(UNSERVED, w.name)) for w in ranked[:MOST_WEEKS]],
        "what is missing in the weeks that lack most",
    ) if missing else worked(
        "s", "min(" + ", ".join(f"s_{w.name[5:]}" for w in ranked[:MOST_WEEKS]) + ")", -low, "1",
        [computed(f"s_{w.name[5:]}", -badness[w.name][1], "1", w.words, Ask(CARRIED, w.name)) for w in ranked[:MOST_WEEKS]],
        "nothing is missing in any week: the lowest charge of the bank decides",
    )  # fmt: skip
    return Reckoned(
        Ask(WORST, ""), f"the worst week is {worst.words}", step.value, step.unit,
        ("The worst week is the one in which most of what is asked for is not given; where nothing is missing, the one in which the bank stands lowest.",),
        (step,), (Listing("The weeks, worst first", ("week", "not given", "least charge"), rows),),
    )  # fmt: skip


def _ledger(book: DayBook, line: str) -> Reckoned:
    columns = by_hour(book.one)
    line = line.replace(" ", "_")
    if line not in columns:
        raise OhmwrightError(
            f"'{line[:60]}' is no line of where the energy goes", remedy="write one of " + ", ".join(columns)
        )
    column = columns[line]
    months = [month_span(m) for m in range(1, 13)]
    step = summed(
        "E", "kWh",
        [computed(f"E_{n}", sum(column[t] for t in m.hours) / 1000.0, "kWh", f"the hours of {MONTHS[n - 1]}", _further(line, m)) for n, m in enumerate(months, 1)],
        MEANS[line],
    )  # fmt: skip
    balance = _balance(columns)
    return Reckoned(
        Ask(LEDGER, line), f"{line.replace('_', ' ')} in the year", step.value, "kWh",
        (f"{MEANS[line][0].upper()}{MEANS[line][1:]}: the sum of 8760 hours.",), (*balance, step),
    )  # fmt: skip


def _further(line: str, month: Span) -> Ask | None:
    what = {"array": SUN, "curtailed": SUN, "loads": WANTS, "unserved": UNSERVED}.get(line)
    return Ask(what, month.name) if what else None


def _balance(columns: Mapping[str, object]) -> tuple[Step, ...]:
    """What came in is what went out, was lost and stayed: nothing is left over."""
    sums = {k: sum(v) / 1000.0 for k, v in columns.items() if isinstance(v, list | tuple)}
    came = summed("E_in", "kWh", [computed(f"E_{k}", sums[k], "kWh", MEANS[k]) for k in ("array", "shore", "engine", "generator")], "what came in")  # fmt: skip
    went = summed("E_out", "kWh", [computed(f"E_{k}", sums[k], "kWh", MEANS[k]) for k in ("loads", "lost_in_charger", "lost_in_bank", "stored")], "what went out, was lost, or stayed")  # fmt: skip
    return (
        worked("E_over", "E_in - E_out", came.value - went.value, "kWh", (held("E_in", came), held("E_out", went)), "nothing is left over: the year balances"),
    )  # fmt: skip
