"""How warm the air of an equipment bay gets for hours: the heat of solved cases that last. Docs: decision 0018."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from ohmwright.checks.gather import asked, once
from ohmwright.checks.judgement import at_most
from ohmwright.checks.mains.loads import behind
from ohmwright.circuit.bays import Bay, bay_heat, hotter
from ohmwright.circuit.solve import solve
from ohmwright.circuit.types import Case, Solution
from ohmwright.physics.ampacity import between_W
from ohmwright.physics.heat import bay_rise_K
from ohmwright.physics.sums import sum_degC
from ohmwright.rig.model import Part
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Absent, Figure, Step, figure, known, work

#: Parts that turn power into heat for hours.
HOT = ("inverter", "inverter-charger", "pv-controller", "pv-controller-pwm", "dcdc-charger")
INVERTERS = ("inverter", "inverter-charger")
#: The case of all chargers at once, and what stands still in the two that can last.
ALL = "all-charge"
APART = {"sun and supply": ("dcdc-charger", "alternator"), "sun and engine": ("inverter-charger",)}
#: Rounds in which an inverter and the air that it makes find each other, and how near is near enough.
ROUNDS, NEAR_ratio = 6, 0.005


@dataclass(frozen=True, slots=True)
class Air:
    """The hottest air of a place for hours, or what is missing; `case` makes it, with `loss_W` of heat.

    `flow_m3_per_h` goes through its vents then. `full_degC` is what an inverter at its full power would make of it, where that is more: its page does not give that
    for hours.
    """

    air: Figure | Step | None
    missing: tuple[str, ...] = ()
    rise: Step | None = None
    loss_W: float = 0.0
    case: str = ""
    full_degC: float | None = None
    flow_m3_per_h: float = 0.0
    by_W: Mapping[str, float] = field(default_factory=dict)
    """That heat by what gives it off."""


def air_of(study: Study, part: Part) -> Air:
    """The hottest air that a part stands in for hours, its neighbours' heat counted."""
    if part.place not in study.rig.host.places:
        return Air(None, (f"{part.id}.at",))
    return bays(study)[part.place]


@once
def bays(study: Study) -> dict[str, Air]:
    """Every place of the host in the hottest case that lasts."""
    hottest: dict[str, tuple[Bay, str]] = {}
    places = study.rig.host.places
    any_air = any(known(p.figures.get("hottest", Absent())) for p in places.values())
    for answer in _lasting(study) if any_air else ():
        for place, bay in bay_heat(study.rig, study.graph, answer).items():
            if place not in hottest or hotter(bay, hottest[place][0]):
                hottest[place] = bay, answer.case.name
    return {p: _air(study, p, *hottest.get(p, (Bay(study.rig, places[p], {}), ""))) for p in places}


def _lasting(study: Study) -> Iterator[Solution]:
    """Cases that can go on for hours: none of seconds, none with a battery out, no inverter at a power it does not hold.

    All chargers at once is two of them: a supply and an engine do not feed a rig together for hours.
    """
    for case in study.cases.values():
        if case.seconds is None and not case.missing and not case.converters_W and case.name != ALL:
            solved = study.solution(case.name)
            if solved.converged and not solved.overloaded:
                yield solved
    for name, kinds in APART.items():
        still = {p.id: 0.0 for p in study.rig.of_kind(*kinds)}
        if ALL in study.cases:
            yield solve(study.rig, study.graph, replace(study.cases[ALL], name=name, charge_A=still))
    for part in study.rig.of_kind(*INVERTERS):
        if (answer := held(study).get(part.id)) is not None:
            yield answer


@once
def held(study: Study) -> dict[str, Solution]:
    """By inverter: the most power that its page gives in the air that it makes itself, with the sun up."""
    found = {}
    for part in study.rig.of_kind(*INVERTERS):
        full = study.cases.get(f"{part.id}-full")
        place = study.rig.host.places.get(part.place)
        if full is not None and place is not None and known(place.figures.get("hottest", Absent())):
            found[part.id] = _settled(study, part, min(full.converters_W[part.id], _all_loads_W(study, part)))
    return found


def _settled(study: Study, part: Part, most_W: float) -> Solution:
    """The power that the page gives in the air that belongs to it, at most what is asked."""
    watts = min(most_W, _guess_W(study, part))
    for _ in range(ROUNDS):
        answer = solve(study.rig, study.graph, _inverting(study, part, watts))
        air = bay_heat(study.rig, study.graph, answer)[part.place].temp_degC
        given = power_in(part, air) if air is not None else None
        if given is None:
            break
        wanted = min(most_W, 0.5 * (watts + given.value))
        if abs(wanted - watts) <= NEAR_ratio * watts:
            break
        watts = wanted
    return answer


def _guess_W(study: Study, part: Part) -> float:
    """A first guess without solving: of the heat at full power its own goes with the power, that of copper with its square."""
    full = study.cases[f"{part.id}-full"]
    bay = bay_heat(study.rig, study.graph, study.solution(full.name))[part.place]
    whole = full.converters_W[part.id]
    hottest = known(study.rig.host.places[part.place].figures.get("hottest", Absent()))
    if bay.temp_degC is None or hottest is None or not printed_powers(part):
        return whole
    own = bay.parts_W.get(part.id, 0.0)
    low, high = 0.0, 1.0
    for _ in range(20):
        x = 0.5 * (low + high)
        heat_W = own * x + (bay.losses_W - own) * x * x
        air = hottest.value + bay_rise_K(heat_W, bay.UA_W_per_K or 0.0, bay.airflow_m3_per_h)
        given = power_in(part, air)
        low, high = (x, high) if given is not None and given.value >= whole * x else (low, x)
    return whole * low


def air_at(study: Study, part: Part, watts: float) -> Air:
    """The air around an inverter that gives so many watts for hours."""
    if part.place not in study.rig.host.places:
        return Air(None, (f"{part.id}.at",))
    answer = solve(study.rig, study.graph, _inverting(study, part, watts))
    bay = bay_heat(study.rig, study.graph, answer)[part.place]
    return replace(_air(study, part.place, bay, answer.case.name), full_degC=None)


def _inverting(study: Study, part: Part, watts: float) -> Case:
    """An inverter at a power for hours: bank half full, by day where there is an array."""
    noon = study.cases.get("noon-low")
    states = noon.states if noon is not None else study.cases[f"{part.id}-full"].states
    return Case(
        f"{part.id} at {watts:.0f} W", states=states, converters_W={part.id: watts}, bank_soc_ratio=0.5,
        sun_ratio=noon.sun_ratio if noon is not None else 0.0,
    )  # fmt: skip


def _all_loads_W(study: Study, part: Part) -> float:
    """Every load behind an inverter at once; without end where one of them tells no power."""
    fed = behind(study, part)
    return sum(f.power.value if f.power is not None else float("inf") for f in fed) if fed else float("inf")


def power_in(part: Part, air_degC: float) -> Figure | Step | None:
    """What a page gives in such air: its printed power, a straight line between two, and no more than the last beyond it."""
    printed = printed_powers(part)
    if not printed:
        return None
    return given_in(part, min(air_degC, printed[-1][0]))


def printed_powers(part: Part) -> list[tuple[float, Figure]]:
    """The continuous powers of a page with their temperatures, the coolest first."""
    names = ("power", "power_40", "power_60")
    given = [f for n in names if (f := asked(part.figure(n)).figure) is not None]
    return sorted(((at, f) for f in given if (at := f.condition_value("degC")) is not None), key=lambda x: x[0])  # fmt: skip


def given_in(part: Part, air: Figure | Step | float) -> Figure | Step | None:
    """The printed power up to its temperature, above it a straight line to the next one; nothing beyond the last."""
    at_degC = air if isinstance(air, float) else air.value
    found = printed_powers(part)
    for k, (at, f) in enumerate(found):
        if at_most(at_degC, at):
            if k == 0 or at_most(at, at_degC):
                return f
            low_at, low = found[k - 1]
            return work(between_W, cool_W=low, hot_W=f, cool_degC=low_at, hot_degC=at, air_degC=air)
    return None


def _air(study: Study, place: str, bay: Bay, case: str) -> Air:
    """A bay as rules tell it: hottest air of the place, and the rise by its heat."""
    own = study.rig.host.places[place]
    hottest = known(own.figures["hottest"]) if "hottest" in own.figures else None
    if hottest is None:
        return Air(None, (f"host.places.{place}.hottest",), None, bay.losses_W, case, by_W=bay.by_W)
    hottest = hottest if hottest.address else hottest.at(f"host.places.{place}.hottest")
    if bay.missing:
        return Air(None, bay.missing, None, bay.losses_W, case, by_W=bay.by_W)
    if bay.losses_W <= 0 or own.regime == "outside":
        return Air(hottest)
    rise = work(
        bay_rise_K,
        loss_W=figure(bay.losses_W, "W", COMPUTED, address=f"heat of parts and cables in {place}, case {case}"),
        conductance_W_per_K=figure(bay.UA_W_per_K or 0.0, "W/K", COMPUTED, address=f"walls of {place}"),
        flow_m3_per_h=figure(bay.airflow_m3_per_h, "m3/h", COMPUTED, address=f"air through the vents of {place}"),
    )  # fmt: skip
    air = work(sum_degC, air_degC=hottest, rise_K=rise)
    full = study.bays[place].temp_degC
    more = full if full is not None and not at_most(full, air.value) else None
    return Air(air, (), rise, bay.losses_W, case, more, bay.airflow_m3_per_h, bay.by_W)
