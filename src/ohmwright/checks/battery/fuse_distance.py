"""B17: how far bare copper runs from a post before the first device."""

from collections.abc import Iterator

from ohmwright.checks.circuits import bank_of
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.physics.sums import in_mm
from ohmwright.standards import Clause, Published, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, work

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
    rules: str, bare: Figure | None, *, found: bool = True, petrol: bool = False, sheathed: bool = False, cranking: bool = False, missing: tuple[str, ...] = (),
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
    lengths: dict[str, list[tuple[float | None, str, bool]]] = {}
    for name, guarding in study.guards.items():
        c = study.graph.conductors[name]
        for g in guarding.guards:
            if g.device and bank_of(study.rig, g.source) is not None:
                lengths.setdefault(g.source, []).append((g.bare_m, c.run, "sheathed" in c.cable.words))
    for battery in study.rig.of_kind("battery"):
        seen = lengths.get(battery.id, [])
        ways = tuple(
            f.message.rstrip(".") for f in study.proofs["protection"].found if f.subject == battery.id
        )
        if ways or not seen:
            yield battery.id, judge(study.rig.job.rules, None, found=False, ways=ways)
            continue
        unknown = tuple(f"{run}.length" for metres, run, _ in seen if metres is None)
        worst = max((m for m, _, _ in seen if m is not None), default=None)
        given = None if unknown or worst is None else figure(worst, "m", COMPUTED)
        yield battery.id, judge(study.rig.job.rules, given, petrol=petrol, missing=unknown)
