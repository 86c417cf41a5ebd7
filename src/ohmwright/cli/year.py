"""ohmwright year."""

from typing import TYPE_CHECKING

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import entry, say, table
from ohmwright.working import grouped

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from typing import Any

    from ohmwright.energy.types import Bought, Darkest, Month, Steps, Storage, Year
    from ohmwright.roof.patterns import Wiring
    from ohmwright.services.roof import Cost

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LONG_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WIRINGS: "tuple[Wiring, ...]" = ("as wired", "series", "parallel", "separate")
GUESTS = 0.10
STEPS_min = {"1h": 60, "5min": 5, "1min": 1}
STEP_LOADS = {
    "held": "held through the hour",
    "in turn": "one after another",
    "together": "all at the hour's beginning",
}


@click.command("year")
@click.argument("rig")
@click.option(
    "--weather",
    "weather",
    type=click.Path(dir_okay=False),
    help="A weather file: EPW, TMY2 or TMY3; one year of it.",
)
@click.option(
    "--years",
    "years",
    type=click.IntRange(1, 10000),
    help="How many made years; left out, as many as the printed errors need (512 to 1024). 1: a typical year alone.",
)
@click.option("--seed", "seed", type=int, help="Seed of the made years; the same seed gives the same years.")
@click.option(
    "--snow",
    "snow",
    type=click.Choice(["lies", "cleared", "none"]),
    default="lies",
    help="Snow on the modules: lies (the default), cleared while somebody is there, none counted.",
)
@click.option(
    "--step",
    "step",
    type=click.Choice(list(STEPS_min)),
    default="1h",
    help="Step of the house bank: 1h (the default), 5min, 1min (half a minute of work).",
)
@click.option("--guests", "guests", is_flag=True, help="Add 10 % for guests and what was forgotten.")
@click.option(
    "--charts",
    "charts",
    type=click.Path(file_okay=False),
    help="Write the charts into this folder, as SVG: months, the bad week, nights lost against array and bank.",
)
@click.option(
    "--shade",
    "shade",
    is_flag=True,
    help="Only what shade takes by month (roof, open lids, mast, hills, trees), and which wiring loses least.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def year_command(
    rig: str,
    weather: str | None,
    years: int | None,
    seed: int | None,
    snow: str,
    step: str,
    guests: bool,
    charts: str | None,
    shade: bool,
    as_json: bool,
) -> int:
    """Energy years where the rig really goes: how often the lights go out, when to plug in, what would help.

    Exit 1 when a promise is not kept.

    \b
    Example:
        ohmwright year storlia
        ohmwright year storlia --weather oslo.epw
        ohmwright year storlia --step 5min
        ohmwright year storlia --charts charts
        ohmwright year larkspur --shade
    """
    from ohmwright.services import year as service

    if shade:
        return _shade_alone(rig, as_json)

    done = service.year(
        rig,
        weather=weather,
        years=years,
        seed=seed,
        snow=snow,  # type: ignore[arg-type]  # one of the choices
        guests_ratio=GUESTS if guests else 0.0,
        step_min=STEPS_min[step],
        with_charts=as_json or charts is not None,
        at_once=None if as_json else _at_once,
    )
    drawn = () if charts is None else service.save_charts(done, charts)
    if as_json:
        print_json(service.year_json(done))
        return 1 if done.open else 0
    y = done.year
    say(*y.verdict)
    if isinstance(low := y.by_chance.get("low_sun"), dict):
        say(f"{low['words'][0].upper()}{low['words'][1:]}.")
    for p in y.promises:
        held = "kept" if p.kept else "cannot be told" if p.kept is None else "NOT KEPT"
        say(f"Promise {held}: '{p.name}'. Asked: {p.asked.rstrip('.')}. Got: {p.got.rstrip('.')}.")
    _what_helps(y.bought)
    if isinstance(sizes := y.by_chance.get("sizes"), dict):
        say(f"Array and bank: {sizes['words']}.")
    click.echo("")
    _months(y)
    click.echo("")
    _stays(y)
    if y.steps is not None:
        click.echo("")
        _steps(y.steps)
    if y.darkest is not None:
        click.echo("")
        _dark_days(y.darkest)
    for card in y.storage:
        click.echo("")
        _card(card)
    if y.ageing is not None:
        click.echo("")
        _ageing(y)
    click.echo("")
    say(*y.notes)
    say(
        _weather(y.place),
        f"{y.years} {'made years' if y.years > 1 else 'year'}{f', seed {y.seed}' if y.seed is not None else ''}; energy balances to {y.balance_error:.0e} of the array's.",
    )
    if drawn:
        click.echo("Charts:")
        for path in drawn:
            click.echo(f"  {path}")
    if y.assumptions:
        say("Class defaults and assumptions:")
        for text in _gathered(y.assumptions):
            say(f"  - {text}.")
    return 1 if done.open else 0


def _shade_alone(rig: str, as_json: bool) -> int:
    """What shade takes from each array, stay by stay, month by month and by wiring."""
    from ohmwright.services.shade import ALIKE_ratio, shade_by_stay, shade_json

    found = shade_by_stay(rig)
    if as_json:
        print_json(shade_json(found))
        return 0
    for stay in found.stays:
        for cost in stay.costs:
            shut = stay.shut.get((cost.shade.array, cost.shade.scene))
            _shade(
                stay.name, cost, shut if shut and cost.shade.year.lost_ratio - shut > ALIKE_ratio else None
            )
    say(*found.notes)
    return 0


def _shade(stay: str, cost: "Cost", shut: float | None) -> None:
    told = cost.shade
    lost = f", about {grouped(cost.lost_kWh)} kWh" if cost.lost_kWh is not None else ""
    closed = f" ({100 * shut:.1f} % with everything shut)" if shut is not None else ""
    least = (
        "series and parallel lose alike"
        if told.suffers_least == "as wired"
        else f"{told.suffers_least} loses less than {'parallel' if told.suffers_least == 'series' else 'series'}"
    )
    say(
        f"{told.array} at {stay}, {told.scene} ({cost.wired}): shade takes {100 * told.year.lost_ratio:.1f} % of a year of such days{closed}{lost}; {least}."
    )
    table(
        ("month", "light kWh/m2", "lost as wired %", "in series %", "in parallel %", "each alone %"),
        [
            (
                MONTHS[m.month - 1] if m.month else "year",
                f"{m.light_kWh_m2:.0f}",
                *(f"{100 * (1 - m.kept[w]):.1f}" for w in WIRINGS),
            )
            for m in (*told.months, told.year)
        ],
        right=".rrrrr",
    )
    say(
        *(f"Not known: {text}." for text in told.unknown), *(f"Assumed: {text}." for text in told.assumed), ""
    )


def _gathered(assumptions: "Sequence[str]") -> list[str]:
    """Assumptions that say the same of several stays or parts in one line.

    >>> _gathered(["M1: dirt 5 % lost", "the inverter is left on", "M2: dirt 5 % lost"])
    ['M1, M2: dirt 5 % lost', 'the inverter is left on']
    """
    told: dict[str, list[str]] = {}
    for text in assumptions:
        subject, colon, rest = text.partition(": ")
        told.setdefault(rest if colon else text, []).extend([subject] if colon else [])
    return [f"{', '.join(subjects)}: {text}" if subjects else text for text, subjects in told.items()]


def _kWh(value: float | None) -> str:
    """Energy of a month or a stay: tenths of a kilowatt-hour are as good as it gets."""
    return "" if value is None else f"{value:.1f}"


def _weather(place: "Mapping[str, Any]") -> str:
    """Where the weather comes from and how sure a month's sun is."""
    away = place["cell_km"]
    cell = f"; the nearest cell of the table is {away:.0f} km away" if away else ""
    return f"Weather: {place['name']}; {place['method']}{cell}; a month's sun give or take {place['band_pct']:.0f} %."


def _at_once(months: "tuple[Month, ...]") -> None:
    """What can be said before the many years are there."""
    unserved = sum(m.unserved_kWh for m in months)
    worst = max(months, key=lambda m: m.unserved_kWh)
    if unserved < 0.05:
        click.echo("In a typical year everything counted is given; how often that holds follows.\n")
    else:
        click.echo(
            f"In a typical year {unserved:.1f} kWh are missing, most in {LONG_MONTHS[worst.month - 1]}; how often that comes follows.\n"
        )


def _what_helps(changes: "tuple[Bought, ...]") -> None:
    if changes:
        say("What would buy nights back, each alone, through the same years:")
        for change in changes:
            say(f"  - {change.words}.")


def _months(y: "Year") -> None:
    many = y.years > 1
    head = ["month", "sun kWh/m2", "array kWh", "loads kWh", "unserved kWh"]
    head += ["in a bad year"] if many else []
    head += ["curtailed kWh", "least charge %"]
    rows = []
    for m in y.months:
        row = [
            MONTHS[m.month - 1],
            *map(_kWh, (m.irradiation_kWh_m2, m.array_kWh, m.load_kWh, m.unserved_kWh)),
        ]
        row += [_kWh(m.unserved_kWh_p90)] if many else []
        row += [_kWh(m.curtailed_kWh), f"{100 * m.soc_min:.0f}"]
        rows.append(row)
    if many:
        say("By month, means of all made years; in a bad year: one in ten lacks as much or more.")
    table(head, rows, right=".rrrrrrr")


def _stays(y: "Year") -> None:
    if y.years > 1:
        say("By stay, in the typical year; loads of a day that is lived in.")
    table(
        ("stay", "mode", "days", "lived in", "loads Wh/day", "array Wh/day", "unserved kWh", "days short"),
        [
            (
                s.name,
                s.mode,
                str(s.days),
                "all" if s.lived_days is None else str(s.lived_days),
                grouped(s.load_Wh_per_day if s.lived_load_Wh_per_day is None else s.lived_load_Wh_per_day),
                grouped(s.array_Wh_per_day),
                _kWh(s.unserved_kWh),
                str(s.short_days),
            )
            for s in y.stays
        ],
        right="..rrrrrr",
    )


def _steps(steps: "Steps") -> None:
    of = f"means of {steps.years} made years" if steps.years > 1 else "this year"
    say(f"By step, {of}: {steps.words}.")
    table(
        ("step", "loads", "nights lost", "unserved kWh", "curtailed kWh"),
        [
            (
                "1 hour" if r.step_min == 60 else f"{r.step_min} min",
                STEP_LOADS[r.loads],
                f"{r.nights_lost:.1f}",
                _kWh(r.unserved_kWh),
                _kWh(r.curtailed_kWh),
            )
            for r in steps.rows
        ],
        right="..rrr",
    )


def _dark_days(dark: "Darkest") -> None:
    say(
        f"The darkest days in a row at {dark.place}, mean kWh/m2 a day on the flat; so many of 100 years have them as dark or darker ({dark.warning}):"
    )
    table(
        ("days in a row", *(f"{c} in 100" for c in dark.chances_percent)),
        [
            (str(n), *(f"{v:.2f}" for v in row))
            for n, row in zip(dark.lengths_days, dark.mean_kWh_m2, strict=True)
        ],
        right="rrrrr",
    )


def _card(card: "Storage") -> None:
    low, likely, high = card.days_to_floor
    drains = ", ".join(f"{d.subject} {d.draw_W:.2g} W" for d in card.drains) or "nothing known"
    last = (
        "lasts the stay"
        if card.lasts_the_stay
        else f"at its floor after {likely:.0f} days ({low:.0f} to {high:.0f}), on {card.floor_on[1]} ({card.floor_on[0]} to {card.floor_on[2]}): act before {card.act_before}"
    )
    entry(
        f"Stored: {card.stay}",
        f"Left full on {card.left_on} with {drains} and self-discharge, {card.draw_Ah_per_day + card.leak_Ah_per_day:.1f} Ah a day, no sun: {last}.",
        f"Cut off: {'; '.join(card.disconnect)}." if card.disconnect else "",
        *(f"{n[0].upper()}{n[1:]}." for n in card.notes),
        "In spring: " + "; ".join(card.wake_up) + ".",
    )


def _ageing(y: "Year") -> None:
    age = y.ageing
    assert age is not None
    told = [f"Use: {'; '.join(age.words)}."]
    if age.capacity_ratio:
        some = [(n, age.capacity_ratio[n - 1]) for n in (1, 5, 10, 15) if n <= len(age.capacity_ratio)]
        told.insert(
            0,
            "Capacity left after "
            + ", ".join(
                f"{n} year{'s' if n > 1 else ''} {100 * a:.0f} to {100 * b:.0f} %" for n, (a, b) in some
            )
            + f"; 80 % after {age.shortest_years or 'more than 25'} to {age.longest_years or 'more than 25'} years.",
        )
    if isinstance(ages := y.by_chance.get("ages"), dict):
        words = ages["words"]
        told.append(f"{words[0].upper()}{words[1:]}.")
    entry("Ageing, when every year is like the typical one", *told)
