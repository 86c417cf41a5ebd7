"""`ohmwright year` as a user meets it: the verdict first, charts as files, two runs with one seed the same."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner

from ohmwright.cli.year import year_command
from ohmwright.services.year import kernel_folder

TRAILER = str(Path(kernel_folder.__code__.co_filename).parent / "demos" / "trailer" / "rig.yaml")


def told(*arguments: str) -> str:
    done = CliRunner().invoke(year_command, [TRAILER, *arguments], standalone_mode=False)
    assert done.exception is None, done.output
    return re.sub(r"\s+", " ", done.output)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path]:
    folder = tmp_path_factory.mktemp("year") / "charts"
    return told("--years", "40", "--seed", "5", "--charts", str(folder)), folder


def test_the_verdict_stands_first_and_in_words(drawn: tuple[str, Path]) -> None:
    said, _ = drawn

    assert said.startswith("In a typical year")
    assert "In a usual year" in said.split("Promise")[0]
    assert "Array and bank: one year in ten loses" in said
    assert "In its 10th year" in said
    assert "a month's sun give or take 15 %" in said
    assert "cell_km" not in said  # no keys of the answer among the words


def test_charts_are_written_as_pictures(drawn: tuple[str, Path]) -> None:
    said, folder = drawn
    names = {p.name for p in folder.iterdir()}

    assert names == {"year-months.svg", "year-bad-week.svg", "year-sizes-nights.svg", "year-sizes-chance.svg"}
    for name in names:
        assert name in said
        assert ET.parse(folder / name).getroot().tag.endswith("svg")


def test_two_runs_with_one_seed_are_the_same_and_another_seed_is_another_run() -> None:
    once = told("--years", "40", "--seed", "5")

    assert told("--years", "40", "--seed", "5") == once
    assert told("--years", "40", "--seed", "6") != once


def test_one_year_alone_has_a_verdict_and_only_the_months_drawn(tmp_path: Path) -> None:
    said = told("--years", "1", "--charts", str(tmp_path))

    assert said.startswith("In this one year")
    assert "One year cannot say how often that comes" in said
    assert [p.name for p in tmp_path.iterdir()] == ["year-months.svg"]
