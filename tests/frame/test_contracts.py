"""The import contracts hold here, and catch what they are for: each sin is planted in a copy of the skeleton."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
LAYERS = next(c["layers"] for c in CONTRACTS if c["type"] == "layers")
FLOORS = [floor.strip(" ()") for layer in LAYERS for floor in layer.split("|")]
HOUSE = ROOT / "src" / "ohmwright"

#: These may touch the outside: people's edges, services, and the rooms that keep files or listen to wires.
MAY_REACH_OUT = {"cli", "web", "services", "store", "listening"}


def sources_of(contract: str) -> set[str]:
    found = next(c for c in CONTRACTS if c["id"] == contract)
    return {module.removeprefix("ohmwright.") for module in found["source_modules"]}


def standing() -> list[str]:
    return [floor for floor in FLOORS if (HOUSE / floor).is_dir()]


def lint(where: Path) -> subprocess.CompletedProcess[str]:
    program = Path(sys.executable).with_name("lint-imports")
    surroundings = {**os.environ, "PYTHONPATH": str(where), "COLUMNS": "200"}
    return subprocess.run(
        [str(program), str(where / "pyproject.toml"), "--no-cache"],
        cwd=where,
        env=surroundings,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.fixture
def skeleton(tmp_path: Path) -> Path:
    """Every floor that stands, empty, under the contracts of the project."""
    (tmp_path / "pyproject.toml").write_text((ROOT / "pyproject.toml").read_text())
    for floor in standing():
        (tmp_path / "ohmwright" / floor).mkdir(parents=True)
        (tmp_path / "ohmwright" / floor / "__init__.py").write_text("")
    (tmp_path / "ohmwright" / "__init__.py").write_text("")
    return tmp_path


def test_an_empty_house_keeps_its_contracts(skeleton: Path) -> None:
    answer = lint(skeleton)

    assert answer.returncode == 0, answer.stdout + answer.stderr
    assert f"Contracts: {len(CONTRACTS)} kept, 0 broken." in answer.stdout


@pytest.mark.parametrize(
    ("where", "sin", "contract"),
    [
        ("physics/leaf.py", "import ohmwright.checks\n", "data flows one way"),
        ("working/figure.py", "from ohmwright import standards\n", "data flows one way"),
        ("papers/report.py", "from ohmwright.services import show\n", "data flows one way"),
        ("circuit/solve.py", "import ohmwright.energy\n", "data flows one way"),
        ("checks/rule.py", "def late() -> None:\n    import ohmwright.drawing\n", "data flows one way"),
        ("rig/read.py", "import ohmwright.sky\n", "data flows one way"),
        ("circuit/solve.py", "import pathlib\n", "no disk, clock, chance or network below services"),
        ("papers/report.py", "from time import time\n", "no disk, clock, chance or network below services"),
        ("energy/year.py", "import random\n", "no disk, clock, chance or network below services"),
        ("physics/leaf.py", "import os.path\n", "no disk, clock, chance or network below services"),
        ("checks/rule.py", "import numba\n", "no heavy numerics where rules and rigs are read"),
        (
            "takeoff/mass.py",
            "from scipy import optimize\n",
            "no heavy numerics where rules and rigs are read",
        ),
        ("attic/__init__.py", "", "data flows one way"),
    ],
)
def test_a_planted_sin_is_caught(skeleton: Path, where: str, sin: str, contract: str) -> None:
    planted = skeleton / "ohmwright" / where
    planted.parent.mkdir(exist_ok=True)
    planted.write_text(sin)
    if sin.startswith("from ohmwright.services import show"):
        (skeleton / "ohmwright" / "services" / "show.py").write_text("")

    answer = lint(skeleton)

    assert answer.returncode == 1, answer.stdout + answer.stderr
    assert f"{contract} BROKEN" in answer.stdout


def test_heavy_numerics_are_allowed_where_years_are_walked(skeleton: Path) -> None:
    (skeleton / "ohmwright" / "energy" / "kernel.py").write_text("import numba\n")
    (skeleton / "ohmwright" / "sky" / "sun.py").write_text("def place() -> None:\n    import pvlib\n")

    assert lint(skeleton).returncode == 0


def test_every_floor_that_stands_is_in_a_layer() -> None:
    rooms = {path.name for path in HOUSE.iterdir() if path.is_dir() and list(path.rglob("*.py"))}

    assert rooms <= set(FLOORS)


def test_every_floor_below_services_is_kept_from_the_outside() -> None:
    assert set(standing()) - MAY_REACH_OUT == sources_of("no-outside-below-services")


def test_rules_and_rigs_are_read_without_heavy_numerics() -> None:
    light = {"working", "standards", "physics", "kinds", "shelf", "rig", "checks", "takeoff"}

    assert light <= sources_of("no-heavy-numerics-low")
