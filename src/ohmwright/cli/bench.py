"""ohmwright bench: the sheets in a browser, on this machine."""

import click

from ohmwright.cli.words import say


@click.command("bench")
@click.argument("folder", default=".", type=click.Path(file_okay=False))
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8017, show_default=True, help="0 takes any free one."
)
@click.option("--host", default="localhost", hidden=True)
def bench_command(folder: str, port: int, host: str) -> None:
    """Open the jobs of a folder as sheets in a browser, on this machine only.

    FOLDER holds job folders, or is one. Stop it with Ctrl-C.

    \b
    Example:
        ohmwright bench jobs
    """
    from ohmwright.web.serve import serve

    serve(
        folder,
        host=host,
        port=port,
        told=lambda address: say(f"The bench is at {address}", "Stop it with Ctrl-C."),
    )
