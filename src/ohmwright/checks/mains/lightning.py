"""D25: lightning and surge find one common earth."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, banks, pv_circuits
from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    at_most,
    cannot_tell,
    fails,
    least,
    passes,
    skipped,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.checks.walk import reach
from ohmwright.rig.graph import Element
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure

PLATE = "Join it to the common ground by a straight conductor of 13.3 mm² (6 AWG) or more."
#: Metal in the water that is not the boat's.
EARTH_ITSELF = ("ground", "sea")
ASHORE = ("sea", "shore-ground")
REMEDY = (
    "Bond frame, plate and equipment to one common earth; surge devices at both ends of a long array run."
)
#: A run of more than this between array and controller wants surge devices at both ends, metres. From memory.
LONG_m = 10.0


def judge(
    bonded: bool | None, long_run: bool | None, surges: int, looked: str, apart: tuple[str, ...] = ()
) -> Judgement:
    """The frame on the common earth, and surge devices by the length of the run; `apart`: electrodes that no conductor joins to that of the frame."""
    if bonded is None:
        return cannot_tell(
            "Is what lightning strikes (mast foot, chain plates, rails) bonded to the one common earth by a straight conductor?",
            (looked,),
            remedy=REMEDY,
        )
    if not bonded:
        return fails("The array's frame is not joined to the common earth: the stroke finds its own way through the wiring.", REMEDY)  # fmt: skip
    if apart:
        return fails(f"The array's frame has an earth of its own: no conductor joins {', '.join(apart)} to it. A stroke near by lifts one of them by thousands of volts, and the wiring is the bridge.", "Join all electrodes by one conductor.")  # fmt: skip
    if long_run is None:
        return cannot_tell("How long the array's run is, is not known.", (looked,), remedy=REMEDY)
    wanted = 2 if long_run else 1
    if surges < wanted:
        return fails(f"{surges} surge devices on the array's run, {wanted} wanted.", REMEDY)
    return passes("The frame is on the common earth, with surge devices on its run.")


def judge_plate(joined: bool, least_mm2: Figure, thinnest: Figure | None = None, asks: str = "") -> Judgement:
    """A body in the water on the boat's common ground; `thinnest`: the thinnest conductor on the best way there, None where a size on it is not known."""
    if not joined:
        return fails("It stands in the water and no conductor joins it to the boat's common ground: between the two a stroke jumps, through whoever stands there.", PLATE)  # fmt: skip
    if thinnest is None:
        return cannot_tell("It is joined to the common ground, how thick the conductor is, is not known.", (asks,), limit=least_mm2.value, unit="mm2", sense="min", remedy=PLATE)  # fmt: skip
    told = f"It is joined to the common ground by {thinnest.value:.3g} mm² at the thinnest; {least_mm2.value:.3g} mm² are wanted"
    return least(thinnest, least_mm2, "mm2", good=f"{told}.", bad=f"{told}: a side flash melts it.", remedy=PLATE, severity="fails")  # fmt: skip


@rule(
    "mains/lightning",
    "D25",
    "Lightning and surge",
    why="Two earths apart are two ends of a circuit when lightning lifts one of them.",
    severities=("danger", "fails"),
    sets=("us-cabin", "eu-cabin", "us-boat", "eu-boat"),
    clauses={
        "us-cabin": Clause("NFPA 70", "2023", "250.50, 690.43", "memory"),
        "eu-cabin": Clause("IEC 62305-3; IEC 60364-7-712", "2010; 2017", "bonding, surge devices", "memory"),
        "us-boat": Clause("ABYC TE-4", "2006", "bonding to the lightning ground", "memory"),
        "": Clause("ISO 10134", "2003", "bonding of the lightning ground", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array of a cabin; of a boat every body in the water, and by eyes what no file shows: the way down the mast."""
    if host(study.rig.job.rules) == "boat":
        yield from _plates(study)
        yield "rig", judge(None, None, 0, "looked-at mains/lightning rig")
        return
    circuits = pv_circuits(study)
    if not circuits:
        yield "rig", skipped("No array.")
    for circuit in circuits:
        yield circuit.name, _one(study, circuit)


def _plates(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each body of metal that the sea wets, along conductors to the minus of a bank."""
    wanted, posts = find("alternating/side-flash-bond").figure, {f"{m.id}.-" for b in banks(study.rig) for m in b.members}  # fmt: skip
    for body in study.rig.metal.values():
        starts = [t for t in (body.id, f"{body.id}.PE") if t in study.graph.terminals]
        if "sea" not in body.wet or body.id in ASHORE or not starts:
            continue
        thick, unsized = _ways(study, starts, wanted.value, posts), _ways(study, starts, None, posts)
        thinnest = thick or unsized
        asks = next((f"{c.run}.cable" for c in study.graph.conductors.values() if c.area_mm2 is None and c.role in ("bond", "earth")), "")  # fmt: skip
        yield body.id, judge_plate(thinnest is not None, wanted, thinnest if thinnest and thinnest.value > 0 else None, asks)  # fmt: skip


def _ways(study: Study, starts: list[str], from_mm2: float | None, posts: set[str]) -> Figure | None:
    """The thinnest conductor of a way to minus along conductors of so much metal, of any size with None; 0 where a size is not known."""
    graph = study.graph

    def thick(e: Element) -> bool:
        c = graph.conductors.get(e.id)
        return c is None or from_mm2 is None or (c.area_mm2 is not None and at_least(c.area_mm2, 0.99 * from_mm2))  # fmt: skip

    found = reach(graph, starts, through=lambda e: e.kind == "conductor" and thick(e), stop=lambda t: t.pole in ("+", "L", "L1", "L2", "N"))  # fmt: skip
    at = next(iter(sorted(posts & found.terminals)), None)
    if at is None:
        return None
    on_way = [c for n in found.edges(at) if (c := graph.conductors.get(n)) is not None]
    thinnest = min(on_way, key=lambda c: c.area_mm2 or 0.0, default=None)
    if thinnest is None:
        return None
    return figure(thinnest.area_mm2 or 0.0, "mm2", COMPUTED, address=f"{thinnest.run}.cable")


def _one(study: Study, circuit: PvCircuit) -> Judgement:
    looked = f"looked-at mains/lightning {circuit.name}"
    array = study.rig.parts.get(circuit.name)
    frame = array.words.get("on", "") if array is not None else ""
    if not frame:
        return judge(None, None, 0, looked)
    electrodes = {
        t.id
        for t in study.graph.terminals.values()
        if t.owner in {p.id for p in study.rig.of_kind("electrode")}
    }
    metals = [t for t in (frame, f"{frame}.PE") if t in study.graph.terminals]
    way = reach(
        study.graph,
        metals,
        through=lambda e: e.kind == "conductor" and e.role != "electrode",
        stop=lambda t: t.pole in ("+", "-", "L", "L1", "L2", "N") or t.owner in EARTH_ITSELF,
    )
    rods = study.rig.of_kind("electrode")
    apart = tuple(
        p.id for p in rods if not any(study.graph.terminals[t].owner == p.id for t in way.terminals)
    )
    surges = sum(
        1 for p in study.rig.parts.values() if p.kind.name.startswith("surge") and _on(study, circuit, p.id)
    )  # fmt: skip
    lengths = [
        study.graph.conductors[n].length_m
        for n in circuit.conductors
        if study.graph.conductors[n].pole == "+"
    ]
    long_run = (
        None
        if any(x is None for x in lengths)
        else not at_most(sum(x for x in lengths if x is not None), LONG_m)
    )
    return judge(bool(way.terminals & electrodes), long_run, surges, looked, apart)


def _on(study: Study, circuit: PvCircuit, part: str) -> bool:
    terminals = {t.id for t in study.graph.terminals.values() if t.owner == part and t.pole in ("+", "-")}
    ends = {x for n in circuit.conductors for x in (study.graph.conductors[n].a, study.graph.conductors[n].b)}
    return bool(terminals & ends)
