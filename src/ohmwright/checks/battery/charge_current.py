"""B4: all chargers at once against what the bank may take."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import Asked, asked, setting
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.shape import of_shape
from ohmwright.checks.walk import reach
from ohmwright.physics.sums import many_A, part_A, sum_A
from ohmwright.rig.model import Part
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell, work

REMEDY = "Limit the chargers in their settings, or have the battery's management tell them."
CHARGERS = {"pv-controller": "output_current", "pv-controller-pwm": "output_current", "inverter-charger": "charge_current", "dcdc-charger": "output_current", "hydro-controller": "output_current", "shore-charger": "output_current"}  # fmt: skip


def judge(
    bank_parallel: int,
    currents: tuple[Figure, ...],
    one_may_take: Figure | None,
    missing: tuple[str, ...] = (),
) -> Judgement:
    """The sum against 0.9 of what the batteries may take; with one out it is told beside it."""
    if missing or one_may_take is None:
        return cannot_tell(
            "What the chargers push, or the bank may take, is not known.", missing, unit="A", sense="max"
        )
    if not currents:
        return skipped("Nothing charges this bank.")
    total = _sum(currents)
    part = find("batteries/charge-part").figure
    limit = work(
        part_A, part_ratio=part, rated_A=work(many_A, many_count=float(bank_parallel), one_A=one_may_take)
    )
    told = f"All chargers together push {tell(total.value, 'A')}; 90 % of what the bank may take is {tell(limit.value, 'A')}"
    fewer = part.value * (bank_parallel - 1) * one_may_take.value
    more = f" With one battery out it may take {tell(fewer, 'A')}." if bank_parallel > 1 else ""
    warn_above = fewer if bank_parallel > 1 else None
    return most(
        total.value, limit.value, "A", good=f"{told}.{more}", bad=f"{told}: its management opens under charge.{more}", remedy=REMEDY,
        warn_above=warn_above, warn=f"{told}.{more}", steps=(limit, total), roots=(one_may_take, *currents),
    )  # fmt: skip


def _sum(currents: tuple[Figure, ...]) -> Step:
    total: Step | Figure = currents[0]
    for c in currents[1:]:
        total = work(sum_A, first_A=total, second_A=c)
    return total if isinstance(total, Step) else work(many_A, many_count=1.0, one_A=total)


@rule(
    "battery/charge-current",
    "B4",
    "All chargers at once",
    why="""Sun, shore and engine meet on a bright morning on the pitch. Each was chosen for the bank alone; the bank meets the
        sum of them, and its management knows one answer.""",
    severities=("fails", "note"),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every bank with the chargers that conduct to it."""
    for bank in banks(study.rig):
        pushing = [charger_A(study, p) for p in chargers_of(study, bank)]
        takes = [asked(m.figure("charge_max")) for m in bank.members]
        lost = tuple(dict.fromkeys(a for x in (*pushing, *takes) if x.figure is None for a in x.missing))
        one = min((t.figure for t in takes if t.figure is not None), key=lambda f: f.value, default=None)
        if not pushing:
            yield bank.id, skipped("Nothing charges this bank but an alternator, or nothing at all.")
        else:
            yield (
                bank.id,
                judge(bank.in_parallel, tuple(p.figure for p in pushing if p.figure is not None), one, lost),
            )


def chargers_of(study: Study, bank: Bank) -> list[Part]:
    """Charging converters whose output conducts to a bank without meeting another one."""
    members = tuple([m.id for m in bank.members])
    names = of_shape(study, ("chargers", members), lambda: _charging(study, members))
    return [study.rig.parts[name] for name in names]


def _charging(study: Study, members: tuple[str, ...]) -> tuple[str, ...]:
    starts = [f"{m}.+" for m in members if f"{m}.+" in study.graph.terminals]
    reached = reach(study.graph, starts).terminals
    found: dict[str, None] = {}
    for e in study.graph.elements.values():
        part = study.rig.parts.get(e.owner)
        if part is None or part.kind.name not in CHARGERS:
            continue
        if (e.kind == "converter" and e.out_a in reached and e.role != "inverter") or (
            e.role == "pulse" and {e.a, e.b} & reached
        ):
            found[part.id] = None
    return tuple(found)


def charger_A(study: Study, part: Part) -> Asked:
    """A charger's current as set, else its largest."""
    as_set = setting(study.rig, part.id, "charge", "A")
    return as_set if as_set.figure is not None else asked(part.figure(CHARGERS[part.kind.name]))
