"""F5: everything that charges or discharges the bank goes through the shunt."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped, warns
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.checks.storage.drain import LAID_UP, days_of
from ohmwright.physics.sums import missed_percent
from ohmwright.rig.model import Part
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, known, work


def judge_stored(missed: Step, names: tuple[str, ...]) -> Judgement:
    """What managements and electronics ahead of the counter take while the rig stands, against the capacity."""
    limit = find("monitor/missed-in-storage").value
    told = f"What {', '.join(names)} draw lies ahead of it: laid up, {missed.value:.0f} % of the bank go uncounted"
    if at_most(missed.value, limit):
        return most(missed, limit, "%", good=f"{told}.", bad="")
    return warns(f"{told}, and it reads that much too full in spring.", "Charge to full before anybody trusts its reading, or isolate the bank.", steps=(missed,))  # fmt: skip


@rule(
    "monitor/shunt",
    "F5",
    "Everything through the shunt",
    why="""A counter that misses one wire is wrong a little every hour, and nobody sees it until the rig goes dark at a
        reading of 96 %.""",
    severities=("fails", "note"),
    clauses={"": PHYSICS},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """With the shunt taken out, the bank's minus reaches nothing else."""
    if not study.rig.of_kind("shunt"):
        yield "rig", skipped("There is no shunt.")
        return
    wrong = {s.id: lost for s in study.rig.of_kind("shunt") if (lost := _no_bank(study, s))}
    for shunt, names in wrong.items():
        yield (
            shunt,
            cannot_tell(f"It is said to count {', '.join(names)}, which is no bank.", (f"{shunt}.counts",)),
        )
    for subject, judged in from_proof(
        study, "shunt", holds="Nothing goes around the shunt", nothing="It counts no bank.", remedy="Land that conductor on the load side of the shunt.",
    ):  # fmt: skip
        if subject.partition(" ")[0] not in wrong:
            yield subject, judged
    yield from _stored(study)


def ahead_of(study: Study) -> tuple[str, ...]:
    """Electronics that measure and draw their own current before a counter."""
    named = study.proofs["shunt"].facts.get("electronics")
    return tuple(map(str, named)) if isinstance(named, tuple) else ()


def _stored(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each counter of one bank over the longest stay that the rig is laid up."""
    days = max((days_of(s) for s in study.rig.use.stays if s.mode in LAID_UP), default=0)
    electronics = ahead_of(study)
    for shunt in study.rig.of_kind("shunt") if days and study.proofs["shunt"].subjects else ():
        counted = [b for b in banks(study.rig) if b.id in word(shunt, "counts").split()]
        drains = {
            m.id: f for b in counted for m in b.members if (f := known(m.figure("bms_draw"))) and f.value > 0
        }
        drains |= {n: f for n in electronics if n in study.rig.parts and (f := known(study.rig.parts[n].figure("self_use")))}  # fmt: skip
        if len(counted) != 1 or not drains:
            continue
        one, bank = counted[0].members[0], counted[0]
        volts, capacity = known(one.figure("nominal_voltage")), known(one.figure("capacity"))
        if volts is None or capacity is None:
            continue
        missed = work(
            missed_percent,
            drain_W=figure(sum(f.value for f in drains.values()), "W", COMPUTED, address="drawn ahead of it"),
            stored_days=figure(float(days), "1", COMPUTED, address="days laid up"),
            bank_V=figure(volts.value * bank.in_series, "V", volts.origin, address=volts.address),
            capacity_Ah=figure(
                capacity.value * bank.in_parallel, "Ah", capacity.origin, address=capacity.address
            ),
        )
        yield shunt.id, judge_stored(missed, tuple(drains))


def _no_bank(study: Study, shunt: Part) -> tuple[str, ...]:
    """Names that a shunt counts and that are no bank: a proof about them would hold of nothing."""
    known = {b.id for b in banks(study.rig)}
    return tuple(name for name in word(shunt, "counts").split() if name not in known)
