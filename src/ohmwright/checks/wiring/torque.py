"""C16: the maker's torque is on file for every power terminal."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, kept, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

KINDS = (
    "battery",
    "fuse",
    "breaker",
    "pv-disconnect",
    "battery-switch",
    "busbar",
    "shunt",
    "inverter",
    "inverter-charger",
    "pv-controller",
    "dcdc-charger",
    "contactor",
    "selector",
)


@rule(
    "wiring/torque",
    "C16",
    "Torque is known",
    why="Most hot joints were tightened by feel. The maker's figure belongs on the sheet that the installer holds.",
    severities=("fails",),
    clauses={"": Clause("NFPA 70", "2023", "110.14(D)", "secondary")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every part with power terminals; one line for those that are in order."""
    parts = study.rig.of_kind(*KINDS)
    lost = [p for p in parts if asked(p.figure("torque")).figure is None]
    for p in lost:
        yield p.id, _not_on_file(p.id)
    if len(parts) > len(lost):
        yield "rig", passes(f"{len(parts) - len(lost)} parts with their torque on file.")


@kept
def _not_on_file(part: str) -> Judgement:
    return cannot_tell(
        "Its tightening torque is not on file.", (f"{part}.torque",), unit="Nm", remedy="Get the page; never take a default for a battery's studs.",
    )  # fmt: skip
