"""ohmwright new, issue: job folders and their revisions."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import CAUTION, say


@click.command("new")
@click.argument("folder")
@click.option(
    "--like",
    "like",
    type=click.Choice(["trailer", "boat", "cabin", "van"]),
    help="One of the invented demo rigs.",
)
@click.option("--from", "old", help="An old job folder to start from.")
def new_command(folder: str, like: str | None, old: str | None) -> None:
    """Make a job folder that works at once.

    \b
    Example:
        ohmwright new larkspur --like trailer
    """
    from ohmwright.services import new

    if (like is None) == (old is None):
        raise click.UsageError("say --like trailer, boat, cabin or van, or --from an old job folder")
    made = new.like(folder, like) if like else new.from_job(folder, str(old))
    say(f"Made {made}. Its working file is {made}/rig.yaml.", f"Next: ohmwright check {folder}")


@click.command("issue")
@click.argument("folder")
@click.option(
    "--as",
    "stage",
    required=True,
    type=click.Choice(["quoted", "change", "build", "built"]),
    help="What it is issued as.",
)
@click.option("--by", "by", default="shop", show_default=True, help="Who issues it.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def issue_command(folder: str, stage: str, by: str, as_json: bool) -> int:
    """Check the working file, stamp the next letter, freeze it.

    A danger that fails or cannot be told stops everything but a quote, and a quote then says so.

    \b
    Example:
        ohmwright issue larkspur --as quoted
    """
    from ohmwright.services import issue

    done = issue.issue(folder, stage, by)
    if as_json:
        print_json(issue.issue_json(done))
    elif done.letter:
        say(f"Issued revision {done.letter} as {stage}: {done.path}", done.checked.statement(), CAUTION)
    else:
        say("Not issued.", done.checked.statement(), *done.reasons, CAUTION)
    return 1 if done.checked.open or not done.letter else 0
