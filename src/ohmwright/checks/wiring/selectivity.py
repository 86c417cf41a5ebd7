"""C7: of two devices in a row the nearer to the fault opens alone."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.wires import added, is_dc
from ohmwright.circuit.devices import device_of
from ohmwright.physics.sums import multiple_ratio
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, known, work

REMEDY = "Drop one of the two where the same cable goes on, or grade them further apart."


def judge(upper: Figure, lower: Figure, asks: tuple[str, ...] = ()) -> Judgement:
    """Ratio of ratings: under 1.6 no class is selective, from 3 any is; between, the maker's table or curves."""
    step = work(multiple_ratio, current_A=upper, rated_A=lower)
    floor, sure = find("protection/selective-gg").value, find("protection/selective-sure").value
    told = f"{upper.value:g} A before {lower.value:g} A is {step.value:.2f} to 1"
    if not at_least(step.value, floor) or at_least(step.value, sure):
        return least(
            step.value,
            floor,
            "1",
            good=f"{told}.",
            bad=f"{told}: a fault behind the smaller may take the larger with it, and everything else goes dark.",
            remedy=REMEDY,
            steps=(step,),
        )
    return cannot_tell(
        f"{told}: {floor:g} to 1 holds for gG fuses only; for others the maker's ratio table or curves are wanted.",
        asks,
        limit=floor,
        unit="1",
        sense="min",
        remedy="Look it up in the maker's table.",
    )


@rule(
    "wiring/selectivity",
    "C7",
    "Selectivity",
    why="A short in a reading lamp that opens the main fuse leaves a boat without lights, instruments and bilge pump.",
    severities=("fails",),
    clauses={"": Clause("IEC 60269-2", "", "discrimination of gG fuses", "secondary")},
    needs=("guards",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each device with the next one towards a bank."""
    pairs = _pairs(study)
    if not pairs:
        yield "rig", skipped("No two devices stand in a row.")
    for (_, lower), (a, b) in sorted(pairs.items()):
        yield lower, judge(a, b, (f"{lower}.class",))


def _pairs(study: Study) -> dict[tuple[str, str], tuple[Figure, Figure]]:
    """(upper, lower) devices of direct current with their ratings: the upper guards a conductor that the lower stands on."""
    found: dict[tuple[str, str], tuple[Figure, Figure]] = {}
    rated: dict[str, Figure] = {}
    at: dict[str, set[str]] = {}
    for e in study.graph.elements.values():
        device = device_of(study.rig, e)
        figure = known(device.rated) if device is not None else None
        if device is not None and figure is not None:
            rated[device.id] = figure
            at.setdefault(device.id, set()).update(n for t in (e.a, e.b) for n in study.graph.at.get(t, ()))
    below: dict[tuple[str, str], set[str]] = {}
    for name, guarding in study.guards.items():
        if is_dc(study, study.graph.conductors[name]):
            for g in guarding.guards:
                if g.device in rated and g.limited_A is None:
                    below.setdefault((g.source, g.device or ""), set()).add(name)
    for source, lower in below:
        for (other, upper), guarded in below.items():
            if other == source and upper != lower and guarded & at[lower]:
                mates = _mates(study, upper)
                if lower not in mates:
                    found[upper, lower] = added([rated[m] for m in mates if m in rated]), rated[lower]
    return {k: v for k, v in found.items() if (k[1], k[0]) not in found or v[0].value >= v[1].value}


def _mates(study: Study, device: str) -> tuple[str, ...]:
    """The same device of every member of a bank: they feed side by side."""
    part = study.rig.parts.get(device)
    if part is None or not part.group:
        return (device,)
    last = device.rpartition(".")[2]
    return tuple(p.id for p in study.rig.parts.values() if p.group == part.group and p.id.rpartition(".")[2] == last and p.id.count(".") == device.count(".") and p.record.id == part.record.id)  # fmt: skip
