"""`shelf verify` lists what a part owes, as the shelf itself reckons it."""

from click.testing import CliRunner

from ohmwright.cli.shelf import shelf_command
from ohmwright.services.opening import shop_shelf
from ohmwright.services.shelf import owes
from ohmwright.shelf.verify import owed

PART = "inverter-charger-3kva-12v-120v"


def test_of_one_part_everything_that_is_owed_is_listed() -> None:
    record = shop_shelf().find(PART)
    assert record
    assert [(name, debt) for _, name, debt, _ in owes(PART)] == [(o.name, o.debt) for o in owed(record)]
    told = CliRunner().invoke(shelf_command, ["verify", PART], standalone_mode=False)
    assert told.return_value == 1
    for o in owed(record):
        assert any(o.name in line and o.debt in line for line in told.output.splitlines()), o


def test_of_the_whole_shelf_what_is_on_file_and_unproved_is_listed() -> None:
    told = owes(None)
    assert {debt for _, _, debt, _ in told} <= {"no page", "no condition", "unknown", "class default"}
    assert {part for part, *_ in told} <= set(shop_shelf())
