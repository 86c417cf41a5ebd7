"""D29: a fault to earth at the end of a circuit is cleared within the time that its rule set allows."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, most, passes, skipped
from ohmwright.checks.mains.residual_current import DEVICES, LINES
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.circuit.ac_clearing import Cleared
from ohmwright.circuit.clearing import INSTANT_s
from ohmwright.standards import find
from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, known, tell

REMEDY = "A residual-current device that every source passes, with the neutral-earth join on its supply side."
#: Volts to earth up to which a row of the table holds.
BANDS = (120, 230, 400)
#: Below this no time is asked for.
TOUCH_V = 50.0


def allowed(volts: float, system: str) -> Figure | None:
    """The longest time by IEC 60364-4-41 table 41.1; None below 50 V and above 400 V to earth, where this program has no row."""
    band = next((b for b in BANDS if at_most(volts, b)), None)
    return None if volts <= TOUCH_V or band is None else find(f"alternating/opens-{system}-{band}").figure


def judge(told: Cleared, limit: Figure | None, *, residual: bool = False, other: Figure | None = None, asks: tuple[str, ...] = ()) -> Judgement:  # fmt: skip
    """The longest time against the allowed one; without one (NFPA 70 names none) whether its device opens at once.

    `other` is the longer time of a system that is possible as well while nobody knows which it is: `asks` settles it.
    """
    draws = f", which draws {tell(told.amps, 'A')} at least," if told.amps is not None else ""
    fed = f"A fault to earth at {told.terminal} fed by {told.source}{draws}"
    if told.min_s is None:
        said = f"{fed} is cleared by nothing that is proved to open"
        if told.missing:
            return cannot_tell(f"{said}.", told.missing, limit=limit.value if limit else None, unit="s", sense="max", remedy=REMEDY)  # fmt: skip
        return fails(f"{said}.", REMEDY)
    said = f"{fed} is cleared by {told.by} within {tell(told.min_s, 's', 2)}"
    if limit is None:
        if residual or at_most(told.min_s, INSTANT_s):
            return passes(f"{said}. Its code names no time; it asks that a device opens.")
        return skipped(f"{said}. Its code names no time; rule D28 asks whether its device opens at once.")
    seconds = figure(told.min_s, "s", COMPUTED, address=f"longest fault to earth at {told.terminal}")
    if other is not None and not at_most(told.min_s, limit.value) and at_most(told.min_s, other.value):
        return cannot_tell(f"{said}; {tell(limit.value, 's', 2)} are allowed, {tell(other.value, 's', 2)} where its supply is TN.", asks, limit=limit.value, unit="s", sense="max", remedy=REMEDY)  # fmt: skip
    told_limit = f"{said}; {tell(limit.value, 's', 2)} are allowed"
    return most(seconds, limit, "s", good=f"{told_limit}.", bad=f"{told_limit}: metal stays live meanwhile.", remedy=REMEDY)  # fmt: skip


@rule(
    "mains/earth-fault-time",
    "D29",
    "A fault to earth is cleared in time",
    why="""Metal that a fault makes live hurts within a heartbeat. A breaker in front of an inverter or a small generator may need
        minutes for a current that its source can just push, and an inverter without a device behind it is stopped by itself alone.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "250.4(A)(5): a device opens; no time is named", "memory"),
        "": Clause("IEC 60364-4-41", "2017", "411.3.2, Table 41.1", "memory"),
    },
    needs=("faults", "cases"),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each outlet and each load of alternating current with a protective conductor: the source that lasts longest."""
    subjects = _subjects(study)
    if not subjects:
        yield "rig", skipped("No outlet and no load of alternating current.")
    for subject, terminals in subjects.items():
        told = [c for t in sorted(terminals) for c in study.earth_clearing.get(t, ())]
        if told:
            yield subject, min((_one(study, c) for c in told), key=_rank)
        else:
            yield subject, skipped("In no operating case does a fault to earth at it find a conductor back to a source: rule D1 asks for one.")  # fmt: skip


def _subjects(study: Study) -> dict[str, set[str]]:
    out: dict[str, set[str]] = {}
    for e in study.graph.elements.values():
        part = study.rig.parts.get(e.owner)
        lines = {x for x in (e.a, e.b) if study.graph.terminals[x].pole in LINES}
        if lines and (
            (part is not None and part.kind.name == "outlet")
            or (e.kind == "load" and e.owner in study.rig.use.loads)
        ):
            out.setdefault(e.owner, set()).update(lines)
    return out


def _rank(j: Judgement) -> tuple[int, float]:
    return ("fail", "cannot-tell", "skip", "pass").index(j.verdict), j.margin if j.margin is not None else 0.0


def _one(study: Study, told: Cleared) -> Judgement:
    """By the volts of its source, and by its earthing where that is a post's; an inverter of ours is TN."""
    source = study.rig.parts[told.source]
    device = study.rig.parts.get(told.by)
    residual = device is not None and (
        device.kind.name in DEVICES or device.kind.name == "outlet" or device.id == told.source
    )
    if country(study.rig.job.rules) != "us" and known(source.figure("ac_voltage")) is None:
        return cannot_tell("The volts of its source are not known.", (f"{source.id}.ac_voltage",), unit="s", sense="max")  # fmt: skip
    limit, other = limits(study, told.source)
    judged = judge(told, limit, residual=residual, other=other, asks=(f"{source.id}.system",))
    stops = known(source.figure("fault_stop")) if "fault_stop" in source.kind.figures else None
    if told.by == told.source and stops is not None and not stops.origin.verified:
        return replace(judged, message=f"{judged.message} That rests on its fault-stop as typed: no page is named for it.", origin_unverified=True)  # fmt: skip
    return judged


def limits(study: Study, source: str) -> tuple[Figure | None, Figure | None]:
    """The time that a source allows, and the longer one that would hold if its earthing, which nobody knows, were TN.

    None where the rule set names no time, and where the source's volts are not known.
    """
    part = study.rig.parts[source]
    volts = known(part.figure("ac_voltage"))
    if country(study.rig.job.rules) == "us" or volts is None:
        return None, None
    system = part.word("system") if "system" in part.kind.words else "tn"
    limit = allowed(volts.value, "tn" if system == "tn" else "tt")
    return limit, allowed(volts.value, "tn") if system == "unknown" else None
