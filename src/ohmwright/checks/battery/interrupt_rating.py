"""B18: every device can break the greatest current that may flow through it, from either side."""

from collections.abc import Iterator, Set
from dataclasses import dataclass

from ohmwright.checks.circuits import Bank
from ohmwright.checks.gather import asked, first_of, word
from ohmwright.checks.islands import around, bank_volts, banks_at
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, kept, most
from ohmwright.checks.registry import rule
from ohmwright.circuit.types import Fault
from ohmwright.physics.fault import fault_A
from ohmwright.physics.sums import in_kA
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find, table
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, tell, work

REMEDY = "Fit a device with the rating at this voltage (class T, NH, DC-marked), prove more resistance in the path, or put fewer batteries in parallel."


@dataclass(frozen=True, slots=True)
class Breaks:
    """Interrupting ratings as printed: (volts, amperes), lowest volts first; `asks` where to write them."""

    printed: tuple[tuple[float, Figure], ...]
    asks: tuple[str, ...] = ()

    def at(self, volts: float) -> Figure | None:
        """The rating at the next printed direct voltage, never between two."""
        return next((amps for printed, amps in self.printed if at_most(volts, printed)), None)


def judge(
    current: Step | Figure | None, volts: Figure | None, breaks: Breaks, missing: tuple[str, ...] = ()
) -> Judgement:
    """The greatest fault through a device against its rating at the next printed voltage. A battery management is never credited."""
    if volts is not None and breaks.printed and breaks.at(volts.value) is None:
        highest = breaks.printed[-1][0]
        told = f"The bank can reach {tell(volts.value, 'V', 3)}; the device is printed up to {tell(highest, 'V', 3)} direct: amperes do not matter any more."
        return most(volts.value, highest, "V", good="", bad=told, remedy=REMEDY, roots=(volts,))
    limit = breaks.at(volts.value) if volts is not None else None
    if current is None or limit is None:
        lost = (*missing, *(breaks.asks if not breaks.printed else ()))
        shown = limit or (breaks.printed[0][1] if len(breaks.printed) == 1 else None)
        lacking = "the fault current" if current is None else "its rating at this voltage"
        return cannot_tell(f"Whether it breaks a fault cannot be told: {lacking} is missing.", lost, limit=shown.value / 1000 if shown else None, unit="kA", sense="max", remedy="Give the battery's resistance or short-circuit current, and the device's rating with its voltage.")  # fmt: skip
    step = work(in_kA, current_A=current)
    rated_kA = work(in_kA, current_A=limit)
    told = f"Up to {tell(step.value * 1000, 'A', 4)} can flow through it; it breaks {tell(limit.value, 'A', 3)} at this voltage"
    return most(
        step.value,
        rated_kA,
        "kA",
        good=f"{told}.",
        bad=f"{told}: it bursts and goes on burning.",
        remedy=REMEDY,
        steps=(step,),
        roots=(limit, volts),
    )


def judge_by_cranking(
    cranking: Figure | None,
    chemistry: str,
    rated: Figure | None,
    *,
    main: bool,
    missing: tuple[str, ...] = (),
) -> Judgement:
    """The breaker table by cold-cranking amperes: flooded lead-acid only, small banks only."""
    if chemistry not in ("flooded", "start"):
        return cannot_tell(
            "Cold-cranking amperes say nothing about this chemistry: the battery's resistance or short-circuit current is wanted.",
            missing,
            unit="kA",
            sense="max",
        )
    if cranking is None or rated is None or cranking.value > find("protection/cca-table-up-to").value:
        return cannot_tell(
            "The table by cold-cranking amperes does not reach here.", missing, unit="kA", sense="max"
        )
    rows = table("abyc-e11-aic")
    row = rows.least_row(cranking.value)
    cell = rows.cell(row, "main" if main else "branch") if row else None
    if cell is None:
        return cannot_tell(
            "The table by cold-cranking amperes does not reach here.", missing, unit="kA", sense="max"
        )
    step = work(in_kA, current_A=cell.figure)
    told = f"By the table for {tell(cranking.value, 'A')} of cold cranking a device has to break {tell(cell.value, 'A')}; it breaks {tell(rated.value, 'A')}"
    return most(
        step.value,
        rated.value / 1000,
        "kA",
        good=f"{told}.",
        bad=f"{told}.",
        remedy=REMEDY,
        steps=(step,),
        roots=(cranking, rated),
        clause=cell.clause,
    )


def breaks_of(part: Part) -> Breaks:
    """The printed ratings of a device; one printed without a voltage counts at its rated direct voltage."""
    found: list[tuple[float, Figure]] = []
    for name in ("interrupt", "interrupt_2", "interrupt_3"):
        amps = asked(part.figure(name)).figure
        if amps is None:
            continue
        volts = amps.condition_value("V")
        whole = asked(part.figure("voltage")).figure
        if volts is None and whole is not None:
            volts = whole.value
        if volts is not None:
            found.append((volts, amps))
    return Breaks(tuple(sorted(found, key=lambda x: x[0])), (f"{part.id}.interrupt",))


@rule(
    "battery/interrupt-rating",
    "B18",
    "Every device can break the fault",
    why="""A fuse that has to break more than it is made for is a spark gap in a plastic box. In a parallel bank the current
        can come backward: three batteries into the fourth, through the fourth's own fuse.""",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "interrupting capacity", "secondary"),
        "": Clause("", "", "physics: nodal analysis, adverse bound", "computed"),
    },
    needs=("faults",),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every fuse and breaker that a bank's fault can flow through, and panels by their hardest way."""
    greatest: dict[str, tuple[float, str]] = {}
    batteries = {p.id for p in study.rig.of_kind("battery")}
    told: dict[tuple[str, ...], tuple[tuple[str, ...], Figure | None, tuple[str, ...]]] = {}
    for terminal, fault in study.faults.items():
        pushed = _pushed_A(fault, batteries)
        for device, of_banks in fault.through_A.items():
            amps = of_banks + pushed
            if amps > greatest.get(device, (0.0, ""))[0]:
                greatest[device] = (amps, terminal)
    for part in study.rig.of_kind("fuse", "breaker", "panel-dc"):
        if word(part, "current") == "ac" or (part.kind.name == "panel-dc" and not part.ways):
            continue
        reached = around(study, part.id)
        banks = banks_at(study, reached.terminals)
        if not banks:
            continue
        names = tuple([b.id for b in banks])
        if names not in told:
            told[names] = _lost(banks), *_volts(banks)
        lost, volts, volts_lost = told[names]
        current = None
        worst = max((greatest[d] for d in (part.id, *(f"{part.id}.{w}" for w in part.ways)) if d in greatest), default=None)  # fmt: skip
        if worst is not None and not lost and volts is not None:
            current = worst
        cranked = _by_cranking(study, part, banks, lost)
        yield (
            part.id,
            cranked or _of_device(part.id, current, volts, breaks_of(part), (*lost, *volts_lost)),
        )


@kept
def _of_device(
    name: str,
    worst: tuple[float, str] | None,
    volts: Figure | None,
    breaks: Breaks,
    missing: tuple[str, ...],
) -> Judgement:
    """A device against the greatest current that a fault somewhere drives through it."""
    if worst is None or volts is None:
        return judge(None, volts, breaks, missing)
    amps, terminal = worst
    address = f"network seen by {name} for a fault at {terminal}"
    loop = figure(volts.value / amps, "ohm", COMPUTED, address=address)
    open_V = figure(volts.value, "V", volts.origin, address=volts.address)
    return judge(work(fault_A, open_V=open_V, loop_ohm=loop), volts, breaks, missing)


def _pushed_A(fault: Fault, batteries: Set[str]) -> float:
    """What chargers and arrays add to a fault: it may run through any device on the way, and is counted in each."""
    return sum(amps for source, amps in fault.from_A.items() if source not in batteries)


def _lost(banks: tuple[Bank, ...]) -> tuple[str, ...]:
    members = [m for bank in banks for m in bank.members]
    return tuple(
        f"{m.id}.resistance"
        for m in members
        if first_of(m, "resistance", "short_circuit_current").figure is None
    )


def _volts(banks: tuple[Bank, ...]) -> tuple[Figure | None, tuple[str, ...]]:
    each = [bank_volts(b) for b in banks]
    lost = tuple(a for volts, missing in each if volts is None for a in missing)
    known = [volts for volts, _ in each if volts is not None]
    return (None, lost) if lost or not known else (max(known, key=lambda f: f.value), ())


def _by_cranking(
    study: Study, part: Part, banks: tuple[Bank, ...], lost: tuple[str, ...]
) -> Judgement | None:
    """Only where nothing better is known, on a boat, for a bank of which only cranking amperes are given."""
    if not lost or study.rig.job.rules != "us-boat":
        return None
    members = [m for b in banks for m in b.members]
    cranking = [asked(m.figure("cranking")).figure for m in members]
    if any(c is None for c in cranking):
        return None
    total = sum(c.value for c in cranking if c is not None)
    first = next(c for c in cranking if c is not None)
    rated = breaks_of(part)
    chemistry = {b.chemistry for b in banks}
    return judge_by_cranking(
        Figure(total, "A", total, total, first.origin, address=first.address), chemistry.pop() if len(chemistry) == 1 else "mixed",
        rated.printed[0][1] if rated.printed else None, main=True, missing=lost,
    )  # fmt: skip
