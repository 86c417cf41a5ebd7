"""Small rigs that are quick to mend, and the demo jobs mended once for all tests of a session."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ohmwright.mend.propose import mend
from ohmwright.mend.trial import Draft, Trials
from ohmwright.mend.types import Change, Mended
from ohmwright.services import new
from ohmwright.services.opening import open_rig
from ohmwright.shelf.load import Shelf

TODAY = "2026-05-05"

#: One battery, one inverter, a counter, one lamp that returns by the body: everything right.
SMALL = """\
# comment of the author
ohmwright: 1
job: {id: small, stage: draft, currency: EUR, rules: eu-vehicle 2023}
host: {kind: van, places: {bay: {regime: sheltered, coldest: -10 degC, hottest: 35 degC}}}
metal: {body: {}}
parts:
  B:  {is: battery-lfp-200ah-12v, at: bay}
  F1: {is: fuse-class-t-150a, at: bay}
  R1: {is: shunt-500a-50mv, at: bay, counts: B}
  XN: {is: busbar-250a-6stud, at: bay}
  XP: {is: busbar-250a-6stud, at: bay}
  F2: {is: fuse-dc-small-15a-80v, at: bay}
use:
  loads:
    lamp:   {wired: dc, power: 60 W, hours: 5 h, at: bay}
    pump:   {wired: dc, power: 600 W, hours: 0.2 h, at: bay}
  stays:
    - {span: 01-01..12-31, place: Galway, mode: occupied, coldest: -5 degC, hottest: 30 degC}
runs:
  W1: {from: B.+, to: F1.line, cable: 70 mm2 105C red, length: 0.15 m}
  W2: {from: F1.load, to: XP.1, cable: 70 mm2 105C red, length: 0.5 m}   # remark
  W3: {from: B.-, to: R1.bank, cable: 70 mm2 105C black, length: 0.3 m}
  W4: {from: R1.loads, to: XN.1, cable: 70 mm2 105C black, length: 0.3 m}
  W5: {from: XP.2, to: F2.line, cable: 70 mm2 105C red, length: 0.1 m}
  W6: {from: F2.load, to: lamp.+, cable: 2.5 mm2 105C red, length: 2 m}
  W7: {from: lamp.-, to: XN.2, cable: 2.5 mm2 105C black, length: 2 m}
  W8: {from: XP.3, to: pump.+, cable: 70 mm2 105C red, length: 1 m}
  W9: {from: pump.-, to: XN.3, cable: 70 mm2 105C black, length: 1 m}
"""


@pytest.fixture(scope="session")
def small() -> str:
    """The text of a small rig in which everything is right."""
    return SMALL


@pytest.fixture(scope="session")
def mended() -> Callable[[str], Mended]:
    """Mends a text from our own shelf."""
    return lambda text: mend(text, "small.yaml", Shelf(), TODAY)


@pytest.fixture(scope="session")
def draft() -> Callable[[str], Draft]:
    """Judges a text by every rule."""

    def judged(text: str) -> Draft:
        made = Trials("small.yaml", Shelf(), TODAY).draft(text)
        assert made is not None
        return made

    return judged


@pytest.fixture(scope="session")
def changed(draft: Callable[[str], Draft]) -> Callable[..., Draft]:
    """A text with changes done, judged."""

    def done(text: str, *changes: Change) -> Draft:
        new_text = Trials("small.yaml", Shelf(), TODAY).edited(text, changes)
        assert new_text is not None
        return draft(new_text)

    return done


def job(folder: Path, like: str) -> str:
    """A demo job."""
    return str(new.like(str(folder / like), like))


@pytest.fixture(scope="session", params=["boat", "cabin"])
def other(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> "Job":
    """The boat and the cabin."""
    return Job(job(tmp_path_factory.mktemp("mend"), request.param))


class Job:
    """A demo rig with what was proposed for it, and the means to judge texts of it."""

    def __init__(self, where: str) -> None:
        opened = open_rig(where)
        self.text = opened.rig.text
        self.path = opened.path
        self.trials = Trials(opened.path, opened.shelf, TODAY)
        self.shelf = opened.shelf
        self.mended = mend(self.text, self.path, opened.shelf, TODAY)

    def again(self) -> Mended:
        """What is proposed for the mended text."""
        return mend(self.mended.text, self.path, self.shelf, TODAY)


@pytest.fixture(scope="session")
def swapped(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """The trailer with three modules in series on the controller of 100 V."""
    return Job(job(tmp_path_factory.mktemp("mend"), "trailer") + "/rig-swapped.yaml")


@pytest.fixture(scope="session")
def rescue(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """The rescue van as found."""
    return Job(job(tmp_path_factory.mktemp("mend"), "van"))
