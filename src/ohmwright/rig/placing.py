"""Standing a part in its place in the file: of the place itself, or of its board where it lies on that."""

from ohmwright.rig.insert import take_keys
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.ports import is_group
from ohmwright.rig.splice import Splice, as_scalar, insert_key, root_of, spliced
from ohmwright.rig.standing import (
    Standing,
    corner_of_board,
    read_standing,
    sides_m,
    standing_in,
    standing_text,
)
from ohmwright.rig.telling import refuse, short
from ohmwright.working import OhmwrightError, QuantityError
from ohmwright.working import tree as t

KEYS = ("stands", "on-board")
#: Kinds that stand beside a board, never on it.
OFF_BOARD = frozenset(("battery", "generator", "module", "mounting", "enclosure"))


def owner_of(rig: Rig, name: str) -> tuple[str, str]:
    """The part whose entry holds where another stands, and the name it has there ("" for a part that is no member)."""
    part = rig.parts.get(name)
    if part is None or is_group(part):
        raise OhmwrightError(f"there is no part '{short(name)}' to stand anywhere", remedy="name one part")
    if part.group and part.group in rig.parts:
        return part.group, name.removeprefix(f"{part.group}.")
    return name, ""


def words_for(rig: Rig, name: str, words: str) -> tuple[str, str]:
    """The key and the value that say so in the file: `words` are of the place; what lies on its board is told of that."""
    if not words:
        return "stands", ""
    owner_of(rig, name)
    try:
        s = read_standing(words)
    except QuantityError as error:
        raise OhmwrightError(f"{name}: {error.message}", remedy=error.remedy) from None
    part = rig.parts[name]
    place = rig.host.places.get(part.place)
    if place is None:
        raise OhmwrightError(f"{name} sits in no place", remedy=f"set {name}.at first")
    corner = corner_of_board(place) if place.board is not None else None
    if corner is None or s.wall != "back" or s.out_m or s.sideways or part.kind.name in OFF_BOARD:
        return "stands", standing_text(s)
    there = Standing(s.x_m - corner[0], s.y_m - corner[1], 0.0, "board", s.turned)
    sides = sides_m(part, there)
    wide, high = place.board or (0.0, 0.0)
    inside = sides is not None and min(there.x_m, there.y_m) >= -1e-6 and there.x_m + sides[0] <= wide + 1e-6 and there.y_m + sides[1] <= high + 1e-6  # fmt: skip
    return ("on-board", standing_text(there)) if inside else ("stands", standing_text(s))


def told_of(part: Part, rig: Rig) -> str:
    """Where a part stands in its place, as a field holds it; "" where the file does not say."""
    place = rig.host.places.get(part.place)
    s = standing_in(part, place) if place is not None else None
    return standing_text(s) if s is not None else ""


def address_of(rig: Rig, name: str, key: str) -> str:
    """The address of where a part stands."""
    owner, member = owner_of(rig, name)
    return f"parts.{owner}.{key}" + (f".{member}" if member else "")


def stand(text: str, file: str, rig: Rig, name: str, words: str) -> str:
    """The text in which a part stands so ("0.12 0.04 m turned"); "" takes its position away."""
    owner, member = owner_of(rig, name)
    key, value = words_for(rig, name, words)
    for other in KEYS:
        if other != key or not value:
            text = _taken(text, file, owner, member, other)
    return _put(text, file, owner, member, key, value) if value else text


def _entry(text: str, file: str, owner: str) -> t.Mapping:
    root = root_of(text, file)
    parts = root.get("parts")
    entry = parts.get(owner) if isinstance(parts, t.Mapping) else None
    if not isinstance(entry, t.Mapping):
        where = entry.at if entry is not None else root.at
        refuse(where, f"{owner} has no line of its own to stand in", f"write {owner} as a map, or ungroup it")
    return entry


def _taken(text: str, file: str, owner: str, member: str, key: str) -> str:
    there = _entry(text, file, owner).get(key)
    path = ("parts", owner)
    if there is None or (member and isinstance(there, t.Mapping) and member not in there):
        return text
    if member and isinstance(there, t.Mapping) and len(there.entries) > 1:
        return take_keys(text, file, (*path, key), frozenset({member}))
    return take_keys(text, file, path, frozenset({key}))


def _put(text: str, file: str, owner: str, member: str, key: str, value: str) -> str:
    entry = _entry(text, file, owner)
    there = entry.get(key)
    written = as_scalar(value, entry.at)
    if member and isinstance(there, t.Mapping):
        one = there.get(member)
        if one is not None:
            return spliced(text, [Splice(one.at.offset, one.at.end, written)])
        return spliced(text, [insert_key(text, there, as_scalar(member, there.at), written)])
    if there is not None:
        return spliced(text, [Splice(there.at.offset, there.at.end, written)])
    whole = f"{{{as_scalar(member, entry.at)}: {written}}}" if member else written
    return spliced(text, [insert_key(text, entry, key, whole)])
