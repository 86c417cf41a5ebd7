"""`ohmwright year --shade` as a user meets it: an open lid, forest camping, by month and by wiring."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from ohmwright.cli.year import year_command
from ohmwright.services.year import kernel_folder

TRAILER = str(Path(kernel_folder.__code__.co_filename).parent / "demos" / "trailer" / "rig.yaml")


def told(*arguments: str) -> str:
    done = CliRunner().invoke(year_command, [TRAILER, "--shade", *arguments], standalone_mode=False)
    assert done.exception is None, done.output
    return done.output


@pytest.fixture(scope="module")
def arrays() -> dict[str, dict[str, Any]]:
    answer = json.loads(told("--json"))
    return {a["scene"]: a for a in answer["stays"][0]["arrays"]}


def lost(array: dict[str, Any], month: int, wiring: str = "as wired") -> float:
    return float(array["months"][month - 1]["lost_ratio"][wiring])


def test_an_open_lid_costs_most_in_the_low_sun_of_december(arrays: dict[str, dict[str, Any]]) -> None:
    here = arrays["in the open"]

    assert here["year"]["lost_ratio"]["as wired"] > here["lost_ratio_shut"]
    assert lost(here, 12) > 2 * lost(here, 6) > 0


# Modules of which one is shaded: in series the whole string follows it by hours, apart nothing but the shaded one does (see
# roof/test_mismatch for the arithmetic against cell-level brute force).
def test_each_on_its_own_controller_never_loses_more(arrays: dict[str, dict[str, Any]]) -> None:
    for array in arrays.values():
        for month in range(1, 13):
            assert (
                lost(array, month, "separate")
                <= min(lost(array, month, w) for w in ("series", "parallel")) + 1e-9
            )


def test_forest_camping_costs_a_third_and_more_in_leaf(arrays: dict[str, dict[str, Any]]) -> None:
    forest = arrays["under the trees"]

    assert lost(forest, 8) > lost(forest, 4) > 0.2
    assert lost(forest, 8) > 10 * lost(arrays["in the open"], 8)


def test_the_words_name_the_wiring_that_loses_less_and_every_column_its_unit() -> None:
    said = told()

    assert "series and parallel lose alike" in said
    assert "everything shut" in said
    head = next(line for line in said.splitlines() if line.startswith("month"))
    assert head.count("%") == 4
    assert "kWh/m2" in head
