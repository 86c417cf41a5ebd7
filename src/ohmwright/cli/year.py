"""ohmwright year."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import figure, say, table

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@click.command("year")
@click.argument("rig")
@click.option(
    "--weather", "weather", type=click.Path(dir_okay=False), help="A weather file: EPW, TMY2 or TMY3."
)
@click.option("--years", "years", type=click.IntRange(1, 10000), help="How many years to run.")
@click.option(
    "--seed", "seed", type=int, help="Seed of the synthetic years; the same seed gives the same years."
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def year_command(rig: str, weather: str | None, years: int | None, seed: int | None, as_json: bool) -> int:
    """An energy year where the rig really goes: what the sun brings, what the loads want, what stays unserved.

    Exit 1 when a promise is not kept.

    \b
    Example:
        ohmwright year storlia --weather oslo.epw
    """
    from ohmwright.services import year as service

    done = service.year(rig, weather=weather, years=years, seed=seed)
    if as_json:
        print_json(service.year_json(done))
        return 1 if done.open else 0
    y = done.year
    for p in y.promises:
        say(
            f"Promise '{p.name}': asked {p.asked}, got {p.got}: {'kept' if p.kept else 'cannot be told' if p.kept is None else 'NOT KEPT'}."
        )
    say(*y.notes)
    click.echo("")
    rows = [
        (
            MONTHS[m.month - 1],
            figure(m.irradiation_kWh_m2),
            figure(m.array_kWh),
            figure(m.load_kWh),
            figure(m.unserved_kWh),
            figure(m.curtailed_kWh),
            f"{100 * m.soc_min:.0f}",
        )
        for m in y.months
    ]
    table(
        ("month", "sun kWh/m2", "array kWh", "loads kWh", "unserved kWh", "curtailed kWh", "least charge %"),
        rows,
        right=".rrrrrr",
    )
    click.echo("")
    table(
        ("stay", "mode", "days", "loads Wh/day", "array Wh/day", "unserved kWh", "short Wh/day"),
        [
            (
                s.name,
                s.mode,
                str(s.days),
                figure(s.load_Wh_per_day),
                figure(s.array_Wh_per_day),
                figure(s.unserved_kWh),
                figure(s.shortfall_Wh_per_day),
            )
            for s in y.stays
        ],
        right="..rrrrr",
    )
    click.echo("")
    place = ", ".join(f"{k} {v}" for k, v in y.place.items())
    say(
        f"Weather: {place}.",
        f"{y.years} year{'s' if y.years > 1 else ''}; balance error {y.balance_error:.1e}.",
    )
    if y.assumptions:
        say("Class defaults and assumptions: " + "; ".join(y.assumptions) + ".")
    return 1 if done.open else 0
