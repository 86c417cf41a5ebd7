"""A surge protective device for a PV circuit."""

from ohmwright.kinds.base import Inside, Kind, Words
from ohmwright.kinds.surge import FIGURES, between


def _inside(_: Words) -> Inside:
    return between(("+", "-"), ac=False)


KIND = Kind("surge-dc", "surge protective device, DC", "F", FIGURES, _inside)
