"""The program as a group of verbs, each imported only when it is called."""

from importlib import import_module

import click

from ohmwright import __version__
from ohmwright.cli.front import COMMANDS, help_text


class _Verbs(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - click's signature
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"ohmwright.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = getattr(module, f"{cmd_name}_command")
        return command

    def get_help(self, ctx: click.Context) -> str:  # noqa: ARG002 - click's signature
        return help_text().rstrip("\n")

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from ohmwright.working import nearest

            near = nearest(args[0], COMMANDS)
            raise click.UsageError(
                f"no command '{args[0]}'" + (f"; did you mean {near}?" if near else "; see ohmwright --help"),
                ctx,
            )
        return super().resolve_command(ctx, args)


@click.group(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110})
@click.version_option(__version__, prog_name="ohmwright")
def program() -> None:
    """Designs, proves, documents and looks after off-grid electrical systems."""
