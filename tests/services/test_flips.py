"""What would turn a verdict: figures in the value, figures in the limit, both ways through."""

import pytest
from tests.checks.test_on_rigs import study_of

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.services.why import flips


def one(rig: str, number: str, subject: str) -> Finding:
    return next(
        f for f in engine.run(study_of(rig), [number]) if f.subject == subject and f.value is not None
    )


@pytest.mark.parametrize(
    ("rig", "number", "subject", "address", "to"),
    [
        ("built", "B17", "B.1", "B.join", 0.4572),  # 18 in
        ("built", "B18", "F1", "F1.interrupt", None),  # down to the fault
        ("quoted", "A4", "U1", "U1.max_pv_short_circuit", 78.75),  # 1.25 x 6 x 10.5
        ("quoted", "A4", "U1", "M.1.1.short_circuit", 70 / 7.5),
        ("built", "C1", "W12", "F1.rated", 445.0 * (65 / 75) ** 0.5),  # 33 CFR 183 Table 5, in air of 40 degC
        ("built", "E5", "host.gvwr", "host.masses.gvwr", None),
        ("built", "C3", "U2", "W12.length", None),
        ("boat", "B33", "B", "host.places.battery-bay.floods-at", 0.35),
    ],
)
def test_a_figure_that_turns_a_verdict_is_named(
    rig: str, number: str, subject: str, address: str, to: float | None
) -> None:
    said = {f.address: f for f in flips(one(rig, number, subject))}

    assert address in said
    if to is not None:
        assert said[address].to == pytest.approx(to, rel=1e-6)


def test_a_published_figure_is_nobodys_to_move() -> None:
    for rig in ("built", "quoted"):
        for f in engine.run(study_of(rig), ["A1", "A4", "A7", "B18", "C3", "E9"]):
            assert not [
                x for x in flips(f) if x.address.startswith(("pv/", "protection/", "vehicles/", "drop/"))
            ]
