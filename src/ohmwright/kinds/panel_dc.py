"""A DC panel: one feed, numbered ways, each way with its own fuse or breaker in the plus. Ratings stand in the rig."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, number_of, said
from ohmwright.kinds.specs import BREAKER, TRISTATE

WORDS = {
    "way_count": WordSpec("number of ways", (), "6"),
    "way_device": WordSpec("what protects a way", ("fuse", "breaker", "unknown"), "unknown"),
    "main": WordSpec("has it a main switch or breaker", ("yes", "no"), "no"),
    "polarised": WordSpec("do its breakers break only one direction of current", TRISTATE, "unknown"),
}

#: How quick the device of a way is, by multiples of the way's own rating.
WAY_TRIPS = {
    f"trips_at_{percent}": FigureSpec("s", f"longest time of a way at {percent} % of its rating")
    for percent in (135, 200, 300, 600)
}


def _inside(words: Words) -> Inside:
    n = number_of(words, WORDS, "way_count", 60)
    said(words, WORDS, "way_device")
    main = said(words, WORDS, "main") == "yes"
    bar = "bar.+" if main else "feed.+"
    ports = [
        Port("feed", DC, takes=2),
        *(Port(str(i), DC, "way", takes=2, may_stay_free=True) for i in range(1, n + 1)),
    ]
    inner: list[Inner] = []
    variables: tuple[Variable, ...] = ()
    if main:
        ports.append(Port("bar", ("+",), takes=0, may_stay_free=True))
        inner.append(Inner("main", "switch", "feed.+", bar, "main", when=(("main", frozenset({"closed"})),)))
        variables = (Variable("main", ("closed", "open"), "hand"),)
    for i in range(1, n + 1):
        inner.append(Inner(f"way-{i}", "conductor", bar, f"{i}.+", "way"))
        inner.append(Inner(f"return-{i}", "conductor", "feed.-", f"{i}.-", "bar"))
    return Inside(tuple(ports), tuple(inner), variables)


KIND = Kind(
    "panel-dc",
    "DC panel",
    "P",
    {
        **BREAKER,
        "rated": FigureSpec("A", "current of its feed", "degC"),
        "way_max": FigureSpec("A", "largest fuse or breaker of a way"),
        **WAY_TRIPS,
    },
    _inside,
    WORDS,
)
