"""The command line: read, call one service, print, exit status. Every command is loaded only when it is called."""

from collections.abc import Sequence
from importlib import import_module

import click

from ohmwright import __version__

COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("jobs", "Make a job folder that works at once, like one of the demo rigs or an old job."),
    "show": ("show", "Say the rig in words; its explicit graph; every figure; the open questions."),
    "check": ("check", "Apply the design rules."),
    "why": ("why", "Derive a verdict or a figure, to be followed with a pocket calculator."),
    "flows": ("flows", "Currents, drops and shares by operating case, and prospective faults."),
    "year": ("year", "An energy year where the rig really goes."),
    "papers": ("papers", "Make the drawings, lists and reports."),
    "issue": ("jobs", "Check, stamp a letter, freeze a revision."),
    "set": ("edit", "Change one figure in the rig file; one line changes."),
    "rename": ("edit", "Rename a part, run, load or place everywhere in the file."),
    "ungroup": ("edit", "Write a group's members, links and fuses out into the file."),
    "rules": ("books", "The rule catalogue."),
    "sources": ("books", "Every published figure with edition, clause and who has seen the page."),
    "schema": ("books", "The JSON Schema of a rig file."),
    "shelf": ("shelf", "List, show, add and verify part records."),
}


class _Verbs(click.Group):
    """Commands by name, each imported when asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"ohmwright.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = getattr(module, f"{cmd_name}_command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from ohmwright.working import nearest

            near = nearest(args[0], COMMANDS)
            raise click.UsageError(f"no command '{args[0]}'" + (f"; did you mean {near}?" if near else "; see ohmwright --help"), ctx)
        return super().resolve_command(ctx, args)


@click.group(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110})
@click.version_option(__version__, prog_name="ohmwright")
def program() -> None:
    """Designs, proves, documents and looks after off-grid electrical systems.

    RIG is a rig file, a job folder (its working file) or FOLDER@B (issued revision B).

    \b
    Example:
        ohmwright new larkspur --like trailer
        ohmwright check larkspur

    What it says is advice to a competent technician. Local codes and licensed practice rule.
    """


def main(argv: Sequence[str] | None = None) -> None:
    """Entry point: runs a command and turns what went wrong into one line and an exit status."""
    import sys

    from ohmwright.cli.ending import run

    sys.exit(run(program, list(sys.argv[1:] if argv is None else argv)))
