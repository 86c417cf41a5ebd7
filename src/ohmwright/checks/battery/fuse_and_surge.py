"""B19: a fuse lets every surge pass with time to spare."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    at_most,
    cannot_tell,
    fails,
    least,
    passes,
    skipped,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import short_cases
from ohmwright.checks.starting import start_in
from ohmwright.circuit.devices import device_of
from ohmwright.circuit.guards import ROUNDED_A
from ohmwright.circuit.types import Case
from ohmwright.physics.fault import melts_s
from ohmwright.physics.sums import multiple_ratio, times_s
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, known, tell, work

REMEDY = "The next larger fuse if the cable allows it, or a slower one."
#: Figures of a fuse's page: multiple of its rating, and the longest time it may take there.
LONGEST = ((1.35, "trips_at_135"), (2.0, "trips_at_200"), (3.0, "trips_at_300"), (6.0, "trips_at_600"))


def judge(current: Figure, seconds: float, rated: Figure, melting: Figure | None, longest: dict[float, Figure], asks: str) -> Judgement:  # fmt: skip
    """A surge against the fuse's page: under 1.1 of its rating nothing happens, above it the curve decides."""
    times = find("batteries/surge-times").value
    wanted = work(times_s, many_count=times, seconds_s=seconds)
    multiple = work(multiple_ratio, current_A=current, rated_A=rated)
    told = f"A surge of {tell(current.value, 'A')} for {seconds:g} s through {tell(rated.value, 'A')}"
    if at_most(multiple.value, find("batteries/surge-share").value):
        return passes(f"{told}: it carries that for hours.", steps=(multiple,), roots=(current, rated))
    if melting is not None:
        lasts = work(melts_s, worst="low", melting_A2s=melting, current_A=current)
        if at_least(lasts.value, wanted.value):
            return least(lasts.value, wanted, "s", good=f"{told}: it takes {lasts.value:.2g} s at least to melt.", bad="", steps=(lasts,))  # fmt: skip
    slower = [f for m, f in longest.items() if at_most(m, multiple.value)]
    if slower and not at_least(min(f.value for f in slower), wanted.value):
        return fails(f"{told}: its page opens it within {min(f.value for f in slower):g} s; {wanted.value:g} s are wanted.", REMEDY, roots=(current, rated))  # fmt: skip
    return cannot_tell(f"{told}: the page says when it must open, not how long it holds.", (asks,), limit=wanted.value, unit="s", sense="min", remedy="Get the fuse's melting curve.")  # fmt: skip


@rule(
    "battery/fuse-and-surge",
    "B19",
    "Fuse lets the surge pass",
    why="A fuse that is heated by every start of the compressor opens on one of them, a year later, at night.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's melting curve", "memory")},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each fuse in each case that lasts seconds, the hardest one."""
    hardest: dict[str, tuple[float, float, float, str]] = {}
    for case in short_cases(study):
        for name, amps in _through(study, case).items():
            rated = known(study.rig.parts[name].figure("rated"))
            weight = amps / rated.value if rated is not None else 0.0
            if weight > hardest.get(name, (0.0,))[0]:
                hardest[name] = (weight, amps, case.seconds or 0.0, case.name)
    if not hardest:
        yield "rig", skipped("No surge runs through a fuse.")
    for name, (_, amps, seconds, case_name) in sorted(hardest.items()):
        yield name, _one(study.rig.parts[name], amps, seconds, case_name)


def _through(study: Study, case: Case) -> dict[str, float]:
    """The current of every fuse in a case; of a start as the start tells it."""
    start = start_in(study, case)
    if start is not None and start.devices:
        return {d: t.current_A for d, t in start.devices.items() if _is_fuse(study, d)}
    solution = study.solution(case.name)
    found: dict[str, float] = {}
    for name, amps in solution.elements_A.items() if solution.converged else ():
        e = study.graph.elements.get(name)
        device = device_of(study.rig, e) if e is not None else None
        if device is not None and abs(amps) > ROUNDED_A and _is_fuse(study, device.id):
            found[device.id] = max(found.get(device.id, 0.0), abs(amps))
    return found


def _is_fuse(study: Study, device: str) -> bool:
    part = study.rig.parts.get(device)
    return part is not None and part.kind.name == "fuse"


def _one(part: Part, amps: float, seconds: float, case: str) -> Judgement:
    rated = asked(part.figure("rated"))
    if rated.figure is None:
        return cannot_tell("Its rating is not known.", rated.missing, unit="s", sense="min")
    longest = {m: f for m, name in LONGEST if (f := asked(part.figure(name)).figure) is not None}
    return judge(
        figure(amps, "A", COMPUTED, address=f"current of {part.id} in case {case}"),
        seconds,
        rated.figure,
        asked(part.figure("melting")).figure,
        longest,
        f"{part.id}.melting",
    )
