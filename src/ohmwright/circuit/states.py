"""The states of one case: what the case says, what else is ordinary, and what the automatic devices make of it."""

from collections.abc import Mapping

from ohmwright.circuit.live import Live
from ohmwright.circuit.space import Space
from ohmwright.circuit.types import Case
from ohmwright.circuit.wiring import Standing, Wiring


def ordinary_of(wiring: Wiring, case: Case) -> dict[str, str]:
    """The state of every variable before settling: the case's word, else the ordinary one."""
    states = {name: v.states[0] for name, v in wiring.graph.variables.items()}
    if "sun" in states:
        states["sun"] = "up" if case.sun_ratio > 0 else "down"
    for member in case.missing:
        if f"{member}.bms" in states:
            states[f"{member}.bms"] = "open"
    states.update({k: v for k, v in case.states.items() if k in states})
    return states


def stand(wiring: Wiring, case: Case) -> Standing:
    """Settle a case from all released and from all pulled in; where the two differ, it stays as it was."""
    held = ordinary_of(wiring, case)
    key = tuple(held.items())
    if key not in wiring.stood:
        wiring.stood[key] = _settled(wiring, held)
    return wiring.stood[key]


def _settled(wiring: Wiring, held: Mapping[str, str]) -> Standing:
    view = wiring.net.view()
    ends = wiring.ends
    automatic = any(
        v.origin == "automatic" and v.rule.partition(":")[0] not in ("", "bms")
        for v in wiring.graph.variables.values()
    )
    lives = []
    for pulled_in in (False, True) if automatic else (True,):
        live = Live(Space(wiring.graph, (), held), view, ends)
        live.settle(pulled_in)
        lives.append(live)
    story = []
    final = [_said(live) for live in lives]
    if lives[-1].hunting:
        story.append("hunts: the automatic devices never come to rest in this case")
    elif len(final) == 2:
        differ = sorted(n for n in final[0] if final[0][n] != final[1][n])
        story += [
            f"{n} stays as it was: it can stand {final[0][n]} or {final[1][n]}, and is taken as {final[1][n]}"
            for n in differ
        ]
    return Standing(final[-1], lives[-1], tuple(story))


def _said(live: Live) -> dict[str, str]:
    out: dict[str, str] = {}
    for name, bits in live.space.bits.items():
        out[name] = next((s for s, b in bits.items() if b), live.net.graph.variables[name].states[0])
    return out
