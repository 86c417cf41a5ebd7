"""What a day's loads are made of beyond their sum: what is steady, what follows the weather, what is given up first."""

from collections.abc import Sequence

from ohmwright.energy.habits import FRIDGES, HEATERS
from ohmwright.energy.loads import Asked

#: Steps of the ladder, given up in this order; what has no word is normal, and "always" is given up last of all.
GIVEN_UP = ("can-go", "normal", "first")


def at_the_bus_ratio(asked: Asked, inverting: bool, proportional_ratio: float) -> float:
    """What a watt of a load is at the bus: nothing of an AC load that a supply carries."""
    if not asked.ac:
        return 1.0
    return 1.0 + proportional_ratio if inverting else 0.0


def steady_W(day: Sequence[Asked], own_W: float) -> tuple[float, ...]:
    """By hour the direct-current watts that nobody uses more or less of."""
    even = own_W + sum(a.standby_Wh for a in day if not a.ac and a.priority != "always") / 24.0
    return tuple(
        even + sum(a.Wh * a.shape[h] for a in day if not a.ac and a.priority == "always") for h in range(24)
    )


def of_kind_W(
    day: Sequence[Asked], words: tuple[str, ...], inverting: bool, proportional_ratio: float
) -> tuple[float, ...]:
    """By hour the watts at the bus of loads with one of those words in their names, standby left out."""
    found = [
        (a, at_the_bus_ratio(a, inverting, proportional_ratio))
        for a in day
        if any(w in a.load for w in words)
    ]
    return tuple(sum((a.Wh - a.standby_Wh) * a.shape[h] * r for a, r in found) for h in range(24))


def chilled_W(day: Sequence[Asked], inverting: bool, proportional_ratio: float) -> tuple[float, ...]:
    """Of compressor fridges and freezers."""
    return of_kind_W(day, FRIDGES, inverting, proportional_ratio)


def warmed_W(day: Sequence[Asked], inverting: bool, proportional_ratio: float) -> tuple[float, ...]:
    """Of what runs to heat the living space."""
    return of_kind_W(day, HEATERS, inverting, proportional_ratio)


def ladder_W(
    day: Sequence[Asked], inverting: bool, proportional_ratio: float, inverter_W: Sequence[float]
) -> tuple[tuple[float, ...], ...]:
    """By step and hour the watts at the bus that can be given up before anything further is; the inverter goes with the normal loads."""
    by_step = {name: [0.0] * 24 for name in GIVEN_UP}
    for a in day:
        step = a.priority or "normal"
        if step in by_step:
            ratio = at_the_bus_ratio(a, inverting, proportional_ratio)
            for h in range(24):
                by_step[step][h] += a.Wh * a.shape[h] * ratio
    for h in range(24):
        by_step["normal"][h] += inverter_W[h]
    out, so_far = [], [0.0] * 24
    for name in GIVEN_UP:
        so_far = [x + y for x, y in zip(so_far, by_step[name], strict=True)]
        out.append(tuple(so_far))
    return tuple(out)
