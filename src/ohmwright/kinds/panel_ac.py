"""An AC panel: one feed, numbered ways, each with its own breaker; neutral bar apart from the earth bar.

A way of a split panel names its poles in its rating: `1: 20 A L1`, `3: 30 A L1+L2`, `4: 20 A L1+L2+N`.
"""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Pole, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import AC, SPLIT, number_of, said
from ohmwright.kinds.specs import BREAKER, TRISTATE

WORDS = {
    "way_count": WordSpec("number of ways", (), "6"),
    "split": WordSpec("two legs and a neutral", ("yes", "no"), "no"),
    "way_poles": WordSpec("how many poles a way's breaker opens", ("1", "2", "unknown"), "unknown"),
    "main": WordSpec("has it a main breaker", ("yes", "no", "unknown"), "no"),
    "bond": WordSpec("what joins its neutral bar and its earth bar", ("none", "fitted", "unknown"), "none"),
    "curve": WordSpec(
        "trip curve of its breakers", ("b", "c", "d", "z", "hydraulic", "thermal", "unknown"), "unknown"
    ),
    "polarity_lamp": WordSpec("does it show reversed polarity", TRISTATE, "unknown"),
}

_WAY = {"L1": ("L1", "N", "PE"), "L2": ("L2", "N", "PE"), "L1+L2": ("L1", "L2", "PE"), "L1+L2+N": SPLIT}


def _way_poles(words: Words, number: int, split: bool) -> tuple[Pole, ...]:
    if not split:
        return AC
    text = words.get(f"way-{number}", words.get(f"way_{number}", "")) or "L1"
    if text not in _WAY:
        raise ValueError(f"way {number} '{text}' has no such poles; write {' or '.join(_WAY)}")
    return _WAY[text]


def _inside(words: Words) -> Inside:
    split = said(words, WORDS, "split") == "yes"
    poles = SPLIT if split else AC
    lines = tuple(p for p in poles if p not in ("N", "PE"))
    main = said(words, WORDS, "main") == "yes"
    said(words, WORDS, "way_poles")
    ports = [Port("feed", poles, "ac", takes=2)]
    inner: list[Inner] = []
    variables: list[Variable] = []
    if main:
        ports.append(Port("bar", lines, "ac", takes=0, may_stay_free=True))
        inner += [
            Inner(
                f"main-{p}",
                "switch",
                f"feed.{p}",
                f"bar.{p}",
                "main",
                when=(("main", frozenset({"closed"})),),
            )
            for p in lines
        ]
        variables.append(Variable("main", ("closed", "open"), "hand"))
    for i in range(1, number_of(words, WORDS, "way_count", 60) + 1):
        of_way = _way_poles(words, i, split)
        ports.append(Port(str(i), of_way, "way", takes=2, may_stay_free=True))
        for p in of_way:
            line = p in lines
            start = f"bar.{p}" if line and main else f"feed.{p}"
            inner.append(Inner(f"way-{i}.{p}", "conductor", start, f"{i}.{p}", "way" if line else "bar"))
    bond = said(words, WORDS, "bond")
    if bond == "fitted":
        inner.append(Inner("bond", "conductor", "feed.N", "feed.PE", "bond"))
    elif bond == "unknown":
        inner.append(
            Inner("bond", "switch", "feed.N", "feed.PE", "bond", when=(("bond", frozenset({"closed"})),))
        )
        variables.append(Variable("bond", ("closed", "open"), "outside", "unknown"))
    return Inside(tuple(ports), tuple(inner), tuple(variables))


KIND = Kind(
    "panel-ac",
    "AC panel",
    "P",
    {
        **BREAKER,
        "rated": FigureSpec("A", "current of its feed or main", "degC"),
        "way_max": FigureSpec("A", "largest breaker of a way"),
    },
    _inside,
    WORDS,
)
