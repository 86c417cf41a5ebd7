"""Why the bank falls so low, why something is not given, and by which rule a night counts as lost."""

from collections.abc import Iterator

from ohmwright.energy.daybook import DayBook
from ohmwright.energy.loop import HOURS, by_rig, start_hour
from ohmwright.energy.one_year import WHOLE_Wh
from ohmwright.energy.reckoned import Ask, computed, held, summed, worked
from ohmwright.energy.series import stay_of_day
from ohmwright.energy.spans import Span, day_span, day_words, hour_span, parts_of
from ohmwright.energy.step import BY_HOUR
from ohmwright.working import Input, Origin, Step, grouped

UNSERVED, LOST, CARRIED = "year/unserved", "year/nights-lost", "year/carried"
RULE = Origin("class", page="rule: below what a meter shows")
TAKES, GIVES = BY_HOUR.index("charge_A"), BY_HOUR.index("discharge_A")


# ------------------------------------------------------------------------------------------ least charge


def lowest(book: DayBook, span: Span) -> int:
    """The hour 0..8759 of a span after which the bank stands lowest."""
    return min(span.hours, key=lambda t: book.soc[t])


def carried_steps(book: DayBook, span: Span) -> Iterator[Step]:
    """From the charge before the span to its lowest hour: what went in, what came out."""
    low = lowest(book, span)
    until = _up_to(span, low)
    total, numbers = book.one.accounts.columns["total_Ah"], by_rig(book.one.plan)
    capacity, begin = numbers[0], start_hour(book.one.skies[0].ghi_W_m2)
    before = [capacity if t == begin else total[t - 1] for t in until]
    moved = [total[t] - b for t, b in zip(until, before, strict=True)]
    went_in, out = sum(m for m in moved if m > 0.0), -sum(m for m in moved if m < 0.0)
    first = until[0]
    inputs = [
        computed(
            "Q_0", before[0], "Ah",
            "full: the year begins here" if first == begin else f"in the bank at the end of {hour_span((first - 1) % HOURS).words}",
        ),
        computed("Q_in", went_in, "Ah", "charged in the hours until then that charge"),
        computed("Q_out", out, "Ah", "drawn in the hours until then that draw, with self-discharge"),
    ]  # fmt: skip
    text = "Q_0 + Q_in - Q_out"
    if begin in until[1:]:
        inputs.append(computed("Q_full", capacity - total[begin - 1], "Ah", f"the year begins on {day_words(begin // 24)} with a full bank"))  # fmt: skip
        text += " + Q_full"
    left = worked("Q", text, total[low], "Ah", inputs, f"in the bank when it stands lowest, at the end of {hour_span(low).words}")  # fmt: skip
    yield left
    part = worked(
        "s", "Q / C", book.soc[low], "1",
        (held("Q", left), computed("C", capacity, "Ah", "capacity of the house bank, all batteries of the file together")),
        "charge of the bank, 1 is full",
    )  # fmt: skip
    yield part
    yield worked("p", "100 * s", 100.0 * book.soc[low], "%", (held("s", part),))


def _up_to(span: Span, low: int) -> list[int]:
    """The hours of a span that lead to one of them without a gap, over the turn of the year if need be."""
    held_ = set(span.hours)
    out = [low]
    while (before := (out[0] - 1) % HOURS) in held_ and before != low:
        out.insert(0, before)
    return out


# ------------------------------------------------------------------------------------------ not given


def unserved_steps(book: DayBook, span: Span) -> Iterator[Step]:
    """What is missing: the sum of the hours; of one hour the balance of the bus."""
    if span.hour is not None:
        yield from _balance(book, span.hours[0])
        return
    terms = [
        computed(f"U_{n}", book.kWh("unserved", p.hours), "kWh", p.words, Ask(UNSERVED, p.name))
        for n, p in enumerate(parts_of(span), 1)
        if any(book.unserved[t] for t in p.hours)
    ]
    yield summed("U", "kWh", terms, "what was asked for and not given")


def _balance(book: DayBook, t: int) -> Iterator[Step]:
    columns = book.one.accounts.columns
    terms = (
        ("W", columns["load_Wh"], "asked"),
        ("E_bank", columns["stored_Wh"], "that the bank takes, less where it gives"),
        ("E_loss", book.lost, "lost in bank and charger"),
        ("E_sun", columns["array_Wh"], "from the array"),
        ("E_engine", columns["bus_Wh"], "from engine, wind or hydro generator"),
        ("E_source", columns["source_Wh"], "from supply or generator"),
    )
    inputs = [computed(s, c[t], "Wh", told) for s, c, told in terms]
    if stay_is_off(book, t // 24):
        yield worked("U", "0", 0.0, "kWh", (), "the bank is cut off: what its own management lacks is not counted")  # fmt: skip
        return
    missing = worked(
        "U_h", "W + E_bank + E_loss - E_sun - E_engine - E_source", columns["unserved_Wh"][t], "Wh", inputs,
        "what comes in, less what is lost and stored, is what the loads got",
    )  # fmt: skip
    yield missing
    yield worked("U", "U_h / 1000", columns["unserved_Wh"][t] / 1000.0, "kWh", (held("U_h", missing),))


def stay_is_off(book: DayBook, day: int) -> bool:
    """Whether the bank is cut off on day 0..364."""
    stay = stay_of_day(book.one.plan.stays)[day]
    return stay is not None and stay.isolated


def why_not_given(book: DayBook, t: int) -> str:
    """What held the bank back in an hour in which something is missing; "" where nothing is."""
    columns, plan = book.one.accounts.columns, book.one.plan
    if book.unserved[t] <= 0.0:
        return ""
    row, numbers = book.one.hours.rows[t], by_rig(plan)
    floor = plan.bank.floor_ratio
    if columns["down_V"][t] > 0.0:
        return f"the inverter's cut-off has let go: it comes back when the bank stands at {columns['down_V'][t]:.1f} V without it"
    if columns["waiting_ratio"][t] > 0.0:
        return f"the bank was down and waits with all loads off until it stands at {100 * columns['waiting_ratio'][t]:.0f} %"
    if row[GIVES] <= 0.0:
        return f"the bank is too cold to give anything: {book.one.hours.bank_degC[t]:.0f} °C"
    if columns["total_Ah"][t] <= numbers[0] * floor * 1.001:
        return f"the bank is down at its floor of {100 * floor:.0f} %"
    return "the bank gives no more: its limit of current, or what its acid has at hand"


# ------------------------------------------------------------------------------------------ nights


def night_step(book: DayBook, day: int) -> Step:
    """Whether the night of a day is lost."""
    missing = sum(book.unserved[24 * day : 24 * day + 24])
    there = 1.0 if book.lived[day] else 0.0
    return worked(
        "n", "there if U > U_w else 0", 1.0 if book.is_lost(day) else 0.0, "1",
        (
            computed("there", there, "1", f"1 where somebody is there on {day_words(day)}, as the stays of the file say"),
            computed("U", missing, "Wh", "asked for and not given on that day", Ask(UNSERVED, day_span(day).name)),
            Input("U_w", WHOLE_Wh, "Wh", RULE),
        ),
        "a night is lost when a day on which somebody is there lacks more than that",
    )  # fmt: skip


def nights_steps(book: DayBook, span: Span) -> Iterator[Step]:
    """The nights of a span that are lost, counted."""
    if span.is_day:
        yield night_step(book, span.days[0])
        return
    if span.name == "year":
        terms = [
            computed(f"n_{k}", float(sum(book.is_lost(d) for d in m.days)), "1", m.words, Ask(LOST, m.name))
            for k, m in enumerate(parts_of(span), 1)
        ]
    else:
        terms = [
            computed(f"n_{k}", 1.0, "1", day_words(d), Ask(LOST, day_span(d).name))
            for k, d in enumerate((d for d in span.days if book.is_lost(d)), 1)
        ]
    yield summed("n", "1", terms, f"nights lost: days on which somebody is there that lack more than {grouped(WHOLE_Wh)} Wh")  # fmt: skip
