"""A year that was run once is kept for the next paper: the same file, parts, program and number of years give the same year."""

from ohmwright.energy.types import Year
from ohmwright.services.kept import found, keep, name_of_rig
from ohmwright.services.opening import Opened
from ohmwright.services.year import year_of_opened

ROOM = "years"


def year_kept(opened: Opened, *, years: int = 0, for_page: bool = False) -> Year:
    """The year of a rig in made weather (0: as many years as its chances take), from the last time or run now.

    One with what a page draws (`for_page`) is kept apart from one without.
    """
    name = _key(opened, years, for_page)
    kept = found(Year, ROOM, name)
    if kept is not None:
        return kept
    told = year_of_opened(opened, years=years, for_page=for_page).year
    keep(ROOM, name, told)
    return told


def year_at_hand(opened: Opened) -> Year | None:
    """The year with as many years as its chances take, if it was run before for this very rig."""
    return found(Year, ROOM, _key(opened, 0, False))


def _key(opened: Opened, years: int, for_page: bool) -> str:
    return name_of_rig(opened, str(years), str(for_page))
