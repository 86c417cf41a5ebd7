"""Loads on alternating current and what carries them, as papers tell them."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.circuit.supplies import full_W
from ohmwright.papers.material import Material
from ohmwright.rig.model import Load, Part
from ohmwright.working import Figure, known


def ac_loads(m: Material) -> Iterator[tuple[Load, float]]:
    """Loads on alternating current with the most they take while running."""
    ac = {t.owner for t in m.study.graph.terminals.values() if t.pole in ("L", "L1")}
    for load in m.rig.use.loads.values():
        watts = [
            f.value
            for given in load.power.values()
            if (f := known(given)) is not None and f.unit in ("W", "VA")
        ]
        if load.id in ac and watts:
            yield load, max(watts)


def lasting_power(p: Part) -> Figure | None:
    """What an inverter carries for ever: the smaller of what its page says cool and at 40 degC, since a bay gets warm."""
    cool, warm = known(p.figure("power")), known(p.figure("power_40"))
    if warm is not None and (cool is None or warm.value < cool.value):
        return replace(warm, condition=warm.condition or "40 °C")
    return cool


def borne_power(m: Material, p: Part) -> float | None:
    """What the bank bears of an inverter's full power, where rule B1 finds that it does not bear all; in proportion."""
    full = full_W(p)
    for f in m.findings:
        if f.number == "B1" and f.subject == p.id and f.verdict == "fail" and full and f.value and f.limit:
            return full * f.limit / f.value
    return None


def carried_power(m: Material, p: Part) -> Figure | None:
    """What runs from the bank for ever: what the inverter carries, or less where the bank does not bear that."""
    lasting, borne = lasting_power(p), borne_power(m, p)
    return (
        lasting
        if lasting is None or borne is None or lasting.value <= borne
        else replace(lasting, value=borne)
    )
