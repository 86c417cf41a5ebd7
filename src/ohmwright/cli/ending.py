"""How a command ends: 0 nothing open, 1 something open, 2 input cannot be used, 3 the program is at fault."""

import json
import sys
from typing import Any

import click

from ohmwright.working import FileError, OhmwrightError


def run(program: click.Group, argv: list[str]) -> int:
    """Run and answer the exit status; never a bare traceback."""
    as_json = "--json" in argv
    try:
        done = program.main(args=argv, prog_name="ohmwright", standalone_mode=False)
        return int(done) if isinstance(done, int) else 0
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except click.Abort:
        click.echo("stopped", err=True)
        return 2
    except click.UsageError as error:
        return _refuse(
            error.format_message(),
            {"message": error.format_message(), "remedy": _usage(error)},
            as_json,
            _usage(error),
        )
    except FileError as error:
        told = {"file": error.at.file or None, "line": error.at.line or None, "column": error.at.column or None, "text": error.text or None,
                "message": error.message, "remedy": error.remedy or None}  # fmt: skip
        return _refuse(str(error), told, as_json)
    except OhmwrightError as error:
        return _refuse(str(error), {"message": error.message, "remedy": error.remedy or None}, as_json)
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as bug:  # noqa: BLE001 - the one place where a bug becomes a report
        from ohmwright.services.reports import bug_report

        click.echo(
            f"ohmwright is at fault, not your file: {type(bug).__name__}. The report lies in {bug_report(argv, bug)}",
            err=True,
        )
        return 3


def _usage(error: click.UsageError) -> str:
    return f"see ohmwright {error.ctx.info_name if error.ctx and error.ctx.parent else ''} --help".replace(
        "  ", " "
    )


def _refuse(line: str, told: dict[str, Any], as_json: bool, hint: str = "") -> int:
    click.echo(" ".join(line.split()) + (f"; {hint}" if hint else ""), err=True)
    if as_json:
        empty = {"file": None, "line": None, "column": None, "text": None, "message": None, "remedy": None}
        click.echo(json.dumps({"error": {**empty, **told}}, ensure_ascii=False, indent=1))
    return 2


def print_json(answer: dict[str, Any]) -> None:
    """An answer as JSON: finite numbers only."""
    click.echo(json.dumps(answer, ensure_ascii=False, indent=1, allow_nan=False))
