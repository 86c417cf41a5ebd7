"""The shortest way is the shortest: held against every path there is."""

from itertools import pairwise, permutations

from hypothesis import given
from hypothesis import strategies as st

from ohmwright.rig.model import Way
from ohmwright.rig.routes import Routes
from ohmwright.working import figure

PLACES = "abcde"
PAIRS = [(p, q) for i, p in enumerate(PLACES) for q in PLACES[i + 1 :]]


@given(st.dictionaries(st.sampled_from(PAIRS), st.integers(1, 50), max_size=10))
def test_no_path_is_shorter_than_the_route(lengths: dict[tuple[str, str], int]) -> None:
    ways = {f"{a} - {b}": Way(f"{a} - {b}", a, b, figure(float(m), "m")) for (a, b), m in lengths.items()}
    metres = {frozenset(pair): m for pair, m in lengths.items()}
    best: int | None = None
    for n in range(len(PLACES) - 1):
        for middle in permutations("bcd", min(n, 3)):
            stops = ["a", *middle, "e"]
            legs = [metres.get(frozenset(leg)) for leg in pairwise(stops)]
            if all(m is not None for m in legs):
                total = sum(m for m in legs if m is not None)
                best = total if best is None else min(best, total)

    route = Routes(ways).shortest("a", "e")

    assert (route is None) == (best is None)
    if route is not None:
        assert sum(metres[frozenset(w.split(" - "))] for w in route) == best
