"""A18: long strings where shade is a habit."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import series_loss_ratio
from ohmwright.physics.sums import in_percent
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, work


def judge(loss: Step) -> Judgement:
    """What the string keeps against what the same modules keep side by side."""
    percent = work(in_percent, part_ratio=loss)
    told = f"In series it gives {percent.value:.1f} % less over the year than the same modules side by side"
    return most(
        percent.value, 100 * find("pv/series-in-shade").value, "%", good=f"{told}.", bad=f"{told}.", remedy="Shorter strings in parallel, or a controller each.", steps=(percent,)
    )  # fmt: skip


@rule(
    "array/series-in-shade",
    "A18",
    "Long strings in habitual shade",
    why="Under trees or behind a mast the shaded module decides for its string.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "shade model; limit is a shop rule", "computed")},
    needs=("year",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Strings of three or more where the file tells of shade."""
    for circuit in pv_circuits(study):
        longest = max(len(s.members) for s in circuit.strings)
        if longest < 3:
            yield circuit.name, skipped("Its strings are short.")
        elif not _shaded(study, circuit):
            yield circuit.name, skipped("The file tells of no shade.")
        elif study.year is None:
            yield circuit.name, skipped("Shade is followed through a year: run check --deep.")
        else:
            yield circuit.name, _modelled(study, circuit)


def _shaded(study: Study, circuit: PvCircuit) -> bool:
    place = study.rig.host.places.get(circuit.strings[0].members[0].place)
    words = [s.words.get("shade", "") for s in study.rig.use.stays]
    near = place is not None and bool(
        place.obstacles
        or place.trees
        or place.horizon
        or place.words.get("shade")
        or any(plane.get("shade") for plane in place.planes.values())
    )
    return near or any(words) or any(s.trees for s in study.rig.use.stays)


def _modelled(study: Study, circuit: PvCircuit) -> Judgement:
    answers = [a for a in study.shade if a.array == circuit.name]
    if not answers:
        return cannot_tell(
            "What shades it is told in words only: obstacles, horizon or trees would settle it.",
            ("use.stays.1.trees", f"{circuit.name}.laid"),
            unit="%",
            sense="max",
        )
    worst = max(answers, key=lambda a: 1 - a.year.kept["as wired"] / max(a.year.kept["parallel"], 1e-9))
    return judge(
        work(
            series_loss_ratio,
            best_W=figure(
                worst.year.kept["as wired"], "W", COMPUTED, address=f"kept in series, {worst.scene}"
            ),
            sum_W=figure(
                worst.year.kept["parallel"], "W", COMPUTED, address=f"kept in parallel, {worst.scene}"
            ),
        )
    )
