"""B17: how far bare copper runs from a post before the first device."""

from collections.abc import Iterator

from ohmwright.checks.circuits import bank_of
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.checks.wires import length_of
from ohmwright.circuit.guards import Guard
from ohmwright.physics.sums import in_mm, sum_m
from ohmwright.standards import Clause, Published, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, work

REMEDY = "Move the device to the post."


def longest(rules: str, *, petrol: bool, sheathed: bool) -> tuple[Published, bool]:
    """The allowed length, and whether it is law or the standard's (else the shop's own rule)."""
    if rules == "us-boat":
        kind = "petrol-boat" if petrol else "us-boat"
        return find(f"protection/{kind}-{'sheathed' if sheathed else 'bare'}"), True
    if rules == "eu-boat":
        return find("protection/eu-boat-bare"), True
    if rules == "us-vehicle":
        return find("protection/us-vehicle-bare"), True
    return find("protection/cabin-bare" if host(rules) == "cabin" else "protection/shop-bare"), False


def judge(
    rules: str, bare: Figure | Step | None, *, found: bool = True, petrol: bool = False, sheathed: bool = False, cranking: bool = False, missing: tuple[str, ...] = (),
    ways: tuple[str, ...] = (),
) -> Judgement:  # fmt: skip
    """Length of conductor between a post and its first device."""
    if cranking:
        return skipped("An engine cranking conductor only.")
    if not found:
        told = "; ".join(ways) or "No device stands between this post and what it feeds"
        return fails(
            f"{told[0].upper()}{told[1:]}: a short there is stopped by nothing.", "Fit a device at the post."
        )
    limit, published = longest(rules, petrol=petrol, sheathed=sheathed)
    if bare is None:
        return cannot_tell(
            "The length of conductor before its first device is not known.",
            missing,
            limit=limit.value,
            unit="mm",
            sense="max",
            remedy="Measure it.",
        )
    step = work(in_mm, worst="high", length_m=bare)
    told = f"{step.value:.0f} mm of conductor before the first device; {limit.value:.0f} mm {'allowed' if published else 'by the shop rule, no published length is on file'}"
    judged = most(
        step.value,
        limit.value,
        "mm",
        good=f"{told}.",
        bad=f"{told}: a short there is stopped by nothing.",
        remedy=REMEDY,
        steps=(step,),
        clause=limit.clause,
    )
    if judged.verdict == "fail" and not published:
        return Judgement(
            verdict="warn", severity="note", message=f"{told}.", value=judged.value, limit=judged.limit, high=judged.high, sense="max", margin=judged.margin,
            unit="mm", remedy=REMEDY, steps=judged.steps, origin_unverified=judged.origin_unverified, clause=judged.clause,
        )  # fmt: skip
    return judged


@rule(
    "battery/fuse-distance",
    "B17",
    "Distance from post to first device",
    why="""Between post and fuse the whole bank stands behind the cable. What chafes there burns until the bank is flat or
        the boat is.""",
    severities=("danger", "note"),
    clauses={"": Clause("", "", "shop rule, no published source", "memory")},
    needs=("guards", "proofs"),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every battery post against the first device on each way from it."""
    petrol = any(
        p.regime == "engine" and p.words.get("vapour") == "petrol" for p in study.rig.host.places.values()
    )
    guards: dict[str, list[tuple[Guard, str]]] = {
        b.id: [] for b in study.rig.of_kind("battery") if bank_of(study.rig, b.id) is not None
    }
    for name, guarding in study.guards.items():
        c = study.graph.conductors[name]
        for g in guarding.guards:
            if g.device and g.source in guards:
                guards[g.source].append((g, c.run))
    for battery in study.rig.of_kind("battery"):
        seen = guards.get(battery.id, [])
        ways = tuple(
            f.message.rstrip(".") for f in study.proofs["protection"].found if f.subject == battery.id
        )
        if ways or not seen:
            far = _far(study, [g for g, _ in seen], petrol=petrol)
            yield battery.id, judge(study.rig.job.rules, None, found=False, ways=(*ways, *far))
            continue
        unknown = tuple(f"{run}.length" for g, run in seen if g.bare_m is None)
        if unknown:
            yield battery.id, judge(study.rig.job.rules, None, petrol=petrol, missing=unknown)
            continue
        judged = [
            judge(study.rig.job.rules, _bare(study, g), petrol=petrol, sheathed=_sheathed(study, g))
            for g in _unlike([g for g, _ in seen])
        ]
        yield battery.id, min(judged, key=lambda j: j.margin if j.margin is not None else 0.0)


def _far(study: Study, guards: list[Guard], *, petrol: bool) -> tuple[str, ...]:
    """Beside the ways without a device, those whose device stands too far."""
    return tuple(
        f"{g.bare_m:.2f} m before {g.device}"
        for g in _unlike(guards)
        if g.bare_m is not None and not at_most(1000 * g.bare_m, longest(study.rig.job.rules, petrol=petrol, sheathed=_sheathed(study, g))[0].value)
    )  # fmt: skip


def _unlike(guards: list[Guard]) -> list[Guard]:
    """One guard for each device, and of those behind the same bare way the first."""
    of_device = {g.device: g for g in sorted(guards, key=lambda g: g.bare_m or 0.0)}
    found: dict[tuple[tuple[str, ...], float | None], Guard] = {}
    for g in of_device.values():
        found.setdefault((g.path, g.bare_m), g)
    return list(found.values())


def _sheathed(study: Study, guard: Guard) -> bool:
    """Whether every conductor between a post and its device lies in a sheath, all the way."""
    found = [study.graph.conductors[n] for n in guard.path if n in study.graph.conductors]
    return bool(found) and all("sheathed" in c.cable.words for c in found)


def _bare(study: Study, guard: Guard) -> Figure | Step:
    """The conductors between a post and the first device, one behind the other."""
    total: Figure | Step | None = None
    for name in guard.path:
        c = study.graph.conductors.get(name)
        if c is None or c.length_m is None:
            continue
        own = length_of(study, c)
        total = own if total is None else work(sum_m, first_m=total, second_m=own)
    length = guard.bare_m or 0.0
    if total is None or abs(total.value - length) > 1e-9:
        return figure(length, "m", COMPUTED, address=f"conductor before {guard.device}")
    return total
