"""What rules read from the solved cases: the worst battery, and the volts across a port."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.checks.circuits import Bank, bank_of
from ohmwright.checks.gather import Asked, asked
from ohmwright.circuit.types import Case, Solution
from ohmwright.physics.sums import share_A
from ohmwright.rig.model import Part
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, work


@dataclass(frozen=True, slots=True)
class Worst:
    """The battery nearest to its limit in a case: its current, and the bank's."""

    battery: Part
    bank: Bank
    current: Step


def full_cases(study: Study, inverter: str) -> Iterator[Case]:
    """Cases that hold an inverter at its full continuous power with every battery there."""
    return (
        c for c in study.cases.values() if inverter in c.converters_W and c.seconds is None and not c.missing
    )


def short_cases(study: Study) -> Iterator[Case]:
    """Cases that last seconds."""
    return (c for c in study.cases.values() if c.seconds is not None)


def one_out_cases(study: Study, bank: str) -> Iterator[Case]:
    """Cases with a member of a bank out."""
    return (c for c in study.cases.values() if any(m.rpartition(".")[0] == bank for m in c.missing))


def worst_battery(study: Study, solution: Solution) -> Worst | None:
    """The battery that gives the largest part of its continuous rating; unrated ones by current."""
    best: tuple[float, Worst] | None = None
    for name, answer in solution.batteries.items():
        part, bank = study.rig.parts.get(name), bank_of(study.rig, name)
        if part is None or bank is None or answer.current_A >= 0:
            continue
        given = -answer.current_A
        limit = asked(part.figure("discharge_max")).figure
        weight = given / limit.value if limit else given
        share = answer.share or 1.0
        step = work(share_A, share_ratio=figure(abs(share), "1", COMPUTED, address=f"share of {name}"), total_A=figure(given / abs(share), "A", COMPUTED, address=f"current of {answer.bank or name} in case {solution.case.name}"))  # fmt: skip
        if best is None or weight > best[0]:
            best = (weight, Worst(part, bank, step))
    return best[1] if best else None


def peak_of(part: Part, seconds: float) -> Asked:
    """The most that a battery gives for so many seconds: a printed peak that lasts long enough, else its continuous current."""
    for name in ("discharge_peak", "discharge_peak_2"):
        given = asked(part.figure(name))
        if (
            given.figure is not None
            and given.figure.seconds is not None
            and given.figure.seconds >= seconds * (1 - 1e-9)
        ):
            return given
    return asked(part.figure("discharge_max"))
