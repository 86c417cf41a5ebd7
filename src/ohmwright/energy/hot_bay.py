"""What a controller still gives in a hot bay: its page's loss with heat, and how its own heat and the sun warm the air around it."""

from collections.abc import Sequence
from dataclasses import replace

from ohmwright.energy.figures import number
from ohmwright.energy.heating import Outdoors
from ohmwright.energy.loads import Notes
from ohmwright.energy.plan import Bank, HotBay, Tracker
from ohmwright.physics.bank import rest_V
from ohmwright.physics.converter import converter_in_W
from ohmwright.physics.heat import bay_rise_K
from ohmwright.rig.bay_air import conductance_W_per_K, settled
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.working import Figure, known

#: The volts at which a derated current is told: of a bank half full that charges in ten hours.
CHARGING_ratio, CHARGING_h = 0.5, 10.0


def with_bays(
    rig: Rig, trackers: Sequence[Tracker], bank: Bank, outdoors: Outdoors | None, notes: Notes
) -> tuple[Tracker, ...]:
    """The controllers, each with its bay; those of one place share what carries its heat off by what each loses at full output."""
    volts = charging_V(bank)
    lost_W: dict[str, float] = {}
    for tracker in trackers:
        place = rig.parts[tracker.id].place
        lost_W[place] = lost_W.get(place, 0.0) + _lost_W(rig.parts[tracker.id], tracker, volts)
    out: list[Tracker] = []
    missing: dict[str, list[str]] = {}
    for tracker in trackers:
        hot = _hot(rig, tracker, volts, lost_W[rig.parts[tracker.id].place], outdoors, notes)
        if isinstance(hot, HotBay):
            out.append(replace(tracker, hot=hot))
        else:
            missing.setdefault(hot, []).append(tracker.id)
            out.append(tracker)
    for figure, names in missing.items():
        notes.lack(f"what heat takes of {', '.join(names)} is not counted: {figure} is not known")
    return tuple(out)


def charging_V(bank: Bank) -> float:
    """Volts of a bank half full that charges in ten hours, by the model of the year itself; the size of the bank does not tell."""
    missing = 1.0 / (1.0 - CHARGING_ratio)
    into = 1.0 + missing * (bank.stiff_ratio + bank.square_ratio * missing) - bank.ease_ratio
    over_V = bank.resistance_ohm * into * bank.capacity_Ah / CHARGING_h
    return min(bank.set_V, rest_V(CHARGING_ratio, *bank.rest) + bank.half_gap_V + over_V)


def _lost_W(part: Part, tracker: Tracker, volts: float) -> float:
    """What it turns into heat at its rated current; nothing where that is not told."""
    rated = known(part.figure("output_current"))
    if rated is None or tracker.switched:
        return 0.0
    full_W = rated.value * volts
    own = tracker.idle_W, tracker.proportional_ratio, tracker.square_per_W
    return max(0.0, converter_in_W(full_W, *own) - full_W)


def _hot(
    rig: Rig, tracker: Tracker, volts: float, bay_W: float, outdoors: Outdoors | None, notes: Notes
) -> HotBay | str:
    """The bay of a controller, or the figure that is missing."""
    part = rig.parts[tracker.id]
    place = rig.host.places.get(part.place)
    rated = known(part.figure("output_current"))
    at = rated.condition_value("degC") if rated is not None else None
    loss = number(part, "derate", notes) if "derate" in part.kind.figures else None
    hottest = known(place.figures["hottest"]) if place is not None and "hottest" in place.figures else None
    outside = _hottest_outside_degC(rig, outdoors)
    if tracker.switched:
        return "the loss with heat of a controller that only switches"
    if rated is None or at is None:
        return f"{part.id}.output_current with its temperature (as 70 A @ 40 degC)"
    if loss is None:
        return f"{part.id}.derate"
    if place is None or hottest is None:
        return f"host.places.{place.id}.hottest" if place is not None else f"{part.id}.at"
    if outside is None:
        return "hottest of the stays"
    carried = _carried_W_per_K(rig, place, hottest.value, bay_W)
    if carried is None:
        return f"the size of {place.id}, its UA or its vents"
    full_W = rated.value * volts
    share = _lost_W(part, tracker, volts) / bay_W if bay_W > 0.0 else 1.0
    own = 1.0 / (carried * share) if carried > 0.0 and share > 0.0 else 0.0
    hot = HotBay(
        full_W,
        at,
        abs(loss),
        max(0.0, hottest.value - outside),
        own * tracker.idle_W,
        own * tracker.proportional_ratio * full_W,
        own * tracker.square_per_W * full_W * full_W,
    )
    warmer_K = hot.idle_rise_K + hot.linear_rise_K + hot.square_rise_K
    notes.assume(
        f"{part.id}: the air of {place.id} is {hot.sun_rise_K:.0f} K above that outside in full sun and {warmer_K:.0f} K more at its full output; "
        f"above {at:g} degC it gives {hot.loss_percent_per_K:g} % a kelvin less; other heat there is not counted"
    )
    return hot


def _hottest_outside_degC(rig: Rig, outdoors: Outdoors | None) -> float | None:
    """The hottest air of the stays: as the file has it, else of their typical years."""
    found = []
    for k, stay in enumerate(rig.use.stays):
        if isinstance(stay.hottest, Figure):
            found.append(stay.hottest.value)
        elif outdoors is not None:
            found.append(max(outdoors.air_degC[k]))
    return max(found, default=None)


def _carried_W_per_K(rig: Rig, place: Place, hottest_degC: float, loss_W: float) -> float | None:
    """Heat that leaves a place for each kelvin while it takes `loss_W`; 0 stands for any heat (outside); None where nothing tells it."""
    if place.regime == "outside" or loss_W <= 0.0:
        return 0.0
    walls = conductance_W_per_K(place) or 0.0
    rise, flow = settled(rig, place, hottest_degC, loss_W, walls)
    return None if rise is None else 1.0 / bay_rise_K(1.0, walls, flow)
