"""C28: the conductors of an earth electrode and of an array's frames are thick enough to last."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.physics.strings import circuit_A
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause, Published, find, table
from ohmwright.study import Study
from ohmwright.working import Figure, figure, work

ELECTRODE = "A thicker conductor to the electrode."
FRAME = "A thicker bond from the frames."


def judge(area: Figure | None, wanted: Published, how: str, asks: str, *, remedy: str, buried: Published | None = None) -> Judgement:  # fmt: skip
    """Area against the least of the rule set, 1 % for rounded sizes; under `buried` it needs protection where it lies in the ground."""
    if area is None:
        return cannot_tell("How thick it is, is not known.", (asks,), limit=wanted.value, unit="mm2", sense="min", remedy=remedy)  # fmt: skip
    told = f"{area.value:.3g} mm²; {wanted.value:.3g} mm² are the least {how}"
    thin = f"{told}, {buried.value:.3g} mm² where it lies bare in the ground" if buried is not None else told
    return least(
        area, wanted.value * 0.99, "mm2", good=f"{told}.", bad=f"{told}: it corrodes or burns through before anybody needs it.", remedy=remedy,
        warn_below=buried.value * 0.99 if buried is not None else None, warn=f"{thin}.", clause=wanted.clause,
    )  # fmt: skip


@rule(
    "wiring/earth-conductor",
    "C28",
    "Size of electrode conductors and frame bonds",
    why="""The conductor to the rod lies in wet ground for thirty years, the bond of a frame on a roof in the sun. Nobody looks
        at either again; what is thin on the first day is gone on the day of the fault.""",
    severities=("fails", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "250.66, 250.166, 690.45", "memory"),
        "eu": Clause("IEC 60364-5-54; IEC 60364-7-712", "2011; 2017", "542.3.1, Table 54.1; bonding of array frames", "memory"),
    },
)  # fmt: skip
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each conductor that lands on an electrode, and each bond of a body that an array stands on."""
    found = [*_electrodes(study), *_frames(study)]
    yield from found
    if not found:
        yield "rig", skipped("No electrode and no bond of a frame is drawn.")


def _area(c: Conductor) -> tuple[Figure | None, str]:
    asks = f"{c.run}.cable"
    if c.area_mm2 is None:
        return None, asks
    return figure(c.area_mm2, "mm2", address=asks), asks


def _electrodes(study: Study) -> Iterator[tuple[str, Judgement]]:
    rods = {p.id for p in study.rig.of_kind("electrode")}
    terminals = study.graph.terminals
    us = country(study.rig.job.rules) == "us"
    lines = [c.area_mm2 for c in study.graph.conductors.values() if c.area_mm2 is not None and c.pole in ("L", "L1", "L2", "+")]  # fmt: skip
    large = max(lines, default=0.0) > find("protection/electrode-small-up-to").value
    wanted = find(
        f"protection/electrode-{'us-large' if large else 'us'}" if us else "protection/electrode-eu"
    )
    for c in study.graph.conductors.values():
        if rods & {terminals[c.a].owner, terminals[c.b].owner}:
            area, asks = _area(c)
            yield c.id, judge(area, wanted, "to an electrode", asks, remedy=ELECTRODE, buried=None if us else find("protection/electrode-eu-buried"))  # fmt: skip


def _frames(study: Study) -> Iterator[tuple[str, Judgement]]:
    terminals = study.graph.terminals
    said: set[str] = set()
    for circuit in pv_circuits(study):
        array = study.rig.parts.get(circuit.name)
        body = array.words.get("on", "") if array is not None else ""
        for c in study.graph.conductors.values():
            owners = {terminals[c.a].owner, terminals[c.b].owner, c.a, c.b}
            if body and body in owners and c.role in ("earth", "bond") and c.id not in said:
                said.add(c.id)
                yield c.id, _frame(study, circuit, c)


def _frame(study: Study, circuit: PvCircuit, c: Conductor) -> Judgement:
    area, asks = _area(c)
    if country(study.rig.job.rules) != "us":
        return judge(area, find("protection/frame-bond-eu"), "for the frames of an array", asks, remedy=FRAME)
    short = circuit.weakest("short_circuit", largest=True)
    if short.figure is None:
        return cannot_tell("The current of its strings is not known.", short.missing, unit="mm2", sense="min", remedy=FRAME)  # fmt: skip
    amps = work(circuit_A, margin_factor=find("pv/us-maximum-current").figure, in_parallel_count=float(circuit.parallel), short_circuit_A=short.figure)  # fmt: skip
    sizes = table("nec-250.122")
    row = sizes.least_row(amps.value)
    cell = sizes.cell(row, "copper") if row else None
    if cell is None:
        return skipped("The table ends below the current of its strings.")
    return judge(area, cell, f"for the {amps.value:.3g} A of its strings", asks, remedy=FRAME)
