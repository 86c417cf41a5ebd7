"""Job folders of the demo rigs, made once, and the command line in this process."""

import contextlib
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ohmwright.cli.ending import run
from ohmwright.cli.program import program
from ohmwright.services.new import DEMOS, like


@pytest.fixture(scope="session")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a job like each demo rig."""
    folder = tmp_path_factory.mktemp("demos")
    for name in DEMOS:
        like(str(folder / name), name)
    return folder


Told = tuple[int, str, str]


@pytest.fixture(scope="session")
def call() -> Callable[..., Told]:
    """Run a command: exit status, what it printed, what it complained of."""

    def called(*argv: object) -> Told:
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(program, [str(a) for a in argv])
        return status, out.getvalue(), err.getvalue()

    return called


@pytest.fixture(scope="session")
def answer(call: Callable[..., Told]) -> Callable[..., dict[str, Any]]:
    """Run a command with --json and read its answer."""

    def answered(*argv: object) -> dict[str, Any]:
        told: dict[str, Any] = json.loads(call(*argv, "--json")[1])
        return told

    return answered
