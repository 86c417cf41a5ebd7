"""A25: circuits above touch voltage are out of reach of hands."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks, coldest, pv_circuits
from ohmwright.checks.cold import cold_voltage
from ohmwright.checks.eyes import EYES
from ohmwright.checks.islands import bank_volts
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.standards import Clause, Published, find
from ohmwright.study import Study
from ohmwright.working import Step, tell


def touch(rules: str) -> Published:
    """The touch voltage of the country."""
    return find("pv/touch-us" if country(rules) == "us" else "pv/touch-eu")


def highest(study: Study) -> tuple[dict[str, Step], dict[str, tuple[str, ...]]]:
    """The cold volts of the highest string of each array; of the others what is missing."""
    low, missing = coldest(study)
    worst: dict[str, Step] = {}
    lost: dict[str, tuple[str, ...]] = {}
    for circuit in pv_circuits(study):
        for string in circuit.strings:
            cold = cold_voltage(string.modules, low, missing)
            if cold.governs is None:
                lost[circuit.name] = cold.missing
            elif circuit.name not in worst or cold.governs.value > worst[circuit.name].value:
                worst[circuit.name] = cold.governs
    return {name: v for name, v in worst.items() if name not in lost}, lost


def judge(rules: str, volts: Step, looked: str) -> Judgement:
    """Cold volts against the touch voltage of the country; above it only eyes can tell."""
    limit = touch(rules).value
    if at_most(volts.value, limit):
        return most(
            volts.value,
            limit,
            "V",
            good=f"{tell(volts.value, 'V', 3)} in the cold, below the touch voltage of {tell(limit, 'V', 3)}.",
            bad="",
            steps=(volts,),
        )
    return cannot_tell(
        f"{tell(volts.value, 'V', 3)} in the cold is above the touch voltage of {tell(limit, 'V', 3)}: is the cable double-insulated, every joint out of reach or opened by tool only?",
        (looked,), limit=limit, unit="V", sense="max", remedy="Look, and write it under looked-at. Class II cable, guards, connectors that need a tool.",
    )  # fmt: skip


@rule(
    "array/touch-voltage",
    "A25",
    "Voltage within reach of hands",
    why="A change from parallel to series turns a tingle into an arc that does not let go, and nobody changes the labels.",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.31, 690.33, 690.41", "memory"),
        "eu": Clause("IEC 61140", "2016", "extra-low voltage", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array, by its highest string; each bank above 60 V."""
    worst, lost = highest(study)
    for name in {**worst, **lost}:
        looked = f"looked-at array/touch-voltage {name}"
        yield (
            name,
            cannot_tell("Its cold volts are not known.", (*lost[name], looked), unit="V", sense="max")
            if name in lost
            else judge(study.rig.job.rules, worst[name], looked),
        )
    for bank in banks(study.rig):
        volts, _ = bank_volts(bank)
        limit = find("pv/touch-eu")
        if volts is not None and not at_most(volts.value, limit.value):
            yield bank.id, cannot_tell(f"{tell(volts.value, 'V', 3)} between its posts is above the touch voltage of {tell(limit.value, 'V', 3)}: is every post and stud out of reach without a tool?", (f"looked-at array/touch-voltage {bank.id}",), limit=limit.value, unit="V", sense="max", remedy="Covers that need a tool; look, and write it under looked-at.")  # fmt: skip
