"""Weights that a change order names whatever the rules can tell: what comes aboard, and what of it the coupling carries."""

from ohmwright.change.arrays import Figures
from ohmwright.checks.gather import mass
from ohmwright.checks.masses import added
from ohmwright.physics.weights import tongue_kg
from ohmwright.study import Study


def weight_figures(study: Study) -> Figures:
    """Mass of parts and cables aboard; for a trailer, how much of it the coupling carries."""
    more = added(study)
    out: Figures = {("parts and cables aboard", "host"): (more.mass_kg, "kg")}
    arm = mass(study.rig, "axle-to-ball").figure
    if arm is not None and study.rig.host.kind in ("trailer", "caravan"):
        out["on the coupling, by parts and cables", "host"] = (
            tongue_kg(0.0, more.moment_kg_m, arm.value),
            "kg",
        )
    return out
