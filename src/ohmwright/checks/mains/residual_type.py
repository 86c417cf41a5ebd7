"""D21: the residual-current device sees the currents that inverters and chargers leak."""

from collections.abc import Iterator

from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


def judge(kind: str, asks: str) -> Judgement:
    """Type AC never; A, F, B or class A; blank cannot be told."""
    if kind == "ac":
        return fails(
            "Type AC: a smooth or pulsed direct current blinds it.",
            "Fit type A at least; F or B where the page of the inverter asks for it.",
        )
    if kind in ("a", "f", "b", "class-a"):
        return passes(f"Type {kind.upper() if len(kind) == 1 else kind}.")
    return cannot_tell("Its type is not known.", (asks,), remedy="Read it on the device.")


@rule(
    "mains/residual-type",
    "D21",
    "Residual-current device suits direct residual current",
    why="Chargers and inverters leak currents with a direct part. A device made for clean alternating current goes deaf on them.",
    severities=("danger",),
    clauses={
        "us": Clause("UL 943", "2016", "class A", "memory"),
        "": Clause("IEC 60364-5-53", "2019", "types of residual-current device", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every residual-current device."""
    return (
        (p.id, judge(word(p, "type") or "unknown", f"{p.id}.type")) for p in study.rig.of_kind("rcd", "rcbo")
    )
