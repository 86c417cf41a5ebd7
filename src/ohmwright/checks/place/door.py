"""E11: parts pass the door of their bay and fit in it with the air they need."""

from collections.abc import Iterator

from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part, Place
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import QuantityError
from ohmwright.working.quantity import parse_lengths

REMEDY = "Another place, another part, or a larger door."
#: What is too large for a pocket.
LARGE = ("battery", "inverter", "inverter-charger", "pv-controller", "dcdc-charger", "isolation-transformer")
Size = tuple[float, ...]


def judge(size: Size, clearance_m: float, bay: Size | None, opening: Size | None) -> Judgement:
    """The two smaller sides through the opening, all three with their clearance into the bay, turned as they fit best."""
    a, b, c = sorted(size)
    if opening is not None:
        low, high = sorted(opening)
        if not (at_most(a, low) and at_most(b, high)):
            return fails(f"{1000 * a:.0f} x {1000 * b:.0f} mm does not pass an opening of {1000 * low:.0f} x {1000 * high:.0f} mm.", REMEDY)  # fmt: skip
    if bay is not None:
        need = sorted(x + clearance_m for x in size)
        if not all(at_most(n, h) for n, h in zip(need, sorted(bay), strict=True)):
            return fails(f"With its clearance it wants {' x '.join(f'{1000 * n:.0f}' for n in need)} mm; the bay has {' x '.join(f'{1000 * h:.0f}' for h in sorted(bay))} mm.", REMEDY)  # fmt: skip
    return passes(f"{1000 * a:.0f} x {1000 * b:.0f} x {1000 * c:.0f} mm fits.")


@rule(
    "place/door",
    "E11",
    "Parts fit bay and door",
    why="The day the inverter stands in front of a hatch that is two fingers too small is the day of the handover.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "geometry", "computed")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each large part in a place whose size or opening is given."""
    spoke = False
    for part in study.rig.of_kind(*LARGE):
        place = study.rig.host.places.get(part.place)
        if place is None or (place.size is None and _opening(place) is None):
            continue
        spoke = True
        yield part.id, _one(part, place)
    if not spoke:
        yield "rig", skipped("No place tells its size or opening.")


def _one(part: Part, place: Place) -> Judgement:
    size = lengths(word(part, "size"))
    if size is None:
        return cannot_tell("Its size is not known.", (f"{part.id}.size",))
    return judge(size, _clearance(part), place.size, _opening(place))


def lengths(text: str) -> Size | None:
    """Three lengths in metres out of `362 x 258 x 218 mm`."""
    try:
        return parse_lengths(text, 3) if text else None
    except QuantityError:
        return None


def _clearance(part: Part) -> float:
    """The first length of its clearance; none where it tells none."""
    words = word(part, "clearance").split()
    try:
        return parse_lengths(" ".join(words[:2]), 1)[0] if len(words) >= 2 else 0.0
    except QuantityError:
        return 0.0


def _opening(place: Place) -> Size | None:
    text = place.words.get("opening", "")
    try:
        return parse_lengths(text, 2) if text else None
    except QuantityError:
        return None
