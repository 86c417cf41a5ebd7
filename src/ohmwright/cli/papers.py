"""ohmwright papers."""

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
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def papers_command(rig: str, out: str, weather: str | None, as_json: bool) -> int:
    """Make the drawings, lists and reports, and papers.json.

    \b
    Example:
        ohmwright papers larkspur -o larkspur/papers/working
    """
    from ohmwright.services import papers as service

    done = service.papers(rig, out, weather=weather)
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
