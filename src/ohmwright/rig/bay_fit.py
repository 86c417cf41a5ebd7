"""How the parts that the file places stand in their bay: inside it, in each other, with the free space that they ask for.

Boxes only: what bulges, a lug or a bent cable, is not in it.  A part without a position or a size is not seen.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from ohmwright.rig.model import Part, Place, Rig
from ohmwright.rig.standing import Box, Free, boxes_in, free_of, standing_in

#: Boxes that reach no deeper into each other than this only touch.
TOUCH_m = 0.001
#: What other parts are in or on: it is no neighbour of theirs.
AROUND = ("enclosure", "mounting")
#: Axis and end of a box on each side of it.
SIDES = {
    "left of": (0, -1),
    "right of": (0, 1),
    "below": (1, -1),
    "above": (1, 1),
    "in front of": (2, 1),
    "behind": (2, -1),
}


@dataclass(frozen=True, slots=True)
class Tight:
    """A side on which a part has less free space than it asks for; `by` is what stands there."""

    side: str
    asked_m: float
    left_m: float
    by: str


@dataclass(frozen=True, slots=True)
class BayFit:
    """How one part stands: how far over the edge of its bay (None while its size is not told), in what, how free."""

    part: str
    place: str
    box: Box
    over_m: float | None
    overlaps: tuple[str, ...]
    deepest_m: float
    asks: Free
    tight: tuple[Tight, ...]


def fits_in(rig: Rig, place: Place) -> tuple[BayFit, ...]:
    """Every placed part of a place."""
    boxes = boxes_in(rig.parts, place)
    return tuple(_fit(rig.parts[name], box, boxes, rig, place) for name, box in boxes.items())


def not_seen(rig: Rig, place: Place) -> tuple[str, ...]:
    """Parts that the file places there and whose size is not known, or whose board it does not place."""
    boxes = boxes_in(rig.parts, place)
    return tuple(
        p.id
        for p in rig.parts.values()
        if p.place == place.id and p.standing is not None and p.id not in boxes
    )


def neighbours(part: Part, rig: Rig, boxes: dict[str, Box]) -> Iterable[tuple[str, Box]]:
    """The other boxes: without its own device or battery, and without what is around them all."""
    for name, box in boxes.items():
        other = rig.parts[name]
        own = name.startswith(f"{part.id}.") or part.id.startswith(f"{name}.")
        if name != part.id and not own and other.kind.name not in AROUND:
            yield name, box


def _fit(part: Part, box: Box, boxes: dict[str, Box], rig: Rig, place: Place) -> BayFit:
    others = [] if part.kind.name in AROUND else list(neighbours(part, rig, boxes))
    deep = {name: d for name, other in others if (d := box.overlap_m(other)) > TOUCH_m}
    standing = standing_in(part, place)
    asks = free_of(part, standing)
    wanted = dict(zip(SIDES, asks.sides, strict=True))
    tight = []
    for side, asked_m in wanted.items():
        if asked_m <= 0.0:
            continue
        left_m, by = free_on(box, side, others, place)
        if left_m is not None and left_m < asked_m - TOUCH_m:
            tight.append(Tight(side, asked_m, left_m, by))
    return BayFit(
        part.id, place.id, box, over_m(box, place), tuple(deep), max(deep.values(), default=0.0), asks, tuple(tight)
    )  # fmt: skip


def over_m(box: Box, place: Place) -> float | None:
    """How far a box reaches over the edge of its place, 0 inside; None where the place tells no size."""
    if place.size is None:
        return None
    wide, deep, high = place.size
    over = max(max(-box.low[k], box.high[k] - whole) for k, whole in enumerate((wide, high, deep)))
    return max(0.0, over)


def free_on(box: Box, side: str, others: Iterable[tuple[str, Box]], place: Place) -> tuple[float | None, str]:
    """How far it is from a side of a box to the next thing there, and what that is; None where nothing tells it.

    Air goes by what stands before the side itself: a neighbour that is only beside that is none.
    """
    axis, end = SIDES[side]
    near: tuple[float | None, str] = (None, "")
    if place.size is not None:
        whole = (place.size[0], place.size[2], place.size[1])[axis]
        near = (box.low[axis] if end < 0 else whole - box.high[axis]), f"the edge of {place.id}"
    for name, other in others:
        if any(
            min(box.high[k], other.high[k]) - max(box.low[k], other.low[k]) <= TOUCH_m
            for k in (0, 1, 2)
            if k != axis
        ):
            continue
        gap = box.low[axis] - other.high[axis] if end < 0 else other.low[axis] - box.high[axis]
        if gap > -TOUCH_m and (near[0] is None or gap < near[0]):
            near = max(0.0, gap), name
    return near


def covering(part: Part, box: Box, rig: Rig, boxes: dict[str, Box]) -> tuple[str, ...]:
    """What stands in front of a part, between it and who opens the bay."""
    out = []
    for name, other in neighbours(part, rig, boxes):
        before = other.low[2] >= box.high[2] - TOUCH_m
        if before and all(min(box.high[k], other.high[k]) - max(box.low[k], other.low[k]) > TOUCH_m for k in (0, 1)):  # fmt: skip
            out.append(name)
    return tuple(out)


def amiss(fit: BayFit | None) -> tuple[str, ...]:
    """What is wrong with where a part stands: over the edge, in another, short of air."""
    if fit is None:
        return ()
    out = []
    if fit.over_m is not None and fit.over_m > TOUCH_m:
        out.append(f"reaches {1000 * fit.over_m:.0f} mm out of {fit.place}")
    if fit.overlaps:
        out.append(f"stands in {', '.join(fit.overlaps)}")
    out += [
        f"has {1000 * t.left_m:.0f} of {1000 * t.asked_m:.0f} mm free {t.side} it, to {t.by}"
        for t in fit.tight
        if not (fit.overlaps and t.left_m <= TOUCH_m) and not (fit.over_m or 0.0) > TOUCH_m
    ]
    return tuple(out)


def worsened(before: Rig, after: Rig, moved: Iterable[str]) -> tuple[str, ...]:
    """What moving parts has made amiss that was not so, or less so, before: over the edge, or in another part."""
    out = []
    for name in moved:
        part = after.parts.get(name)
        place = after.host.places.get(part.place) if part is not None else None
        if place is None:
            continue
        new = next((f for f in fits_in(after, place) if f.part == name), None)
        if new is None:
            continue
        was = next((f for f in fits_in(before, before.host.places[place.id]) if f.part == name), None)
        over = (new.over_m or 0.0) > ((was.over_m or 0.0) if was else 0.0) + TOUCH_m
        deeper = bool(set(new.overlaps) - set(was.overlaps if was else ()))
        if over or deeper:
            out.append(f"{name} {' and '.join(w for w in amiss(new) if w.startswith(('reaches', 'stands')))}")
    return tuple(out)
