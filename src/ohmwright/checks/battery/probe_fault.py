"""B34: a temperature probe that is open, shorted or fallen off stops the charge."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Logic that stops the charge when its probe fails, or a second cut that does not use it."


def judge(management: tuple[str, str] | None, chargers: tuple[tuple[str, str], ...]) -> Judgement:
    """(name, word) of the management and of each charger with a probe: one that blocks for all, or all of them."""
    if management is not None and management[1] == "blocks":
        return passes(f"{management[0]} blocks every charge when its probe fails.")
    doubtful = [c for c in chargers if c[1] != "blocks"]
    if not doubtful and chargers:
        return passes("Every charger stops when its probe fails.")
    sure = [n for n, w in (*(() if management is None else (management,)), *doubtful) if w == "charges"]
    if len(sure) == len(doubtful) + (management is not None) and sure:
        return fails(f"{', '.join(sure)}: charging goes on when the probe has failed.", REMEDY)
    asks = [n for n, w in (*(() if management is None else (management,)), *doubtful) if w != "charges"]
    return cannot_tell(
        "What happens to the charge when a temperature probe fails is not known.", (f"{n}.probe_fault" for n in asks), remedy=REMEDY
    )  # fmt: skip


@rule(
    "battery/probe-fault",
    "B34",
    "Temperature probe faults stop the charge",
    why="A probe that has fallen off reads the locker's warm air while the cells are below freezing.",
    severities=("danger",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lithium bank: its management, else its chargers."""
    for bank in banks(study.rig):
        if bank.chemistry not in ("lfp", "unknown", "mixed"):
            yield bank.id, skipped("Not lithium.")
            continue
        chargers = tuple((c.id, word(c, "probe_fault") or "unknown") for c in chargers_of(study, bank))
        yield bank.id, judge(_management(study, bank), chargers)


def _management(study: Study, bank: Bank) -> tuple[str, str] | None:
    one = bank.members[0]
    where = word(one, "bms") or "unknown"
    if where == "none":
        return None
    if where == "outside":
        for p in study.rig.of_kind("bms-outside"):
            if bank.id in word(p, "watches").replace(",", " ").split() and word(p, "probe_fault"):
                return p.id, word(p, "probe_fault")
    return one.id, word(one, "probe_fault") or "unknown"
