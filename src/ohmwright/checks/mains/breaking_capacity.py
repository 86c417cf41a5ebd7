"""D27: every device of alternating current can break the greatest fault at its terminals."""

from collections.abc import Iterator

from ohmwright.checks.battery.interrupt_rating import Breaks
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.circuit.types import Fault
from ohmwright.physics.sums import in_kA
from ohmwright.rig.model import Part
from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell, work

REMEDY = "A device with the breaking capacity at this voltage, or a longer way from the supply."
KINDS = ("breaker", "rcbo", "panel-ac")


def judge(current: Figure | None, volts: Figure | None, breaks: Breaks, missing: tuple[str, ...] = ()) -> Judgement:  # fmt: skip
    """The greatest fault against the rating at the next printed voltage; one printed for direct current does not count."""
    limit = breaks.at(volts.value) if volts is not None else None
    if current is None or volts is None or limit is None:
        lost = (*missing, *(breaks.asks if limit is None else ()))
        lacking = "the fault current of its supply" if current is None or volts is None else "its breaking capacity at this voltage"  # fmt: skip
        return cannot_tell(f"Whether it breaks a fault cannot be told: {lacking} is missing.", lost, limit=limit.value / 1000 if limit else None, unit="kA", sense="max", remedy=REMEDY)  # fmt: skip
    step = work(in_kA, current_A=current)
    told = f"Up to {tell(current.value, 'A', 3)} can flow through it; it breaks {tell(limit.value, 'A', 3)} at {tell(volts.value, 'V')}"
    return most(step, work(in_kA, current_A=limit), "kA", good=f"{told}.", bad=f"{told}: it bursts when it opens.", remedy=REMEDY, steps=(step,), roots=(volts,))  # fmt: skip


@rule(
    "mains/breaking-capacity",
    "D27",
    "Breakers of alternating current can break the fault",
    why="""Behind a strong post a short circuit is thousands of amperes. A breaker that was made for less welds shut, or
        opens with its case.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "110.9", "memory"),
        "": Clause("IEC 60364-4-43", "2008", "434.5.1", "memory"),
    },
    needs=("faults",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each breaker, residual breaker and panel of ours."""
    spoke = False
    for part in study.rig.of_kind(*KINDS):
        if part.words.get("own") == "no" or (part.kind.name == "breaker" and word(part, "current") != "ac"):
            continue
        spoke = True
        yield part.id, _one(study, part)
    if not spoke:
        yield "rig", skipped("No breaker of alternating current.")


def _one(study: Study, part: Part) -> Judgement:
    here = [f for t, f in study.ac_faults.items() if study.graph.terminals[t].owner == part.id]
    if not here:
        return skipped("No source of alternating current reaches it.")
    unknown = tuple(dict.fromkeys(m for f in here if f.max_A is None for m in f.missing))
    volts = _volts(study, here)
    if unknown or any(f.max_A is None for f in here):
        return judge(None, volts, breaks_of(part), unknown)
    worst = max(here, key=lambda f: f.max_A or 0.0)
    current = figure(worst.max_A or 0.0, "A", COMPUTED, address=f"greatest fault at {worst.terminal}, from {', '.join(worst.from_A)}")  # fmt: skip
    return judge(current, volts, breaks_of(part))


def breaks_of(part: Part) -> Breaks:
    """The printed breaking capacities of a device for alternating current."""
    found: list[tuple[float, Figure]] = []
    whole = asked(part.figure("voltage")).figure
    for name in ("interrupt", "interrupt_2", "interrupt_3"):
        amps = asked(part.figure(name)).figure
        if amps is None or amps.condition.endswith("DC"):
            continue
        volts = amps.condition_value("V") or (whole.value if whole is not None else None)
        if volts is not None:
            found.append((volts, amps))
    return Breaks(tuple(sorted(found, key=lambda x: x[0])), (f"{part.id}.interrupt",))


def _volts(study: Study, faults: list[Fault]) -> Figure | None:
    """The highest volts of what feeds it."""
    names = {name for f in faults for name in f.from_A}
    given = [
        asked(study.rig.parts[n].figure("ac_voltage")).figure for n in sorted(names) if n in study.rig.parts
    ]
    return max((g for g in given if g is not None), key=lambda f: f.value, default=None)
