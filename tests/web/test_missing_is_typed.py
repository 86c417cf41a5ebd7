"""Whatever the check sheet offers a field for can be put: the address stands in the file's grammar, and a refusal says what to write."""

import re
from pathlib import Path

import pytest
from tests.web.conftest import DEMOS

from ohmwright.rig.edit import set_value
from ohmwright.services.desk import Desk
from ohmwright.shelf.record import Shelf
from ohmwright.web.check import missing_of
from ohmwright.working import FileError

_EXAMPLE = re.compile(r"(?:for instance|one of:|; or) ([^,;]+)")
_UNIT = re.compile(r"write it in (\w+)")


def told(remedy: str) -> str:
    """The value that a refusal says to write, "" where it names none."""
    if (unit := _UNIT.search(remedy)) is not None:
        return f"1 {unit[1]}"
    example = _EXAMPLE.search(remedy)
    return example[1] if example is not None else ""


def is_put(text: str, address: str, shelf: Shelf) -> str:
    """ "" when something can be put there: a plain number, else what the refusal says to write; else the refusal."""
    value = "1"
    for _ in range(3):
        try:
            set_value(text, "rig.yaml", address, value, shelf)
        except FileError as error:
            instead = told(error.remedy or "")
            if instead in ("", value) or "is no key" in error.message:
                return f"{address}: {error.message}; {error.remedy}"
            value = instead
        else:
            return ""
    return f"{address}: what is told to be written is refused"


@pytest.mark.parametrize("demo", DEMOS)
def test_every_field_of_a_missing_figure_has_a_place_in_the_file(demo: str, demo_jobs: Path) -> None:
    look = Desk(str(demo_jobs)).look(demo)
    typed = [m.address for m in missing_of(look)[0] if m.typed and not m.sheet]

    assert len(typed) > 5
    assert [said for a in typed if (said := is_put(look.rig.text, a, look.opened.shelf))] == []


def test_a_part_that_is_missing_is_told_and_has_no_field(demo_jobs: Path) -> None:
    missing = missing_of(Desk(str(demo_jobs)).look("van"))[0]
    mounting = next(m for m in missing if m.address == "M.mounting")

    assert not mounting.typed
    assert "kind mounting" in mounting.findings[0].remedy
