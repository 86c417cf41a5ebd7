"""A surge protective device for an AC circuit."""

from ohmwright.kinds.base import Inside, Kind, Words, WordSpec
from ohmwright.kinds.shape import said
from ohmwright.kinds.surge import FIGURES, between

WORDS = {"split": WordSpec("two legs and a neutral", ("yes", "no"), "no")}


def _inside(words: Words) -> Inside:
    return between(("L1", "L2", "N") if said(words, WORDS, "split") == "yes" else ("L", "N"), ac=True)


KIND = Kind("surge-ac", "surge protective device, AC", "F", FIGURES, _inside, WORDS)
