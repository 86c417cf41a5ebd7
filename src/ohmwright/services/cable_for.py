"""What cable two ends ask for, and the way that it lies in. It is a proposal: the check judges it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ohmwright.checks.carrying import Wire, carries
from ohmwright.mend.shop import Offer, Shop
from ohmwright.rig.cable import read_cable
from ohmwright.rig.model import Part, Rig, Run
from ohmwright.rig.routes import Routes
from ohmwright.services.desk import Look
from ohmwright.services.ends import owner_at, place_at
from ohmwright.services.offers import RULES
from ohmwright.working import Given, known, tell

#: A conductor that carries for hours is taken a quarter larger than its current (common practice, as NFPA 70 has it).
CONTINUOUS = 1.25
#: An array may give a quarter more than its short-circuit current at standard sun (common practice, as NFPA 70 has it).
BRIGHT = 1.25


@dataclass(frozen=True, slots=True)
class CableFor:
    """A cable as a run may name it, and why it is proposed, or what it carries."""

    text: str
    told: str
    proposed: bool = False


def route_between(rig: Rig, a: str, b: str) -> tuple[tuple[str, ...], str]:
    """The ways between two ends and their length in words; "" where no way, or its length, is told."""
    here, there = place_at(rig, a), place_at(rig, b)
    if not here or not there or here == there:
        return (), ""
    routes = Routes(rig.host.ways)
    route = routes.shortest(here, there) or ()
    length = known(routes.length(route, ""))
    return route, tell(length.value, "m", 3) if length is not None else ""


def cables_for(look: Look, a: str, b: str, poles: tuple[str, ...]) -> tuple[CableFor, ...]:
    """Cables of the shelf that could lie there, the proposed one first."""
    rig = look.rig
    amperes, told = _asked_of(rig, a, b)
    array = any((p := owner_at(rig, x)) is not None and p.kind.name == "module" for x in (a, b))
    alternating = bool({"L", "L1", "N"} & set(poles))
    alike = _sizes(look, _sample(rig, a, b, poles, array=array, alternating=alternating))
    carried = {
        o.text: amps for o in alike if (amps := _bears_A(rig, o, array=array, alternating=alternating))
    }
    first = next((o.text for o in alike if amperes and carried.get(o.text, 0.0) >= amperes), "")
    rest = [CableFor(o.text, f"{carried[o.text]:.3g} A" if o.text in carried else "") for o in alike]
    if (twin := _twin(rig, a, b)) is not None and (size := twin.cable.area_mm2):
        as_twin = next((o for o in alike if abs(o.area_mm2 / size - 1) < 0.02), None)
        least = next((o.area_mm2 for o in alike if o.text == first), 0.0)
        if as_twin is not None and as_twin.area_mm2 >= least:
            first, told, amperes = as_twin.text, f"as the other pole, {twin.id}", 0.0
    why = f"the smallest that may stand behind {amperes:.3g} A: {told}" if amperes else told
    head = [CableFor(first, why, True)] if first else []
    return (*head, *(c for c in rest if c.text != first))


def _sample(rig: Rig, a: str, b: str, poles: tuple[str, ...], *, array: bool, alternating: bool) -> str:
    """A cable of the sort that lies there, in any size."""
    size = "10 AWG" if (rig.job.rules or RULES).startswith("us") else "4 mm2"
    sample = f"pv {size}" if array else size
    if alternating or (len(poles) > 1 and not array):
        return f"{len(poles)} x {sample}"
    if poles == ("-",):
        return f"{sample} black"
    if poles == ("+",) or _fused(rig, a, b):
        return f"{sample} red"
    return f"{sample} green-yellow" if poles == ("PE",) else sample


def _sizes(look: Look, sample: str) -> list[Offer]:
    """The sizes in which the shelf has such a cable, smallest first."""
    thinnest = replace(read_cable(sample), area_mm2=0.1)
    offers = [o for ladder in Shop(look.opened.shelf, look.rig).cables(thinnest) for o in ladder]
    if not offers:
        return []
    make = read_cable(min(offers, key=lambda o: o.area_mm2).text).material
    return sorted((o for o in offers if read_cable(o.text).material == make), key=lambda o: o.area_mm2)


def _bears_A(rig: Rig, offer: Offer, *, array: bool, alternating: bool) -> float | None:
    insulation = read_cable(offer.text).insulation_degC
    wire = Wire(offer.area_mm2, insulation, alternating=alternating, sold_for_pv=array)
    found = carries(wire, rig.job.rules or RULES, "least")
    return found.ceiling.value if found is not None else None


def _fused(rig: Rig, a: str, b: str) -> bool:
    return any((p := owner_at(rig, x)) is not None and p.kind.name in ("fuse", "breaker") for x in (a, b))


def _twin(rig: Rig, a: str, b: str) -> Run | None:
    """The run on the other pole of one of the ends."""
    other = {"+": "-", "-": "+"}
    for address in (a, b):
        head, _, pole = address.rpartition(".")
        if pole in other:
            there = f"{head}.{other[pole]}"
            for run in rig.runs.values():
                if not run.part_of and any(there in (c.a, c.b) for c in run.cores):
                    return run
    return None


def _asked_of(rig: Rig, a: str, b: str) -> tuple[float, str]:
    """The current a conductor between two ends must bear, and what asks for it; 0 where nothing says so."""
    found: list[tuple[float, str]] = []
    for address in (a, b):
        part = owner_at(rig, address)
        if part is None:
            continue
        if part.kind.name in ("fuse", "breaker", "pv-disconnect", "rcbo") and (
            rated := _A(part.figure("rated"))
        ):
            return rated, f"{part.id} is rated {rated:g} A"
        asked = _own_A(part, address)
        if asked is not None:
            found.append(asked)
    asked = min(found, default=(0.0, ""))
    guard = max((g for x in (a, b) for g in _guards_of_bar(rig, x)), default=(0.0, ""))
    return max(asked, guard)


def _guards_of_bar(rig: Rig, address: str) -> Iterator[tuple[float, str]]:
    """The devices behind which everything on a bar stands, as far as runs lead straight to them."""
    bar = owner_at(rig, address)
    if bar is None or bar.kind.name != "busbar":
        return
    for run in rig.runs.values():
        ends = [owner_at(rig, t) for c in run.cores for t in (c.a, c.b)]
        if not any(p is bar for p in ends):
            continue
        for device in ends:
            if (
                device is not None
                and device.kind.name in ("fuse", "breaker")
                and (rated := _A(device.figure("rated")))
            ):
                yield (
                    rated,
                    f"{device.id} on {bar.id} is rated {rated:g} A; a smaller fuse at {bar.id} allows less",
                )


def _own_A(part: Part, address: str) -> tuple[float, str] | None:
    kind = part.kind.name
    if kind == "module":
        short = _A(part.figure("short_circuit"))
        strings = max(1, part.strings) if address == part.id else 1
        return (
            (
                BRIGHT * CONTINUOUS * short * strings,
                f"{BRIGHT * CONTINUOUS:.3g} times its short-circuit current",
            )
            if short
            else None
        )
    if kind in ("pv-controller", "pv-controller-pwm", "dcdc-charger") and not address.startswith(
        f"{part.id}.pv"
    ):
        out = _A(part.figure("output_current"))
        return (CONTINUOUS * out, f"{CONTINUOUS:g} times the output of {part.id}") if out else None
    if kind == "panel-dc" and ".feed" in address:
        ways = sum(_A(g) for g in part.ways.values())
        most = _A(part.figure("rated")) or ways
        return (min(ways, most), f"the ways of {part.id} together") if ways else None
    if kind in ("inverter", "inverter-charger") and ".dc" in address:
        power, volts = known(part.figure("power")), known(part.figure("cutoff_voltage"))
        if power is not None and volts is not None:
            return (
                CONTINUOUS * power.value / volts.value,
                f"{CONTINUOUS:g} times the current of {part.id} at its cut-off",
            )
    return None


def _A(given: Given) -> float:
    figure = known(given)
    return figure.value if figure is not None and figure.unit == "A" else 0.0
