"""How warm the air of an equipment bay gets."""

from dataclasses import dataclass

from ohmwright.checks.gather import asked, once
from ohmwright.physics.heat import bay_rise_K
from ohmwright.physics.sums import sum_degC
from ohmwright.physics.ventilation import draught_m3_per_h
from ohmwright.rig.model import Part, Place
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, work

#: Parts that turn power into heat for hours.
HOT = ("inverter", "inverter-charger", "pv-controller", "pv-controller-pwm", "dcdc-charger")


@dataclass(frozen=True, slots=True)
class Air:
    """The hottest air of a place, or what is missing; `rise` and `loss_W` where the heat of the parts in it is counted."""

    air: Figure | Step | None
    missing: tuple[str, ...] = ()
    rise: Step | None = None
    loss_W: float = 0.0


def air_of(study: Study, part: Part) -> Air:
    """The hottest air that a part stands in, its neighbours' heat counted."""
    place = study.rig.host.places.get(part.place)
    if place is None:
        return Air(None, (f"{part.id}.at",))
    return bays(study)[place.id]


@once
def bays(study: Study) -> dict[str, Air]:
    """Every place of the host."""
    return {p.id: _bay(study, p) for p in study.rig.host.places.values()}


def _bay(study: Study, place: Place) -> Air:
    hottest = known(place.figures["hottest"]) if "hottest" in place.figures else None
    if hottest is None:
        return Air(None, (f"host.places.{place.id}.hottest",))
    hottest = hottest if hottest.address else hottest.at(f"host.places.{place.id}.hottest")
    loss = _loss_W(study, place.id)
    if loss <= 0 or place.regime == "outside":
        return Air(hottest)
    conductance = _conductance(place)
    flow = _flow_m3_per_h(study, place, hottest.value, loss, conductance)
    if conductance is None and flow <= 0:
        return Air(None, (f"host.places.{place.id}.UA", f"host.places.{place.id}.vents"), None, loss)
    rise = work(
        bay_rise_K,
        loss_W=figure(loss, "W", COMPUTED, address=f"heat of the parts in {place.id}"),
        conductance_W_per_K=conductance or 0.0,
        flow_m3_per_h=flow,
    )
    return Air(work(sum_degC, air_degC=hottest, rise_K=rise), (), rise, loss)


def _conductance(place: Place) -> float | None:
    given = known(place.figures["UA"]) if "UA" in place.figures else None
    if given is not None:
        return given.value
    if place.size is None:
        return None
    a, b, c = place.size
    return find("places/wall-conductance").value * 2 * (a * b + b * c + a * c)


def _flow_m3_per_h(
    study: Study, place: Place, outside_degC: float, loss_W: float, conductance: float | None
) -> float:
    """Air that a fan moves, at most what the vents let through; else the draught of the vents, found by iteration."""
    vents = known(place.figures["vents"]) if "vents" in place.figures else None
    if vents is None or vents.value <= 0:
        return 0.0
    height = place.size[2] if place.size is not None else 0.3
    area_cm2 = vents.value / 100 / 2
    rise = 10.0
    flow = 0.0
    for _ in range(30):
        flow = draught_m3_per_h(find("places/discharge").value, area_cm2, height, rise, outside_degC)
        flow = max(flow, _fans_m3_per_h(study, place, area_cm2))
        rise = 0.5 * (rise + bay_rise_K(loss_W, conductance or 0.0, flow))
    return flow


def _fans_m3_per_h(study: Study, place: Place, area_cm2: float) -> float:
    """What the parts' own fans push through the vents: at 1.5 m/s at most."""
    fans = [
        f.value
        for p in study.rig.parts.values()
        if p.place == place.id and p.kind.name in HOT and (f := known(p.figure("airflow"))) is not None
    ]
    return min(sum(fans), 0.54 * area_cm2) if fans else 0.0


def _loss_W(study: Study, place: str) -> float:
    """The worst of sun with outside power, sun while driving, and sun with loads by the inverter."""
    sun = drive = shore = inverting = 0.0
    for part in study.rig.of_kind(*HOT):
        if part.place != place:
            continue
        if part.kind.name in ("pv-controller", "pv-controller-pwm"):
            sun += _charger_loss_W(study, part, "output_current", "efficiency", 0.95)
        elif part.kind.name == "dcdc-charger":
            drive += _charger_loss_W(study, part, "output_current", "efficiency", 0.9)
        else:
            inverting += _inverter_loss_W(part)
            if part.kind.name == "inverter-charger":
                shore += _charger_loss_W(study, part, "charge_current", "charge_efficiency", 0.88)
    return sun + max(drive, shore, inverting)


def _charger_loss_W(study: Study, part: Part, current: str, efficiency: str, other: float) -> float:
    set_A = study.rig.setting(part.id, "charge")
    amps = set_A if isinstance(set_A, Figure) and set_A.unit == "A" else asked(part.figure(current)).figure
    volts = study.rig.setting(part.id, "absorption")
    ratio = known(part.with_default(efficiency)) if efficiency in part.kind.figures else None
    if amps is None or not isinstance(volts, Figure):
        return 0.0
    eta = ratio.value if ratio is not None else other
    return amps.value * volts.value * (1 / eta - 1)


def _inverter_loss_W(part: Part) -> float:
    """At half its power: nothing domestic draws all of it for hours."""
    power, eta = asked(part.figure("power")).figure, known(part.with_default("efficiency_full"))
    return 0.5 * power.value * (1 / eta.value - 1) if power is not None and eta is not None else 0.0
