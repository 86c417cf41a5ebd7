"""A10: the controller starts on a hot afternoon."""

from collections.abc import Iterator

from ohmwright.checks.array.hot_voltage import charging_volts, hot_cell
from ohmwright.checks.circuits import hottest, pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import hot_open_string_V, starting_V
from ohmwright.physics.sums import sum_V
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import Step, known, tell, work


def judge(volts: Step, wanted: Step) -> Judgement:
    """0.85 of the hot open-circuit volts against the battery plus what the controller needs to start."""
    told = f"Hot, the string offers {tell(volts.value, 'V', 3)} to start on; the controller wants {tell(wanted.value, 'V', 3)}"
    return least(
        volts.value,
        wanted,
        "V",
        good=f"{told}.",
        bad=f"{told}: once stopped it stays stopped until evening.",
        remedy="Put more modules in series.",
        steps=(wanted, volts),
    )


@rule(
    "array/start-voltage",
    "A10",
    "Controller starts on a hot afternoon",
    why="A controller needs more volts to start than to run. After a cloud on a hot day a short string no longer has them.",
    severities=("fails",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string at a controller that seeks the power point."""
    air, missing = hottest(study)
    for circuit in pv_circuits(study):
        controller = circuit.controller
        if controller is None or controller.kind.name != "pv-controller":
            continue
        charge = charging_volts(study, controller.id)
        margin = known(controller.figure("start_margin")) or find("pv/start-margin").figure
        for string in circuit.strings:
            volts, beta = (
                asked(string.members[0].figure("open_circuit")),
                known(string.members[0].with_default("beta")),
            )
            if (
                volts.figure is None
                or charge.figure is None
                or air is None
                or beta is None
                or len(string.modules) > 1
            ):
                lost = (*volts.missing, *charge.missing, *(missing if air is None else ()))
                yield (
                    string.id,
                    cannot_tell("Whether it starts is not known.", lost, unit="V", sense="min")
                    if lost
                    else skipped("Its modules differ."),
                )
                continue
            cell = hot_cell(study, circuit, air)
            hot = work(
                hot_open_string_V,
                in_series_count=float(len(string.members)),
                open_circuit_V=volts.figure,
                coefficient_percent_per_K=beta,
                hottest_degC=cell,
            )
            yield (
                string.id,
                judge(
                    work(starting_V, part_ratio=find("pv/start-part").figure, open_V=hot),
                    work(sum_V, first_V=charge.figure, second_V=margin),
                ),
            )
