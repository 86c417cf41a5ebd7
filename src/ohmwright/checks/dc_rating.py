"""The direct voltage that a device may break, as its page says it."""

from dataclasses import dataclass

from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, kept, most
from ohmwright.physics.sums import poles_V
from ohmwright.rig.model import Part
from ohmwright.standards import find
from ohmwright.working import Figure, Step, figure, tell, work

REMEDY = "Fit a device rated for this direct voltage, or use its poles in series as its page draws them."


@dataclass(frozen=True, slots=True)
class Rating:
    """Rated volts, or what is missing. `value` None with `missing`: cannot tell."""

    value: Figure | Step | None
    missing: tuple[str, ...] = ()


def rating_of(part: Part) -> Rating:
    """The whole device's voltage; else volts a pole times the poles that break together."""
    whole = asked(part.figure("voltage"))
    if whole.figure is not None:
        return Rating(whole.figure)
    pole = asked(part.figure("voltage_per_pole"))
    if pole.figure is None:
        return Rating(None, whole.missing)
    together = word(part, "poles_in_series")
    if not together.isdecimal():
        if (word(part, "poles") or "1") == "1":
            return Rating(pole.figure)
        return Rating(None, (f"{part.id}.poles_in_series",))
    return Rating(
        work(poles_V, poles_count=figure(float(together), "1", pole.figure.origin), pole_V=pole.figure)
    )


@kept
def judge(
    volts: Step | Figure | None,
    volts_missing: tuple[str, ...],
    rating: Rating,
    *,
    alternating_only: bool = False,
) -> Judgement:
    """Highest direct voltage against the rating; less than 5 % of headroom is a note."""
    if alternating_only:
        return Judgement(
            verdict="fail",
            message="Its page rates it for alternating current only: it cannot put out a direct-current arc.",
            remedy=REMEDY,
        )
    if rating.value is None or volts is None:
        known = volts.value if volts is not None else None
        lost = (
            "its direct-voltage rating is missing"
            if rating.value is None
            else "the highest voltage there is missing"
        )
        if rating.missing and rating.missing[0].endswith("poles_in_series"):
            lost = "how its poles are wired in series is not shown"
        made = cannot_tell(f"It cannot be told whether it may break this voltage: {lost}.", (*volts_missing, *rating.missing), unit="V", sense="max", limit=rating.value.value if rating.value else None)  # fmt: skip
        return Judgement(
            verdict="cannot-tell",
            message=made.message,
            missing=made.missing,
            unit="V",
            sense="max",
            value=known,
            limit=made.limit,
            remedy="Copy it from the device's page.",
        )
    limit = rating.value.value
    told = f"It may have to break {tell(volts.value, 'V', 4)} direct; it is rated {tell(limit, 'V', 4)}"
    headroom = find("pv/rating-headroom").value
    steps = tuple(s for s in (rating.value, volts) if isinstance(s, Step))
    roots = tuple(f for f in (rating.value, volts) if isinstance(f, Figure))
    return most(
        volts, rating.value, "V", good=f"{told}.", bad=f"{told}: it may not put out the arc.", remedy=REMEDY, warn_above=limit * (1 - headroom),
        warn=f"{told}: less than 5 % is left.", steps=steps, roots=roots,
    )  # fmt: skip
