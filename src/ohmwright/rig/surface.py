"""Reading what stands on and around a surface, and where modules lie on it."""

from collections.abc import Mapping
from typing import Any, TypeAlias

from ohmwright.rig.model import Obstacle, Trees
from ohmwright.rig.telling import NO, YES, addressed, listed, mapping, refuse, scalar, short
from ohmwright.working import Absent, Figure, Given, QuantityError, Unknown, parse_lengths
from ohmwright.working import tree as t

Laid: TypeAlias = tuple[tuple[float, float], bool]


def _given(got: Mapping[str, Any], key: str, address: str) -> Given:
    return addressed(got[key], f"{address}.{key}") if key in got else Absent(address=f"{address}.{key}")


def read_obstacles(got: Mapping[str, Mapping[str, Any]], place: str) -> dict[str, Obstacle]:
    """The obstacles of a place."""
    out = {}
    for name, one in got.items():
        at, size, address = one["at"], one["size"], f"{place}.obstacles.{name}"
        out[name] = Obstacle(
            name,
            at if isinstance(at, tuple) else None,
            size if isinstance(size, tuple) else None,
            _given(one, "height", address),
            _given(one, "open", address),
            _given(one, "above", address),
            one.get("note", ""),
        )
    return out


def read_trees(got: Mapping[str, Mapping[str, Any]], whose: str) -> dict[str, Trees]:
    """The trees around a place or at a stay."""
    out = {}
    for name, one in got.items():
        address = f"{whose}.trees.{name}"
        first, last, up_to = (_given(one, k, address) for k in ("from", "to", "up-to"))
        on, off = (_given(one, k, address) for k in ("leaf-on", "leaf-off"))
        out[name] = Trees(name, first, last, up_to, on, off, one.get("evergreen") == "yes")
    return out


def read_horizon(got: Mapping[str, Given], whose: str) -> dict[float, Given]:
    """Heights of the horizon by bearing, in order."""
    return {float(b): addressed(got[b], f"{whose}.horizon.{b}") for b in sorted(got, key=float)}


def asked(obstacles: Mapping[str, Obstacle]) -> dict[str, Given]:
    """Heights of obstacles that were asked and not had: they stay on the list of open questions."""
    heights = {f"obstacles.{o.id}.{k}": g for o in obstacles.values() for k, g in (("height", o.height), ("open", o.open), ("above", o.above))}  # fmt: skip
    return {k: g for k, g in heights.items() if isinstance(g, Unknown)}


def read_laid(tree: t.Tree, ids: tuple[str, ...], name: str) -> dict[str, Laid]:
    """Where each module lies, by member id; "" for a module that is no array."""
    if isinstance(tree, t.Scalar):
        if len(ids) > 1:
            refuse(
                tree.at,
                f"{name} has {len(ids)} modules and one place for them",
                f"write laid: {{{ids[0]}: 0.3 0.2 m, ...}}",
                tree.text,
            )
        return {ids[0]: _one(tree)}
    entries = mapping(tree).entries
    all_turned = False
    if "turned" in entries:
        word = scalar(entries["turned"].value, "yes or no")
        if word.text.strip() not in YES | NO:
            refuse(word.at, f"'{short(word.text)}' is neither yes nor no", "write yes or no", word.text)
        all_turned = word.text.strip() in YES
    out = {}
    for key, e in entries.items():
        if key == "turned":
            continue
        if key not in ids:
            refuse(e.key.at, f"{name} has no module {short(key)}", f"write one of: {listed(ids)}", key)
        at, turned = _one(scalar(e.value, "two lengths, for instance 0.3 0.2 m"))
        out[key] = (at, turned or all_turned)
    return out


def _one(s: t.Scalar) -> Laid:
    text = s.text.strip()
    turned = text.endswith(" turned")
    try:
        x, y = parse_lengths(text.removesuffix(" turned"), 2)
    except QuantityError as error:
        refuse(s.at, error.message, "write two numbers and one unit, for instance 0.3 0.2 m", text)
    return (x, y), turned


def laid_text(at: tuple[float, float], turned: bool) -> str:
    """As the file writes it."""
    return f"{at[0]:g} {at[1]:g} m{' turned' if turned else ''}"


def number(given: Given) -> float | None:
    """The value, or None for every kind of not-knowing."""
    return given.value if isinstance(given, Figure) else None
