"""Why a bay gets so warm, and why shade takes so much of the light."""

from ohmwright.checks.heat import bays
from ohmwright.energy.reckoned import (
    Ask,
    Listing,
    Reckoned,
    Row,
    computed,
    held,
    summed,
    worked,
)
from ohmwright.physics.ventilation import draught_m3_per_h
from ohmwright.rig.bay_air import way_of_air
from ohmwright.roof.array import ArrayShade
from ohmwright.services.opening import Opened
from ohmwright.services.roof import Cost, shade_of, stays_of
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import Figure, Input, OhmwrightError, Origin, Step, figure, known, nearest, work

HEAT, AIR, FLOW, SHADE = "place/heat", "place/air", "place/flow", "shade/lost"


def _place(study: Study, name: str) -> str:
    places = study.rig.host.places
    if name not in places:
        near = nearest(name, places)
        raise OhmwrightError(
            f"there is no place '{name[:40]}'",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(places),
        )
    return name


def heat(study: Study, name: str) -> Reckoned:
    """What gives off heat in a bay, in the hottest case that lasts."""
    told = bays(study)[_place(study, name)]
    some = sorted(((k, w) for k, w in told.by_W.items() if w), key=lambda kw: -kw[1])
    step = summed("Q", "W", [computed(f"Q_{n}", w, "W", f"{k} in case {told.case}") for n, (k, w) in enumerate(some, 1)], f"heat in {name}")  # fmt: skip
    says = (
        f"The hottest case that can last for hours: {told.case or 'none'}. Of every part what it takes less what it gives on, of every run I² R.",
    )
    rows = tuple(Row(k, (f"{w:.1f} W",)) for k, w in some)
    return Reckoned(
        Ask(HEAT, name), f"heat in {name}", step.value, "W", says, (step,), (Listing("What gives it off", ("what", "heat"), rows),),
        (("How warm its air gets", Ask(AIR, name)),),
    )  # fmt: skip


def air(study: Study, name: str) -> Reckoned:
    """How warm its air gets: the hottest air of the file and the rise by its own heat."""
    told = bays(study)[_place(study, name)]
    if told.air is None:
        raise OhmwrightError(
            f"how warm {name} gets cannot be told", remedy="give " + ", ".join(told.missing[:3])
        )
    also = (("The heat that makes it", Ask(HEAT, name)),)
    if isinstance(told.air, Figure):
        step = worked("T", "T_file", told.air.value, "degC", (_figure("T_file", told.air),), "nothing in it gives off heat for hours")  # fmt: skip
    else:
        step = told.air
    return Reckoned(Ask(AIR, name), f"hottest air of {name} for hours", step.value, "degC", (f"In case {told.case}.",) if told.case else (), (step,), (), also)  # fmt: skip


def flow(study: Study, name: str) -> Reckoned:
    """What goes through its vents: what its warm air draws, or what its fans move where that is more."""
    told = bays(study)[_place(study, name)]
    if told.rise is None or told.flow_m3_per_h <= 0.0:
        raise OhmwrightError(
            f"no air goes through vents of {name}, or it cannot be told",
            remedy=f"write vents and hottest of {name}",
        )
    place = study.rig.host.places[name]
    way = way_of_air(place)
    hottest = known(place.figures["hottest"])
    assert hottest is not None
    area = Origin("computed", by=f"free area of each of two equal vents that draw as much as those of {name}")
    drawn = work(
        draught_m3_per_h, discharge_factor=find("places/discharge").figure,
        area_cm2=Figure(way.area_cm2, "cm2", way.area_cm2, way.area_cm2, area),
        height_m=figure(way.height_m, "m", Origin("computed", by="height between them")), rise_K=told.rise, air_degC=hottest,
        note="what the warm air draws",
    )  # fmt: skip
    step = drawn
    if told.flow_m3_per_h > drawn.value * (1.0 + 1e-6):
        fans = computed("q_fan", told.flow_m3_per_h, "m3/h", f"fans of {name}, at most what its vents let through")  # fmt: skip
        step = worked("q_most", "max(q, q_fan)", told.flow_m3_per_h, "m3/h", (held("q", drawn), fans))
    says = ("The warmer the bay, the more it draws, and the more it draws, the less warm it gets: the rise and the air belong to each other.",)  # fmt: skip
    return Reckoned(Ask(FLOW, name), f"air through the vents of {name}", step.value, "m3/h", says, (step,), (), (("How warm its air gets", Ask(AIR, name)),))  # fmt: skip


def _figure(symbol: str, figure: Figure) -> Input:
    return Input(symbol, figure.value, figure.unit, figure.origin, figure.address)


def shade(opened: Opened, subject: str) -> Reckoned:
    """What shade takes of an array's light in a year: `ARRAY`, or `ARRAY STAY`, or `ARRAY STAY SCENE`."""
    name, _, rest = subject.partition(" ")
    number, _, scene = rest.partition(" ")
    stays = dict(stays_of(opened.rig))
    which = int(number.removeprefix("stay-")) if number.removeprefix("stay-").isdecimal() else next(iter(stays), 0)  # fmt: skip
    found = shade_of(opened, stays[which]) if which in stays else ()
    chosen = [
        c for c in found if c.shade.array == name and (not scene or c.shade.scene.replace(" ", "-") == scene)
    ]
    if not chosen:
        raise OhmwrightError(
            f"what shade takes of '{subject[:40]}' cannot be told",
            remedy="write an array that is laid on a roof, and a stay that has a place: M stay-1",
        )
    return _shade(chosen[0], which)


def _shade(cost: Cost, stay: int) -> Reckoned:
    one = cost.shade
    year = one.year
    lost = [
        computed(f"H_{m.month}", m.light_kWh_m2 * m.lost_ratio, "kWh/m2", f"of {m.light_kWh_m2:.1f} kWh/m² in the open, {100 * m.lost_ratio:.1f} % in month {m.month}")
        for m in one.months
    ]  # fmt: skip
    gone = summed("H_lost", "kWh/m2", lost, "light that shade takes, as the array is wired, month by month")
    part = worked(
        "f", "H_lost / H", year.lost_ratio, "1",
        (held("H_lost", gone), computed("H", year.light_kWh_m2, "kWh/m2", "light on the array in the open, in a year of such days")),
        "part of the year that shade takes",
    )  # fmt: skip
    steps: tuple[Step, ...] = (worked("p", "100 * f", 100.0 * year.lost_ratio, "%", (held("f", part),)),)
    says = (
        f"Hour by hour in a normal year: the shadow of every obstacle, hill and tree on every cell of {one.array}, {one.scene}; the current of each string by its darkest cells and their bypass diodes, wired {cost.wired}.",
        *one.assumed[:4],
    )  # fmt: skip
    if cost.lost_kWh is not None and cost.rated_W is not None:
        steps = (
            *steps,
            worked(
                "E_lost", "P * H / 1000 * f", cost.lost_kWh, "kWh",
                (computed("P", cost.rated_W, "W", "plates of the modules together"), computed("H", year.light_kWh_m2, "kWh/m2", "as above"), held("f", part)),
                "at the rating of the plates: warmth, controller and cable are not in it",
            ),
        )  # fmt: skip
    return Reckoned(
        Ask(SHADE, f"{one.array} stay-{stay} {one.scene.replace(' ', '-')}"), f"what shade takes of {one.array}, {one.scene}", steps[-1].value, steps[-1].unit, says, steps, (_months(one),),
    )  # fmt: skip


def _months(one: ArrayShade) -> Listing:
    rows = tuple(
        Row(f"month {m.month}", (f"{m.light_kWh_m2:.1f} kWh/m²", f"{100 * (1 - m.beyond_ratio):.2f} %", f"{100 * m.lost_ratio:.2f} %"))
        for m in one.months
    )  # fmt: skip
    return Listing("Month by month", ("", "light in the open", "lost to hills and trees", "lost as wired"), rows)  # fmt: skip
