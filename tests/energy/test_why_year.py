"""Every figure of the year can be asked why, and each worked step comes by hand to the value beside it."""

import math
from collections.abc import Iterator

import pytest

from ohmwright.energy.daybook import DayBook
from ohmwright.energy.reckoned import Reckoned
from ohmwright.energy.spans import month_span, parts_of, span_of, stay_span, week_span
from ohmwright.energy.types import Year
from ohmwright.energy.why_made import SUMS, made_why, many_why
from ohmwright.energy.why_made import WHATS as MADE
from ohmwright.energy.why_promise import PROMISE
from ohmwright.energy.why_sun import brightest
from ohmwright.energy.why_year import DAILY, LEDGER, WHATS, WORST, year_why
from ohmwright.energy.year import answer
from ohmwright.rig.model import Rig
from ohmwright.services.new import like
from ohmwright.services.opening import Opened, open_rig
from ohmwright.services.year import typical_year, year_of_opened
from ohmwright.working import OhmwrightError, Step, evaluate

DEMOS = ("trailer", "boat", "cabin")


@pytest.fixture(scope="module", params=DEMOS)
def known(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Opened, DayBook]:
    folder = tmp_path_factory.mktemp("why") / request.param
    like(str(folder), request.param)
    opened = open_rig(str(folder))
    return opened, DayBook(typical_year(opened))


def _steps(told: Reckoned) -> Iterator[Step]:
    for last in told.steps:
        yield from last.chain()


def _by_hand(told: Reckoned) -> None:
    """Whoever has a pocket calculator comes to the same values: 8 of 10 printed digits."""
    for step in _steps(told):
        assert evaluate(step.substituted) == pytest.approx(step.value, rel=1e-7, abs=1e-7), (
            told.ask, step.symbol, step.substituted,
        )  # fmt: skip
        for i in step.inputs:
            assert i.step is None or i.step.value == i.value
    if told.steps:
        assert told.steps[-1].value == told.value


def _why(rig: Rig, book: DayBook, what: str, subject: str) -> Reckoned:
    told = year_why(rig, book, what, subject)
    _by_hand(told)
    return told


def test_months_are_those_of_the_year(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    year = answer(opened.rig, book.one)
    for m in year.months:
        name = f"month-{m.month}"
        for what, value in (
            ("year/sun", m.array_kWh + m.curtailed_kWh),
            ("year/wants", m.load_kWh),
            ("year/unserved", m.unserved_kWh),
            ("year/carried", 100 * m.soc_min),
        ):
            assert _why(opened.rig, book, what, name).value == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_stays_are_those_of_the_year(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    year = answer(opened.rig, book.one)
    for n, s in enumerate(year.stays, 1):
        for what, value in (
            ("year/sun-a-day", s.array_Wh_per_day),
            ("year/wants-a-day", s.load_Wh_per_day),
            ("year/missing-a-day", s.shortfall_Wh_per_day),
        ):
            assert _why(opened.rig, book, what, f"stay-{n}").value == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_every_line_of_where_the_energy_goes_is_a_sum_of_months(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    year = answer(opened.rig, book.one)
    lines = [k for k in year.ledger_kWh if not k.startswith("generator_") and not k.endswith("_days")]
    assert len(lines) == 14
    for line in lines:
        told = _why(opened.rig, book, LEDGER, line)
        assert told.value == pytest.approx(year.ledger_kWh[line], rel=1e-9, abs=1e-9)


def test_nothing_is_left_over_in_the_balance_of_the_year(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    over = next(s for s in _steps(_why(opened.rig, book, LEDGER, "array")) if s.symbol == "E_over")
    assert abs(over.value) < 1e-6


def test_every_promise_has_its_reason(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    for p in answer(opened.rig, book.one).promises:
        told = _why(opened.rig, book, PROMISE, p.name)
        assert any(p.asked in s for s in told.says)
        assert "not a question of energy" in p.got or told.steps
        if p.got[0].isdigit() and " from " in p.got:
            assert told.value == float(p.got.split()[0])
            assert len(told.lists[0].rows) == math.ceil((told.value * 24 + 1) / 24)


def test_the_ladder_from_the_light_ends_at_what_was_used_and_cut_back(known: tuple[Opened, DayBook]) -> None:
    """A week, a day and the hour with most light: the same from the side of the light and of the bus."""
    opened, book = known
    for week in (week_span(n) for n in (2, 18, 30, 45)):
        hour = brightest(book.one, week)
        assert hour is not None
        for span in (week, next(parts_of(week)), hour):
            told = _why(opened.rig, book, "year/sun", span.name)
            if len(told.steps) > 1:
                assert told.steps[-2].value == pytest.approx(told.value, rel=1e-9)


def test_the_loads_of_a_day_are_what_it_wants(known: tuple[Opened, DayBook]) -> None:
    """A day in each month of each stay: load by load by the figures of the file, with what the inverter takes."""
    opened, book = known
    for n in range(1, len(book.one.plan.stays) + 1):
        for day in stay_span(book.one.plan.stays, n).days[::29]:
            span = next(s for s in parts_of(month_span(_month(day))) if s.days == (day,))
            told = _why(opened.rig, book, "year/wants", span.name)
            assert told.value == pytest.approx(book.kWh("wants", span.hours), rel=1e-9)


def _month(day: int) -> int:
    return next(m for m in range(1, 13) if day in month_span(m).days)


def test_every_load_names_its_figures_in_the_file(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    lived = next(d for d in range(365) if book.lived[d])
    told = _why(opened.rig, book, "year/wants", _day_name(lived))
    loads = [s for s in _steps(told) if s.note.partition(", ")[0] in opened.rig.use.loads]
    assert len(loads) > 5
    for step in loads:
        load = step.note.partition(", ")[0]
        written = [i for i in step.inputs if i.origin.kind != "computed"]
        assert written
        assert {i.address.partition(".")[0] for i in written} == {load}


def test_an_hour_that_lacks_something_says_what_came_in_and_what_held_the_bank_back(
    known: tuple[Opened, DayBook],
) -> None:
    opened, book = known
    short = [t for t in range(8760) if book.unserved[t] > 1.0]
    assert short
    for t in short[:: max(len(short) // 20, 1)]:
        span = next(h for h in parts_of(span_of(_day_name(t // 24), ())) if h.hours == (t,))
        told = _why(opened.rig, book, "year/unserved", span.name)
        assert told.value == pytest.approx(book.unserved[t] / 1000.0, rel=1e-9)
        assert any(s.startswith("Why it was not given: ") for s in told.says)


def _day_name(day: int) -> str:
    month = _month(day)
    return f"day-{month:02}-{day - month_span(month).days[0] + 1:02}"


def test_nights_lost_are_counted_by_the_rule_that_is_printed(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    lost = book.one.nights_lost()
    assert _why(opened.rig, book, "year/nights-lost", "year").value == sum(lost)
    for day in [d for d in range(365) if sum(book.unserved[24 * d : 24 * d + 24]) > 0][:40]:
        step = _why(opened.rig, book, "year/nights-lost", _day_name(day)).steps[0]
        assert step.formula == "there if U > U_w else 0"
        assert step.value == lost[day]


def test_the_lowest_charge_is_what_was_there_and_went_in_and_out(known: tuple[Opened, DayBook]) -> None:
    """Every week, that of the begin of the year's count too."""
    opened, book = known
    for n in range(1, 53):
        span = week_span(n)
        told = _why(opened.rig, book, "year/carried", span.name)
        assert told.value == pytest.approx(100 * min(book.soc[t] for t in span.hours), rel=1e-12)


def test_the_worst_week_lacks_most(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    told = _why(opened.rig, book, WORST, "")
    most = max(book.kWh("unserved", week_span(n).hours) for n in range(1, 53))
    assert told.value == pytest.approx(most)
    assert told.lists[0].rows[0].name in told.title


def test_what_is_asked_amiss_is_told_what_to_write(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    for what, subject in (
        ("year/sunn", "year"), ("year/sun", "week-53"), ("year/sun", "day-02-30"), ("year/sun", "hour-01-01-24"),
        ("year/sun", "stay-99"), ("year/sun", "month-0"), (LEDGER, "gold"), (PROMISE, "the moon"),
    ):  # fmt: skip
        with pytest.raises(OhmwrightError) as told:
            year_why(opened.rig, book, what, subject)
        assert told.value.remedy


def test_each_figure_names_where_to_ask_further(known: tuple[Opened, DayBook]) -> None:
    opened, book = known
    for what in WHATS:
        if what in (LEDGER, PROMISE):
            continue
        told = year_why(opened.rig, book, what, "stay-1" if what in DAILY else "week-52")
        for row in told.lists[0].rows if told.lists else ():
            assert row.ask is not None
            year_why(opened.rig, book, row.ask.what, row.ask.subject)


# ------------------------------------------------------------------------------------------ made years


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Rig, Year]:
    folder = tmp_path_factory.mktemp("made") / "trailer"
    like(str(folder), "trailer")
    opened = open_rig(str(folder))
    return opened.rig, year_of_opened(
        opened, years=16, with_charts=True, with_sizes=True, with_buys=True
    ).year


def _made(made: tuple[Rig, Year], what: str, subject: str) -> Reckoned:
    told = made_why(*made, what, subject)
    _by_hand(told)
    assert "16 made years" in told.says[0]
    return told


@pytest.mark.slow
def test_nights_lost_of_made_years_are_those_of_the_year_at_its_rank(made: tuple[Rig, Year]) -> None:
    lost = made[1].nights_lost
    for name, key in (("usual", "p50"), ("one-in-ten", "p90"), ("one-in-twenty", "p95"), ("give-or-take", "mc_error")):  # fmt: skip
        told = _made(made, "made/nights-lost", name)
        assert told.value == pytest.approx(lost[key], abs=1e-9)
        assert sum(float(r.cells[0]) for r in told.lists[0].rows) == 16
    weeks = made[1].by_chance["weeks"]
    assert isinstance(weeks, list)
    for n, week in enumerate(weeks, 1):
        assert _made(made, "made/nights-lost-in", f"week-{n}").value == week["nights_lost_one_in_ten"]


@pytest.mark.slow
def test_what_buys_nights_and_other_sizes_are_those_of_the_year(made: tuple[Rig, Year]) -> None:
    assert made[1].bought
    for n, b in enumerate(made[1].bought, 1):
        for name, value in (
            ("now", b.nights_before), ("then", b.nights_after), ("fewer", b.saved), ("give-or-take", b.error),
            ("one-in-ten-now", b.tenth_before), ("one-in-ten-then", b.tenth_after),
        ):  # fmt: skip
            assert _made(made, "made/bought", f"{n}-{name}").value == pytest.approx(value, abs=1e-9)
    sizes = made[1].by_chance["sizes"]
    assert isinstance(sizes, dict)
    for row in sizes["rows"]:
        head = f"{row['batteries']}-batteries-{row['modules']}-modules"
        assert _made(made, "made/sizes", f"{head}-usual").value == row["nights_usual"]
        assert _made(made, "made/sizes", f"{head}-one-in-ten").value == row["nights_one_in_ten"]
        assert _made(made, "made/sizes", f"{head}-give-or-take").value == row["nights_error"]


@pytest.mark.slow
def test_promises_and_the_bad_week_of_made_years_have_their_reason(made: tuple[Rig, Year]) -> None:
    for p in made[1].promises:
        told = made_why(*made, "made/promise", p.name)
        _by_hand(told)
        assert any(p.got in s for s in told.says)
        if told.steps and f" in {100 * told.value:.0f} of 100 years" not in p.got:
            assert told.value in (0.0, 1.0)
    bad = made[1].by_chance["bad_week"]
    assert isinstance(bad, dict)
    assert _made(made, "made/worst-week", "").value == pytest.approx(100 * min(bad["soc"]))
    for what in (w for w in MADE if w != "made/worst-week"):
        with pytest.raises(OhmwrightError):
            made_why(*made, what, "no such thing")


@pytest.mark.slow
def test_sums_of_many_years_are_those_of_their_mean_months(made: tuple[Rig, Year]) -> None:
    for what, name in SUMS.items():
        told = many_why(*made, what, "")
        _by_hand(told)
        assert told.value == pytest.approx(sum(getattr(m, name) for m in made[1].months))
    told = many_why(*made, "many/nights-lost", "one-in-ten")
    assert (str(told.ask), told.value) == ("many/nights-lost one-in-ten", made[1].nights_lost["p90"])
    with pytest.raises(OhmwrightError, match="did you mean many/array"):
        many_why(*made, "many/aray", "")
