"""The command line as a user meets it: help, exit statuses, one-line refusals."""

import json
import subprocess
import sys
from pathlib import Path

import click
import pytest

from ohmwright.cli.ending import run
from ohmwright.cli.front import COMMANDS, help_text
from ohmwright.cli.program import program

HEAVY = (
    "numpy",
    "numba",
    "scipy",
    "pandas",
    "pvlib",
    "pint",
    "typst",
    "ezdxf",
    "xlsxwriter",
    "yaml",
    "fontTools",
)


def test_help_imports_no_numerics() -> None:
    told = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "ohmwright", "--help"],
        capture_output=True,
        text=True,
        check=True,
    )

    imported = {line.split("|")[-1].strip().split(".")[0] for line in told.stderr.splitlines() if "|" in line}

    assert not imported & set(HEAVY)
    assert "ohmwright" in imported


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name: str) -> None:
    command = program.get_command(click.Context(program), name)

    assert command is not None
    assert command.help is not None
    assert "Example:" in command.help
    assert f"ohmwright {name}" in command.help


def test_a_misspelt_command_gets_the_nearest_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(program, ["chek", "x"]) == 2

    assert "did you mean check?" in capsys.readouterr().err


def test_a_missing_file_is_one_line_and_exit_2(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert run(program, ["check", str(tmp_path / "nothing.yaml")]) == 2

    err = capsys.readouterr().err
    assert len(err.strip().splitlines()) == 1
    assert "nothing.yaml" in err


def test_a_refusal_as_json_stands_on_stdout(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text("ohmwright: 1\njob: {id: x}\njob: {id: y}\n", encoding="utf-8")

    assert run(program, ["check", str(file), "--json"]) == 2

    error = json.loads(capsys.readouterr().out)["error"]
    assert (error["line"], error["column"]) == (3, 1)
    assert "twice" in error["message"]
    assert error["remedy"]


def test_a_bug_is_no_traceback_but_a_report(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from ohmwright.services import books

    def broken(_: str | None) -> dict[str, object]:
        raise RuntimeError("planted")

    monkeypatch.setattr(books, "rules_json", broken)

    assert run(program, ["rules"]) == 3

    err = capsys.readouterr().err
    assert "Traceback" not in err
    assert Path(err.strip().rsplit(" ", 1)[-1]).read_text(encoding="utf-8").count("planted") >= 1


def test_the_front_page_names_every_command_and_fits_a_terminal() -> None:
    text = help_text()

    assert all(f"\n  {name} " in text for name in COMMANDS)
    assert max(map(len, text.splitlines())) <= 80
