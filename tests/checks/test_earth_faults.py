"""D28 reckons with the loop to earth where that is the longer one."""

import pytest
from tests.checks.test_on_rigs import part, study_of, swap
from tests.circuit.rigs import read

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.study import Study
from ohmwright.working import tell

RIG = """\
ohmwright: 1
job: {id: post, rules: us-cabin 2023}
host: {kind: cabin, places: {room: {regime: heated}, yard: {regime: outside}}, ways: {room - yard: {length: 20 m}}}
metal: {ground: {}}
parts:
  SUP: {is: supply-post-30a-120v, at: yard, own: no}
  J1: {is: shore-inlet-30a-120v, at: room}
  PA: {is: panel-ac-main-30a, at: room, ways: {1: 20 A}}
use:
  loads:
    heater: {fed: PA.1, power: 900 W, length: 2 m, cable: 3 x 12 AWG}
runs:
  C1: {from: SUP, to: J1, cable: flexible 3 x 10 AWG, length: 20 m, plugs: both}
  W1: {from: J1.L, to: PA.feed.L, cable: 10 AWG, length: 2 m}
  W2: {from: J1.N, to: PA.feed.N, cable: 10 AWG, length: 2 m}
  W3: {from: J1.PE, to: PA.feed.PE, cable: EARTH green, length: 6 m, role: earth}
settings: {}
"""


@pytest.mark.parametrize("earth", ["10 AWG", "18 AWG"])
def test_the_smaller_of_the_faults_to_neutral_and_to_earth_has_to_open_the_device(earth: str) -> None:
    study = Study(read(RIG.replace("EARTH", earth), {})[0])
    (found,) = engine.run(study, only=["D28"])

    to_earth, to_neutral = study.earth_faults["heater.L"].min_A, study.ac_faults["heater.L"].min_A
    assert to_earth is not None
    assert to_neutral is not None
    assert f"at least {tell(min(to_earth, to_neutral), 'A')}" in found.message
    # By Ohm's law 6 m of 18 AWG (0.823 mm2) are 0.13 ohm where 6 m of 10 AWG are 0.02.
    assert (to_earth < 0.8 * to_neutral) == (earth == "18 AWG")


def stopped(figure: str) -> Finding:
    """D29 of a cabin without a residual-current device: its inverter is stopped by itself alone."""
    study = study_of("cabin", (swap("QR: {is: rcd-40a-30ma-type-f-2p", "QR: {is: breaker-40a-230v-2p"), part("U2", figure)))  # fmt: skip
    return next(f for f in engine.run(study, only=["D29"]) if f.subject == "induction")


def test_a_fault_stop_without_a_page_is_told_as_unverified() -> None:
    typed, printed = stopped("fault-stop: 0.3 s"), stopped("fault-stop: 0.3 s (i p7)")

    assert typed.verdict == printed.verdict == "pass"
    assert typed.origin_unverified
    assert "no page is named for it" in typed.message
    assert not printed.origin_unverified
    assert "no page" not in printed.message
