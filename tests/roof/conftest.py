"""Invented roofs, and weather for them."""

from collections.abc import Callable

import pytest

from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import WeatherYear
from ohmwright.sky.weather import normal_year

ROOF = """ohmwright: 1
job: {{id: lid}}
host:
  kind: {kind}
  axes: {axes}
  places:
    roof: {{regime: outside, at: 0.4 0 2.9 m, {roof}}}
parts:
  M: {{is: {module}, array: {array}, at: roof, laid: {{{laid}}}{part}}}
use:
  stays:
    - {{span: 01-01..12-31, place: Duluth{stay}}}
"""
FLAT = "outline: 6.2 x 2.3 m, plane: {tilt: 0 deg, faces: flat}"
VENT = "obstacles: {vent: {at: 2.05 0.5 m, size: 0.4 x 0.4 m, height: 0.12 m, open: 0.23 m}}"


@pytest.fixture(scope="session")
def shelf() -> Shelf:
    return Shelf()


@pytest.fixture(scope="session")
def rig_of(shelf: Shelf) -> Callable[..., Rig]:
    """A rig with one array on one roof; every piece of its text may be given."""

    def make(
        roof: str = f"{FLAT}, {VENT}", laid: str = "1.1: 0.3 0.2 m, 1.2: 2.5 0.2 m, 1.3: 4.3 0.2 m", *, array: str = "3s1p",
        module: str = "module-410w", kind: str = "trailer", axes: str = "x forward", stay: str = "", part: str = "",
    ) -> Rig:  # fmt: skip
        text = ROOF.format(
            roof=roof, laid=laid, array=array, module=module, kind=kind, axes=axes, stay=stay, part=part
        )
        return read_rig(text, "rig.yaml", shelf)

    return make


@pytest.fixture(scope="session")
def duluth() -> WeatherYear:
    return normal_year(spot_at(46.8, -92.1, 186.0))
