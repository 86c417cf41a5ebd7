"""B6: nothing charges a lithium bank below the temperature its cells forbid."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    cannot_tell,
    fails,
    least,
    passes,
    skipped,
    warns,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell

REMEDY = "Give every charging path a cut at or above the cells' limit, or a battery management that blocks charging, in the cold and when its probe fails."


@dataclass(frozen=True, slots=True)
class Cut:
    """One thing that stops a charge in the cold: a battery's management, or a charger by its own probe."""

    name: str
    at: Figure | None
    on_probe_fault: str
    error: Figure | None = None
    asks: tuple[str, ...] = ()


def judge(
    management: Cut | None,
    chargers: tuple[Cut | None, ...],
    cell_limit: Figure | None,
    *,
    limit_asks: str = "",
    unprotected: tuple[str, ...] = (),
) -> Judgement:
    """The management's cut if there is one, else every charger's own: present, at or above the cells' limit, blocking on a probe fault."""
    if management is not None:
        return _judge_cuts((management,), cell_limit, limit_asks)
    if unprotected or any(c is None for c in chargers):
        return fails(
            f"Nothing stops {', '.join(unprotected) or 'a charger'} in the cold: lithium plates, and the cell shorts later.",
            REMEDY,
        )
    cuts = tuple(c for c in chargers if c is not None)
    if not cuts:
        return fails("No cut in the cold is anywhere.", REMEDY)
    return _judge_cuts(cuts, cell_limit, limit_asks)


def _judge_cuts(cuts: tuple[Cut, ...], cell_limit: Figure | None, limit_asks: str) -> Judgement:
    unknown = tuple(a for c in cuts if c.at is None for a in c.asks)
    if cell_limit is None or unknown:
        return cannot_tell(
            "The temperature below which charging stops, or must stop, is not known.",
            (*unknown, *((limit_asks,) if cell_limit is None else ())),
            unit="degC",
            sense="min",
        )
    for c in cuts:
        at, limit = c.at, cell_limit
        assert at is not None
        told = f"{c.name} stops charging below {tell(at.value, 'degC')}; the cells forbid it below {tell(limit.value, 'degC')}"
        if not at_least(at.value, limit.value):
            return least(at, limit, "degC", good="", bad=f"{told}.", remedy=REMEDY)
        if c.on_probe_fault == "charges":
            return fails(
                f"{c.name} goes on charging when its probe is open or shorted.", REMEDY, roots=(at, limit)
            )
    silent = [c for c in cuts if c.on_probe_fault != "blocks"]
    if silent:
        return cannot_tell(
            f"Nobody knows what {', '.join(c.name for c in silent)} does when its probe is open or shorted: it has to block.",
            (f"{c.name}.probe_fault" for c in silent),
        )
    for c in cuts:
        assert c.at is not None
        if c.error is not None and not at_least(c.at.value, cell_limit.value + c.error.value):
            return warns(
                f"{c.name} stops at {tell(c.at.value, 'degC')}, read to ±{tell(c.error.value, 'K')}: at the cells' limit of {tell(cell_limit.value, 'degC')} it may be late.",
                "Set it higher by the sensor's error.",
                roots=(c.at,),
            )
    return passes(
        f"{', '.join(c.name for c in cuts)}: charging stops at or above the cells' limit of {tell(cell_limit.value, 'degC')}.",
        roots=(cell_limit, *(c.at for c in cuts)),
    )


@rule(
    "battery/cold-charge-cut",
    "B6",
    "Lithium is never charged in the cold",
    why="""Below freezing a lithium cell that is charged grows metal inside. It works the next day, and the next, and shorts in
        a summer when it is full.""",
    severities=("danger", "note"),
    clauses={"": Clause("", "", "the cell maker's page", "memory")},
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every lithium bank: its management, else each charger."""
    for bank in banks(study.rig):
        if bank.chemistry not in ("lfp", "unknown", "mixed"):
            yield bank.id, skipped("Not lithium.")
        elif bank.chemistry != "lfp":
            yield bank.id, cannot_tell("Its chemistry is not known.", (f"{bank.members[0].id}.chemistry",))
        else:
            yield bank.id, _of_bank(study, bank)


def _of_bank(study: Study, bank: Bank) -> Judgement:
    one = bank.members[0]
    cell = asked(one.figure("cell_charge_min_temperature"))
    limit = cell.figure or (find("batteries/lfp-charge-coldest").figure if cell.not_there else None)
    where = word(one, "bms")
    if where == "inside":
        return judge(_management(one), (), limit, limit_asks=f"{one.id}.cell_charge_min_temperature")
    if where == "outside":
        outside = next(
            (
                p
                for p in study.rig.of_kind("bms-outside")
                if bank.id in word(p, "watches").replace(",", " ").split()
            ),
            None,
        )
        if outside is not None and asked(outside.figure("charge_min_temperature")).figure is not None:
            return judge(
                _management(outside, one), (), limit, limit_asks=f"{one.id}.cell_charge_min_temperature"
            )
    chargers = chargers_of(study, bank)
    cuts = [_charger(c) for c in chargers]
    without = tuple(c.id for c, cut in zip(chargers, cuts, strict=True) if cut is None) + _engines(
        study, bank
    )
    return judge(
        None, tuple(cuts), limit, limit_asks=f"{one.id}.cell_charge_min_temperature", unprotected=without
    )


def _engines(study: Study, bank: Bank) -> tuple[str, ...]:
    """Alternators that conduct to the bank with no converter between: they know nothing of its cells."""
    way = reach(study.graph, [f"{m.id}.+" for m in bank.members if f"{m.id}.+" in study.graph.terminals])
    return tuple(a.id for a in study.rig.of_kind("alternator") if f"{a.id}.+" in way.terminals)


def _management(part: Part, battery: Part | None = None) -> Cut:
    at = asked(part.figure("charge_min_temperature"))
    return Cut(
        part.id,
        at.figure,
        word(part, "probe_fault") or word(battery or part, "probe_fault"),
        asked((battery or part).figure("sensor_error")).figure,
        at.missing,
    )


def _charger(part: Part) -> Cut | None:
    """A charger's own cut; None when its page says it has none."""
    at = asked(part.figure("charge_min_temperature"))
    if word(part, "cold_cut") == "no" or at.not_there:
        return None
    return Cut(part.id, at.figure, word(part, "probe_fault"), None, at.missing)
