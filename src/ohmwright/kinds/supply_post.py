"""A supply that is not ours: a post on a pontoon or pitch, a house outlet."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, When, Words, WordSpec
from ohmwright.kinds.shape import AC, SPLIT, said
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    "split": WordSpec("two legs and a neutral", ("yes", "no"), "no"),
    "own": WordSpec("is it ours", ("yes", "no"), "no"),
    "system": WordSpec("its earthing", ("tn", "tt", "it", "unknown"), "unknown"),
    "curve": WordSpec(
        "trip curve of its breaker, where somebody has looked", ("b", "c", "d", "unknown"), "unknown"
    ),
    "residual": WordSpec("has it residual-current protection", TRISTATE, "unknown"),
}

_LIVE: When = (("", frozenset({"live"})),)


def _inside(words: Words) -> Inside:
    split = said(words, WORDS, "split") == "yes"
    lines = ("L1", "L2") if split else ("L",)
    ports = (
        Port("", SPLIT if split else AC, "ac", "socket"),
        Port("behind", lines, "ac", takes=0, may_stay_free=True),
    )
    inner: list[Inner] = []
    for i, line in enumerate(lines):
        inner.append(
            Inner(
                f"supply-{line}",
                "source",
                f"behind.{line}",
                "N",
                "supply-half-turn" if i else "supply",
                "resistance",
                _LIVE,
            )
        )
        inner.append(Inner(f"device-{line}", "conductor", f"behind.{line}", line, "post-breaker"))
    variables = [Variable("", ("live", "dead"), "outside")]
    system = said(words, WORDS, "system")
    if system in ("tn", "tt"):
        inner.append(Inner("bond", "conductor", "N", "PE", "bond"))
    elif system == "unknown":
        inner.append(Inner("bond", "switch", "N", "PE", "bond", when=(("system", frozenset({"closed"})),)))
        variables.append(Variable("system", ("closed", "open"), "outside", "unknown"))
    return Inside(ports, tuple(inner), tuple(variables))


KIND = Kind(
    "supply-post",
    "supply post",
    "J",
    {
        "rated": FigureSpec("A", "breaker of the post"),
        "ac_voltage": FigureSpec("V", "voltage, line to neutral"),
        "frequency": FigureSpec("Hz", "frequency"),
        "resistance": FigureSpec("ohm", "loop resistance of the supply"),
        "short_circuit_current": FigureSpec("A", "prospective fault current at its socket"),
    },
    _inside,
    WORDS,
)
