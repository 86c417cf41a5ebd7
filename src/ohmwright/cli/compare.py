"""ohmwright compare."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import CAUTION, entry, say


@click.command("compare")
@click.argument("old")
@click.argument("new")
@click.option(
    "--year",
    "with_year",
    is_flag=True,
    help="Run the energy years of both, and compare what they give; the order to sign always does.",
)
@click.option(
    "-o",
    "--out",
    "out",
    type=click.Path(file_okay=False),
    help="Write the order to sign, and the new circuit with what changed marked, into this folder.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def compare_command(old: str, new: str, with_year: bool, out: str | None, as_json: bool) -> int:
    """The change order: what changed between two rigs, and what follows from it.

    Exit 1 when a danger or a fails is new.

    \b
    Example:
        ohmwright compare larkspur/rig.yaml larkspur/rig-built.yaml
        ohmwright compare larkspur@A larkspur --year
        ohmwright compare larkspur@A larkspur -o larkspur/papers/change
    """
    from ohmwright.services import compare as service

    done = service.compare(old, new, with_year=with_year or out is not None)
    if out is not None:
        from ohmwright.services import change_paper

        done = change_paper.write(done, out)
    if as_json:
        print_json(service.compare_json(done))
    else:
        from ohmwright.services.order_words import in_words

        for head, lines in in_words(done):
            click.echo("")
            entry(head, *lines)
        if out is not None:
            say("", f"Written into {out}: {', '.join(done.made)}.")
        say("", CAUTION)
    return 1 if done.open else 0
