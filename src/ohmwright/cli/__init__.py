"""The command line: read, call one service, print, exit status. Every command is loaded only when it is called."""

import sys


def main() -> None:
    """Entry point: the front page at once; else a command, with one line and an exit status for what went wrong."""
    argv = sys.argv[1:]
    if not argv or argv in (["--help"], ["-h"]):
        from ohmwright.cli.front import help_text

        sys.stdout.write(help_text())
        sys.exit(0)
    from ohmwright.cli.ending import run
    from ohmwright.cli.program import program

    sys.exit(run(program, argv))
