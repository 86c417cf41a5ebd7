"""The contacts that a hand changeover and an automatic transfer switch have in common."""

from ohmwright.kinds.base import Inner, Port, Words, WordSpec
from ohmwright.kinds.shape import Specs, said

WORDS = {
    "poles": WordSpec(
        "how many poles it moves: 1 leaves the neutral joined through", ("1", "2", "3", "unknown"), "unknown"
    ),
    "split": WordSpec("two legs and a neutral", ("yes", "no"), "no"),
    "takes": WordSpec("how many conductors one of its terminals takes", ("1", "2", "3", "4"), "1"),
}


def contacts(words: Words, specs: Specs) -> tuple[tuple[Port, ...], tuple[Inner, ...]]:
    """Ports 1, 2 and common, and a contact from each way to common for each pole that moves.

    Poles unknown: the neutral is drawn joined through, which is the adverse reading.
    """
    split = said(words, specs, "split") == "yes"
    lines = ("L1", "L2") if split else ("L",)
    poles = (*lines, "N")
    moves = said(words, specs, "poles")
    neutral_moves = moves.isdecimal() and int(moves) > len(lines)
    takes = int(said(words, specs, "takes"))
    ports = (
        Port("1", poles, "ac", takes=takes),
        Port("2", poles, "ac", takes=takes),
        Port("common", poles, "ac", takes=max(takes, 2)),
    )
    inner: list[Inner] = []
    for way in ("1", "2"):
        for p in poles:
            if p == "N" and not neutral_moves:
                inner.append(
                    Inner(f"to-{way}.N", "conductor", f"{way}.N", "common.N", "through", "resistance")
                )
            else:
                when = (("", frozenset({way})),)
                inner.append(
                    Inner(
                        f"to-{way}.{p}", "switch", f"{way}.{p}", f"common.{p}", "transfer", "resistance", when
                    )
                )
    return ports, tuple(inner)
