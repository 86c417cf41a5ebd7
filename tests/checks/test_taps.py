"""C1 on conductors that are protected at their far end: docs/decisions/0014. Lengths after 33 CFR 183.455(b) and ANSI/RVIA LV (from memory)."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import pytest
from tests.checks.test_on_rigs import Edit, found, study_of, swap

from ohmwright.checks.wiring import overload
from ohmwright.circuit.types import Fault
from ohmwright.study import Study

LINK = "W19: {from: XP.5,     to: F6.line, cable: 4/0 AWG 105C red, length: 0.1 m"


def link(cable: str, length: str) -> Edit:
    return swap(LINK, f"W19: {{from: XP.5,     to: F6.line, cable: {cable}, length: {length}")


def verdict(study: Study, conductor: str) -> set[str]:
    return {f.verdict for f in found(study, "C1") if f.subject == conductor}


def test_a_short_link_to_a_fuse_may_be_as_thin_as_that_fuse_lets_it() -> None:
    study = study_of("built", (link("6 AWG 105C", "0.45 m"),))

    assert verdict(study, "W19") == {"pass"}  # 63 A fuse, 120 A conductor, under 18 in


@dataclass(frozen=True)
class Lasts:
    """How long a fault lasts, as a test says it."""

    clears_s: Mapping[str, float] | None
    tau_s: Mapping[str, float]
    let_through_A2s: Mapping[str, float]


def lasting(fault: Fault, clears_s: Mapping[str, float] | None) -> Fault:
    return replace(fault, lasting=Lasts(clears_s, fault.tau_s, fault.let_through_A2s))


def test_a_long_link_cannot_be_told_without_the_curve_of_the_main() -> None:
    sound = study_of("built", (link("6 AWG 105C", "0.46 m"),))
    study = Study(sound.rig, today=sound.today)
    study.__dict__["faults"] = {t: lasting(f, None) for t, f in sound.faults.items()}
    (said,) = [f for f in found(study, "C1") if f.subject == "W19"]

    assert (said.verdict, said.severity) == ("cannot-tell", "danger")
    assert "F1.clearing" in said.missing


def test_a_link_too_thin_for_its_own_fuse_fails_however_short() -> None:
    study = study_of("built", (link("14 AWG 105C", "0.1 m"),))

    assert verdict(study, "W19") == {"fail"}  # 35 A against 63 A


def cleared(seconds: float) -> Study:
    sound = study_of("built", (link("6 AWG 105C", "2 m"),))
    study = Study(sound.rig, today=sound.today)
    study.__dict__["faults"] = {t: lasting(f, {"max": seconds, "min": seconds}) for t, f in sound.faults.items()}  # fmt: skip
    return study


def test_a_long_link_passes_when_its_copper_bears_the_fault() -> None:
    # 13.3 mm2 x 87.6 = 1.36 MA2s; some 14 kA for 1 ms are 0.2 MA2s, for 1 s 200 MA2s
    assert verdict(cleared(0.001), "W19") == {"pass"}
    assert verdict(cleared(1.0), "W19") == {"fail"}


def test_copper_bears_what_the_adiabatic_formula_says() -> None:
    # IEC 60364-5-54 Annex A: k = 226 sqrt(ln((234.5 + 160) / (234.5 + 70))) = 115 from 70 to 160 degC
    judged = overload.stands(1000, 0.1, 10, 70)

    assert judged.limit == pytest.approx((115 * 10) ** 2, rel=0.01)
    assert judged.value == pytest.approx(1e5)


def test_no_conductor_passes_as_a_note_any_more() -> None:
    for rig in ("built", "boat", "cabin"):
        assert {f.verdict for f in found(study_of(rig), "C1")} <= {"pass", "skip"}
