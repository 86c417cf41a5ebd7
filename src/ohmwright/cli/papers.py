"""ohmwright papers."""

from typing import Literal

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import CAUTION, say


@click.command("papers")
@click.argument("rig")
@click.option(
    "-o", "--out", "out", required=True, type=click.Path(file_okay=False), help="The folder for the papers."
)
@click.option(
    "--weather", "weather", type=click.Path(dir_okay=False), help="A weather file for the energy page."
)
@click.option(
    "--years",
    type=click.IntRange(1, 1000),
    help="Made years that the energy page rests on; without it, as many as its chances take.",
)
@click.option(
    "--option",
    "options",
    multiple=True,
    help="A rig that the quote sets beside this one, at most two; without it, those that the job names.",
)
@click.option("--language", help="Language of the papers: en, or one of your own; without it, the job's.")
@click.option(
    "--sheet",
    type=click.Choice(["a4", "letter"]),
    help="Size of the sheets; without it, as the job's units and rules.",
)
@click.option(
    "--units", type=click.Choice(["metric", "us"]), help="Units of the papers; without it, those of the job."
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def papers_command(
    rig: str,
    out: str,
    weather: str | None,
    years: int | None,
    options: tuple[str, ...],
    language: str | None,
    sheet: Literal["a4", "letter"] | None,
    units: Literal["metric", "us"] | None,
    as_json: bool,
) -> int:
    """Make the drawings, lists and reports, and papers.json.

    \b
    Example:
        ohmwright papers larkspur -o larkspur/papers/working
        ohmwright papers larkspur@B -o letter --sheet letter --units us
        ohmwright papers larkspur -o quote --option larkspur/rig-swapped.yaml --option larkspur/rig-built.yaml
    """
    from ohmwright.services import papers as service

    if weather and years:
        raise click.UsageError("a weather file is one year: leave --years out")
    look = service.Look(language or "", sheet or "", units or "")
    done = service.papers(rig, out, weather=weather, years=years or 0, look=look, options=options)
    if as_json:
        print_json(service.papers_json(done))
    else:
        for p in done.made:
            click.echo(
                f"{p['file']}"
                + (f"  ({p['pages']} page{'s' if p['pages'] != 1 else ''})" if p.get("pages") else "")
            )
        say("", f"{len(done.made)} files in {out}.", done.checked.statement(), *done.notes, CAUTION)
    return 1 if done.checked.open else 0
