"""D7: charger and loads against what the generator gives where it stands, in watts and in volt-amperes."""

from collections.abc import Iterator

from ohmwright.checks.circuits import hottest
from ohmwright.checks.gather import asked, setting, word
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, fails, most, skipped
from ohmwright.checks.mains.loads import Fed, ac_loads
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import (
    apparent_VA,
    charger_input_W,
    hot_air_ratio,
    in_percent,
    left_VA,
    left_W,
    lost_together_ratio,
    of_rated_apparent_ratio,
    of_rated_ratio,
    sum_VA,
    sum_W,
    thin_air_ratio,
)
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Absent, Step, figure, known, work

REMEDY = "Set the charging current or supply limit lower, or start loads one after the other."


def judge(real: Step, apparent: Step | None, *, diesel: bool) -> Judgement:
    """The larger of both parts against 85 %; a diesel that idles soots."""
    most_of = find("alternating/generator-most").value
    worst = real if apparent is None or real.value >= apparent.value else apparent
    percent = work(in_percent, part_ratio=worst)
    what = "volt-amperes" if worst is apparent else "watts"
    told = f"Charger and loads take {percent.value:.0f} % of what it gives in {what}"
    least_of = find("alternating/generator-least-diesel").value
    if diesel and not at_least(worst.value, least_of):
        return fails(f"{told}: a diesel under {100 * least_of:.0f} % soots up.", "Load it more, for less time.", roots=(worst,))  # fmt: skip
    return most(percent.value, 100 * most_of, "%", good=f"{told}.", bad=f"{told}: it runs hot, and trips when something starts.", remedy=REMEDY, steps=(percent,))  # fmt: skip


@rule(
    "mains/generator-load",
    "D7",
    "Generator load",
    why="A charger without power factor correction takes a third more from the generator than it gives to the bank.",
    severities=("fails",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each generator at the highest stay, with every charger and the loads that run for hours."""
    generators = study.rig.of_kind("generator")
    if not generators:
        yield "rig", skipped("No generator.")
    for g in generators:
        yield g.id, _one(study, g)


def _one(study: Study, g: Part) -> Judgement:
    power, apparent = asked(g.figure("power")), asked(g.figure("apparent_power"))
    thin, no_air = _lost(study, g)
    charging, missing = _charging(study)
    lost = (*power.missing, *no_air, *missing)
    if power.figure is None or thin is None or charging is None:
        return cannot_tell("How it is loaded cannot be told.", lost, unit="%", sense="max")
    watts, ampere = charging
    steady = [f for f in ac_loads(study) if f.power is not None and f.hours_h >= find("alternating/generator-hours").value]  # fmt: skip
    total = sum(f.power.value for f in steady if f.power is not None)
    loads = figure(total, "W", COMPUTED, address="AC loads that run for hours")
    total_VA = sum(f.power.value / _factor(f) for f in steady if f.power is not None)
    real: Step = work(sum_W, first_W=watts, second_W=loads)
    of_power = work(of_rated_ratio, load_W=real, rated_W=work(left_W, rated_W=power.figure, lost_ratio=thin))
    of_apparent = None
    if apparent.figure is not None:
        both = work(
            sum_VA,
            first_VA=ampere,
            second_VA=figure(
                total_VA, "VA", COMPUTED, address="AC loads that run for hours, each over its power factor"
            ),
        )
        of_apparent = work(
            of_rated_apparent_ratio,
            load_VA=both,
            rated_VA=work(left_VA, rated_VA=apparent.figure, lost_ratio=thin),
        )
    return judge(of_power, of_apparent, diesel=word(g, "fuel") == "diesel")


def _factor(fed: Fed) -> float:
    """The power factor of a load; 1 where it tells none."""
    given = known(fed.load.figures.get("power-factor", Absent()))
    return given.value if given is not None and given.value > 0 else 1.0


def _lost(study: Study, g: Part) -> tuple[Step | None, tuple[str, ...]]:
    """What thin and hot air take from it at the highest and hottest stay."""
    thin, (air, missing) = _thin(study, g), hottest(study)
    if thin is None or air is None:
        return None, (
            *(() if thin is not None else ("use.stays.1.at-coordinates",)),
            *(missing if air is None else ()),
        )
    hot = work(hot_air_ratio, loss_per_K=find("alternating/generator-heat").figure, air_degC=air)
    return work(lost_together_ratio, first_ratio=thin, second_ratio=hot), ()


def _thin(study: Study, g: Part) -> Step | None:
    loss, free = known(g.with_default("altitude_loss")), known(g.with_default("altitude_free"))
    heights = [s.altitude_m for s in study.spots if s is not None and s.altitude_m is not None]
    if loss is None or free is None or not heights:
        return None
    return work(
        thin_air_ratio,
        loss_ratio=loss,
        altitude_m=figure(max(heights), "m", COMPUTED, address="highest stay"),
        free_m=free,
    )


def _charging(study: Study) -> tuple[tuple[Step, Step] | None, tuple[str, ...]]:
    """Watts and volt-amperes of the chargers that alternating current feeds, by their settings."""
    units = study.rig.of_kind("inverter-charger")
    total_W: Step | None = None
    total_VA: Step | None = None
    for u in units:
        charge = setting(study.rig, u.id, "charge", "A")
        charge = charge if charge.figure is not None else asked(u.figure("charge_current"))
        volts = setting(study.rig, u.id, "absorption", "V")
        volts = volts if volts.figure is not None else asked(u.figure("absorption_max"))
        eta, factor = known(u.with_default("charge_efficiency")), known(u.with_default("charge_power_factor"))
        if charge.figure is None or volts.figure is None or eta is None or factor is None:
            return None, (*charge.missing, *volts.missing)
        one = work(charger_input_W, charge_A=charge.figure, charge_V=volts.figure, efficiency_ratio=eta)
        one_VA = work(apparent_VA, power_W=one, power_ratio=factor)
        total_W = one if total_W is None else work(sum_W, first_W=total_W, second_W=one)
        total_VA = one_VA if total_VA is None else work(sum_VA, first_VA=total_VA, second_VA=one_VA)
    if total_W is None or total_VA is None:
        zero = figure(0.0, "W", COMPUTED, address="no charger")
        total_W = work(sum_W, first_W=zero, second_W=zero)
        total_VA = work(apparent_VA, power_W=total_W, power_ratio=1.0)
    return (total_W, total_VA), ()
