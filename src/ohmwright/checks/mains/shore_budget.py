"""D5: charger and loads against what the supply gives."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked, setting
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.physics.sums import charger_input_A, load_A, part_A, sum_A
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, number, parse, tell, work

REMEDY = "Set the supply limit, or less charging current, for the smallest supply the calendar names."


def judge(rules: str, drawn: Step | Figure, supply: Figure) -> Judgement:
    """What is drawn for hours against 0.8 of the supply (us) or its rating (eu, a note above 0.9)."""
    part = find("alternating/us-continuous-part" if country(rules) == "us" else "alternating/eu-post-part")
    limit = work(part_A, part_ratio=part.figure, rated_A=supply)
    near = find("alternating/eu-post-warn").value * supply.value if country(rules) == "eu" else None
    told = f"{tell(drawn.value, 'A')} for hours from a supply of {tell(supply.value, 'A')}; {tell(limit.value, 'A')} is the limit"
    steps = (limit, drawn) if isinstance(drawn, Step) else (limit,)
    return most(
        drawn.value, limit.value, "A", good=f"{told}.", bad=f"{told}: its breaker trips, in the rain.", remedy=REMEDY, warn_above=near,
        warn=f"{told}: old posts trip before their rating.", steps=steps, roots=(supply, drawn),
    )  # fmt: skip


@rule(
    "mains/shore-budget",
    "D5",
    "Shore budget",
    why="""A charger takes its full current for hours, which is exactly what a breaker does not like. The post on the small
        pitch has less than the one in the brochure.""",
    severities=("fails", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "210.20, 215.3: continuous loads", "memory"),
        "eu": Clause("IEC 60364-4-43", "2008", "433.1", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter-charger against each outside supply of the calendar and of the posts."""
    supplies = _supplies(study)
    units = study.rig.of_kind("inverter-charger")
    for unit in units:
        if not supplies:
            yield unit.id, skipped("No outside supply is named.")
            continue
        limit = setting(study.rig, unit.id, "supply-limit", "A")
        if limit.figure is not None:
            for supply in supplies.values():
                yield unit.id, judge(study.rig.job.rules, limit.figure, supply)
            continue
        drawn, missing = _drawn(study, unit)
        for supply in supplies.values():
            yield (
                unit.id,
                judge(study.rig.job.rules, drawn, supply)
                if drawn is not None
                else cannot_tell(
                    "What it draws from its supply is not known.", missing, unit="A", sense="max"
                ),
            )


def _supplies(study: Study) -> dict[str, Figure]:
    found: dict[str, Figure] = {}
    for post in study.rig.of_kind("supply-post"):
        rated = asked(post.figure("rated"))
        if rated.figure is not None:
            found[post.id] = rated.figure
    for i, stay in enumerate(study.rig.use.stays, 1):
        for text in (stay.supply, stay.shore):
            words = text.split()
            if len(words) >= 2 and words[1] == "A":
                given = known(parse(f"{words[0]} A", "A"))
                if given is not None:
                    found[f"stay {i} ({number(given.value)} A)"] = given.at(f"use.stays.{i}.supply")
    return found


def _drawn(study: Study, unit: Part) -> tuple[Step | None, tuple[str, ...]]:
    charge = setting(study.rig, unit.id, "charge", "A")
    charge = charge if charge.figure is not None else asked(unit.figure("charge_current"))
    volts = setting(study.rig, unit.id, "absorption", "V")
    volts = volts if volts.figure is not None else asked(unit.figure("absorption_max"))
    line = asked(unit.figure("ac_voltage"))
    efficiency, power = (
        known(unit.with_default("charge_efficiency")),
        known(unit.with_default("charge_power_factor")),
    )
    if (
        charge.figure is None
        or volts.figure is None
        or line.figure is None
        or efficiency is None
        or power is None
    ):
        return None, tuple(m for a in (charge, volts, line) if a.figure is None for m in a.missing)
    charging = work(
        charger_input_A,
        charge_A=charge.figure,
        charge_V=volts.figure,
        efficiency_ratio=efficiency,
        supply_V=line.figure,
        power_ratio=power,
    )
    watts = _loads_W(study)
    if watts <= 0:
        return charging, ()
    loads = work(
        load_A,
        power_W=figure(watts, "W", COMPUTED, address="AC loads that run for hours"),
        supply_V=line.figure,
    )
    return work(sum_A, first_A=charging, second_A=loads), ()


def _loads_W(study: Study) -> float:
    """AC loads that run three hours a day or more, at their mean."""
    total = 0.0
    for load in study.rig.use.loads.values():
        at = [e for e in study.graph.elements.values() if e.owner == load.id and e.kind == "load"]
        if not any(study.graph.terminals[e.a].pole in ("L", "L1", "L2") for e in at):
            continue
        energy = [f.value for g in load.energy.values() if (f := known(g))]
        power = [f.value for g in load.power.values() if (f := known(g))]
        hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))]
        if power and hours and max(hours) >= 3:
            total += max(power)
        elif energy:
            total += max(energy) / 24
    return total
