"""What lies and stands on the surfaces and in the places of a rig, as words by address: to be compared."""

from ohmwright.rig.model import Obstacle, Rig
from ohmwright.rig.standing import standing_text
from ohmwright.rig.surface import laid_text, number


def on_surfaces(rig: Rig) -> dict[str, str]:
    """Where each module lies and each part stands, the outline of each place, each obstacle."""
    out = {f"{p.id}.laid": laid_text(p.laid, p.turned) for p in rig.parts.values() if p.laid is not None}
    for part in rig.parts.values():
        if part.standing is not None:
            key = "on-board" if part.standing.wall == "board" else "stands"
            out[f"{part.id}.{key}"] = standing_text(part.standing)
    for place in rig.host.places.values():
        if place.outline is not None:
            out[f"{place.id}.outline"] = _pair(place.outline, " x ")
        out |= {f"{place.id}.obstacles.{o.id}": _told(o) for o in place.obstacles.values()}
    return out


def _pair(pair: tuple[float, float], between: str) -> str:
    return between.join(f"{v:.6g}" for v in pair) + " m"


def _told(o: Obstacle) -> str:
    said = [_pair(o.size, " x ")] if o.size else []
    said += [f"at {_pair(o.at, ' ')}"] if o.at else []
    for word, given in (("height", o.height), ("open", o.open), ("above", o.above)):
        value = number(given)
        said += [f"{word} {value:.6g} m"] if value is not None else []
    return ", ".join(said) or "not known"
