"""An inverter without charger or transfer."""

from ohmwright.kinds.base import Inner, Inside, Kind, Port, Variable, Words
from ohmwright.kinds.inverting import FIGURES, WORDS, bond, legs
from ohmwright.kinds.shape import AC, DC, SPLIT, said


def _inside(words: Words) -> Inside:
    split = said(words, WORDS, "split") == "yes"
    joins, more = bond(words, (("", frozenset({"inverting"})),))
    return Inside(
        (
            Port("dc", DC),
            Port("ac-out", SPLIT if split else AC, "ac"),
            Port("case", ("PE",), "case", may_stay_free=True),
        ),
        (*legs(split), Inner("pe-case", "conductor", "ac-out.PE", "case.PE", "through"), *joins),
        (
            Variable("", ("off", "inverting"), "automatic", "inverting"),
            Variable("hand", ("on", "off"), "hand"),
            *more,
        ),
    )


KIND = Kind("inverter", "inverter", "U", FIGURES, _inside, WORDS)
