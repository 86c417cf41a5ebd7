"""C14: what conductors are made of."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.rig.model import Cable
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Stranded copper, tinned on boats."
#: Above it a run belongs to batteries and inverters: lamp leads are thinner.
HEAVY_mm2 = 10.0
#: Below it a lead carries signals only.
LIGHT_mm2 = 1.5


def judge(rules: str, cable: Cable, asks: str) -> Judgement:
    """Copper-clad aluminium and solid wire in heavy runs are dangers; untinned copper on a boat fails."""
    heavy = (cable.area_mm2 or 0.0) >= HEAVY_mm2
    if cable.material == "cca":
        return fails(
            "Copper-clad aluminium: it creeps under a lug, and the joint burns.", REMEDY, severity="danger"
        )
    if "solid" in cable.words and (heavy or host(rules) != "cabin"):
        return fails(
            "Solid wire works loose and breaks where things move.",
            REMEDY,
            severity="danger" if heavy else "fails",
        )
    if cable.material == "unknown" and "maker's lead" not in cable.words:
        return cannot_tell(
            "What it is made of is not known.", (asks,), severity="danger" if heavy else "fails"
        )
    if (
        host(rules) == "boat"
        and cable.material == "copper"
        and cable.use not in ("pv", "flexible", "earth")
        and cable.colour != "green-yellow"
        and (cable.area_mm2 or 0.0) >= LIGHT_mm2
    ):
        return fails("Untinned copper on a boat turns black under its insulation.", REMEDY, severity="fails")
    return passes("Stranded copper.")


@rule(
    "wiring/conductor-material",
    "C14",
    "Conductor material and strand",
    why="The cheapest cable is aluminium with a skin of copper. It carries less, and every joint in it loosens by itself.",
    severities=("danger", "fails"),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "conductors", "memory"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each run, once; the whole rig when all are in order."""
    rules = study.rig.job.rules
    found = [
        (
            run.id,
            judge(rules, run.cable, f"{run.part_of if run.part_of in study.rig.use.loads else run.id}.cable"),
        )
        for run in study.rig.runs.values()
        if run.role != "data"
    ]
    odd = [(name, j) for name, j in found if j.verdict != "pass"]
    yield from odd or [("rig", passes(f"{len(found)} runs, all of stranded copper."))]
